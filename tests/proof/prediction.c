/* Measures what OFDM needs in many channels, for the prediction by mean information to be held
 * against it (tests/published/test_prediction_table.c): the total SNR at a frame error rate of 1e-2
 * of the simulation over the carriers of that channel. The channels are those of profiles, each
 * with the phases of its rays drawn anew for every position, or once as the profile gives them. A
 * line a channel and mode: profile and position, waveform, constellation and rate, the SNR in white
 * noise, that in the channel and the standard error of their difference, then delay, level, phase
 * and Doppler of each ray but the main one. `make prediction` runs it on all processors, three
 * minutes of 32; prediction-table.txt beside this file is what it printed. Channels that the mode
 * never comes through, as predicted, are left out. Usage:
 *
 *     prediction FRAMES POSITIONS MODE PROFILE
 *     prediction FRAMES fresh FIRST LAST
 *
 * MODE 0 to 4; POSITIONS 0: phases as given. With `fresh` the channels are the rooms of fresh.h at
 * rest, their modes taking turns (fresh-table.txt). */
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "base/units.h"
#include "physics/information/required_snr.h"
#include "physics/ofdm/echo.h"
#include "profile/profile.h"
#include "proof/fresh.h"
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

static const struct channel *channel_at(const struct scenario *scenario, int position)
{
    static struct conditions conditions;
    static struct channel drawn;
    if (conditions_make(scenario, GENERATION_SECOND, &conditions, NULL) != STATUS_OK) {
        fprintf(stderr, "prediction: no such channel\n");
        exit(1);
    }
    channel_draw(&conditions.channel, (uint64_t)position, &drawn);
    return &drawn;
}

/* From the threshold in white noise to the SNR that the channel asks for. */
static double predict(const struct scenario *scenario, double threshold_db)
{
    const struct system *system = system_of(scenario, GENERATION_SECOND);
    struct reception reception;
    double required_db;
    if (system->receive(scenario, PIPE_MOST_ROBUST, &reception, NULL) != STATUS_OK) {
        return NAN;
    }
    reception.needed_db = reception.ofdm.ideal_db = reception.ofdm.needed_db = threshold_db;
    return system->required(&reception, channel_at(scenario, 0), &required_db) == STATUS_OK
               ? required_db
               : NAN;
}

/* Gives every echo its phase at a position, unless all are to be as they stand, and tells the rays
 * of the channel that a simulation of the scenario takes then: of those that turn it draws the
 * phases itself. */
static void settle_position(struct scenario *scenario, int position, bool as_given, char *rays,
                            size_t size)
{
    for (int i = 0; i < scenario->echo_count && !as_given; i++) {
        scenario->echoes[i].phase_deg = NAN;
    }
    const struct channel *drawn = channel_at(scenario, position);
    for (int i = 0; i < scenario->echo_count; i++) {
        scenario->echoes[i].phase_deg = round(drawn->rays[i + 1].phase * 180.0 / PI * 1e3) / 1e3;
    }
    drawn = channel_at(scenario, 0);
    size_t used = 0;
    for (int i = 1; i < drawn->count; i++) {
        const struct ray *ray = &drawn->rays[i];
        used += (size_t)snprintf(rays + used, size - used, " %.9g %.9g %.3f %g", ray->delay_us,
                                 2.0 * db_from_ratio(ray->gain), ray->phase * 180.0 / PI,
                                 ray->doppler_hz);
    }
}

