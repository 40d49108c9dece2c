#ifndef EXPLORER_DESK_QUANTITIES_H
#define EXPLORER_DESK_QUANTITIES_H

#include "study/report/report.h"

/* The quantities of the main view: every figure of a report that has a group (study/report), in
 * order; a new row there shows here by itself. */

int quantity_count(void);
const struct figure *quantity_row(int i);

/* "second.echo_km": as lessons and explanations call it. */
void quantity_name(int i, char *buffer, size_t size);

/* "+1.25": how far the second generation's figure lies from the pinned one's. "same" or, where
 * unknown, "". */
void quantity_change(int i, const struct report *report, const struct report *pinned, char *buffer,
                     size_t size);

#endif
