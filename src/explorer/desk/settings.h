#ifndef EXPLORER_DESK_SETTINGS_H
#define EXPLORER_DESK_SETTINGS_H

#include "explorer/desk/value/value.h"

/* The settings that the main view offers: the fields of all sections that stand once and count in
 * the pair, in the order of their table and in groups. */

int setting_count(enum pair pair);
struct value setting_value(int i, enum pair pair);
/* Neighbours of one group have the same pointer. */
const char *setting_group(int i, enum pair pair);
/* Its heading on tall screens: "Receiver". */
void setting_heading(int i, const struct scenario *scenario, char *buffer, size_t size);

#endif
