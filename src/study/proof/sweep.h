#ifndef STUDY_PROOF_SWEEP_H
#define STUDY_PROOF_SWEEP_H

#include "study/proof/proof.h"

/* An error-rate curve that grows: SNRs around the expected fall, simulated in rounds of ten times
 * the effort each, from low SNR to high, in each round as far as errors are still seen. A run of a
 * later round begins where all runs begin, so that each point stays what `guardspan simulate` gives
 * for its SNR, frames and seed. */

#define PROOF_SWEEP_POINTS_MAX 16
#define PROOF_SWEEP_ROUNDS SIMULATION_ROUNDS
#define PROOF_SWEEP_SEED 1

struct proof_point {
    double snr_db;
    struct run_counts counts; /* all 0: nothing yet */
};

struct proof_sweep {
    struct proof_choice choice;
    double error_rate;  /* that tells the threshold: 1e-4, of segments 1.93e-4 */
    double expected_db; /* where the curve is expected to reach it */
    int round;          /* the one that was begun last */
    int count;          /* 0: not planned */
    const struct simulation_effort *efforts;           /* of each round */
    struct proof_point points[PROOF_SWEEP_POINTS_MAX]; /* rising SNR */
};

/* Points around the expected fall. As proof_expected_snr_db. */
enum status proof_sweep_plan(const struct scenario *scenario, const struct proof_choice *choice,
                             struct proof_sweep *sweep, struct fault *fault);

/* What to run next. */
struct proof_step {
    int point, round; /* round 0..PROOF_SWEEP_ROUNDS - 1 */
    double snr_db;
    struct run_limits limits;
};

/* False when nothing is left to do. */
bool proof_sweep_next(struct proof_sweep *sweep, int threads, struct proof_step *step);

/* Takes the counts of a run over, also of one that was stopped: more frames replace fewer. */
void proof_sweep_take(struct proof_sweep *sweep, int point, const struct run_counts *counts);

/* Where the curve reaches its error rate, by a fit of the points down the fall
 * (simulation/waterfall.h; 8-VSB's segment errors fall like that too). */
struct proof_threshold {
    double snr_db;
    double error_db;   /* standard error, from the number of counted errors alone */
    bool extrapolated; /* no point reaches down to about that rate */
};

/* False while the points do not tell it within PROOF_SWEEP_TELLS_DB. */
#define PROOF_SWEEP_TELLS_DB 0.1
bool proof_sweep_threshold(const struct proof_sweep *sweep, struct proof_threshold *threshold);

#endif
