#ifndef SYSTEM_SIMULATION_H
#define SYSTEM_SIMULATION_H

#include <stdbool.h>

#include "base/text.h"
#include "simulation/chain/layers.h"
#include "simulation/run.h"
#include "system/system.h"

/* How a system is simulated: the part of its row that proof asks. */

/* What can be chosen of a simulation; a system takes of it what it has. */
struct simulation_choice {
    enum chain_channel channel;
    enum ldpc_algorithm algorithm;
    int iterations;
    enum demapper_method demapper;
    int pipe;               /* of a system that has some, in the profile's order */
    enum other_layer other; /* of a core under another layer */
};

/* One question: the scenario, and the channel of its place where the choice is CHANNEL_CARRIERS. */
struct simulation_case {
    const struct scenario *scenario;
    struct simulation_choice choice;
    const struct reception *reception;
    const struct channel *channel;
};

/* How far a growing curve goes at one SNR in each of its rounds. */
#define SIMULATION_ROUNDS 5
struct simulation_effort {
    long frames, errors; /* whichever comes first */
};

/* The points of a curve: a step and how many of them lie below and above the expected fall. */
struct simulation_spacing {
    double step_db;
    int below, above;
};

/* An SNR known beforehand, to hold a curve against. */
enum simulation_mark_kind { MARK_LIMIT, MARK_IDEAL, MARK_PUBLISHED };
struct simulation_mark {
    enum simulation_mark_kind kind;
    double snr_db;
    const char *name;   /* in a picture: "ideal", "A/327" */
    const char *source; /* of MARK_PUBLISHED: document and table */
};
#define SIMULATION_MARKS_MAX 3
#define SIMULATION_FIGURES_MAX 16

/* What is counted. */
struct simulation_count {
    const char *frames; /* "code words", "segments" */
    const char *rate;   /* whose error rate: "frame" */
    const char *unit;   /* what is always simulated whole: "code word", "field" */
    long unit_frames;   /* so many of those counted make one */
    long most;          /* as many are simulated where nobody says how many */
};

struct system_simulation {
    bool channels[CHANNEL_COUNT]; /* that it can be sent through */
    const char *only;             /* a sentence on that, where some are missing */
    struct simulation_count count;
    const char *decoder; /* the only one that it has: "Viterbi"; NULL: as the choice says */
    const char *snr;     /* how the trade calls its SNR: "S/N" */
    const char *note;    /* of the profile's channel, a short sentence; "" for none */
    const char *rays;    /* the same at length */
    /* Names of what a row of results shows (command/simulate/write.c), what is counted and how much
     * of it was wrong second and third; after NULL what programs need besides to add rows. */
    const char *figures[SIMULATION_FIGURES_MAX];
    /* Sentences on what the results assume, a line each. `scenario` NULL: not known. */
    void (*notes)(const struct scenario *scenario, bool with_rays, struct text *out);
    const char *needed[CHANNEL_COUNT]; /* figure of the system that tells the SNR it comes to */
    double error_rate;                 /* that tells the threshold */
    struct simulation_effort efforts[SIMULATION_ROUNDS];
    struct simulation_spacing (*spacing)(const struct scenario *scenario,
                                         const struct simulation_choice *choice);
    /* What is known of white noise or a Rayleigh channel; returns how many. */
    int (*marks)(const struct scenario *scenario, const struct simulation_choice *choice,
                 struct simulation_mark marks[SIMULATION_MARKS_MAX]);
    /* Appends what is simulated, but for name and channel: " 64800 256QAM 10/15 BCH, sum-product
     * 50"; and what the profile's channel meets: ", 16K GI5_1024 SP12_2". */
    void (*describe)(const struct scenario *scenario, const struct simulation_choice *choice,
                     struct text *out);
    void (*describe_channel)(const struct scenario *scenario,
                             const struct simulation_choice *choice, struct text *out);
    /* Numbers of the receiver that bear on the profile's channel, for the digest of a run. */
    int (*enters)(const struct reception *reception, const struct scenario *scenario,
                  const struct simulation_choice *choice, double numbers[8]);
    /* Where the error rate is expected to fall: an SNR in white noise or a Rayleigh channel, and
     * what the profile's channel asks for. STATUS_NO_SOLUTION, STATUS_NO_MEMORY. */
    double (*expected_db)(const struct scenario *scenario, const struct simulation_choice *choice);
    enum status (*expected_in)(const struct simulation_case *asked, double *snr_db);
    /* The counts of one SNR; STATUS_STOPPED when the watch says so. */
    enum status (*run)(const struct simulation_case *asked, double snr_db,
                       const struct run_limits *limits, struct run_watch *watch,
                       struct run_counts *counts);
};

extern const struct system_simulation simulation_vsb;
extern const struct system_simulation simulation_atsc3;
extern const struct system_simulation simulation_dvbt;
extern const struct system_simulation simulation_dvbt2;

#endif
