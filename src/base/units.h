#ifndef BASE_UNITS_H
#define BASE_UNITS_H

#include <math.h>

/* Units and what relates them: decibels and ratios, delays and paths, Doppler and speed. */

#define PI 3.14159265358979323846

/* Exact by the definition of the metre (BIPM, The International System of Units). */
#define SPEED_OF_LIGHT_M_S 299792458.0

static inline double db_from_ratio(double power_ratio)
{
    return 10.0 * log10(power_ratio);
}

static inline double ratio_from_db(double db)
{
    return pow(10.0, db / 10.0);
}

/* A number that is shown with so many decimals: what rounds to zero has no sign. */
static inline double as_shown(double number, int decimals)
{
    return fabs(number) < 0.5 * pow(10.0, -decimals) ? 0.0 : number;
}

/* The length of a path that takes `us` microseconds, in kilometres. */
static inline double km_from_us(double us)
{
    return us * SPEED_OF_LIGHT_M_S * 1e-9;
}

static inline double us_from_km(double km)
{
    return km / (SPEED_OF_LIGHT_M_S * 1e-9);
}

/* The speed at which a path changes by one wavelength per Doppler cycle: v = c * fd / f. */
static inline double kmh_from_doppler(double doppler_hz, double carrier_hz)
{
    return SPEED_OF_LIGHT_M_S * doppler_hz / carrier_hz * 3.6;
}

static inline double doppler_from_kmh(double speed_kmh, double carrier_hz)
{
    return speed_kmh / 3.6 * carrier_hz / SPEED_OF_LIGHT_M_S;
}

#endif
