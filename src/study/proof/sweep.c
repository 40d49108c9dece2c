/* Plans the SNRs of an error-rate curve and the rounds in which they are simulated, and reads
 * its threshold off. */
#include "study/proof/sweep.h"

#include <math.h>

#include "simulation/waterfall.h"

#define NEAR 2.0 /* times the wanted rate: a rate that is about it */

enum status proof_sweep_plan(const struct scenario *scenario, const struct proof_choice *choice,
                             struct proof_sweep *sweep, struct fault *fault)
{
    const struct system_simulation *simulation = proof_simulation(scenario, choice);
    *sweep = (struct proof_sweep){
        .choice = *choice, .error_rate = simulation->error_rate, .efforts = simulation->efforts};
    enum status status = proof_check(scenario, choice, fault);
    if (status == STATUS_OK) {
        status = proof_expected_snr_db(scenario, choice, &sweep->expected_db, fault);
    }
    if (status != STATUS_OK) {
        return status;
    }
    struct simulation_choice asked = proof_asked(choice);
    struct simulation_spacing spacing = simulation->spacing(scenario, &asked);
    long middle = lround(sweep->expected_db / spacing.step_db);
    for (int i = -spacing.below; i <= spacing.above; i++) {
        double snr_db = round((double)(middle + i) * spacing.step_db * 1e3) / 1e3;
        if (snr_db <= PROOF_SNR_MAX_DB) { /* and none is expected near the least */
            sweep->points[sweep->count++].snr_db = snr_db;
        }
    }
    if (sweep->count == 0) {
        return fault_set(fault, STATUS_OUT_OF_RANGE, "--snr", "-30 to 60 dB",
                         "it is expected to fall at %.1f dB", sweep->expected_db);
    }
    return STATUS_OK;
}

static bool is_enough(const struct run_counts *counts, const struct simulation_effort *effort)
{
    return counts->frames >= effort->frames || counts->frame_errors >= effort->errors;
}

bool proof_sweep_next(struct proof_sweep *sweep, int threads, struct proof_step *step)
{
    for (int round = sweep->round; round < PROOF_SWEEP_ROUNDS; round++) {
        sweep->round = round;
        const struct simulation_effort *effort = &sweep->efforts[round];
        for (int i = 0; i < sweep->count; i++) {
            const struct proof_point *point = &sweep->points[i];
            if (!is_enough(&point->counts, effort)) {
                *step = (struct proof_step){.point = i,
                                            .round = round,
                                            .snr_db = point->snr_db,
                                            .limits = {.frames = effort->frames,
                                                       .errors = effort->errors,
                                                       .seed = PROOF_SWEEP_SEED,
                                                       .threads = threads,
                                                       .part = 1,
                                                       .parts = 1}};
                return true;
            }
            if (point->counts.frame_errors == 0) { /* at higher SNR even fewer are to be seen */
                break;
            }
        }
    }
    return false;
}

void proof_sweep_take(struct proof_sweep *sweep, int point, const struct run_counts *counts)
{
    if (counts->frames > sweep->points[point].counts.frames) {
        sweep->points[point].counts = *counts;
    }
}

/* Whether a point tells about the wanted rate itself: errors were counted near it or below, or so
 * many words were right that the rate is surely below. */
static bool reaches(const struct run_counts *counts, double error_rate)
{
    bool near = counts->frame_errors > 0 && run_frame_error_rate(counts) <= NEAR * error_rate;
    return near || (counts->frames > 0 && proof_interval(counts).high <= error_rate);
}

bool proof_sweep_threshold(const struct proof_sweep *sweep, struct proof_threshold *threshold)
{
    struct waterfall_point used[PROOF_SWEEP_POINTS_MAX];
    struct waterfall fit;
    bool reached = false;
    int count = 0;
    for (int i = 0; i < sweep->count; i++) {
        const struct run_counts *counts = &sweep->points[i].counts;
        bool down_the_fall = (double)counts->frame_errors <= 0.6 * (double)counts->frames;
        if (counts->frames > 0 && down_the_fall) {
            used[count++] = (struct waterfall_point){sweep->points[i].snr_db, counts->frames,
                                                     counts->frame_errors};
        }
        reached = reached || reaches(counts, sweep->error_rate);
    }
    if (waterfall_fit(used, count, &fit) != STATUS_OK) {
        return false;
    }
    *threshold = (struct proof_threshold){.snr_db = waterfall_snr_db(&fit, sweep->error_rate),
                                          .error_db = waterfall_error_db(&fit, sweep->error_rate),
                                          .extrapolated = !reached};
    return threshold->error_db <= PROOF_SWEEP_TELLS_DB;
}
