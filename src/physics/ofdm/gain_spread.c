/* Mean mutual information (MIESM) over a histogram of carrier gains. Information depends on a
 * carrier only through its SNR in dB, so 27 649 carriers and a histogram with steps of 0.05 dB say
 * the same: splitting a carrier between neighbouring bins errs by step^2 / 8 times the second
 * derivative of information over dB, below 1e-4 bit. Worked number: half the carriers at +3 dB and
 * half at -3 dB around 2 dB of SNR: QPSK carries (1.718 + 0.828) / 2 bits, as at 1.93 dB steady. */
#include "physics/ofdm/gain_spread.h"

#include <math.h>
#include <string.h>

#include "base/units.h"

/* Above the code's threshold: real receivers' thresholds lie within, no mode's information is near
 * its end there. */
#define LITERAL_DB 4.5

void gain_spread_clear(struct gain_spread *spread)
{
    memset(spread->shares, 0, sizeof spread->shares);
    spread->first = GAIN_SPREAD_BINS;
    spread->last = -1;
}

void gain_spread_add(struct gain_spread *spread, double gain, double carriers)
{
    double position = (db_from_ratio(gain) - GAIN_SPREAD_LOW_DB) / GAIN_SPREAD_STEP_DB;
    position = position > 0.0 ? position : 0.0;
    position = position < GAIN_SPREAD_BINS - 2 ? position : GAIN_SPREAD_BINS - 2;
    int bin = (int)position;
    double above = position - bin;
    spread->shares[bin] += carriers * (1.0 - above);
    spread->shares[bin + 1] += carriers * above;
    spread->first = bin < spread->first ? bin : spread->first;
    spread->last = bin + 1 > spread->last ? bin + 1 : spread->last;
}

void gain_spread_normalise(struct gain_spread *spread)
{
    double sum = 0.0;
    for (int i = spread->first; i <= spread->last; i++) {
        sum += spread->shares[i];
    }
    for (int i = spread->first; i <= spread->last; i++) {
        spread->shares[i] /= sum;
    }
}

double gain_spread_information(const struct gain_spread *spread,
                               const struct information_curve *curve, double offset_db)
{
    double sum = 0.0;
    for (int i = spread->first; i <= spread->last; i++) {
        if (spread->shares[i] > 0.0) {
            double snr_db = GAIN_SPREAD_LOW_DB + i * GAIN_SPREAD_STEP_DB + offset_db;
            sum += spread->shares[i] * information_curve_bits(curve, snr_db);
        }
    }
    return sum;
}

double gain_spread_capacity(const struct gain_spread *spread, double offset_db)
{
    double sum = 0.0;
    for (int i = spread->first; i <= spread->last; i++) {
        if (spread->shares[i] > 0.0) {
            double snr_db = GAIN_SPREAD_LOW_DB + i * GAIN_SPREAD_STEP_DB + offset_db;
            sum += spread->shares[i] * log2(1.0 + ratio_from_db(snr_db));
        }
    }
    return sum;
}

double gain_spread_offset_db(const struct gain_spread *spread,
                             const struct information_curve *curve, double bits)
{
    double steady_db = information_curve_snr_db(curve, bits);
    if (!isfinite(steady_db) || spread->last < 0) {
        return steady_db;
    }
    double low = steady_db - GAIN_SPREAD_LOW_DB - spread->last * GAIN_SPREAD_STEP_DB - 1.0;
    double high = steady_db - GAIN_SPREAD_LOW_DB - spread->first * GAIN_SPREAD_STEP_DB + 1.0;
    while (high - low > 1e-5) {
        double middle = 0.5 * (low + high);
        if (gain_spread_information(spread, curve, middle) < bits) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return 0.5 * (low + high);
}

double gain_spread_effective_db(const struct gain_spread *spread,
                                const struct information_curve *curve, double ideal_db,
                                double offset_db)
{
    double most = information_curve_bits(curve, ideal_db + LITERAL_DB);
    double bits = gain_spread_information(spread, curve, offset_db);
    if (bits <= most) {
        return information_curve_snr_db(curve, bits);
    }
    double weakened_db = gain_spread_offset_db(spread, curve, most);
    return ideal_db + LITERAL_DB + offset_db - weakened_db;
}

double gain_spread_required_db(const struct gain_spread *spread,
                               const struct information_curve *curve, double ideal_db,
                               double effective_db)
{
    double literal_db = fmin(effective_db, ideal_db + LITERAL_DB);
    double bits = information_curve_bits(curve, literal_db);
    return gain_spread_offset_db(spread, curve, bits) + effective_db - literal_db;
}
