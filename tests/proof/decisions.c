/* Measures what wrong decisions cost the simulated 8-VSB receiver, for physics/vsb/decision.h to be
 * held against it (tests/simulation/vsb/receiver/test_table.c): for channels at rest and taps of
 * least mean square error, the SNR that a segment error rate of 1.93e-4 asks for. A line a channel:
 * its name and position, then SNR and standard error with feedback error-free, by the trellis and
 * by the nearest level, then delay, level, phase and Doppler of each ray but the main one. `make
 * receiver` runs all of it, for hours; receiver-table.txt beside this file is what it printed.
 * Usage:
 *
 *     decisions named|random|learning|fresh|later|learners|wide|last [FIRST [LAST]]
 *     decisions air PROFILE POSITIONS
 *
 * Channels drawn at random have feedback by the trellis alone, and error-free as designed. Behind
 * `learning` the taps learn from what is decided, and some rays turn: each field is sent while they
 * begin where the line says, by a receiver that has learnt for long; reach both ways, step and the
 * fields that the nearest level is given to settle stand behind the name. Behind `fresh` the rooms
 * are those of fresh.h, by the nearest level some of those at rest, behind `later` its rooms drawn
 * later, behind `wide` those drawn more widely and behind `last` those drawn as widely after that
 * (all in fresh-table.txt), behind `learners` its rooms of receivers that learn
 * (learner-table.txt). With `air` the rays are a profile's, their phases drawn for each position,
 * or with POSITIONS 0 as they are given. */
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "base/units.h"
#include "physics/vsb/decision.h"
#include "profile/profile.h"
#include "proof/fresh.h"
#include "proof/search.h"
#include "simulation/vsb/chain.h"
#include "simulation/vsb/receiver/frame.h"
#include "simulation/vsb/receiver/taps.h"
#include "simulation/vsb/trellis.h"
#include "standard/vsb/signal.h"
#include "study/verdict/conditions.h"

#define SEED 13
#define BEFORE_US 29.5
#define AFTER_US 38.5
#define FRESH_SETTLING_FIELDS 40 /* by the nearest level, were rays to turn */
#define RAYS_MAX 12

