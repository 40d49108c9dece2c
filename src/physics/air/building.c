/* Building entry loss and location spread.
 *
 * Entry loss: the median of ITU-R P.2109 for a horizontal path, coefficients from memory, given for
 * 80 MHz to 100 GHz. Worked number: traditional at 600 MHz: 12.64 - 3.72 x 0.2218 + 0.96 x 0.0492 =
 * 11.86 dB.
 *
 * Location spread: the local mean field in dB is normally distributed around the median. */
#include "physics/air/building.h"

#include <math.h>

#include "base/normal.h"

double building_entry_loss_db(enum building_kind kind, double center_mhz)
{
    static const struct {
        double r, s, t;
    } rows[] = {/* ITU-R P.2109, from memory */
                [BUILDING_KIND_TRADITIONAL] = {12.64, 3.72, 0.96},
                [BUILDING_KIND_EFFICIENT] = {28.19, -3.00, 8.48}};
    double log_ghz = log10(fmax(center_mhz, BUILDING_MIN_MHZ) / 1e3);
    return rows[kind].r + rows[kind].s * log_ghz + rows[kind].t * log_ghz * log_ghz;
}

double location_allowance_db(double percent)
{
    return LOCATION_SPREAD_DB * normal_quantile(percent / 100.0);
}
