#ifndef PHYSICS_VSB_RHYTHM_H
#define PHYSICS_VSB_RHYTHM_H

#include "base/status.h"
#include "physics/vsb/room.h"

/* What the rhythm of feedback taps makes of wrong decisions. For what tells their cost. */

/* The feedback taps over frequency, B, each block of taps weaker than the one before by `fade`. */
struct rhythm_response {
    int size;
    const float *re, *im;
};
enum status rhythm_respond(const double *taps, int count, double fade, struct vsb_room *room,
                           struct rhythm_response *response);

/* Means over frequency of 1 / |1 + gain B|^2, and of |B|^2 times that. */
struct rhythm {
    double growth, energy;
};
struct rhythm rhythm_of(const struct rhythm_response *response, double gain);

#endif