/* Rays in us and dB; phases at the RF channel's centre, or drawn. */
struct rays {
    const char *name;
    int count;
    struct echo echoes[RAYS_MAX];
};
#define ANY .phase_deg = NAN
static const struct rays sets[] = {
    {"one echo 0.05 us -3 dB 0 deg", 1, {{0.05, -3.0, 0.0, 0.0}}},
    {"one echo 0.05 us -3 dB 90 deg", 1, {{0.05, -3.0, 90.0, 0.0}}},
    {"one echo 0.05 us -3 dB 180 deg", 1, {{0.05, -3.0, 180.0, 0.0}}},
    {"one echo 0.05 us -3 dB 270 deg", 1, {{0.05, -3.0, 270.0, 0.0}}},
    {"one echo 0.1 us 0 dB 135 deg", 1, {{0.1, 0.0, 135.0, 0.0}}},
    {"one echo 0.3 us -3 dB 45 deg", 1, {{0.3, -3.0, 45.0, 0.0}}},
    {"one echo 0.3 us -1 dB 225 deg", 1, {{0.3, -1.0, 225.0, 0.0}}},
    {"one echo 1 us -3 dB 0 deg", 1, {{1.0, -3.0, 0.0, 0.0}}},
    {"one echo 1 us -6 dB 180 deg", 1, {{1.0, -6.0, 180.0, 0.0}}},
    {"one echo 1 us 0 dB 100 deg", 1, {{1.0, 0.0, 100.0, 0.0}}},
    {"one echo 3 us -1 dB 0 deg", 1, {{3.0, -1.0, 0.0, 0.0}}},
    {"one echo 3 us -6 dB 90 deg", 1, {{3.0, -6.0, 90.0, 0.0}}},
    {"one echo 5 us -10 dB 0 deg", 1, {{5.0, -10.0, 0.0, 0.0}}},
    {"one echo 7.5 us -3 dB 135 deg", 1, {{7.5, -3.0, 135.0, 0.0}}},
    {"one echo 7.5 us -3 dB 315 deg", 1, {{7.5, -3.0, 315.0, 0.0}}},
    {"one echo 7.5 us -6 dB 0 deg", 1, {{7.5, -6.0, 0.0, 0.0}}},
    {"one echo 7.5 us -1 dB 0 deg", 1, {{7.5, -1.0, 0.0, 0.0}}},
    {"one echo 7.5 us -0.3 dB 0 deg", 1, {{7.5, -0.3, 0.0, 0.0}}},
    {"one echo 20 us -3 dB 60 deg", 1, {{20.0, -3.0, 60.0, 0.0}}},
    {"one echo 20 us -1 dB 60 deg", 1, {{20.0, -1.0, 60.0, 0.0}}},
    {"one echo 35 us -6 dB 0 deg", 1, {{35.0, -6.0, 0.0, 0.0}}},
    {"one echo -2 us -1 dB 0 deg", 1, {{-2.0, -1.0, 0.0, 0.0}}},
    {"one echo -5 us -3 dB 0 deg", 1, {{-5.0, -3.0, 0.0, 0.0}}},
    {"one echo -5 us -6 dB 90 deg", 1, {{-5.0, -6.0, 90.0, 0.0}}},
    {"one echo -15 us -6 dB 0 deg", 1, {{-15.0, -6.0, 0.0, 0.0}}},
    {"one echo 4.3 us +3 dB 0 deg", 1, {{4.3, 3.0, 0.0, 0.0}}},
    {"two echoes", 2, {{5.0, -5.0, 20.0, 0.0}, {12.0, -7.0, 200.0, 0.0}}},
    {"early and late", 2, {{-3.0, -6.0, 30.0, 0.0}, {9.0, -4.0, 100.0, 0.0}}},
};

/* Sets whose phases are drawn: how many positions of each. */
static const struct {
    struct rays rays;
    int positions;
} drawn[] = {
    {{"room",
      5,
      {{0.028, -3.0, ANY},
       {0.061, -5.0, ANY},
       {0.11, -4.0, ANY},
       {0.17, -8.0, ANY},
       {0.42, -6.0, ANY}}},
     4},
    {{"M.1225 indoor B",
      5,
      {{0.1, -3.6, ANY},
       {0.2, -7.2, ANY},
       {0.3, -10.8, ANY},
       {0.5, -18.0, ANY},
       {0.7, -25.2, ANY}}},
     2},
    {{"M.1225 pedestrian B",
      5,
      {{0.2, -0.9, ANY}, {0.8, -4.9, ANY}, {1.2, -8.0, ANY}, {2.3, -7.8, ANY}, {3.7, -23.9, ANY}}},
     3},
    {{"portable indoor",
      11,
      {{0.1, -6.4, ANY},
       {0.2, -10.4, ANY},
       {0.4, -13.0, ANY},
       {0.6, -13.3, ANY},
       {0.8, -13.7, ANY},
       {1.0, -16.2, ANY},
       {1.6, -15.2, ANY},
       {8.1, -14.9, ANY},
       {8.8, -16.2, ANY},
       {9.0, -11.1, ANY},
       {9.2, -11.2, ANY}}},
     2},
    {{"portable outdoor",
      11,
      {{0.2, -1.5, ANY},
       {0.6, -3.8, ANY},
       {1.0, -7.3, ANY},
       {1.4, -9.8, ANY},
       {1.8, -13.3, ANY},
       {2.3, -15.9, ANY},
       {3.4, -20.6, ANY},
       {4.5, -19.0, ANY},
       {5.0, -17.7, ANY},
       {5.3, -18.9, ANY},
       {5.7, -19.3, ANY}}},
     2},
    {{"laboratory A",
      5,
      {{0.15, -13.8, ANY},
       {2.22, -16.2, ANY},
       {3.05, -14.9, ANY},
       {5.86, -13.6, ANY},
       {5.93, -16.4, ANY}}},
     1},
    {{"laboratory B",
      5,
      {{0.3, -12.0, ANY},
       {3.5, -4.0, ANY},
       {4.4, -7.0, ANY},
       {9.5, -15.0, ANY},
       {12.7, -22.0, ANY}}},
     2},
    {{"laboratory C",
      5,
      {{-0.089, -2.8, ANY},
       {0.33, -3.8, ANY},
       {1.417, -0.1, ANY},
       {2.233, -2.5, ANY},
       {2.71, -1.3, ANY}}},
     2},
    {{"laboratory D",
      5,
      {{-5.71, -0.1, ANY},
       {-5.23, -3.9, ANY},
       {-3.64, -2.6, ANY},
       {-2.81, -1.3, ANY},
       {0.07, -2.8, ANY}}},
     2},
    {{"laboratory E", 2, {{1.0, 0.0, ANY}, {2.0, 0.0, ANY}}}, 2},
    {{"TU6",
      5,
      {{-0.2, -3.0, ANY}, {0.3, -2.0, ANY}, {1.4, -6.0, ANY}, {2.1, -8.0, ANY}, {4.8, -10.0, ANY}}},
     4},
};

