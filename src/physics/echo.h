#ifndef PHYSICS_ECHO_H
#define PHYSICS_ECHO_H

/* An echo relative to the main signal, which is implied at 0 us and 0 dB. */
struct echo {
    double delay_us;   /* negative: ahead of the main signal */
    double level_db;   /* power over the main signal's */
    double phase_deg;  /* at the carrier frequency (channel centre for OFDM, pilot for 8-VSB) */
    double doppler_hz; /* shift against the main signal */
};

#define ECHOES_MAX 256
#define ECHO_DELAY_MAX_US 10000.0
#define ECHO_LEVEL_MIN_DB (-80.0)
#define ECHO_LEVEL_MAX_DB 20.0

#endif
