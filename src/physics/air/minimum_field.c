/* The minimum field strength. The chain of the Geneva 2006 agreement (chapter 3 to annex 2, annex
 * 3.4) and of ITU-R BT.2033 attachment 1:
 *     level = C/N + F + k T B,  field = level + line loss - gain + aperture at f,
 *     median = field + man-made noise + height loss + entry loss + Q sqrt(5.5^2 + spread^2).
 * Worked number: 200 MHz, 6.66 MHz wide, F 6, C/N 20, 7 dBd, 2 dB of line: 36.35 dBuV/m; with 2 dB
 * of man-made noise for 95 % of the locations 47.4. */
#include "physics/air/minimum_field.h"

#include <math.h>

#include "base/normal.h"
#include "physics/air/building.h"
#include "physics/air/noise.h"

double minimum_field_dbuvm(const struct minimum_field *asked)
{
    double level_dbm =
        asked->cn_db + asked->noise_figure_db + noise_thermal_dbm(asked->bandwidth_mhz);
    return level_dbm -
           level_from_field_dbm(0.0, asked->center_mhz, asked->antenna_dbd, asked->line_loss_db);
}

double minimum_median_field_dbuvm(const struct minimum_field *asked)
{
    double spread_db = hypot(LOCATION_SPREAD_DB, asked->entry_spread_db);
    return minimum_field_dbuvm(asked) + asked->man_made_db + asked->height_loss_db +
           asked->entry_loss_db + normal_quantile(asked->location_percent / 100.0) * spread_db;
}