/* Channels of receivers whose taps learn. */
static const struct {
    double reach_us, step;
    int settling_fields; /* by the nearest level: what it teaches slow taps is little */
    struct rays rays;
} learnt[] = {
    {12.0, 0.05, 40, {"echo at rest", 1, {{5.03, -10.0, 0.0, 0.0}}}},
    {12.0, 0.2, 40, {"echo at rest", 1, {{5.03, -10.0, 0.0, 0.0}}}},
    {12.0, 0.05, 40, {"strong echo at rest", 1, {{7.5, -3.0, 135.0, 0.0}}}},
    {12.0, 0.2, 40, {"short echo at rest", 1, {{1.0, -6.0, 180.0, 0.0}}}},
    {12.0, 0.1, 40, {"early echo at rest", 1, {{-5.0, -6.0, 90.0, 0.0}}}},
    {20.0, 0.1, 40, {"two echoes at rest", 2, {{5.0, -5.0, 20.0, 0.0}, {12.0, -7.0, 200.0, 0.0}}}},
#define ROOM_AT_REST                                                               \
    {0.028, -3.0, 200.0, 0.0}, {0.061, -5.0, 95.0, 0.0}, {0.11, -4.0, 310.0, 0.0}, \
        {0.17, -8.0, 30.0, 0.0},                                                   \
    {                                                                              \
        0.42, -6.0, 150.0, 0.0                                                     \
    }
    {12.0, 0.05, 40, {"room at rest", 5, {ROOM_AT_REST}}},
    {12.0, 0.2, 40, {"room at rest", 5, {ROOM_AT_REST}}},
    {12.0, 0.05, 40, {"slow echo", 1, {{5.03, -10.0, 0.0, 5.0}}}},
    {12.0, 0.05, 40, {"echo", 1, {{5.03, -10.0, 0.0, 20.0}}}},
    {12.0, 0.1, 40, {"echo", 1, {{5.03, -10.0, 0.0, 40.0}}}},
    {12.0, 0.05, 40, {"strong slow echo", 1, {{10.0, -3.0, 0.0, 2.0}}}},
    {12.0, 0.1, 40, {"echo of half the level", 1, {{2.03, -6.0, 0.0, 5.0}}}},
    {12.0, 0.1, 40, {"early slow echo", 1, {{-3.0, -9.0, 0.0, 4.0}}}},
    {20.0, 0.1, 40, {"two slow echoes", 2, {{5.03, -9.0, 0.0, 3.0}, {12.02, -11.0, 60.0, -5.0}}}},
#define ROOM(a, b, turn)                                                             \
    {0.028, -3.0, a, 0.0}, {0.061, -5.0, b, 0.6 * (turn)}, {0.11, -4.0, a + b, 0.0}, \
        {0.17, -8.0, a - b, -1.1 * (turn)},                                          \
    {                                                                                \
        0.42, -6.0, 150.0, 0.0                                                       \
    }
    {12.0, 0.05, 40, {"room, people about", 5, {ROOM(200.0, 95.0, 1.0)}}},
    {12.0, 0.2, 40, {"room, people about", 5, {ROOM(200.0, 95.0, 1.0)}}},
    {12.0, 0.2, 160, {"room, people about", 5, {ROOM(40.0, 280.0, 1.0)}}},
    {12.0, 0.2, 40, {"room, people about", 5, {ROOM(300.0, 20.0, 0.3)}}},
    {34.0, 0.05, 40, {"room at rest", 5, {ROOM_AT_REST}}},
    {34.0, 0.2, 40, {"strong echo at rest", 1, {{7.5, -3.0, 135.0, 0.0}}}},
    {34.0, 0.1, 40, {"slow echo", 1, {{5.03, -10.0, 0.0, 5.0}}}},
    {34.0, 0.2, 40, {"room, people about", 5, {ROOM(200.0, 95.0, 0.3)}}},
    {12.0,
     0.1,
     40,
     {"street", 3, {{0.3, -6.0, 45.0, 0.7}, {1.4, -9.0, 160.0, -0.4}, {4.8, -12.0, 0.0, 1.3}}}},
};

