/* Building entry loss and location spread.
 *
 * Entry loss (ITU-R P.2109-1 and -2, 80 MHz to 100 GHz, horizontal path): of all cases, buildings
 * and rooms alike, a share P has no more than
 *     L(P) = 10 log10(10^(A/10) + 10^(B/10) + 10^(C/10)),
 *     A = Q(P) s1 + m1,  B = Q(P) s2 + m2,  C = -3 dB,
 *     m1 = r + s log f + t log^2 f,  m2 = w + x log f,  s1 = u + v log f,  s2 = y + z log f   (GHz)
 * with Q the normal quantile: two log-normal parts, near and far from the outer wall, and a floor.
 * Three programs have these coefficients. Worked number: traditional at 600 MHz, half of the cases:
 * 11.86, 9.77 and -3 dB sum up to 14.04 dB.
 *
 * Location spread: the local mean field in dB is normally distributed around the median, 5.5 dB
 * wide for digital broadcasting at 100, 600 and 2000 MHz alike, large areas and an allowance for
 * multipath in it (ITU-R P.1546-3 Table 2). Other editions and widths differ: -3 gives K + 1.3 log
 * f for squares of 500 m (4.6 dB on roofs at 600 MHz), -6 (0.52 + 2.4e-5 f) w^0.28 with terrain
 * data (3.1 dB in such squares), 8 to 12 dB without. */
#include "physics/air/building.h"

#include <math.h>

#include "base/normal.h"
#include "base/units.h"

double building_entry_loss_db(enum building_kind kind, double center_mhz, double share)
{
    static const struct {
        double r, s, t, u, v, w, x, y, z;
    } rows[] = {[BUILDING_KIND_TRADITIONAL] = {12.64, 3.72, 0.96, 9.6, 2.0, 9.1, -3.0, 4.5, -2.0},
                [BUILDING_KIND_EFFICIENT] = {28.19, -3.00, 8.48, 13.5, 3.8, 27.8, -2.9, 9.4, -2.1}};
    double log_ghz = log10(fmax(center_mhz, BUILDING_MIN_MHZ) / 1e3), q = normal_quantile(share);
    double one = rows[kind].r + rows[kind].s * log_ghz + rows[kind].t * log_ghz * log_ghz +
                 q * (rows[kind].u + rows[kind].v * log_ghz);
    double other =
        rows[kind].w + rows[kind].x * log_ghz + q * (rows[kind].y + rows[kind].z * log_ghz);
    return db_from_ratio(ratio_from_db(one) + ratio_from_db(other) + ratio_from_db(-3.0));
}

double location_allowance_db(double percent)
{
    return LOCATION_SPREAD_DB * normal_quantile(percent / 100.0);
}
