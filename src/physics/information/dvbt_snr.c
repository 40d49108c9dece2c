/* DVB-T's needed SNR: limit and ideal.
 *
 * The inner code is convolutional with 64 states, far from the limit of mutual information; the
 * ideal SNR is where a soft Viterbi decoder with exact bit metrics leaves a bit error rate of 2e-4,
 * quasi error free behind the Reed-Solomon code (ETSI EN 300 744 4.3 and annex A). */
#include "physics/information/dvbt_snr.h"

#include <math.h>

#include "physics/information/uniform.h"

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

/* SNR of a data cell at a bit error rate of 2e-4, by the project's own simulation
 * (tests/proof/dvb_thresholds.c, kept in tests/proof/dvbt-table.txt: 8K, 2 million bits a point,
 * seed 20; a line through the logarithms of the last six points): standard error about 0.04 dB in
 * white noise, 0.1 dB in Rayleigh cells. By rates 1/2 to 7/8; of a hierarchy the stream of high
 * priority, then the one of low. */
static const double
    simulated[FADING_COUNT][DVBT_CONSTELLATION_COUNT][DVBT_HIERARCHY_COUNT][DVBT_PRIORITY_COUNT]
             [DVBT_RATE_COUNT] =
                 {
                     [FADING_AWGN] =
                         {
                             [DVBT_QPSK] =
                                 {
                                     [DVBT_PLAIN] = {{3.17, 4.95, 5.87, 6.88, 7.54}},
                                 },
                             [DVBT_16QAM] =
                                 {
                                     [DVBT_PLAIN] = {{9.00, 11.08, 12.23, 13.44, 14.09}},
                                     [DVBT_ALPHA_1] = {{6.82, 9.63, 11.24, 12.56, 13.37},
                                                       {10.21, 11.91, 12.94, 13.88, 14.52}},
                                     [DVBT_ALPHA_2] = {{4.79, 6.91, 8.27, 9.57, 10.42},
                                                       {13.19, 14.91, 15.98, 16.95, 17.52}},
                                     [DVBT_ALPHA_4] = {{3.73, 5.65, 6.77, 7.95, 8.60},
                                                       {17.33, 19.13, 20.08, 21.08, 21.71}},
                                 },
                             [DVBT_64QAM] =
                                 {
                                     [DVBT_PLAIN] = {{13.57, 16.38, 17.81, 19.08, 19.87}},
                                     [DVBT_ALPHA_1] = {{8.06, 12.10, 14.53, 16.86, 18.09},
                                                       {15.15, 17.31, 18.50, 19.65, 20.27}},
                                     [DVBT_ALPHA_2] = {{6.05, 9.06, 10.78, 12.60, 13.63},
                                                       {16.73, 18.80, 19.98, 21.22, 21.83}},
                                     [DVBT_ALPHA_4] = {{4.58, 6.80, 8.15, 9.64, 10.50},
                                                       {19.25, 21.35, 22.60, 23.73, 24.36}},
                                 },
                         },
                     [FADING_RAYLEIGH] =
                         {
                             [DVBT_QPSK] =
                                 {
                                     [DVBT_PLAIN] = {{5.92, 9.13, 11.38, 13.92, 15.78}},
                                 },
                             [DVBT_16QAM] =
                                 {
                                     [DVBT_PLAIN] = {{11.47, 14.89, 17.12, 19.95, 21.84}},
                                     [DVBT_ALPHA_1] = {{9.51, 13.23, 15.66, 18.30, 20.17},
                                                       {13.04, 16.18, 18.42, 20.82, 22.90}},
                                     [DVBT_ALPHA_2] = {{7.53, 11.01, 13.17, 15.71, 17.71},
                                                       {15.90, 19.13, 21.35, 24.19, 25.64}},
                                     [DVBT_ALPHA_4] = {{6.50, 9.78, 12.04, 14.76, 16.28},
                                                       {19.98, 23.24, 25.46, 28.01, 29.71}},
                                 },
                             [DVBT_64QAM] =
                                 {
                                     [DVBT_PLAIN] = {{16.00, 19.80, 22.24, 24.84, 27.21}},
                                     [DVBT_ALPHA_1] = {{11.29, 15.74, 18.62, 21.64, 23.21},
                                                       {17.89, 21.19, 23.43, 26.03, 28.11}},
                                     [DVBT_ALPHA_2] = {{9.13, 12.93, 15.43, 18.16, 20.15},
                                                       {19.41, 22.73, 24.91, 27.76, 29.46}},
                                     [DVBT_ALPHA_4] = {{7.45, 10.81, 13.22, 15.99, 17.74},
                                                       {21.96, 25.22, 27.68, 30.24, 32.26}},
                                 },
                         },
};

struct ideal_snr dvbt_ideal_snr(const struct dvbt *mode, enum fading fading)
{
    enum dvbt_priority priority = mode->hierarchy == DVBT_PLAIN ? DVBT_HIGH : mode->priority;
    return (struct ideal_snr){
        simulated[fading == FADING_RAYLEIGH ? FADING_RAYLEIGH : FADING_AWGN][mode->constellation]
                 [mode->hierarchy][priority][dvbt_stream_rate(mode)],
        IDEAL_BY_BITS};
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
