#ifndef STUDY_PROOF_PROOF_H
#define STUDY_PROOF_PROOF_H

#include "scenario/scenario.h"
#include "simulation/chain/layers.h"
#include "simulation/interval.h"
#include "simulation/run.h"
#include "system/simulation.h"

/* Error rates of a scenario's mode by simulation, one SNR at a time. */

#define PROOF_SNR_MIN_DB (-30.0)
#define PROOF_SNR_MAX_DB 60.0
#define PROOF_CONFIDENCE 0.95

struct proof_choice {
    enum generation generation;
    enum chain_channel channel; /* of the first generation not CHANNEL_RAYLEIGH */
    enum ldpc_algorithm algorithm;
    int iterations;
    enum demapper_method demapper;
    int pipe;               /* of a system that has some, in the profile's order */
    enum other_layer other; /* what its receiver takes the layer above a core for */
};

/* Second generation, white noise, sum-product with 50 iterations, exact demapping: the reference.
 */
struct proof_choice proof_choice_default(void);

/* "awgn" "rayleigh" "profile"; "sum-product" "box-plus" "min-sum"; "exact" "max-log". */
const char *proof_channel_name(enum chain_channel channel);
int proof_channel_from_name(const char *name); /* -1 where no name fits */
int proof_decoder_from_name(const char *name);
int proof_demapper_from_name(const char *name);
int proof_other_layer_from_name(const char *name);
/* The pipe of that name; -1: there is none. */
int proof_pipe_from_name(const struct scenario *scenario, const char *name);

/* How what is chosen is simulated, and what is told of it: the system's row. */
const struct system_simulation *proof_simulation(const struct scenario *scenario,
                                                 const struct proof_choice *choice);

/* What the row is asked; and the signal that is simulated, of a system with pipes the chosen one's.
 */
struct simulation_choice proof_asked(const struct proof_choice *choice);
enum status proof_receive(const struct scenario *scenario, const struct proof_choice *choice,
                          struct reception *reception, struct fault *fault);

/* The decoder in use, "Viterbi"; and whether it could be another, as the choice says. */
const char *proof_decoder_used(const struct scenario *scenario, const struct proof_choice *choice);
bool proof_has_decoders(const struct scenario *scenario, const struct proof_choice *choice);

/* STATUS_ILLEGAL with a fault naming the option, for what cannot be simulated. */
enum status proof_check(const struct scenario *scenario, const struct proof_choice *choice,
                        struct fault *fault);

/* What is simulated, in words: "OFDM 64800 256QAM 10/15 BCH, sum-product 50, awgn". */
void proof_describe(const struct scenario *scenario, const struct proof_choice *choice,
                    char *buffer, size_t size);

/* The same for runs whose counts may be added, and only for them: the words and, for the profile's
 * echoes, a digest of all that enters the channel: "..., profile with 1 echo, 16K GI5_1024 SP12_2,
 * channel 9f86d081". Fails where the mode has no frame. */
#define PROOF_CHANNEL_MARK ", channel "
enum status proof_identify(const struct scenario *scenario, const struct proof_choice *choice,
                           char *buffer, size_t size, struct fault *fault);

/* What counts as noise with the profile's echoes, a sentence; "" where there is nothing to say. */
const char *proof_echoes_note(const struct scenario *scenario, const struct proof_choice *choice);

/* Where the fall of the error rate is expected: the ideal SNR in the channel (for the profile's
 * echoes raised by what they cost); 14.9 dB for the first generation, with echoes what an ideal
 * equaliser needs for that. */
enum status proof_expected_snr_db(const struct scenario *scenario,
                                  const struct proof_choice *choice, double *snr_db,
                                  struct fault *fault);

/* Simulates one SNR: total received power over noise power; for the first generation the pilot
 * counts as signal. As run_execute otherwise; the place of a fault is the option or key. */
enum status proof_run(const struct scenario *scenario, const struct proof_choice *choice,
                      double snr_db, const struct run_limits *limits, struct run_watch *watch,
                      struct run_counts *counts, struct fault *fault);

/* The 95 % interval of the frame (or segment) error rate. */
struct interval proof_interval(const struct run_counts *counts);

#endif
