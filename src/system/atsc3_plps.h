#ifndef SYSTEM_ATSC3_PLPS_H
#define SYSTEM_ATSC3_PLPS_H

#include "physics/information/curve.h"
#include "physics/ofdm/echo.h"
#include "standard/atsc3/frame.h"
#include "system/facts.h"

/* One PLP of a transmission as its receiver sees it: the subframe's symbols, and the code under the
 * layer that it shares its cells with. */
struct atsc3_plp {
    struct ofdm_grid grid;
    struct information_curve curve;
    double limit_db, ideal_db,
        ideal_rayleigh_db; /* SNRs of the whole signal; INFINITY: none does */
    double needed_db;      /* of a real receiver */
    double span_ms;        /* of its time interleaver */
    struct ofdm_part part; /* of the carriers, on which its cells lie */
};

void atsc3_plp_make(const struct transmission *transmission, const struct frame *frame, int plp,
                    struct atsc3_plp *made);

/* The enhanced PLP over a core, whose power disturbs it; where several lie over one core, the
 * strongest. -1: there is none. */
int atsc3_layer_above(const struct transmission *transmission, int core);

/* The ideal SNR of a PLP whose receiver knows the other layer's constellation, bonding left out;
 * some milliseconds with layers, none without. */
double atsc3_exact_db(const struct transmission *transmission, int plp);

/* The PLP that needs least. */
int atsc3_most_robust(const struct transmission *transmission, const struct frame *frame);

/* Fills what the PLP and its subframe are made of and carry; a figure of the whole frame is that of
 * the whole frame. Neither what atsc3_describe_code fills nor needed SNR, Doppler, speed, field. */
void atsc3_describe_plp(const struct transmission *transmission, const struct frame *frame, int plp,
                        struct facts *facts);

#endif
