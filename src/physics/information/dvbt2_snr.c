/* DVB-T2's needed SNR: limit and ideal.
 *
 * Ideal: the standard's LDPC and BCH codes decoded with exact metrics in a single pass of the
 * demapper. The published raw figures (ETSI TS 102 831 table 44) are no check of it: they were
 * simulated with a demapper that knows a cell's other bits, and lie up to 1 dB below. What has not
 * been simulated is estimated as the limit and the usual gap of such a code. */
#include "physics/information/dvbt2_snr.h"

#include <math.h>

#include "physics/information/uniform.h"

#define LONG_GAP_DB 0.65 /* 0.48 to 0.83 dB, by other simulations of 17 modes */
#define SHORT_GAP_DB 1.0 /* a guess from short codes of the same kind */

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

struct ideal_snr t2_ideal_snr(const struct t2_code *code, enum fading fading)
{
    double gap_db = code->length == T2_64800 ? LONG_GAP_DB : SHORT_GAP_DB;
    return (struct ideal_snr){t2_limit_db(code, fading) + gap_db, IDEAL_ESTIMATED};
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
