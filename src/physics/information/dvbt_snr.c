/* DVB-T's needed SNR: limit and ideal.
 *
 * The inner code is convolutional with 64 states, far from the limit of mutual information; the
 * ideal SNR is where a soft Viterbi decoder with exact bit metrics leaves a bit error rate of 2e-4,
 * quasi error free behind the Reed-Solomon code (ETSI EN 300 744 4.3 and annex A). What has not
 * been simulated is estimated as the limit and the usual gap of such a code. */
#include "physics/information/dvbt_snr.h"

#include <math.h>

#include "physics/information/uniform.h"

#define CONVOLUTIONAL_GAP_DB 3.0 /* 2.7 to 3.2 dB, by the simulations of other modes */

struct information_curve dvbt_curve(const struct dvbt *mode)
{
    enum uniform_stream stream = mode->hierarchy == DVBT_PLAIN ? STREAM_ALL
                                 : mode->priority == DVBT_HIGH ? STREAM_HIGH
                                                               : STREAM_LOW;
    return information_curve_uniform(dvbt_constellation_bits(mode->constellation),
                                     dvbt_alpha(mode->hierarchy), stream);
}

double dvbt_limit_db(const struct dvbt *mode, enum fading fading)
{
    struct information_curve curve = dvbt_curve(mode);
    double bits = dvbt_stream_bits(mode) * dvbt_rate_value(dvbt_stream_rate(mode));
    return fading == FADING_RAYLEIGH ? information_curve_rayleigh_snr_db(&curve, bits)
                                     : information_curve_snr_db(&curve, bits);
}

/* SNR of a data cell in white noise at a bit error rate of 2e-4, by the project's own simulation
 * (tests/proof/dvb_thresholds.c, 2 million bits a point, seed 20; a line through the logarithms of
 * the last six points): standard error about 0.04 dB. Rates 1/2 to 7/8; NAN: not simulated. */
static const double simulated[DVBT_CONSTELLATION_COUNT][DVBT_RATE_COUNT] = {
    [DVBT_QPSK] = {3.17, 4.95, 5.87, 6.92, 7.54},
    [DVBT_16QAM] = {9.00, 11.07, 12.23, 13.44, 14.10},
    [DVBT_64QAM] = {13.57, 16.38, 17.90, 19.09, 19.94},
};

struct ideal_snr dvbt_ideal_snr(const struct dvbt *mode, enum fading fading)
{
    double known_db =
        mode->hierarchy == DVBT_PLAIN ? simulated[mode->constellation][mode->rate] : NAN;
    struct ideal_snr ideal = {known_db, IDEAL_BY_BITS};
    if (isnan(known_db)) {
        ideal = (struct ideal_snr){dvbt_limit_db(mode, FADING_AWGN) + CONVOLUTIONAL_GAP_DB,
                                   IDEAL_ESTIMATED};
    }
    if (fading == FADING_RAYLEIGH) { /* by the information that white noise asks for */
        struct information_curve curve = dvbt_curve(mode);
        double bits = information_curve_bits(&curve, ideal.db);
        ideal.db = information_curve_rayleigh_snr_db(&curve, bits);
    }
    return ideal;
}

/* Table A.1 of V1.6.1, from memory: Gaussian and Rayleigh (P1), rates 1/2 to 7/8. */
static const double published[DVBT_CONSTELLATION_COUNT][DVBT_RATE_COUNT][2] = {
    [DVBT_QPSK] = {{3.5, 5.9}, {5.3, 9.6}, {6.3, 12.4}, {7.3, 15.6}, {7.9, 17.5}},
    [DVBT_16QAM] = {{9.3, 11.8}, {11.4, 15.3}, {12.6, 18.1}, {13.8, 21.3}, {14.4, 23.6}},
    [DVBT_64QAM] = {{13.8, 16.4}, {16.7, 20.3}, {18.2, 23.0}, {19.4, 26.2}, {20.2, 28.6}},
};

struct published_snr dvbt_published_snr(const struct dvbt *mode, enum fading fading)
{
    if (mode->hierarchy != DVBT_PLAIN) {
        return (struct published_snr){.snr_db = NAN};
    }
    return (struct published_snr){
        published[mode->constellation][mode->rate][fading == FADING_RAYLEIGH],
        "EN 300 744 V1.6.1 table A.1, from memory", "A.1 (memory)"};
}
