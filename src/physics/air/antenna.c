/* Receiving antennas that favour a direction.
 *
 * ITU-R BT.419-3 (from memory): nothing within the main beam, a fixed value far off it, linear in
 * between: band I 0 dB to 50 degrees, 6 dB from 70 on; band III 0 to 27, 12 from 60; bands IV and V
 * 0 to 20, 16 from 60. FCC OET Bulletin 69 (from memory): the field falls as the fourth power of
 * the cosine, but not below the front-to-back ratio (10, 12, 14 dB in its three bands). Orthogonal
 * polarisation is not counted: it may not be added to direction. Worked number: UHF, 40 degrees
 * off: 8 dB; by the cosine 80 log10(1 / cos 40) = 9.3 dB. */
#include "physics/air/antenna.h"

#include <math.h>

#include "base/units.h"

double antenna_discrimination_db(enum band band, double off_axis_deg, double front_to_back_db)
{
    static const struct {
        double beam_deg, far_deg, far_db;
    } rows[BAND_COUNT] = {[BAND_LOW_VHF] = {50.0, 70.0, 6.0},
                          [BAND_HIGH_VHF] = {27.0, 60.0, 12.0},
                          [BAND_UHF] = {20.0, 60.0, 16.0}};
    double off_deg = fabs(remainder(off_axis_deg, 360.0));
    if (isnan(front_to_back_db)) {
        double share = (off_deg - rows[band].beam_deg) / (rows[band].far_deg - rows[band].beam_deg);
        return fmin(fmax(share, 0.0), 1.0) * rows[band].far_db;
    }
    double cosine = cos(off_deg * PI / 180.0);
    return cosine > 0.0 ? fmin(-80.0 * log10(cosine), front_to_back_db) : front_to_back_db;
}
