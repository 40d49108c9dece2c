#ifndef PHYSICS_VSB_DOUBTING_H
#define PHYSICS_VSB_DOUBTING_H

#include "physics/vsb/columns.h"
#include "physics/vsb/equaliser.h"

/* The taps of a receiver that doubts its decisions, from those of one that does not and the factor
 * of its R. For equaliser.c. */

/* `columns` of R from the sample on that is as early as `trusting` has weights there: before it R
 * is the noise's. Taps of `doubting` are made and 0. STATUS_NO_MEMORY. */
enum status vsb_doubting_design(const struct vsb_channel *channel, double noise,
                                const struct columns *columns, vsb_doubts_at *doubts_at,
                                double sure, const struct vsb_equaliser *trusting,
                                struct vsb_equaliser *doubting);

#endif
