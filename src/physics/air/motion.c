/* Doppler of a moving reflector: its speed v shortens the path to it and the path from it at once,
 * so an echo off it is shifted by up to 2 v f / c. Worked number: a person at 5 km/h on 195 MHz: 2
 * x 1.389 m/s x 195 MHz / c = 1.81 Hz. */
#include "physics/air/motion.h"

#include "base/units.h"

double reflector_doppler_hz(double speed_kmh, double center_mhz)
{
    return 2.0 * doppler_from_kmh(speed_kmh, center_mhz * 1e6);
}

double reflector_speed_kmh(double doppler_hz, double center_mhz)
{
    return kmh_from_doppler(doppler_hz, center_mhz * 1e6) / 2.0;
}

static const struct reflector_row rows[] = {
    {"foliage", 4.0, "branches that sway at about 1 m/s in a fresh wind (4 km/h)"},
    {"hand", 7.0, "passes the antenna at about 2 m/s (7 km/h)"},
    {"person", 5.0, "walks through the room (5 km/h)"},
    {"car", 50.0, "in town, straight along the path (50 km/h)"},
    {"aircraft", 280.0, "an airliner on approach, straight along the path (280 km/h)"},
};

size_t reflector_count(void)
{
    return sizeof rows / sizeof rows[0];
}

const struct reflector_row *reflector_row(size_t i)
{
    return &rows[i];
}
