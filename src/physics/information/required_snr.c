/* The SNR that a mode needs before any receiver's faults.
 *
 * Limit: bit-interleaved information of the constellation equals code rate times bits per cell.
 *
 * Ideal: the standard's code decoded with perfect channel knowledge, as simulated (thresholds.h).
 * An entry whose counted error rates do not reach 1e-4 is called extrapolated.
 *
 * Worked number: QPSK 2/15, long code: limit -6.92, ideal -6.33 dB (A/327 Annex A simulated -6.1).
 * receiver_snr.c has the third. */
#include "physics/information/required_snr.h"

#include "physics/information/sets.h"
#include "physics/information/thresholds.h"

double limit_snr_db(enum constellation constellation, int rate_15ths, enum fading fading)
{
    return information_limits_db[fading == FADING_RAYLEIGH][constellation]
                                [rate_15ths - RATE_MIN_15THS];
}

struct ideal_snr ideal_snr(enum code_length length, enum constellation constellation,
                           int rate_15ths, enum fading fading)
{
    const struct threshold *row = threshold_find(length, constellation, rate_15ths, fading);
    return (struct ideal_snr){
        .db = threshold_snr_db(length, constellation, rate_15ths, fading),
        .source = row && !threshold_is_extrapolated(row) ? IDEAL_SIMULATED : IDEAL_EXTRAPOLATED,
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
        [IDEAL_EXTRAPOLATED] = "simulated with the standard's code; frame error rate 1e-4, "
                               "extrapolated from about 1e-3",
        [IDEAL_BY_BITS] =
            "simulated with the standard's inner code, bit error rate 2e-4 before the "
            "Reed-Solomon decoder",
        [IDEAL_SHALLOW] = "simulated with the standard's code; frame error rate 1e-4, extrapolated "
                          "from about 1e-2",
        [IDEAL_SIMULATED] = "simulated with the standard's code, frame error rate 1e-4",
    };
    return words[source];
}
