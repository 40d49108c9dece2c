#ifndef PHYSICS_AIR_MOTION_H
#define PHYSICS_AIR_MOTION_H

#include <stddef.h>

/* Doppler of things that move near the path. */

/* An object that moves straight between transmitter and receiver changes both parts of the path:
 * up to 2 v f / c. */
double reflector_doppler_hz(double speed_kmh, double center_mhz);
double reflector_speed_kmh(double doppler_hz, double center_mhz);

/* Ready values of the project's own: speeds that such reflectors plausibly reach. */
struct reflector_row {
    const char *name;
    double speed_kmh;
    const char *assumes;
};
size_t reflector_count(void);
const struct reflector_row *reflector_row(size_t i);

#endif
