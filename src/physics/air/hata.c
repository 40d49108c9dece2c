/* Okumura-Hata: a fit to measurements around towns, as field strength of 1 kW ERP:
 *     E = 69.82 - 6.16 log f + 13.82 log h1 + a(h2) - (44.9 - 6.55 log h1) (log d)^b,
 *     a = (1.1 log f - 0.7) h2 - (1.56 log f - 0.8),
 *     b = 1 up to 20 km, then 1 + (0.14 + 1.87e-4 f + 1.07e-3 h1') (log(d / 20))^0.8 with
 *     h1' = h1 / sqrt(1 + 7e-6 h1^2)    (MHz, m, km; ITU-R P.1546-3 Annex 7; P.529 is withdrawn).
 * Suburbs have 2 log^2(f / 28) + 5.4 dB more, open land 4.78 log^2 f - 18.33 log f + 40.94 (Hata,
 * IEEE Transactions VT-29, 1980, from memory); the fit knows no denser town than a town. Worked
 * number: 900 MHz, 50 m and 1.5 m, 1 km: a loss of 123.3 dB between isotropic antennas. */
#include "physics/air/propagation.h"

#include <math.h>

#include "base/text.h"
#include "base/units.h"

enum status hata_check(const struct path *path, struct fault *fault)
{
    const struct {
        const char *what, *unit;
        double value, low, high;
    } rows[] = {
        {"frequency", "MHz", path->center_mhz, 150.0, 1500.0},
        {"transmitter height", "m", path->transmit_height_m, 30.0, 200.0},
        {"receiving height", "m", path->receive_height_m, 1.0, 10.0},
        {"distance", "km", path->distance_km, HATA_MIN_KM, HATA_MAX_KM},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (!(rows[i].value >= rows[i].low && rows[i].value <= rows[i].high)) {
            char allowed[64];
            text_format(allowed, sizeof allowed, "%g to %g %s", rows[i].low, rows[i].high,
                        rows[i].unit);
            return fault_set(fault, STATUS_OUT_OF_RANGE, rows[i].what, allowed,
                             "%g %s is out of range", rows[i].value, rows[i].unit);
        }
    }
    return STATUS_OK;
}

static double distance_exponent(const struct path *path)
{
    if (path->distance_km <= 20.0) {
        return 1.0;
    }
    double h1 = path->transmit_height_m;
    double height = h1 / sqrt(1.0 + 7e-6 * h1 * h1);
    return 1.0 + (0.14 + 1.87e-4 * path->center_mhz + 1.07e-3 * height) *
                     pow(log10(path->distance_km / 20.0), 0.8);
}

static double surroundings_gain_db(enum surroundings surroundings, double mhz)
{
    double log_f = log10(mhz), log_28 = log10(mhz / 28.0);
    const double gains_db[] = {
        [SURROUNDINGS_OPEN] = 4.78 * log_f * log_f - 18.33 * log_f + 40.94,
        [SURROUNDINGS_SUBURBAN] = 2.0 * log_28 * log_28 + 5.4,
        [SURROUNDINGS_URBAN] = 0.0,
        [SURROUNDINGS_DENSE] = 0.0,
    };
    return gains_db[surroundings];
}

double hata_field_dbuvm(const struct path *path, double erp_kw)
{
    double log_f = log10(path->center_mhz), log_h = log10(path->transmit_height_m);
    double receive_db = (1.1 * log_f - 0.7) * path->receive_height_m - (1.56 * log_f - 0.8);
    double slope_db = 44.9 - 6.55 * log_h;
    double field_dbuvm = 69.82 - 6.16 * log_f + 13.82 * log_h + receive_db -
                         slope_db * pow(log10(path->distance_km), distance_exponent(path));
    return db_from_ratio(erp_kw) + field_dbuvm +
           surroundings_gain_db(path->surroundings, path->center_mhz);
}
