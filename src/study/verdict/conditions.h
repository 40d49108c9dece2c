#ifndef STUDY_VERDICT_CONDITIONS_H
#define STUDY_VERDICT_CONDITIONS_H

#include "physics/channel.h"
#include "scenario/scenario.h"
#include "study/place/link.h"

/* All that a scenario says of a place, joined: what every verdict is made from. */

enum snr_source {
    SNR_NONE,     /* nothing is said: no margin can be told */
    SNR_MEASURED, /* receiver.snr_db; interference is in it */
    SNR_LEVEL,    /* receiver.level_dbm less the receiver's noise */
    SNR_STATION,  /* predicted level of the first station of the generation, for the asked share of
                     locations, less the noise */
    SNR_SOURCE_COUNT
};
const char *snr_source_name(enum snr_source source); /* "measured" "level" "station" "none" */

/* Within these physics is asked; beyond them each dB of SNR is one of margin. */
#define SNR_LEAST_DB (-30.0)
#define SNR_MOST_DB 100.0

struct conditions {
    /* Total received power of all rays over noise and interference; NAN: not known. */
    double snr_db;
    enum snr_source source;
    double error_db;  /* to expect of a predicted level: a standard deviation; NAN: none is */
    double noise_dbm; /* of the receiver, on the channel in use */
    /* What interference takes of that in noise alone; 0: none is known of. */
    double interference_db;
    /* Of the level below overload, negative beyond it; NAN: no level is known. */
    double headroom_db;
    struct channel channel;  /* phases that nobody knows, and those of rays that move, are any; the
                                receiver's own motion is a spread until a position is drawn */
    double speed_kmh;        /* of the receiver */
    int positions;           /* how many are drawn where phases are any */
    double position_percent; /* of them must decode for it to work */
};

/* The conditions of one generation: the SNR of a predicted level is its own station's, and so is
 * the channel then. STATUS_OUT_OF_RANGE for echoes out of range. */
enum status conditions_make(const struct scenario *scenario, enum generation generation,
                            struct conditions *conditions, struct fault *fault);

/* The station whose network's rays a generation meets: its own first one or, where it has none, the
 * profile's first, so that both are compared in one channel; NULL: there are no stations. */
const struct station *conditions_station(const struct scenario *scenario,
                                         enum generation generation);

/* A ray's name: "main signal", an echo's, a transmitter's. */
const char *conditions_ray_name(const struct scenario *scenario, enum generation generation, int i);

/* The same of a station at the scenario's place, whatever was measured. */
enum status conditions_at(const struct scenario *scenario, const struct link *link,
                          struct conditions *conditions, struct fault *fault);

#endif
