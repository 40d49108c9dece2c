#ifndef PHYSICS_INFORMATION_REQUIRED_SNR_H
#define PHYSICS_INFORMATION_REQUIRED_SNR_H

#include "standard/atsc3/code.h"
#include "standard/ofdm_grid.h"

/* Three kinds of required SNR of the second generation, never mixed: the limit (mutual
 * information), the ideal (the standard's code decoded with perfect channel knowledge) and the
 * receiver's (ATSC A/327 Annex B). All in dB over the channel of the kind named. */

enum fading { FADING_AWGN, FADING_RAYLEIGH, FADING_COUNT };

/* Where mutual information (information.h) is what the code rate asks of a cell. */
double limit_snr_db(enum constellation constellation, int rate_15ths, enum fading fading);

/* How an ideal SNR was read off the simulation: between simulated points or beyond the deepest. */
enum ideal_source {
    IDEAL_EXTRAPOLATED,
    IDEAL_SIMULATED,
    IDEAL_BY_BITS, /* simulated down to a bit error rate: dvbt_snr.c */
    IDEAL_SHALLOW, /* simulated, but not deep: dvbt2_snr.c */
    IDEAL_SOURCE_COUNT
};

struct ideal_snr {
    double db; /* NAN for a pair that A/322 does not have */
    enum ideal_source source;
};

struct ideal_snr ideal_snr(enum code_length length, enum constellation constellation,
                           int rate_15ths, enum fading fading);
double ideal_snr_db(enum code_length length, enum constellation constellation, int rate_15ths,
                    enum fading fading);
const char *ideal_source_words(enum ideal_source source);

/* C/N that a real receiver needs in AWGN, from an ideal SNR: ATSC A/327 Annex B. The waveform's
 * share of it is the grid's, the receiver's own noise (BN) goes with the constellation. */
double receiver_snr_from_ideal_db(const struct ofdm_grid *grid, double backstop_db,
                                  double ideal_db);

/* The same for the second pair, whose documents give a planning figure: receiver_snr.c. */
double receiver_planning_loss_db(const struct ofdm_grid *grid);
double receiver_planning_snr_db(const struct ofdm_grid *grid, double ideal_db);
#define RECEIVER_PLANNING_FLOOR_DB (-33.0)

/* Its pieces. */
double receiver_loss_db(const struct ofdm_grid *grid);            /* A + Dpilot + IM */
double receiver_estimation_loss_db(const struct ofdm_grid *grid); /* Lce */
double receiver_backstop_db(enum constellation constellation);    /* BN */

#endif
