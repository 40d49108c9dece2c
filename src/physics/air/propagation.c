/* Field strength over open ground: free space, plane earth, smooth spherical earth.
 *
 * Free space (ITU-R P.525) is the most that arrives. A flat ground sends a second ray of opposite
 * sign, which cancels the first at small angles (plane earth). A sphere moreover hides the far
 * antenna: beyond the horizon the field is that of the first term of the residue series (ITU-R
 * P.526, formulas from memory),
 *     20 log10(E / E0) = F(X) + G(Y1) + G(Y2),
 *     X = 2.188 f^(1/3) ae^(-2/3) d,  Y = 9.575e-3 f^(2/3) ae^(-1/3) h   (MHz, km, m).
 * Between ample clearance and the horizon P.526 interpolates: the diffraction loss of an earth just
 * small enough to put the horizon at the distance, times 1 - clearance / needed clearance.
 *
 * Validity: no terrain, no clutter, no troposcatter (which rules far beyond the horizon), land,
 * above 20 MHz, antennas at least 1 m high (P.526 limits G for lower ones). Worked number: 57 MHz,
 * 300 m and 10 m, 100 km: X = 2.0217, F = -21.52; G = -0.42 and -13.26; loss 35.2 dB. */
#include "physics/air/propagation.h"

#include <math.h>
#include <stdbool.h>

#include "base/units.h"

#define EARTH_KM 8500.0 /* 4/3 of the earth's radius */
#define CLEARANCE_FRACTION 0.552

const char *propagation_name(enum propagation method)
{
    static const char *const names[PROPAGATION_COUNT] = {
        [PROPAGATION_FREE_SPACE] = "free space (ITU-R P.525)",
        [PROPAGATION_PLANE_EARTH] = "plane earth",
        [PROPAGATION_SMOOTH_EARTH] = "smooth earth (ITU-R P.526)",
        [PROPAGATION_DIFFRACTION] = "smooth earth, beyond the horizon (ITU-R P.526)",
        [PROPAGATION_HATA] = "Okumura-Hata (ITU-R P.529)"};
    return (unsigned)method < PROPAGATION_COUNT ? names[method] : "?";
}

static double wavelength_m(const struct path *path)
{
    return SPEED_OF_LIGHT_M_S / (path->center_mhz * 1e6);
}

double free_space_field_dbuvm(double erp_kw, double distance_km)
{
    return 106.92 + db_from_ratio(erp_kw) - 20.0 * log10(distance_km);
}

double radio_horizon_km(double transmit_height_m, double receive_height_m)
{
    return sqrt(2.0 * EARTH_KM * 1e-3) * (sqrt(transmit_height_m) + sqrt(receive_height_m));
}

double plane_earth_loss_db(const struct path *path)
{
    double turn = 2.0 * PI * path->transmit_height_m * path->receive_height_m /
                  (wavelength_m(path) * path->distance_km * 1e3);
    return turn < PI / 6.0 ? -20.0 * log10(2.0 * sin(turn)) : 0.0;
}

double diffraction_distance_term_db(double x)
{
    return x >= 1.6 ? 11.0 + 10.0 * log10(x) - 17.6 * x : -20.0 * log10(x) - 5.6488 * pow(x, 1.425);
}

double diffraction_height_term_db(double y)
{
    return y > 2.0 ? 17.6 * sqrt(y - 1.1) - 5.0 * log10(y - 1.1) - 8.0
                   : 20.0 * log10(y + 0.1 * y * y * y);
}

double diffraction_loss_db(const struct path *path, double earth_km)
{
    double x = 2.188 * cbrt(path->center_mhz) * pow(earth_km, -2.0 / 3.0) * path->distance_km;
    double height_scale = 9.575e-3 * pow(path->center_mhz, 2.0 / 3.0) / cbrt(earth_km);
    return -(diffraction_distance_term_db(x) +
             diffraction_height_term_db(height_scale * path->transmit_height_m) +
             diffraction_height_term_db(height_scale * path->receive_height_m));
}

/* Smallest clearance of the straight ray over the bulging earth in m, and in `needed_m` the one
 * that costs nothing. ITU-R P.526, section on smooth earth within the horizon, from memory. */
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

double open_earth_loss_db(const struct path *path, enum propagation *ruling)
{
    double plane_db = plane_earth_loss_db(path), sphere_db = smooth_earth_loss_db(path);
    bool beyond =
        path->distance_km >= radio_horizon_km(path->transmit_height_m, path->receive_height_m);
    *ruling = plane_db <= 0.0 && sphere_db <= 0.0 ? PROPAGATION_FREE_SPACE
              : plane_db > sphere_db              ? PROPAGATION_PLANE_EARTH
              : beyond                            ? PROPAGATION_DIFFRACTION
                                                  : PROPAGATION_SMOOTH_EARTH;
    return fmax(plane_db, sphere_db);
}
