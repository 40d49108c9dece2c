/* Interference. Idea: a digital signal from elsewhere is like noise, so all that disturbs is told
 * as an equal power of noise on the wanted channel, and added to the noise.
 *
 * The same channel: at its own power. With noise alone leaving S/N, a signal that needs g holds
 * while D/U is at least
 *     g + 10 log10(1 / (1 - 10^(-(S/N - g)/10))),
 * for 8-VSB with g = 15.19 the regulation's own formula (47 CFR 73.623(c)(2); 23 dB at S/N 16).
 *
 * Neighbours: D/U -28 dB below and -26 dB above (47 CFR 73.623(c)(2), OET Bulletin 69 Table 5A),
 * but not less than ATSC A/74:2010 Table 5.2 has for stronger signals (-33, -33, -20 dB at a
 * desired level of -68, -53, -28 dBm). Two to fifteen channels away: the receivers' guidelines of
 * A/74 Table 5.3 at those levels, linear in dB between them (from memory). A ratio of D/U on
 * another channel is one of D/U + g on this one: the noise is U + D/U - 15.19 dB, U where D/U is
 * +15.19. Receivers of 8-VSB were asked; for other signals the same noise is assumed, as the
 * regulation does (73.620(f)).
 *
 * Third order: two signals K and 2 K channels away make 2 U(K) + U(2K) - 2 I on the wanted channel,
 * I the input's intercept (common practice). Worked number: -20 and -20 dBm, I = +10 dBm: -80 dBm.
 */
#include "physics/air/interference.h"

#include <math.h>
#include <stddef.h>
#include <stdlib.h>

#include "base/units.h"

#define REFERENCE_NEED_DB 15.19 /* of 8-VSB, in the regulation's formula */
#define LOWER_NEIGHBOUR_DB (-28.0)
#define UPPER_NEIGHBOUR_DB (-26.0)

static const double desired_levels_dbm[] = {-68.0, -53.0, -28.0};
#define LEVELS (sizeof desired_levels_dbm / sizeof desired_levels_dbm[0])

static const double receiver_ratios_db[INTERFERENCE_OFFSET_MAX + 1][LEVELS] = {
    [1] = {-33, -33, -20},  [2] = {-44, -40, -20},  [3] = {-48, -40, -20},  [4] = {-52, -40, -20},
    [5] = {-56, -42, -20},  [6] = {-57, -45, -20},  [7] = {-57, -45, -20},  [8] = {-57, -45, -20},
    [9] = {-57, -45, -20},  [10] = {-57, -45, -20}, [11] = {-57, -45, -20}, [12] = {-57, -45, -20},
    [13] = {-57, -45, -20}, [14] = {-50, -45, -20}, [15] = {-50, -45, -20},
};

static double receiver_ratio_db(int distance, double desired_dbm)
{
    const double *at = receiver_ratios_db[distance];
    size_t i = desired_dbm < desired_levels_dbm[1] ? 0 : 1;
    double low = desired_levels_dbm[i], high = desired_levels_dbm[i + 1];
    double share = fmin(fmax((desired_dbm - low) / (high - low), 0.0), 1.0);
    return at[i] + share * (at[i + 1] - at[i]);
}

double interference_ratio_db(int offset, double desired_dbm)
{
    int distance = abs(offset);
    if (distance == 0) {
        return REFERENCE_NEED_DB;
    }
    if (distance > INTERFERENCE_OFFSET_MAX) {
        return -INFINITY;
    }
    double ratio = receiver_ratio_db(distance, desired_dbm);
    return distance > 1 ? ratio : fmax(ratio, offset < 0 ? LOWER_NEIGHBOUR_DB : UPPER_NEIGHBOUR_DB);
}

double interference_as_noise_dbm(int offset, double undesired_dbm, double desired_dbm)
{
    return undesired_dbm + interference_ratio_db(offset, desired_dbm) - REFERENCE_NEED_DB;
}

double interference_third_order_dbm(double near_dbm, double far_dbm, double intercept_dbm)
{
    return 2.0 * near_dbm + far_dbm - 2.0 * intercept_dbm;
}

double interference_co_channel_db(double needed_db, double snr_db)
{
    return snr_db > needed_db ? needed_db - db_from_ratio(1.0 - ratio_from_db(needed_db - snr_db))
                              : INFINITY;
}
