#ifndef STUDY_DIVIDE_SPACE_H
#define STUDY_DIVIDE_SPACE_H

#include <stdint.h>

#include "physics/ofdm/doppler.h"
#include "physics/ofdm/gain_spread.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/injection.h"
#include "study/divide/divide.h"

/* All that may be chosen for a division, with what follows from each choice alone. Private to
 * study/divide. */

/* How a code is sent: alone, as the core below a layer, or as the layer above. */
enum role { ROLE_ALONE, ROLE_CORE, ROLE_ABOVE, ROLE_KINDS };

struct divide_code {
    struct space_code own;
    double bits;                            /* net payload bits for each cell */
    double alone_db[SERVICE_CHANNEL_COUNT]; /* ideal SNR by channel */
};

struct divide_geometry {
    struct space_geometry own;
    double duration_ms; /* of a frame of one subframe, and its cells by kind of signalling */
    long cells[DIVISION_KIND_COUNT]; /* 0: no room */
    /* For subframes of their own: */
    struct cell_counts counts;
    double symbol_ms, preamble_ms;
    int preamble_payload; /* where its subframe is the first; -1: no room */
};

struct divide_space {
    const struct scenario *scenario;
    const struct divide_limits *limits_of_space;
    bool stopped;
    const struct system_space *row;
    struct scenario plain;     /* one pipe: what is no choice */
    struct transmission *base; /* of a system with subframes, plain's */
    int count;                 /* services */
    int taker;                 /* the service that has what is left over */
    double center_hz;
    size_t geometry_count;
    struct divide_geometry *geometries;
    int code_count;
    struct divide_code codes[SPACE_CODES_MAX]; /* most bits first */
    struct doppler_limits limits[SPACE_WAVEFORMS_MAX];
    /* Of the service's SNR less the receiver's own noise, which goes with the code. */
    double usable_db[SERVICES_MAX][SPACE_CODES_MAX];
    /* Ideal SNR of the whole signal; in fading where a service asks for it. */
    double ideal_db[ROLE_KINDS][INJECTION_LEVELS][SERVICE_CHANNEL_COUNT][SPACE_CODES_MAX];
    /* What motion asks for, made where it is asked; for want of memory nothing is fast enough. */
    bool no_memory;
    struct gain_rayleigh_needs *needs[ROLE_KINDS][INJECTION_LEVELS][SPACE_CODES_MAX];
    /* Least and most loss of a waveform's geometries, and whether a code is fast enough for a
     * service with all of them, with none, or with some (enum pace), made where it is asked. */
    double loss_db[SPACE_WAVEFORMS_MAX][2];
    uint8_t pace[SPACE_WAVEFORMS_MAX][SERVICES_MAX][ROLE_KINDS][INJECTION_LEVELS][SPACE_CODES_MAX];
};

/* Another geometry of a stage is looked at: tells the watcher, who may stop it. */
enum divide_stage {
    STAGE_GEOMETRIES,
    STAGE_KINDS, /* and so on, by enum division_kind */
    STAGE_COUNT = STAGE_KINDS + DIVISION_KIND_COUNT
};

/* Of a kind, all of whose geometries are looked at in turn. */
bool divide_next(struct divide_space *space, enum division_kind kind, size_t g);

/* What a real receiver of the geometry needs, of a code with which a service works. */
double divide_needed_db(const struct divide_space *space, const struct divide_geometry *geometry,
                        int code, enum role role, int level, enum service_channel channel);

/* The geometry bears the service's echo. */
bool divide_bears(const struct divide_space *space, const struct divide_geometry *geometry,
                  int service);
/* The service is received with that code in that role. */
bool divide_works(struct divide_space *space, const struct divide_geometry *geometry, int service,
                  int code, enum role role, int level);
/* The code with most bits with which it is; -1: none. */
int divide_best_code(struct divide_space *space, const struct divide_geometry *geometry,
                     int service, enum role role, int level);

/* Cells a frame of so many ms that the service's rate takes with a code; 0 where it has the rest.
 * Of a code that goes by whole blocks, whole blocks. */
long divide_cells(const struct divide_space *space, const struct divide_geometry *geometry,
                  int service, int code, double frame_ms);
/* What so many cells carry with a code. */
double divide_mbps(const struct divide_space *space, const struct divide_geometry *geometry,
                   long cells, int code);

/* ---- Of systems with subframes: tree.c. */

/* Bits of L1-Detail that suffice for the kind whatever the codes. */
int divide_detail_bits(const struct divide_space *space, enum division_kind kind);

/* What subframes and layers need to know of a geometry. */
void divide_fill_tree(const struct divide_space *space, struct divide_geometry *geometry);

/* A transmission with so many named PLPs and subframes of the kind, at the base's settings. */
void divide_template(const struct divide_space *space, enum division_kind kind,
                     struct transmission *transmission);

/* ---- The best of each kind: false where none serves all. */
bool divide_in_one(struct divide_space *space, struct division *division);
bool divide_in_time(struct divide_space *space, struct division *division);
bool divide_in_subframes(struct divide_space *space, struct division *division);
bool divide_in_layers(struct divide_space *space, struct division *division);

/* The one geometry of a division. */
void divide_keep_waveform(const struct divide_space *space, size_t geometry,
                          struct division *division);

/* What each service got. */
struct divide_choice {
    size_t geometry[SERVICES_MAX];
    int code[SERVICES_MAX];
    enum role role[SERVICES_MAX];
    int core, level; /* of layers: the service that is the core */
};

/* Fills the services and what is spare from what is sent, whose pipes stand in the services' order
 * (or are one); false where its frame finds no room, which is a fault of ours. */
bool divide_tell(struct divide_space *space, const struct divide_choice *choice,
                 struct division *division);

#endif
