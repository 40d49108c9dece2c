/* Holds the mean-information prediction against simulation: for each profile's echoes and each of
 * five modes, the total SNR that the mode needs as predicted (from its simulated threshold in white
 * noise) and as simulated over the same carriers, both at a frame error rate of 1e-2.
 * `make prediction` runs it on the sets of reference; prints one line a pair and the largest
 * difference. Usage: prediction FRAMES PROFILE... */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "physics/information/required_snr.h"
#include "physics/ofdm/echo.h"
#include "profile/profile.h"
#include "simulation/waterfall.h"
#include "study/proof/proof.h"
#include "study/verdict/verdict.h"

#define FRAME_ERROR_RATE 1e-2
#define STEP_DB 0.1
#define POINTS_MAX 40

static const struct {
    enum constellation constellation;
    int rate_15ths;
} modes[] = {{QPSK, 6}, {QAM16, 9}, {QAM64, 10}, {QAM256, 9}, {QAM1024, 11}};
#define MODES (sizeof modes / sizeof modes[0])

struct search {
    const struct scenario *scenario;
    enum chain_channel channel;
    long frames;
    int count;
    struct waterfall_point points[POINTS_MAX];
};

static double run_point(struct search *search, double snr_db)
{
    struct proof_choice choice = proof_choice_default();
    choice.channel = search->channel;
    struct run_limits limits = {.frames = search->frames,
                                .seed = run_seed_of_snr(6, snr_db),
                                .threads = run_processors(),
                                .part = 1,
                                .parts = 1};
    struct run_counts counts;
    struct fault fault = {0};
    if (search->count == POINTS_MAX ||
        proof_run(search->scenario, &choice, snr_db, &limits, NULL, &counts, &fault) != STATUS_OK) {
        fprintf(stderr, "prediction: %s: %s\n", fault.place, fault.wrong);
        exit(1);
    }
    search->points[search->count++] =
        (struct waterfall_point){snr_db, counts.frames, counts.frame_errors};
    return (double)counts.frame_errors / (double)counts.frames;
}

/* Walks from a guess down until most frames fail and up until hardly any does; then two points
 * where they tell most. */
static double find_threshold(struct search *search, double guess_db, double *error_db)
{
    double start_db = round(guess_db / STEP_DB) * STEP_DB;
    double rate = run_point(search, start_db);
    for (double snr_db = start_db; rate < 0.9;) {
        rate = run_point(search, snr_db -= STEP_DB);
    }
    rate = (double)search->points[0].errors / (double)search->points[0].frames;
    for (double snr_db = start_db; rate > 0.003;) {
        rate = run_point(search, snr_db += STEP_DB);
    }
    struct waterfall fit;
    for (int i = 0; i < 3; i++) {
        if (waterfall_fit(search->points, search->count, &fit) != STATUS_OK) {
            *error_db = NAN;
            return NAN;
        }
        if (i < 2) {
            run_point(search, waterfall_snr_db(&fit, i == 0 ? 0.1 : 0.01));
        }
    }
    *error_db = waterfall_error_db(&fit, FRAME_ERROR_RATE);
    return waterfall_snr_db(&fit, FRAME_ERROR_RATE);
}

static double predict(const struct scenario *scenario, double threshold_db)
{
    static struct verdict verdict;
    const struct system *system = system_of(scenario, GENERATION_SECOND);
    double required_db;
    if (system->receive(scenario, &verdict.reception, NULL) != STATUS_OK ||
        conditions_make(scenario, GENERATION_SECOND, &verdict.conditions, NULL) != STATUS_OK) {
        return NAN;
    }
    struct ofdm_reception *ofdm = &verdict.reception.ofdm;
    verdict.reception.needed_db = ofdm->ideal_db = ofdm->needed_db = threshold_db;
    ofdm->span_ms = 0.0;
    return verdict_required_db(&verdict, &required_db, NULL) == STATUS_OK ? required_db : NAN;
}

static double compare(const char *name, const struct scenario *scenario, double awgn_db,
                      double awgn_error_db, long frames)
{
    struct search search = {.scenario = scenario, .channel = CHANNEL_CARRIERS, .frames = frames};
    double predicted_db = predict(scenario, awgn_db), error_db;
    double simulated_db = find_threshold(&search, predicted_db, &error_db);
    double difference_db = predicted_db - simulated_db;
    printf("%-28s %8s %2d/15  awgn %6.2f  predicted %6.2f  simulated %6.2f  difference %+.2f "
           "+- %.2f dB\n",
           name, constellation_name(scenario->transmission.plps[0].code.constellation),
           scenario->transmission.plps[0].code.rate_15ths, awgn_db, predicted_db, simulated_db,
           difference_db, hypot(error_db, awgn_error_db));
    fflush(stdout);
    return fabs(difference_db);
}

static void set_mode(struct scenario *scenario, size_t i)
{
    scenario->transmission.plps[0].code.length = LENGTH_64800;
    scenario->transmission.plps[0].code.constellation = modes[i].constellation;
    scenario->transmission.plps[0].code.rate_15ths = modes[i].rate_15ths;
}

int main(int argc, char **argv)
{
    int frames;
    if (argc < 3 || !number_read_int(argv[1], &frames) || frames < 10) {
        fprintf(stderr, "usage: prediction FRAMES PROFILE...\n");
        return 2;
    }
    double worst_db = 0.0;
    for (size_t m = 0; m < MODES; m++) {
        struct scenario plain = scenario_default();
        set_mode(&plain, m);
        struct search search = {.scenario = &plain, .channel = CHANNEL_AWGN, .frames = frames};
        double awgn_error_db;
        double guess_db =
            ideal_snr_db(LENGTH_64800, modes[m].constellation, modes[m].rate_15ths, FADING_AWGN);
        double awgn_db = find_threshold(&search, guess_db, &awgn_error_db);
        for (int i = 2; i < argc; i++) {
            struct profile profile = {0};
            struct fault fault = {0};
            if (profile_read_file(argv[i], &profile, &fault) != STATUS_OK) {
                fprintf(stderr, "prediction: %s: %s: %s\n", argv[i], fault.place, fault.wrong);
                return 1;
            }
            set_mode(&profile.scenario, m);
            const char *name = strrchr(argv[i], '/');
            worst_db = fmax(worst_db, compare(name ? name + 1 : argv[i], &profile.scenario, awgn_db,
                                              awgn_error_db, frames));
            profile_free(&profile);
        }
    }
    printf("largest difference %.2f dB\n", worst_db);
    return 0;
}
