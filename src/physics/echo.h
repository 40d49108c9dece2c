#ifndef PHYSICS_ECHO_H
#define PHYSICS_ECHO_H

#include "base/status.h"

/* An echo relative to the main signal, which is implied at 0 us and 0 dB. */
struct echo {
    double delay_us;   /* negative: ahead of the main signal */
    double level_db;   /* power over the main signal's */
    double phase_deg;  /* at the centre of the RF channel; NAN: any */
    double doppler_hz; /* shift against the main signal */
};

#define ECHOES_MAX 256
#define ECHO_DELAY_MAX_US 10000.0
#define ECHO_LEVEL_MIN_DB (-80.0)
#define ECHO_LEVEL_MAX_DB 20.0

/* Finite numbers, count 0..ECHOES_MAX, delay and level within physics/echo.h's limits; names the
 * bad one ("echo 3") in `fault`, which may be NULL. */
enum status echoes_check(const struct echo *echoes, int count, struct fault *fault);

#endif
