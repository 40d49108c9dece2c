#ifndef SYSTEM_SIMULATION_H
#define SYSTEM_SIMULATION_H

#include <stdbool.h>

#include "base/text.h"
#include "simulation/chain/chain.h"
#include "simulation/run.h"
#include "system/system.h"

/* How a system is simulated: the part of its row that proof asks. */

/* What can be chosen of a simulation; a system takes of it what it has. */
struct simulation_choice {
    enum chain_channel channel;
    enum ldpc_algorithm algorithm;
    int iterations;
    enum demapper_method demapper;
};

/* One question: the scenario, and the channel of its place where the choice is CHANNEL_CARRIERS. */
struct simulation_case {
    const struct scenario *scenario;
    struct simulation_choice choice;
    const struct reception *reception;
    const struct channel *channel;
};

struct system_simulation {
    bool channels[CHANNEL_COUNT]; /* that it can be sent through */
    const char *only;             /* a sentence on that, where some are missing */
    const char *frame;            /* what is counted: "frame", "segment" */
    const char *note;             /* of the profile's channel, a short sentence; "" for none */
    /* Appends what is simulated, but for name and channel: " 64800 256QAM 10/15 BCH, sum-product
     * 50"; and what the profile's channel meets: ", 16K GI5_1024 SP12_2". */
    void (*describe)(const struct scenario *scenario, const struct simulation_choice *choice,
                     struct text *out);
    void (*describe_channel)(const struct scenario *scenario, struct text *out);
    /* Numbers of the receiver that bear on the profile's channel, for the digest of a run. */
    int (*enters)(const struct reception *reception, const struct scenario *scenario,
                  double numbers[8]);
    /* Where the error rate is expected to fall: an SNR in white noise or a Rayleigh channel, and
     * what the profile's channel asks for. STATUS_NO_SOLUTION, STATUS_NO_MEMORY. */
    double (*expected_db)(const struct scenario *scenario, enum chain_channel channel);
    enum status (*expected_in)(const struct simulation_case *asked, double *snr_db);
    /* The counts of one SNR; STATUS_STOPPED when the watch says so. */
    enum status (*run)(const struct simulation_case *asked, double snr_db,
                       const struct run_limits *limits, struct run_watch *watch,
                       struct run_counts *counts);
};

extern const struct system_simulation simulation_vsb;
extern const struct system_simulation simulation_atsc3;

#endif
