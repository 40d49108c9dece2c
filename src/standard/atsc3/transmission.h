#ifndef STANDARD_ATSC3_TRANSMISSION_H
#define STANDARD_ATSC3_TRANSMISSION_H

#include <stdbool.h>

#include "base/status.h"
#include "standard/atsc3/code.h"
#include "standard/atsc3/time_interleaver.h"
#include "standard/atsc3/waveform.h"

/* All that is chosen of a transmission of the second generation (ATSC A/322:2024-04), as a tree:
 * frame -> subframes -> physical layer pipes (PLPs). One subframe with one PLP is the plain case,
 * not another type. What follows from the choices is in grid.h, cells.h and frame.h. */

#define SUBFRAMES_MAX 1
#define PLPS_MAX 1

struct plp {
    struct code code;
    enum interleaver interleaver;
};

struct subframe {
    struct waveform waveform;
    bool first_boundary; /* its first symbol is a boundary symbol; the last always is one */
};

struct signalling {
    int l1_basic_mode;  /* 1..7 */
    int l1_detail_mode; /* 1..7 */
    int l1_detail_bits; /* L1-Detail information bits, 200..6312: see cells.h */
};

struct transmission {
    double frame_ms; /* asked length of the frame, 50..5000 */
    struct signalling signalling;
    int subframe_count;
    struct subframe subframes[SUBFRAMES_MAX];
    int plp_count;
    struct plp plps[PLPS_MAX];
};

/* STATUS_OK where the choices, each in its range, go together; else a fault whose place is the
 * profile's key ("mode.pilots") and whose `allowed` lists what is legal there. */
enum status transmission_check(const struct transmission *transmission, struct fault *fault);

/* Makes a transmission legal again after one of its choices changed, by moving the other choices to
 * the nearest legal ones (guard, pilots, constellation, interleaver). Returns how many were moved.
 */
int transmission_repair(struct transmission *transmission);

#endif
