#ifndef SCENARIO_USE_H
#define SCENARIO_USE_H

#include "scenario/field.h"
#include "scenario/scenario.h"

/* Ways to use a receiver, by their names of the trade. A use fills keys of [receiver] and [place]
 * that nobody has given, with values that can be seen and changed. What hangs on the frequency
 * follows the site's. */

/* Moves the scenario from the use and frequency that its keys were filled for to another: keys that
 * were given, or changed since, stay. */
void use_change(struct scenario *scenario, enum use before, double before_mhz, enum use after,
                double after_mhz);

/* A user has written a value for this key of [receiver] or [place]. */
void use_note_given(struct scenario *scenario, const struct field *field);

/* What a use fills in on a frequency, key by key: NULL beyond the last. */
const struct field *use_key(size_t i);
double use_value(enum use use, size_t i, double center_mhz);

#endif
