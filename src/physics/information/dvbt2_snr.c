/* DVB-T2's needed SNR: limit and ideal.
 *
 * Ideal: the standard's LDPC and BCH codes decoded with exact metrics in a single pass of the
 * demapper. The published raw figures (ETSI TS 102 831 table 44) are no check of it: they were
 * simulated with a demapper that knows a cell's other bits, and lie up to 1 dB below. What has not
 * been simulated is estimated as the limit and the usual gap of such a code. */
#include "physics/information/dvbt2_snr.h"

#include <math.h>

#include "physics/information/uniform.h"

/* By which codes of the long length fall short of the limit, rates 1/2 to 5/6: means of other
 * simulations of 17 modes (0.41 to 0.76 dB at a frame error rate of 1e-2) and 0.07 dB from there to
 * 1e-4. Short ones fall a little shorter: a guess from codes of the same kind. */
static const double gaps_db[T2_PLP_RATES] = {0.77, 0.72, 0.72, 0.60, 0.58, 0.52};
#define SHORT_MORE_DB 0.35

struct information_curve t2_curve(const struct t2_code *code)
{
    return information_curve_uniform(t2_constellation_bits(code->constellation), 1, STREAM_ALL);
}

double t2_limit_db(const struct t2_code *code, enum fading fading)
{
    struct information_curve curve = t2_curve(code);
    double bits =
        t2_constellation_bits(code->constellation) * t2_true_rate(code->length, code->rate);
    return fading == FADING_RAYLEIGH ? information_curve_rayleigh_snr_db(&curve, bits)
                                     : information_curve_snr_db(&curve, bits);
}

/* White noise, by the project's own simulation (tests/proof/dvb_thresholds.c, seed 20, sum-product
 * with 50 iterations): a normal distribution fitted to the counts, read at a frame error rate of
 * 1e-4 behind the BCH code; the counts reach down to about 1e-2, which leaves some 0.04 dB. Rates
 * 1/2 to 5/6; NAN: not simulated. */
static const double simulated[T2_LENGTH_COUNT][T2_CONSTELLATION_COUNT][T2_PLP_RATES] =
    {
        [T2_64800] =
            {
                [T2_QPSK] = {0.88, 2.10, 3.01, 3.96, 4.61, 5.12},
                [T2_16QAM] = {6.04, 7.46, 8.75, 9.89, 10.67, 11.28},
                [T2_64QAM] = {10.33, NAN, NAN, NAN, NAN, NAN},
                [T2_256QAM] = {NAN, NAN, NAN, NAN, NAN, NAN},
            },
        [T2_16200] =
            {
                [T2_QPSK] = {NAN, NAN, NAN, NAN, NAN, NAN},
                [T2_16QAM] = {NAN, NAN, NAN, NAN, NAN, NAN},
                [T2_64QAM] = {NAN, NAN, NAN, NAN, NAN, NAN},
                [T2_256QAM] = {NAN, NAN, NAN, NAN, NAN, NAN},
            },
};

struct ideal_snr t2_ideal_snr(const struct t2_code *code, enum fading fading)
{
    double gap_db = gaps_db[code->rate] + (code->length == T2_64800 ? 0.0 : SHORT_MORE_DB);
    double known_db = simulated[code->length][code->constellation][code->rate];
    if (isnan(known_db)) {
        return (struct ideal_snr){t2_limit_db(code, fading) + gap_db, IDEAL_ESTIMATED};
    }
    if (fading == FADING_AWGN) {
        return (struct ideal_snr){known_db, IDEAL_SHALLOW};
    }
    /* By the information that white noise asks for. */
    struct information_curve curve = t2_curve(code);
    double bits = information_curve_bits(&curve, known_db);
    return (struct ideal_snr){information_curve_rayleigh_snr_db(&curve, bits), IDEAL_ESTIMATED};
}

/* Table 44 of V1.2.1, from memory: Gaussian and Rayleigh (P1), rates 1/2 to 5/6. */
static const double published[T2_CONSTELLATION_COUNT][T2_PLP_RATES][2] = {
    [T2_QPSK] = {{1.0, 2.0}, {2.3, 3.6}, {3.1, 4.9}, {4.1, 6.2}, {4.7, 7.1}, {5.2, 7.9}},
    [T2_16QAM] = {{6.0, 7.5}, {7.6, 9.3}, {8.9, 10.8}, {10.0, 12.4}, {10.8, 13.6}, {11.4, 14.5}},
    [T2_64QAM] =
        {{9.9, 11.9}, {12.0, 14.0}, {13.5, 15.6}, {15.1, 17.7}, {16.1, 19.2}, {16.8, 20.2}},
    [T2_256QAM] =
        {{13.2, 15.6}, {16.1, 18.3}, {17.8, 20.0}, {20.0, 22.6}, {21.3, 24.3}, {22.0, 25.4}},
};

struct published_snr t2_published_snr(const struct t2_code *code, enum fading fading)
{
    if (code->length != T2_64800) {
        return (struct published_snr){.snr_db = NAN};
    }
    return (struct published_snr){
        published[code->constellation][code->rate][fading == FADING_RAYLEIGH],
        "TS 102 831 V1.2.1 table 44, genie-aided, from memory", "genie-aided"};
}
