#ifndef PHYSICS_VSB_WITHIN_H
#define PHYSICS_VSB_WITHIN_H

#include <stdbool.h>

#include "physics/vsb/columns.h"
#include "physics/vsb/equaliser.h"

/* The forward taps of the equaliser whose reach holds all of a channel, in a small part of the time
 * that any other takes. For equaliser.c. */

/* Whether the reach holds it: feedback as much as the channel lasts, earlier samples as much as its
 * first tap is early. */
bool vsb_within(const struct vsb_channel *channel, struct vsb_equaliser_spans spans);

/* R^-1 h and h' R^-1 h, and the columns of R's factor, which the caller frees either way.
 * `forward`: from the sample on that the channel's first tap is early by (the present one where it
 * is not), to the `later`th; those before have no weight. STATUS_NO_MEMORY, STATUS_NO_SOLUTION
 * where rounding defeats it. */
enum status vsb_within_solve(const struct vsb_channel *channel, double noise, int later,
                             struct columns *columns, double *forward, double *snr);

#endif
