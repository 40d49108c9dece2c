/* Doppler under OFDM. Two things give way as the channel moves. The pilots of one carrier come back
 * after Dy symbols and so follow changes up to half their rate, 1 / (2 Dy (Tu + Tg)). And carriers
 * leak into each other: Y. Li and L. J. Cimini, "Bounds on the interchannel interference of OFDM in
 * time-varying impairments", IEEE Trans. Commun. 49(3), 2001, bound the interference power over the
 * signal's by (pi fd Tu)^2 / 6 for the classical spectrum and / 3 for two rays; good for fd Tu up
 * to about 0.2. It adds to the noise: 1 / gamma = 1 / SNR + P. Worked number: 8K at 6 MHz (Tu =
 * 1185 us) at 20 dB: P reaches 1/200 at 46.5 Hz. */
#include "physics/ofdm/doppler.h"

#include <math.h>

#include "base/units.h"

double doppler_pilot_limit_hz(const struct ofdm_grid *grid)
{
    return 1.0 / (2.0 * grid->dy * grid->symbol_us * 1e-6);
}

double doppler_interference_ratio(double doppler_hz, double useful_us, int two_rays)
{
    double turn = PI * doppler_hz * useful_us * 1e-6;
    return turn * turn / (two_rays ? 3.0 : 6.0);
}

double doppler_interference_limit_hz(double useful_us, double required_snr_db)
{
    double ratio = 0.5 / ratio_from_db(required_snr_db);
    return sqrt(ratio / doppler_interference_ratio(1.0, useful_us, 0));
}

double doppler_loss_db(double useful_us, double required_snr_db, double doppler_hz)
{
    double share =
        doppler_interference_ratio(doppler_hz, useful_us, 0) * ratio_from_db(required_snr_db);
    return share < 1.0 ? -db_from_ratio(1.0 - share) : isnan(share) ? NAN : INFINITY;
}
