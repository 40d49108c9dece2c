#ifndef EXPLORER_DESK_VALUE_FOLLOWS_H
#define EXPLORER_DESK_VALUE_FOLLOWS_H

#include "scenario/field.h"
#include "scenario/scenario.h"

/* Sizes of subframes and PLPs that nothing is said of: what they are then, in the frame as it is,
 * so that a first step goes on from there. */

/* NAN: it is not one of these, or there is no frame. */
double follows_number(const struct field *field, const struct scenario *scenario, int item);

/* The most that there is room for; INFINITY: the field's range decides. */
double follows_most(const struct field *field, const struct scenario *scenario, int item);

#endif