static void compare(const char *name, int position, bool as_given, struct scenario *scenario,
                    double awgn_db, double awgn_error_db, long frames)
{
    const struct waveform *waveform = &scenario->transmission.subframes[0].waveform;
    const struct code *code = &scenario->transmission.plps[0].code;
    struct search search = {.scenario = scenario, .channel = CHANNEL_CARRIERS, .frames = frames};
    char rays[4096];
    settle_position(scenario, position, as_given, rays, sizeof rays);
    double predicted_db = predict(scenario, awgn_db), error_db;
    if (!isfinite(predicted_db)) {
        return;
    }
    double simulated_db = find_threshold(&search, predicted_db, &error_db);
    printf("%-32s %d | %s %s %s | %s %d | %.3f %.3f %.3f |%s\n", name, position,
           fft_name(waveform->fft), guard_name(waveform->guard), pilots_name(waveform->pilots),
           constellation_name(code->constellation), code->rate_15ths, awgn_db, simulated_db,
           hypot(error_db, awgn_error_db), rays);
    fflush(stdout);
}

static void set_mode(struct scenario *scenario, size_t i)
{
    scenario->transmission.plps[0].code.length = LENGTH_64800;
    scenario->transmission.plps[0].code.constellation = modes[i].constellation;
    scenario->transmission.plps[0].code.rate_15ths = modes[i].rate_15ths;
}

/* What the mode needs in white noise. */
static double awgn_threshold(int mode, int frames, double *error_db)
{
    struct scenario plain = scenario_default();
    set_mode(&plain, (size_t)mode);
    struct search search = {.scenario = &plain, .channel = CHANNEL_AWGN, .frames = frames};
    return find_threshold(
        &search,
        ideal_snr_db(LENGTH_64800, modes[mode].constellation, modes[mode].rate_15ths, FADING_AWGN),
        error_db);
}

static bool compare_profile(int frames, int positions, int mode, const char *path)
{
    struct profile profile = {0};
    struct fault fault = {0};
    double awgn_error_db, awgn_db = awgn_threshold(mode, frames, &awgn_error_db);
    bool as_given = positions == 0;
    const char *name = strrchr(path, '/');
    for (int position = 0; position < positions + as_given; position++) {
        if (profile_read_file(path, &profile, &fault) != STATUS_OK) {
            fprintf(stderr, "prediction: %s: %s: %s\n", path, fault.place, fault.wrong);
            return false;
        }
        set_mode(&profile.scenario, (size_t)mode);
        profile.scenario.receiver.speed_kmh = 0.0; /* the rays' own motion alone */
        compare(name ? name + 1 : path, position, as_given, &profile.scenario, awgn_db,
                awgn_error_db, frames);
        profile_free(&profile);
    }
    return true;
}

static bool compare_fresh(int frames, int first, int last)
{
    for (int i = first; i <= last && i < FRESH_ROOMS; i++) {
        struct fresh fresh = fresh_room(i);
        struct scenario scenario = scenario_default();
        int mode = i % (int)MODES;
        double awgn_error_db, awgn_db = awgn_threshold(mode, frames, &awgn_error_db);
        set_mode(&scenario, (size_t)mode);
        scenario.echo_count = fresh.count;
        for (int ray = 0; ray < fresh.count; ray++) {
            scenario.echoes[ray] = fresh.echoes[ray];
            scenario.echoes[ray].doppler_hz = 0.0;
        }
        compare("fresh", i, true, &scenario, awgn_db, awgn_error_db, frames);
    }
    return true;
}

int main(int argc, char **argv)
{
    int frames, second, third, fourth;
    if (argc == 5 && number_read_int(argv[1], &frames) && frames >= 10) {
        if (strcmp(argv[2], "fresh") == 0 && number_read_int(argv[3], &third) &&
            number_read_int(argv[4], &fourth)) {
            return compare_fresh(frames, third, fourth) ? 0 : 1;
        }
        if (number_read_int(argv[2], &second) && number_read_int(argv[3], &third) && third >= 0 &&
            third < (int)MODES) {
            return compare_profile(frames, second, third, argv[4]) ? 0 : 1;
        }
    }
    fprintf(stderr, "usage: prediction FRAMES POSITIONS MODE PROFILE\n"
                    "       prediction FRAMES fresh FIRST LAST\n");
    return 2;
}
