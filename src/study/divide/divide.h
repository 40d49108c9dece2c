#ifndef STUDY_DIVIDE_DIVIDE_H
#define STUDY_DIVIDE_DIVIDE_H

#include "base/text.h"
#include "scenario/scenario.h"
#include "study/figure.h"
#include "system/space/space.h"

/* A channel divided among services: of four ways to divide it, two of which only a system with
 * subframes has, the best of each that is legal and
 * gives every service what it asks for. One service takes what is left over: the one that says so,
 * else the one that must work at the highest SNR; a division is better the more that is. */

enum division_kind {
    DIVISION_ONE,       /* one PLP for all */
    DIVISION_TIME,      /* a PLP each in one frame or subframe */
    DIVISION_SUBFRAMES, /* a subframe each, with a waveform of its own */
    DIVISION_LAYERS,    /* one core PLP, others over it or beside it */
    DIVISION_KIND_COUNT
};
const char *division_kind_name(enum division_kind kind); /* "one", "time", "subframes", "layers" */

struct division_service {
    char name[NAME_MAX_BYTES];
    const char *layer, *constellation, *rate;
    double length;
    double share;        /* of the payload cells of all subframes, layers counted each */
    double injection_db; /* NAN: not over another */
    double net_mbps;
    double receiver_snr_db; /* needed in its channel by a receiver */
    double margin_db;       /* the SNR it must work at, less that */
};

struct division {
    enum division_kind kind;
    /* All that is sent, legal, as a profile can say it: of the scenario's pair the one that counts,
     * for division_put. */
    struct transmission transmission;
    struct dvbt2 dvbt2;
    const struct system_space *space;
    int waveform_count;                                 /* in the order in which they are sent */
    uint8_t waveforms[SERVICES_MAX][SPACE_CHOICES_MAX]; /* choices of geometries */
    double spare_mbps; /* what is left over: beyond the rate the taker asked for */
    int count;
    struct division_service services[SERVICES_MAX];
};

struct divisions {
    int count;                                 /* of kinds that are possible */
    struct division best[DIVISION_KIND_COUNT]; /* best first */
};

/* The division in place of what the scenario sends. */
void division_put(const struct division *division, struct scenario *scenario);

/* All legal waveforms, boosts, reductions, codes, constellations and injection levels. What is no
 * choice of a division (outer code, interleaver, frame length, signalling) is the scenario's.
 * STATUS_ILLEGAL without a service, or with two that have the rest; STATUS_NO_SOLUTION where no
 * division serves all; STATUS_NO_MEMORY. */
enum status divide_make(const struct scenario *scenario, struct divisions *divisions,
                        struct fault *fault);

/* Over a part of the space, or with somebody who watches. */
struct divide_limits {
    const uint8_t (*only)[SPACE_CHOICES_MAX]; /* geometries; NULL: all that are taken */
    int only_count;
    bool (*takes_geometry)(const struct space_geometry *geometry); /* NULL: all */
    bool (*takes_code)(const struct space_code *code);             /* NULL: all */
    bool (*takes_level)(int level);                                /* of injection; NULL: all */
    bool (*goes_on)(void *watcher, double share); /* 0..1 done; false: STATUS_STOPPED */
    void *watcher;
};
enum status divide_make_limited(const struct scenario *scenario, const struct divide_limits *limits,
                                struct divisions *divisions, struct fault *fault);

/* In two steps, for who divides the same channel again with other rates: what services ask for but
 * their rates is fixed by the first one. The scenario and the limits must outlive the space. NULL
 * with a status and a fault where it cannot be had. */
struct divide_space;
struct divide_space *divide_space_new(const struct scenario *scenario,
                                      const struct divide_limits *limits, enum status *status,
                                      struct fault *fault);
enum status divide_solve(struct divide_space *space, struct divisions *divisions,
                         struct fault *fault);
void divide_space_free(struct divide_space *space);

/* ---- Words: words.c. */

/* "Layers: over a core, or beside". */
const char *division_kind_words(enum division_kind kind);
/* "16K GI4_768 SP16_4, boost 3, reduction 0"; of subframes each with its name and symbols. */
void division_words_waveform(const struct division *division, struct text *out);
/* The service that has what is left over; NULL: there is none. */
const char *division_taker(const struct scenario *scenario);

/* What is assumed, in sentences; and who has what is to spare. */
void division_assumes(const struct scenario *scenario, struct text *out);
extern const char division_spares[];

/* ---- Figures: figures.c. */
extern const struct figure_table division_figures;         /* of struct division */
extern const struct figure_table division_service_figures; /* of struct division_service */

#endif
