#ifndef SIMULATION_VSB_RECEIVER_SURVIVORS_H
#define SIMULATION_VSB_RECEIVER_SURVIVORS_H

#include <stdint.h>

#include "base/status.h"
#include "simulation/vsb/trellis.h"
#include "standard/vsb/signal.h"

/* The twelve interleaved Viterbi decoders of a receiver that decides as it goes: after each symbol,
 * the symbols on the one best survivor of that symbol's encoder, at every age, are what the
 * receiver believes. Metrics are of the received value alone: survivors do not carry equalisers of
 * their own. */

struct vsb_survivors;

/* For `steps` symbols of each encoder at most; a belief changes no more than `depth` steps back.
 * NULL: no memory. The owner calls vsb_survivors_free. */
struct vsb_survivors *vsb_survivors_create(int steps, int depth);
void vsb_survivors_free(struct vsb_survivors *survivors);

/* All encoders at rest, nothing received. */
void vsb_survivors_restart(struct vsb_survivors *survivors);

/* Takes the value received for the next symbol of encoder `lane`, which stands at place `at` of the
 * symbols in the air, and writes to believed[] what the best survivor says of this symbol and of
 * those before it that it says anew. Returns the earliest place that it wrote. */
long vsb_survivors_take(struct vsb_survivors *survivors, int lane, long at, float value,
                        float *believed);

#endif
