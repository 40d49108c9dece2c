#ifndef PHYSICS_OFDM_GAIN_SPREAD_H
#define PHYSICS_OFDM_GAIN_SPREAD_H

#include <stdbool.h>

#include "physics/information/curve.h"
#include "physics/ofdm/doppler.h"

/* How the carriers' SNRs (gain over all that disturbs) are spread over decibels, and what that
 * means for a mode by mean mutual information: a code that sees cells of many SNRs fares as in a
 * steady channel with the same mean information per cell. */

#define GAIN_SPREAD_LOW_DB (-90.0)
#define GAIN_SPREAD_STEP_DB 0.1
#define GAIN_SPREAD_BINS 2001 /* up to +110 dB */
#define GAIN_SPREAD_MORE 4    /* room behind them, for loops of so many at a time */

/* Share of carriers at LOW_DB + i * STEP_DB; shares add up to 1. Large: keep it off small stacks.
 */
struct gain_spread {
    double shares[GAIN_SPREAD_BINS + GAIN_SPREAD_MORE];
    int first, last; /* bins outside are empty, and unset */
};

void gain_spread_clear(struct gain_spread *spread);

/* Adds carriers, each split between the two nearest bins. SNRs below the lowest bin count as the
 * lowest. */
void gain_spread_add(struct gain_spread *spread, const float *snrs, int count);
void gain_spread_normalise(struct gain_spread *spread);

/* The spread of an isotropic channel of mean SNR 1: powers are exponentially distributed. */
void gain_spread_rayleigh(struct gain_spread *spread);

/* Mean log2(1 + SNR) in bits a cell: what no code exceeds. */
double gain_capacity(const float *snrs, int count);

/* A curve of information at the spread's bins: made once for a constellation and rate, it reads any
 * number of spreads. Of a rotated set whose parts fade apart, each on a carrier of its own, the
 * mean is over all pairs of carriers. Large. */
#define GAIN_NODE_BINS 20 /* SURFACE_STEP_DB in bins */
struct gain_raster {
    struct information_curve curve;
    double bits[GAIN_SPREAD_BINS];
    struct surface_place places[GAIN_NODE_BINS];  /* from the lowest node of a surface on */
    double parts[SURFACE_REACH * GAIN_NODE_BINS]; /* of bins around a node that are its own */
};
void gain_raster_make(const struct information_curve *curve, struct gain_raster *raster);
bool gain_raster_is_of(const struct gain_raster *raster, const struct information_curve *curve);

/* The SNR of a steady channel in which a cell carries `bits`; -INFINITY at 0 and below, INFINITY at
 * the curve's end and above. */
double gain_raster_snr_db(const struct gain_raster *raster, double bits);

/* Mean information in bits a cell. */
double gain_spread_information(const struct gain_spread *spread, const struct gain_raster *raster);

/* The dB by which all carriers must be raised for a mean information of `bits`; INFINITY where none
 * is enough. */
double gain_spread_offset_db(const struct gain_spread *spread, const struct gain_raster *raster,
                             double bits);

/* The effective SNR. Up to 4.5 dB above `ideal_db` (the code's threshold in white noise) it is
 * literally the SNR of the steady channel with the same mean information. Above, information no
 * longer tells good from better: it nears the constellation's bits, and the SNR of the same mean
 * lags behind what could be spared (16QAM 9/15, one echo of -3 dB, 30 dB: 20.6 dB literally). There
 * the effective SNR is ideal_db + 4.5 dB and the dB by which all carriers could be weakened until
 * the literal rule gives just that (26.2 dB in the example): one dB more of SNR is then one dB more
 * of effective SNR, with no step and no saturation. */
#define GAIN_LITERAL_DB 4.5
double gain_spread_effective_db(const struct gain_spread *spread, const struct gain_raster *raster,
                                double ideal_db);

/* The same of several codes of one curve, each sought from where the one before it was found. */
void gain_spread_effective_many(const struct gain_spread *spread, const struct gain_raster *raster,
                                int count, const double *ideal_db, double *effective_db);

/* For who puts spreads in order by a code: what rises with its effective SNR, dB above the literal
 * end, where a cell carries `literal_bits`, or bits below it. `rank`: about that. */
double gain_spread_rank(const struct gain_spread *spread, const struct gain_raster *raster,
                        double literal_bits, double rank);

/* The dB by which all carriers must be raised for an effective SNR of `effective_db`. */
double gain_spread_required_db(const struct gain_spread *spread, const struct gain_raster *raster,
                               double ideal_db, double effective_db);

/* ---- An isotropic channel, for who asks about many needs: made once for a code. ---- */

#define GAIN_NEEDS 19 /* each quarter of a dB up to GAIN_LITERAL_DB above the threshold */
struct gain_rayleigh_needs {
    double ideal_db;
    struct doppler_need needs[GAIN_NEEDS];
};
/* `rayleigh` as gain_spread_rayleigh makes it. */
void gain_rayleigh_needs_make(const struct gain_spread *rayleigh, const struct gain_raster *raster,
                              double ideal_db, struct gain_rayleigh_needs *needs);

/* What an effective SNR of `needed_db` needs there. */
struct doppler_need gain_rayleigh_need(const struct gain_rayleigh_needs *needs, double needed_db);

/* The same for who asks about one code once. */
struct doppler_need gain_rayleigh_need_of(const struct information_curve *curve, double ideal_db,
                                          double needed_db);

#endif
