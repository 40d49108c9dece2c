#ifndef EXPLORER_DESK_QUANTITIES_H
#define EXPLORER_DESK_QUANTITIES_H

#include "study/report/report.h"

/* The quantities of the main view: rows of two figures of a report, by their JSON names. */

struct quantity {
    const char *group; /* heading on tall screens */
    const char *label; /* at most 14 columns */
    const char *unit;
    const char *first, *second; /* figure names; NULL: this generation has none */
    const char *second_words;   /* shown in place of the second figure; NULL: "-" */
    int better;                 /* +1: more is better, -1: less is better, 0: neither */
};

enum quantity_column { COLUMN_FIRST, COLUMN_SECOND };

int quantity_count(void);
const struct quantity *quantity_row(int i);

/* "second.echo_us": the name that explanations know it by. */
void quantity_name(int i, char *buffer, size_t size);

/* The figure as it is written in reports; "-" where it is unknown. */
void quantity_text(int i, enum quantity_column column, const struct report *report, char *buffer,
                   size_t size);

/* NAN where unknown. */
double quantity_value(int i, enum quantity_column column, const struct report *report);

/* "+1.25": how far the second generation's figure lies from the pinned one's. "same" or, where
 * unknown, "". */
void quantity_change(int i, const struct report *report, const struct report *pinned, char *buffer,
                     size_t size);

#endif
