#ifndef SCENARIO_SCENARIO_H
#define SCENARIO_SCENARIO_H

#include "physics/echo.h"
#include "physics/receiver.h"
#include "standard/atsc3/transmission.h"

/* All that a user can say: the input of every study. A profile is its written form. */

#define NAME_MAX_BYTES 48
#define STATIONS_MAX 8

/* What a scenario may hold; profiles and settings use the same ranges. */
#define CENTER_MIN_MHZ 30.0
#define CENTER_MAX_MHZ 1000.0
#define THRESHOLD_MIN_DB 0.0
#define THRESHOLD_MAX_DB 40.0
#define EQUALISER_MAX_US 100.0
#define TRACKING_MAX_HZ 1000.0
#define ADAPTATION_STEP_MAX 1.0
#define IMPLEMENTATION_LOSS_MAX_DB 10.0
#define NOISE_FIGURE_MAX_DB 30.0
#define ANTENNA_MIN_DBD (-40.0)
#define ANTENNA_MAX_DBD 40.0
#define LINE_LOSS_MAX_DB 60.0
#define SNR_MIN_DB (-20.0)
#define SNR_MAX_DB 80.0
#define LEVEL_MIN_DBM (-140.0)
#define LEVEL_MAX_DBM 20.0
#define SPEED_MAX_KMH 1000.0
#define ERP_MIN_KW 1e-6
#define ERP_MAX_KW 10000.0
#define HEIGHT_MIN_M 1.0
#define HEIGHT_MAX_M 3000.0
#define DISTANCE_MIN_KM 0.01
#define DISTANCE_MAX_KM 1000.0
#define RECEIVE_HEIGHT_MAX_M 500.0
#define ENTRY_LOSS_MAX_DB 80.0
#define LOCATION_MIN_PERCENT 50.0
#define LOCATION_MAX_PERCENT 99.9
#define PHASE_MAX_DEG 360.0
#define ECHO_DOPPLER_MAX_HZ 1000.0

struct site {
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
    double height_m;        /* above average terrain */
    double distance_km;
};

enum building { BUILDING_NONE, BUILDING_TRADITIONAL, BUILDING_EFFICIENT, BUILDING_COUNT };
enum field_method {
    METHOD_AUTO,
    METHOD_FREE_SPACE,
    METHOD_SMOOTH_EARTH,
    METHOD_HATA,
    METHOD_COUNT
};

/* Names as in profiles: "first"; "none" "traditional" "efficient"; "auto" "free-space"
 * "smooth-earth" "hata"; "none" "rural" "residential" "city". */
const char *generation_name(enum generation generation);
const char *building_name(enum building building);
const char *field_method_name(enum field_method method);
const char *man_made_noise_name(enum man_made_noise kind);

struct place {
    double receive_height_m;
    enum building building;
    double entry_loss_db;    /* NAN: by the building's kind */
    double location_percent; /* 50..99.9 */
    enum field_method method;
};

struct scenario {
    struct site site;
    struct transmission transmission;
    struct first_receiver first;
    struct receiver receiver;
    int station_count;
    struct station stations[STATIONS_MAX];
    struct place place;
    int echo_count;
    struct echo echoes[ECHOES_MAX];
    char echo_names[ECHOES_MAX][NAME_MAX_BYTES];
};

/* The defaults of the profile format: channel 10, the default mode, a published 8-VSB receiver's
 * equaliser, a 7 dB noise figure, nothing measured, no stations, no echoes. */
struct scenario scenario_default(void);

/* A station or an echo of which nothing is said yet: what must be said is NAN or channel 0, and
 * scenario_check asks for it. */
struct station station_unset(const char *name);
struct echo echo_unset(void);

/* The site's channel and centre frequency belong together, and so do the site's bandwidth and the
 * mode's: change them by these. A centre frequency leaves the channel at 0. */
void scenario_set_channel(struct scenario *scenario, int rf_channel);
void scenario_set_center(struct scenario *scenario, double center_mhz);
void scenario_set_bandwidth(struct scenario *scenario, int bandwidth_mhz);

/* The mode is legal, numbers are finite and in range, echoes and stations make sense. */
enum status scenario_check(const struct scenario *scenario, struct fault *fault);

#endif