static struct vsb_receiver_setup setup_of(const struct rays *rays, int position)
{
    struct vsb_receiver_setup setup = {.spans = vsb_equaliser_spans(BEFORE_US, AFTER_US),
                                       .tracking_hz = 1e6};
    channel_start(&setup.channel, 189e6);
    for (int i = 0; i < rays->count; i++) {
        char name[64];
        snprintf(name, sizeof name, "%s %d", rays->name, i);
        channel_add(&setup.channel, &rays->echoes[i], name);
    }
    channel_draw(&setup.channel, (uint64_t)position, &setup.channel);
    return setup;
}

struct trial {
    struct vsb_receiver_setup setup;
    struct channel begun; /* its channel when what counts begins */
    struct vsb_worker *worker;
    double snr_db; /* of the worker */
};

static void take_snr(struct trial *trial, double snr_db)
{
    trial->setup.snr_db = trial->snr_db = snr_db;
    double lead_s = (double)(vsb_air_segments(vsb_receiver_lead_segments(&trial->setup)) *
                             VSB_SEGMENT_SYMBOLS) /
                    vsb_symbol_rate_hz();
    channel_advance(&trial->begun, -lead_s, &trial->setup.channel);
    vsb_worker_free(trial->worker);
    trial->worker = vsb_worker_create(&trial->setup);
    if (trial->worker == NULL) {
        fprintf(stderr, "decisions: out of memory\n");
        exit(1);
    }
}

/* Fields that begin when the rays stand as given, whatever their number. */
static struct search_counts send_fields(void *context, double snr_db, int from, int count)
{
    struct trial *trial = context;
    struct search_counts counts = {.fields = count};
    uint64_t seed = run_seed_of_snr(SEED, snr_db) + (uint64_t)from;
    if (trial->worker == NULL || snr_db != trial->snr_db) {
        take_snr(trial, snr_db);
    }
    for (int i = 0; i < count; i++) {
        struct vsb_outcome outcome = vsb_send(trial->worker, 0.0, seed + (uint64_t)i, 0);
        counts.fallen += outcome.segment_errors > 0;
        counts.lost += outcome.segment_errors;
    }
    return counts;
}

