/* Field strength over open ground: free space and smooth spherical earth.
 *
 * Free space (ITU-R P.525) is the most that arrives, over the way of the ray. A sphere hides the
 * far antenna: beyond the horizon the field is that of the first term of the residue series (ITU-R
 * P.526 section 3.1), 20 log10(E / E0) = F(X) + G(B1) + G(B2), X = 2.188 beta f^(1/3) ae^(-2/3) d,
 * B = 9.575e-3 beta^2 f^(2/3) ae^(-1/3) h   (MHz, km, m), beta = (1 + 1.6 K^2 + 0.67 K^4) / (1
 * + 4.5 K^2 + 1.53 K^4),  G not below 2 + 20 log10 K, K = 0.036 (ae f)^(-1/3) ((eps - 1)^2 + (18
 * sigma / f)^2)^(-1/4)   (GHz, km, S/m), with vertical polarisation times (eps^2 + (18 sigma /
 * f)^2)^(1/2); land: eps 22, sigma 0.003 S/m. Between ample clearance and the horizon P.526
 * interpolates: the diffraction loss of an earth just small enough to put the horizon at the
 * distance, times 1 - clearance / needed clearance.
 *
 * Validity: no terrain, no clutter, no troposcatter (which rules far beyond the horizon), land,
 * above 20 MHz. Worked number: 57 MHz, 300 m and 10 m, 100 km: X = 2.0217, F = -21.52; G = -0.42
 * and -13.26; loss 35.2 dB. */
#include "physics/air/propagation.h"

#include <math.h>

#include "base/units.h"

#define EARTH_KM 8500.0 /* 4/3 of the earth's radius */
#define CLEARANCE_FRACTION 0.552
#define LAND_PERMITTIVITY 22.0 /* ITU-R P.526: land */
#define LAND_S_M 0.003

static double wavelength_m(const struct path *path)
{
    return SPEED_OF_LIGHT_M_S / (path->center_mhz * 1e6);
}

double path_slant_km(const struct path *path)
{
    return hypot(path->distance_km, 1e-3 * (path->transmit_height_m - path->receive_height_m));
}

double free_space_field_dbuvm(double erp_kw, double distance_km)
{
    return 106.92 + db_from_ratio(erp_kw) - 20.0 * log10(distance_km);
}

double radio_horizon_km(double transmit_height_m, double receive_height_m)
{
    return sqrt(2.0 * EARTH_KM * 1e-3) * (sqrt(transmit_height_m) + sqrt(receive_height_m));
}

double diffraction_distance_term_db(double x)
{
    return x >= 1.6 ? 11.0 + 10.0 * log10(x) - 17.6 * x : -20.0 * log10(x) - 5.6488 * pow(x, 1.425);
}

double diffraction_height_term_db(double b, double admittance)
{
    double gain_db = b > 2.0 ? 17.6 * sqrt(b - 1.1) - 5.0 * log10(b - 1.1) - 8.0
                             : 20.0 * log10(b + 0.1 * b * b * b);
    return fmax(gain_db, 2.0 + 20.0 * log10(admittance));
}

/* K, the ground's normalised surface admittance. */
static double admittance_of(const struct path *path, double earth_km)
{
    double ghz = 1e-3 * path->center_mhz, lossy = 18.0 * LAND_S_M / ghz;
    double horizontal = 0.036 / cbrt(earth_km * ghz) / sqrt(hypot(LAND_PERMITTIVITY - 1.0, lossy));
    return path->vertical ? horizontal * hypot(LAND_PERMITTIVITY, lossy) : horizontal;
}

double diffraction_loss_db(const struct path *path, double earth_km)
{
    double k = admittance_of(path, earth_km), k2 = k * k;
    double beta = (1.0 + 1.6 * k2 + 0.67 * k2 * k2) / (1.0 + 4.5 * k2 + 1.53 * k2 * k2);
    double x =
        2.188 * beta * cbrt(path->center_mhz) * pow(earth_km, -2.0 / 3.0) * path->distance_km;
    double height_scale =
        9.575e-3 * beta * beta * pow(path->center_mhz, 2.0 / 3.0) / cbrt(earth_km);
    return -(diffraction_distance_term_db(x) +
             diffraction_height_term_db(height_scale * path->transmit_height_m, k) +
             diffraction_height_term_db(height_scale * path->receive_height_m, k));
}

/* Smallest clearance of the straight ray over the bulging earth in m, and in `needed_m` the one
 * that costs nothing (ITU-R P.526 section 3.2). */
static double clearance_m(const struct path *path, double *needed_m)
{
    double h1 = path->transmit_height_m, h2 = path->receive_height_m;
    double d_m = path->distance_km * 1e3, earth_m = EARTH_KM * 1e3;
    double c = (h1 - h2) / (h1 + h2);
    double m = d_m * d_m / (4.0 * earth_m * (h1 + h2));
    double cosine = 1.5 * c * sqrt(3.0 * m / pow(m + 1.0, 3.0));
    double b = 2.0 * sqrt((m + 1.0) / (3.0 * m)) * cos(PI / 3.0 + acos(fmin(cosine, 1.0)) / 3.0);
    double d1 = d_m / 2.0 * (1.0 + b), d2 = d_m - d1;
    *needed_m = CLEARANCE_FRACTION * sqrt(d1 * d2 * wavelength_m(path) / d_m);
    return ((h1 - d1 * d1 / (2.0 * earth_m)) * d2 + (h2 - d2 * d2 / (2.0 * earth_m)) * d1) / d_m;
}

double smooth_earth_loss_db(const struct path *path)
{
    double horizon_km = radio_horizon_km(path->transmit_height_m, path->receive_height_m);
    if (path->distance_km >= horizon_km) {
        return fmax(diffraction_loss_db(path, EARTH_KM), 0.0);
    }
    struct path ordered = *path; /* the point of least clearance is nearer to the lower end */
    ordered.transmit_height_m = fmax(path->transmit_height_m, path->receive_height_m);
    ordered.receive_height_m = fmin(path->transmit_height_m, path->receive_height_m);
    double needed_m;
    double clear_m = clearance_m(&ordered, &needed_m);
    if (clear_m >= needed_m) {
        return 0.0;
    }
    double ratio = path->distance_km / horizon_km;
    double loss_db = diffraction_loss_db(path, EARTH_KM * ratio * ratio);
    return fmax((1.0 - clear_m / needed_m) * loss_db, 0.0);
}
