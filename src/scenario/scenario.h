#ifndef SCENARIO_SCENARIO_H
#define SCENARIO_SCENARIO_H

#include "physics/air/propagation.h"
#include "physics/echo.h"
#include "physics/receiver.h"
#include "standard/atsc3/transmission.h"
#include "standard/dvbt/signal.h"
#include "standard/dvbt2/frame.h"
#include "standard/rf.h"

/* All that a user can say: the input of every study. A profile is its written form. */

#define STATIONS_MAX 8

/* Ends of ranges that more than the fields' table (field.h) goes by. */
#define TRACKING_MAX_HZ 1000.0
#define HEIGHT_MIN_M 1.0
#define DISTANCE_MIN_KM 0.01
#define DISTANCE_MAX_KM 1000.0
#define LOCATION_MAX_PERCENT 99.9
#define STATIC_DELAY_MAX_US 2000.0
#define PATH_MAX_BYTES 128 /* of a file that a profile names, its end included */

/* Which two generations are compared; the rest hangs on it: the plan that channels are of, and
 * which sections say what is sent. */
enum pair { PAIR_ATSC, PAIR_DVB, PAIR_COUNT };
const char *pair_name(enum pair pair); /* "ATSC" */
enum channel_plan pair_plan(enum pair pair);

struct site {
    enum pair pair;
    int rf_channel;    /* 0: none, center_mhz counts */
    double center_mhz; /* always filled in */
    int bandwidth_mhz; /* the same as mode.bandwidth_mhz; scenario_set_bandwidth keeps both */
};

enum generation { GENERATION_FIRST, GENERATION_SECOND, GENERATION_COUNT };

struct station {
    char name[NAME_MAX_BYTES];
    enum generation generation;
    int rf_channel;
    double erp_kw;          /* horizontal, over a half-wave dipole; NAN: not yet said */
    double erp_vertical_kw; /* 0: none */
    double height_m;        /* above average terrain; where terrain is known above its ground */
    double distance_km;
    double bearing_deg;           /* from the place, clockwise from north; NAN: not said */
    char network[NAME_MAX_BYTES]; /* transmitters of one single-frequency network share it; "": none
                                   */
    double delay_us;              /* static, of the transmitter in its network */
    char terrain_file[PATH_MAX_BYTES]; /* "": none */
    char terrain_read[PATH_MAX_BYTES]; /* which of them `terrain` holds (profile/terrain.h) */
    struct terrain terrain;            /* from the station to the place */
    enum channel_plan plan;            /* of its channel: the pair's */
};

enum building { BUILDING_NONE, BUILDING_TRADITIONAL, BUILDING_EFFICIENT, BUILDING_COUNT };
enum field_method {
    METHOD_AUTO,
    METHOD_P1546,
    METHOD_FCC,
    METHOD_FREE_SPACE,
    METHOD_SMOOTH_EARTH,
    METHOD_HATA,
    METHOD_COUNT
};

/* Names as in profiles: "first"; "none" "traditional" "efficient"; "auto" "p1546" "fcc"
 * "free-space" "smooth-earth" "hata"; "none" "rural" "residential" "city"; "open" "suburban"
 * "urban" "dense". */
const char *generation_name(enum generation generation);
const char *building_name(enum building building);
const char *field_method_name(enum field_method method);
const char *man_made_noise_name(enum man_made_noise kind);
const char *use_name(enum use use);
const char *surroundings_name(enum surroundings surroundings);

struct place {
    double receive_height_m;
    enum building building;
    double entry_loss_db;    /* NAN: by the building's kind */
    double location_percent; /* 50..99.9 */
    double time_percent;     /* of the time that the field is exceeded; what the method knows */
    enum field_method method;
    enum surroundings surroundings; /* of the receiving antenna */
    double bearing_deg;             /* where it points; NAN: it hears alike all round */
    double front_to_back_db;        /* NAN: the curve of ITU-R BT.419 */
};

/* What a service of the channel asks for: study/divide. */
#define SERVICES_MAX 4
enum service_channel { SERVICE_IN_NOISE, SERVICE_IN_RAYLEIGH, SERVICE_CHANNEL_COUNT };
const char *service_channel_name(enum service_channel channel); /* "noise", "rayleigh" */

struct service {
    char name[NAME_MAX_BYTES];
    double rate_mbps; /* net; NAN: whatever the others leave */
    double snr_db;    /* at which it must work; NAN: not yet said */
    double speed_kmh;
    double echo_us;
    enum service_channel channel;
};

struct scenario {
    unsigned given; /* keys that a use leaves alone: use.h */
    struct site site;
    struct transmission transmission;
    struct dvbt dvbt;
    struct dvbt2 dvbt2;
    int service_count;
    struct service services[SERVICES_MAX];
    struct first_receiver first;
    struct receiver receiver;
    int station_count;
    struct station stations[STATIONS_MAX];
    struct place place;
    int echo_count;
    struct echo echoes[ECHOES_MAX];
    char echo_names[ECHOES_MAX][NAME_MAX_BYTES];
};

/* The defaults of the profile format, as the fields' table has them: no stations, no echoes. */
struct scenario scenario_default(void);
/* The same for a pair, with what it brings: its channel plan's default. */
struct scenario scenario_default_of(enum pair pair);
struct transmission transmission_default(void);

/* Leaves of the transmission what [mode] can say: one subframe with one PLP, the first ones. */
void scenario_keep_mode(struct scenario *scenario);

/* Takes over what another one says of the second generation's signal, of either pair. */
void scenario_take_signal(struct scenario *scenario, const struct scenario *from);

/* To another pair: its default channel, and that one's width. What is of the other pair stays as it
 * is and counts no longer. */
void scenario_set_pair(struct scenario *scenario, enum pair pair);

/* The site's channel and centre frequency belong together, and so do the site's bandwidth and the
 * mode's: change them by these. A centre frequency leaves the channel at 0. */
void scenario_set_channel(struct scenario *scenario, int rf_channel);
void scenario_set_center(struct scenario *scenario, double center_mhz);
void scenario_set_bandwidth(struct scenario *scenario, int bandwidth_mhz);

/* "SECTION.KEY" = value, as for --set. Does not check the whole scenario; what fails leaves it as
 * it was. */
enum status scenario_set(struct scenario *scenario, const char *key, const char *value,
                         struct fault *fault);

/* A fault where the key, as scenario_set took it, is of another pair than the scenario's, and so
 * counts for nothing: it names the keys of that name that count, or else the pair's sections. */
enum status scenario_counts(const struct scenario *scenario, const char *key, struct fault *fault);

/* Moves to the nearest legal value what no longer goes with a value that was changed. */
void scenario_repair(struct scenario *scenario);

/* Every field is in its range, the mode is legal, stations and echoes lack nothing. */
enum status scenario_check(const struct scenario *scenario, struct fault *fault);

#endif