static double threshold_db(struct trial *trial, double guess_db, double *error_db)
{
    struct search search = {.send = send_fields, .context = trial, .segments = VSB_UNIT_SEGMENTS};
    double snr_db = search_threshold(&search, guess_db, error_db);
    vsb_worker_free(trial->worker);
    trial->worker = NULL;
    return snr_db;
}

static void print_snr(double snr_db, double error_db)
{
    if (isfinite(snr_db)) {
        printf(" %6.2f %.2f", snr_db, error_db);
    } else {
        printf("   none    -");
    }
}

/* The rays as they stand, but the main one. */
static void print_rays(const struct channel *channel)
{
    printf(" |");
    for (int i = 1; i < channel->count; i++) {
        const struct ray *ray = &channel->rays[i];
        printf(" %.9g %.9g %.6f %g", ray->delay_us, 2.0 * db_from_ratio(ray->gain),
               ray->phase * 180.0 / PI, ray->doppler_hz);
    }
    printf("\n");
    fflush(stdout);
}

/* SNR and standard error for feedback error-free, by the trellis and, unless left out (?), by the
 * nearest level. */
static void measure_decisions(const struct vsb_receiver_setup *setup, bool slicer)
{
    static const enum vsb_feedback kinds[] = {FEEDBACK_ERROR_FREE, FEEDBACK_TRELLIS,
                                              FEEDBACK_SLICER};
    double guess_db = 16.0;
    for (int i = 0; i < 2 + slicer; i++) {
        double snr_db = NAN, error_db = NAN;
        struct trial trial = {.setup = *setup, .begun = setup->channel};
        trial.setup.feedback = kinds[i];
        if (kinds[i] != FEEDBACK_SLICER) {
            trial.setup.settling_fields = 0; /* as the simulation has it */
        }
        if (isfinite(guess_db)) {
            snr_db = threshold_db(&trial, guess_db, &error_db);
        }
        print_snr(snr_db, error_db);
        guess_db = snr_db + 0.4;
    }
    printf("%s", slicer ? "" : "      ?    -");
    print_rays(&setup->channel);
}

static void measure_named(const struct rays *rays, int position)
{
    struct vsb_receiver_setup setup = setup_of(rays, position);
    printf("%-30s %d |", rays->name, position);
    measure_decisions(&setup, true);
}

static void measure_learner(const struct rays *rays, double reach_us, double step,
                            int settling_fields, bool slicer)
{
    struct vsb_receiver_setup setup = setup_of(rays, 0);
    setup.spans = vsb_equaliser_spans(reach_us, reach_us);
    setup.step = step;
    setup.settling_fields = settling_fields;
    printf("learns %-22s %4g %5g %3d |", rays->name, reach_us, step, settling_fields);
    measure_decisions(&setup, slicer);
}

static void learning_channels(int first, int last)
{
    for (int i = first; i <= last && i < (int)(sizeof learnt / sizeof learnt[0]); i++) {
        measure_learner(&learnt[i].rays, learnt[i].reach_us, learnt[i].step,
                        learnt[i].settling_fields, true);
    }
}

static void measure_fresh(const char *kind, int number, const struct fresh *fresh)
{
    char name[32];
    snprintf(name, sizeof name, "%s room %d", kind, number);
    struct rays rays = {.name = name, .count = fresh->count};
    memcpy(rays.echoes, fresh->echoes, sizeof fresh->echoes);
    measure_learner(&rays, fresh->reach_us, fresh->step, FRESH_SETTLING_FIELDS, fresh->slicer);
}

static void fresh_channels(int first, int last)
{
    for (int i = first; i <= last && i < FRESH_ROOMS; i++) {
        struct fresh fresh = fresh_room(i);
        measure_fresh("fresh", i, &fresh);
    }
}

static void later_channels(int first, int last)
{
    for (int i = first; i <= last && i < LATER_ROOMS; i++) {
        struct fresh fresh = fresh_later(i);
        measure_fresh("later", i, &fresh);
    }
}

