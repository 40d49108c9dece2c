/* Doppler of a moving reflector: its speed v shortens the path to it and the path from it at once,
 * so an echo off it is shifted by up to 2 v f / c. Worked number: a person at 5 km/h on 195 MHz: 2
 * x 1.389 m/s x 195 MHz / c = 1.81 Hz. */
#include "physics/motion.h"

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
    {"foliage", 4.0, "branches that sway by about 1 m/s in a fresh wind"},
    {"hand", 7.0, "a hand that passes the antenna at about 2 m/s"},
    {"person", 5.0, "someone who walks through the room"},
    {"car", 50.0, "a car in town, straight along the path"},
    {"aircraft", 280.0, "an airliner on approach, straight along the path"},
};

size_t reflector_count(void)
{
    return sizeof rows / sizeof rows[0];
}

const struct reflector_row *reflector_row(size_t i)
{
    return &rows[i];
}
