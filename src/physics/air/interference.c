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
 * A/74 Table 5.3 at those levels, linear in dB between them (from memory). A ratio D/U on another
 * channel, at which a signal that needs g just holds, is a noise of U + D/U - g on this one.
 * Receivers of 8-VSB were asked; for other signals the same noise is assumed, as the regulation
 * does (73.620(f)). In ITU Region 1 GE06 plans with -30 dB on both sides (from memory) for DVB-T,
 * which with 64QAM 2/3 needs 19 dB (BT.1368, from memory): -49 dB, and A/74's receivers with -33
 * and 15.19 dB the same within 1 dB, so both are taken there, the larger one. Of other channels no
 * figure of that region is at hand: A/74's.
 *
 * Third order: two signals K and 2 K channels away make 2 U(K) + U(2K) - 2 I on the wanted channel,
 * I the input's intercept (common practice). Worked number: -20 and -20 dBm, I = +10 dBm: -80 dBm.
 */
#include "physics/air/interference.h"

#include <math.h>
#include <stddef.h>
#include <stdlib.h>

#include "base/units.h"

#define RECEIVER_NEED_DB 15.19 /* of 8-VSB, whose receivers A/74 asked */

static const struct {
    const char *source;
    double need_db; /* of the signal that the neighbours' ratios are of */
    double lower_db, upper_db;
} plans[PLAN_COUNT] = {
    [PLAN_US] = {"47 CFR 73.623 and ATSC A/74", 15.19, -28.0, -26.0},
    [PLAN_REGION_1] = {"GE06 (neighbours) and ATSC A/74 (farther ones)", 19.0, -30.0, -30.0},
};

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

double interference_as_noise_dbm(enum channel_plan plan, int offset, double undesired_dbm,
                                 double desired_dbm)
{
    int distance = abs(offset);
    if (distance == 0) {
        return undesired_dbm;
    }
    if (distance > INTERFERENCE_OFFSET_MAX) {
        return -INFINITY;
    }
    double noise_db = receiver_ratio_db(distance, desired_dbm) - RECEIVER_NEED_DB;
    if (distance == 1) {
        double planned_db = offset < 0 ? plans[plan].lower_db : plans[plan].upper_db;
        noise_db = fmax(noise_db, planned_db - plans[plan].need_db);
    }
    return undesired_dbm + noise_db;
}

double interference_ratio_db(enum channel_plan plan, int offset, double desired_dbm)
{
    return plans[plan].need_db + interference_as_noise_dbm(plan, offset, 0.0, desired_dbm);
}

const char *interference_source(enum channel_plan plan)
{
    return plans[plan].source;
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