static void learners(int first, int last)
{
    for (int i = first; i <= last && i < LEARNER_ROOMS; i++) {
        struct fresh fresh = fresh_learner(i);
        measure_fresh("learner", i, &fresh);
    }
}

static void wide_channels(int first, int last)
{
    for (int i = first; i <= last && i < WIDE_ROOMS; i++) {
        struct fresh fresh = fresh_wide(i);
        measure_fresh("wide", i, &fresh);
    }
}

static void last_channels(int first, int last)
{
    for (int i = first; i <= last && i < LAST_ROOMS; i++) {
        struct fresh fresh = fresh_last(i);
        measure_fresh("last", i, &fresh);
    }
}

static void named_channels(int first, int last)
{
    int number = 0;
    for (size_t i = 0; i < sizeof sets / sizeof sets[0]; i++, number++) {
        if (number >= first && number <= last) {
            measure_named(&sets[i], 0);
        }
    }
    for (size_t i = 0; i < sizeof drawn / sizeof drawn[0]; i++) {
        for (int position = 0; position < drawn[i].positions; position++, number++) {
            if (number >= first && number <= last) {
                measure_named(&drawn[i].rays, position);
            }
        }
    }
}

/* By turns: one echo anywhere, a few spread out, a room, a city. */
static double random_delay(struct random *random, int kind, double chance)
{
    switch (kind) {
    case 0:
        return chance < 0.5 ? 0.02 + 2.0 * random_uniform(random)
                            : -8.0 + 36.0 * random_uniform(random);
    case 1:
        if (chance < 0.3) {
            return -8.0 + 8.0 * random_uniform(random);
        }
        double part = random_uniform(random);
        return 30.0 * part * random_uniform(random);
    case 2:
        return -0.15 * log(random_uniform(random) + 1e-6);
    default:
        return chance < 0.25 ? -6.0 * random_uniform(random)
                             : -3.0 * log(random_uniform(random) + 1e-6);
    }
}

/* Drawn in lots, one after the other, as the model grew. */
static const struct {
    int end;
    uint64_t seed;
} lots[] = {{100, 4242}, {148, 777}, {178, 31}, {218, 5}};
#define DRAWN 218

static void draw_rays(int number, struct rays *rays)
{
    int lot = 0;
    while (number >= lots[lot].end) {
        lot++;
    }
    int begin = lot == 0 ? 0 : lots[lot - 1].end;
    struct random random = random_seeded(lots[lot].seed, (uint64_t)(number - begin));
    int kind = (number - begin) % 4;
    *rays = (struct rays){.name = "random", .count = 1};
    if (kind > 0) {
        double more = random_uniform(&random);
        rays->count = kind == 1 ? 2 + (int)(2.0 * more) : 3 + (int)(4.0 * more);
    }
    for (int i = 0; i < rays->count; i++) {
        double chance = random_uniform(&random);
        double delay_us = random_delay(&random, kind, chance), level_db;
        double part = random_uniform(&random);
        level_db = kind == 0   ? -0.5 - 8.0 * part
                   : kind == 1 ? -2.0 - 9.0 * part
                               : -3.0 - 10.0 * part - (kind == 3 ? 0.4 * fabs(delay_us) : 0.0);
        rays->echoes[i] = (struct echo){delay_us, level_db, 360.0 * random_uniform(&random), 0.0};
    }
}

