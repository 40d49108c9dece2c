#ifndef SIMULATION_VSB_RECEIVER_FRAME_H
#define SIMULATION_VSB_RECEIVER_FRAME_H

#include <stdbool.h>

#include "standard/vsb/signal.h"

/* Where symbols stand in the air (ATSC A/53 Part 2, order of encoders from memory). A field begins
 * with its sync, a segment known to the receiver; each of its 312 data segments begins with four
 * known symbols. The twelve encoders take turns, the first of a segment four further each time, so
 * that symbols of one encoder are twelve symbols apart over a segment sync too, which takes the
 * turns of four encoders. */

#define VSB_SEGMENT_STEPS (VSB_SEGMENT_DATA_SYMBOLS / VSB_TRELLIS_ENCODERS)

/* Segments in the air for `data_segments` of them from a field's beginning. */
static inline long vsb_air_segments(long data_segments)
{
    return data_segments + (data_segments + VSB_FIELD_DATA_SEGMENTS - 1) / VSB_FIELD_DATA_SEGMENTS;
}

struct vsb_air_place {
    bool known; /* a sync symbol; else symbol number `step` of encoder `lane` */
    int lane;
    int step;
};

/* Place `at` of the air, counted from a field's first symbol. */
struct vsb_air_place vsb_air_place(long at);

/* The known symbol at that place, in levels: +-5. */
float vsb_air_sync(long at);

#endif
