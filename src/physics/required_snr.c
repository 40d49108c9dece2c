/* The SNR that a mode needs before any receiver's faults.
 *
 * Limit: bit-interleaved information of the constellation equals code rate times bits per cell.
 *
 * Ideal: the standard's code decoded with perfect channel knowledge, as simulated (thresholds.h).
 * Where this project has not simulated a pair, the estimate is the limit plus the distance that
 * published decoders keep from it: ATSC A/327 Table 6.3 (sum-product, 50 iterations) by rate, plus
 * what A/327 Annex A's simulated thresholds ask for beyond that with large constellations and with
 * short codes. Over Rayleigh cells the estimate is the mean SNR whose mean information equals that
 * of the steady channel at its ideal SNR.
 *
 * Worked number: QPSK 2/15, long code: limit -6.92, estimate -6.19 dB (A/327 Annex A simulated
 * -6.1). receiver_snr.c has the third. */
#include "physics/required_snr.h"

#include <math.h>

#include "physics/information.h"
#include "physics/information_curve.h"
#include "physics/thresholds.h"

double limit_snr_db(enum constellation constellation, int rate_15ths, enum fading fading)
{
    return information_limits_db[fading == FADING_RAYLEIGH][constellation]
                                [rate_15ths - RATE_MIN_15THS];
}

/* ATSC A/327 Table 6.3: dB from the limit; level outside the rates it names. */
static double decoder_distance_db(int rate_15ths)
{
    static const struct {
        int rate_15ths;
        double db;
    } rows[] = {{6, 0.73}, {11, 0.46}, {13, 0.41}};
    if (rate_15ths <= rows[0].rate_15ths) {
        return rows[0].db;
    }
    int i = rate_15ths <= rows[1].rate_15ths ? 0 : 1;
    double share =
        (double)(rate_15ths - rows[i].rate_15ths) / (rows[i + 1].rate_15ths - rows[i].rate_15ths);
    return rows[i].db + share * (rows[i + 1].db - rows[i].db);
}

/* What A/327 Annex A's simulated thresholds keep beyond Table 6.3: 64QAM 11/15 14.4, 256QAM 11/15
 * 18.9, 4096QAM 13/15 33.1 dB; 16QAM and 1024QAM in between by bits. */
static const double constellation_distance_db[CONSTELLATION_COUNT] = {
    [QPSK] = 0.0,    [QAM16] = 0.15,   [QAM64] = 0.30,
    [QAM256] = 0.35, [QAM1024] = 0.43, [QAM4096] = 0.50,
};

/* 64QAM 11/15 with the short code, 14.52 dB (A/327 Tables 4.3-4.6), less 14.4 dB. */
#define SHORT_CODE_DISTANCE_DB 0.12

static double estimated_awgn_db(enum code_length length, enum constellation constellation,
                                int rate_15ths)
{
    return limit_snr_db(constellation, rate_15ths, FADING_AWGN) + decoder_distance_db(rate_15ths) +
           constellation_distance_db[constellation] +
           (length == LENGTH_16200 ? SHORT_CODE_DISTANCE_DB : 0.0);
}

/* The simulated threshold where the table has one, else the estimate. */
static struct ideal_snr awgn_snr(enum code_length length, enum constellation constellation,
                                 int rate_15ths)
{
    double simulated_db = threshold_snr_db(length, constellation, rate_15ths, FADING_AWGN);
    if (!isnan(simulated_db)) {
        return (struct ideal_snr){.db = simulated_db, .source = IDEAL_SIMULATED};
    }
    return (struct ideal_snr){
        .db = estimated_awgn_db(length, constellation, rate_15ths),
        .source = IDEAL_ESTIMATED,
    };
}

struct ideal_snr ideal_snr(enum code_length length, enum constellation constellation,
                           int rate_15ths, enum fading fading)
{
    if (!constellation_is_allowed(length, constellation)) {
        return (struct ideal_snr){.db = NAN, .source = IDEAL_ESTIMATED};
    }
    struct ideal_snr awgn = awgn_snr(length, constellation, rate_15ths);
    if (fading == FADING_AWGN) {
        return awgn;
    }
    double simulated_db = threshold_snr_db(length, constellation, rate_15ths, fading);
    if (!isnan(simulated_db)) {
        return (struct ideal_snr){.db = simulated_db, .source = IDEAL_SIMULATED};
    }
    double bits = information_awgn(constellation, rate_15ths, awgn.db);
    return (struct ideal_snr){
        .db = information_inverse_rayleigh_db(constellation, rate_15ths, bits),
        .source = awgn.source == IDEAL_SIMULATED ? IDEAL_FROM_AWGN : IDEAL_ESTIMATED,
    };
}

double ideal_snr_db(enum code_length length, enum constellation constellation, int rate_15ths,
                    enum fading fading)
{
    return ideal_snr(length, constellation, rate_15ths, fading).db;
}

const char *ideal_source_words(enum ideal_source source)
{
    static const char *const words[IDEAL_SOURCE_COUNT] = {
        [IDEAL_ESTIMATED] = "estimated: limit plus the distance of published decoders (A/327)",
        [IDEAL_FROM_AWGN] = "from the threshold simulated in AWGN, by mean mutual information",
        [IDEAL_SIMULATED] = "simulated with the standard's code, frame error rate 1e-4",
    };
    return words[source];
}