/* The output SNR of the data that the better reference leaves, decisions taken for error-free. */
static double output_db(const struct vsb_receiver_setup *setup, double snr_db)
{
    const struct vsb_taps_wish wish = {setup->spans, FEEDBACK_ERROR_FREE, setup->tracking_hz};
    const struct channel *channel = &setup->channel;
    int strongest = 0;
    double best = 0.0;
    for (int i = 1; i < channel->count; i++) {
        strongest = channel->rays[i].gain > channel->rays[strongest].gain ? i : strongest;
    }
    for (int i = 0; i < 2; i++) {
        int reference = i == 0 ? 0 : strongest;
        double pilot = VSB_PILOT_LEVEL * VSB_PILOT_LEVEL / VSB_LEVEL_POWER;
        double power = vsb_taps_data_power(channel, reference) +
                       pilot * vsb_taps_pilot_power(channel, reference);
        struct vsb_equaliser equaliser;
        if (vsb_taps_design(channel, reference, power / ratio_from_db(snr_db), &wish, &equaliser) !=
            STATUS_OK) {
            fprintf(stderr, "decisions: a design failed\n");
            exit(1);
        }
        best = fmax(best, equaliser.snr);
        vsb_equaliser_free(&equaliser);
    }
    return db_from_ratio(best);
}

static void random_channels(int first, int last)
{
    for (int number = first; number <= last && number < DRAWN; number++) {
        struct rays rays;
        double low_db = 10.0, high_db = 45.0, error_db;
        draw_rays(number, &rays);
        struct trial trial = {.setup = setup_of(&rays, 0)};
        trial.begun = trial.setup.channel;
        trial.setup.feedback = FEEDBACK_TRELLIS;
        for (int i = 0; i < 18; i++) {
            double middle_db = 0.5 * (low_db + high_db);
            bool enough = output_db(&trial.setup, middle_db) >= 14.57;
            low_db = enough ? low_db : middle_db;
            high_db = enough ? middle_db : high_db;
        }
        if (high_db > 24.0) {
            continue; /* out of reach of most */
        }
        double snr_db = threshold_db(&trial, high_db, &error_db);
        printf("%-30s %d |", rays.name, number);
        print_snr(high_db, 0.0); /* as designed, not simulated */
        print_snr(snr_db, error_db);
        print_snr(NAN, NAN);
        print_rays(&trial.setup.channel);
    }
}

static bool profile_channels(const char *path, int positions)
{
    static struct conditions conditions;
    struct profile profile = {0};
    struct fault fault = {0};
    if (profile_read_file(path, &profile, &fault) != STATUS_OK ||
        conditions_make(&profile.scenario, GENERATION_FIRST, &conditions, &fault) != STATUS_OK) {
        fprintf(stderr, "decisions: %s: %s: %s\n", path, fault.place, fault.wrong);
        return false;
    }
    const char *name = strrchr(path, '/');
    const struct rays none = {.count = 0};
    struct vsb_receiver_setup setup = setup_of(&none, 0);
    for (int position = 0; position < positions + (positions == 0); position++) {
        channel_draw(&conditions.channel, (uint64_t)position, &setup.channel);
        printf("%-30s %d |", name ? name + 1 : path, position);
        measure_decisions(&setup, true);
    }
    profile_free(&profile);
    return true;
}

int main(int argc, char **argv)
{
    static const struct {
        const char *name;
        void (*measure)(int first, int last);
    } kinds[] = {{"named", named_channels},       {"random", random_channels},
                 {"learning", learning_channels}, {"fresh", fresh_channels},
                 {"later", later_channels},       {"learners", learners},
                 {"wide", wide_channels},         {"last", last_channels}};
    int first = 0, last = 1000, positions;
    if (argc == 4 && strcmp(argv[1], "air") == 0 && number_read_int(argv[3], &positions)) {
        return profile_channels(argv[2], positions) ? 0 : 1;
    }
    bool numbers = argc <= 4 && (argc < 3 || number_read_int(argv[2], &first)) &&
                   (argc < 4 || number_read_int(argv[3], &last));
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        if (argc > 1 && numbers && strcmp(argv[1], kinds[i].name) == 0) {
            kinds[i].measure(first, last);
            return 0;
        }
    }
    fprintf(stderr,
            "usage: decisions named|random|learning|fresh|later|learners|wide|last [FIRST [LAST]]\n"
            "       decisions air PROFILE POSITIONS\n");
    return 2;
}
