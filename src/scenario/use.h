#ifndef SCENARIO_USE_H
#define SCENARIO_USE_H

#include "scenario/field.h"
#include "scenario/scenario.h"

/* Ways to use a receiver, by their names of the trade. A use fills keys of [receiver] and [place]
 * that nobody has given, with values that can be seen and changed. What hangs on the plan of its
 * channels and on the frequency follows the site's. */
struct use_at {
    enum use use;
    enum channel_plan plan;
    double center_mhz;
};
struct use_at use_at(const struct scenario *scenario);

/* Moves the scenario from what its keys were filled for to another: keys that were given, or
 * changed since, stay. */
void use_change(struct scenario *scenario, struct use_at before, struct use_at after);

/* A user has written a value for this key of [receiver] or [place]. */
void use_note_given(struct scenario *scenario, const struct field *field);

/* What a use fills in, key by key: NULL beyond the last. */
const struct field *use_key(size_t i);
double use_value(const struct use_at *at, size_t i);

#endif
