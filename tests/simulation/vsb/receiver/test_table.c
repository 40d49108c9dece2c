/* The models of wrong decisions and of learning against what the simulated receiver did, as kept in
 * tests/proof/receiver-table.txt. */
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "physics/vsb/adaptation.h"
#include "physics/vsb/decision.h"
#include "physics/vsb/echo.h"
#include "physics/vsb/learning.h"
#include "simulation/vsb/receiver/frame.h"
#include "simulation/vsb/receiver/receiver.h"
#include "simulation/vsb/receiver/taps.h"
#include "simulation/vsb/trellis.h"
#include "standard/vsb/signal.h"

#define TABLE "tests/proof/receiver-table.txt"
#define LINE_BYTES 1024
#define NEEDED_DB 14.57 /* of the data, in white noise (*computed*) */
#define LEARNERS_LEAST 19
#define LEARNER_NUMBERS 29 /* where they begin in its line */
#define FIELD_INSTANTS 6   /* of a field in which rays turn */
#define UNIT_INSTANTS 32   /* of all that is sent */

/* Adds the rays written in `text` to a channel. */
static void read_rays(const char *text, struct channel *channel)
{
    struct echo echo;
    int used = 0;
    channel_start(channel, 189e6);
    while (sscanf(text, "%lf %lf %lf %lf%n", &echo.delay_us, &echo.level_db, &echo.phase_deg,
                  &echo.doppler_hz, &used) == 4) {
        assert_true(channel_add(channel, &echo, "ray"));
        text += used;
    }
}

static double field_s(void)
{
    return VSB_FIELD_SEGMENTS * VSB_SEGMENT_SYMBOLS / vsb_symbol_rate_hz();
}

static double pilot_and_data(const struct channel *channel, int reference)
{
    return vsb_taps_data_power(channel, reference) + VSB_PILOT_LEVEL * VSB_PILOT_LEVEL /
                                                         VSB_LEVEL_POWER *
                                                         vsb_taps_pilot_power(channel, reference);
}

/* Received power over that of the reference ray, on an average over what the simulation sends. */
static double mean_power(const struct channel *channel, const struct first_receiver *receiver,
                         int settling_fields)
{
    bool slicer = receiver->feedback == FEEDBACK_SLICER;
    const struct vsb_receiver_setup setup = {.channel = *channel,
                                             .feedback = receiver->feedback,
                                             .step = receiver->adaptation_step,
                                             .settling_fields = slicer ? settling_fields : 0};
    double segments = (double)vsb_air_segments(vsb_receiver_lead_segments(&setup));
    double from_s = -segments * VSB_SEGMENT_SYMBOLS / vsb_symbol_rate_hz(), sum = 0.0;
    for (int i = 0; i < UNIT_INSTANTS; i++) {
        struct channel then;
        channel_advance(channel, from_s + (field_s() - from_s) * (i + 0.5) / UNIT_INSTANTS, &then);
        sum += pilot_and_data(&then, 0) / UNIT_INSTANTS;
    }
    return sum;
}

/* The margin that the verdict's physics tells; where rays turn, the least one within the field. */
static double margin_db(const struct channel *channel, const struct first_receiver *receiver,
                        int settling_fields, double snr_db)
{
    bool moves = channel_moves(channel);
    double mean = moves ? mean_power(channel, receiver, settling_fields) : 1.0, least_db = INFINITY;
    for (int i = 0; i < (moves ? FIELD_INSTANTS : 1); i++) {
        struct channel then;
        struct vsb_echo_result result;
        channel_advance(channel, moves ? field_s() * (i + 0.5) / FIELD_INSTANTS : 0.0, &then);
        double power = moves ? pilot_and_data(&then, 0) : 1.0;
        assert_int_equal(
            vsb_echo_solve(&then, snr_db + db_from_ratio(power / mean), receiver, &result),
            STATUS_OK);
        least_db = fmin(least_db, result.margin_db);
    }
    return least_db;
}

struct tally {
    int rows, below_3_db;
    double most_below_3_db, most_optimistic_db, most_pessimistic_db;
};

/* At the SNR at which the simulated receiver is at its threshold the margin should be 0. */
static void hold(const struct channel *channel, const char *line,
                 const struct first_receiver *receiver, int settling_fields, double free_db,
                 double snr_db, struct tally *tally)
{
    double told_db = margin_db(channel, receiver, settling_fields, snr_db);
    bool small = snr_db - free_db < 3.0;
    tally->rows++;
    tally->below_3_db += small;
    if (small) {
        tally->most_below_3_db = fmax(tally->most_below_3_db, fabs(told_db));
    }
    tally->most_optimistic_db = fmax(tally->most_optimistic_db, told_db);
    tally->most_pessimistic_db = fmax(tally->most_pessimistic_db, -told_db);
    if (told_db > 0.5 || (small && told_db < -0.5)) {
        print_message("%s of %.40s: margin %.2f dB\n", vsb_feedback_name(receiver->feedback), line,
                      told_db);
    }
}

/* What the simulated receiver does not decode at any SNR the verdict must not either. */
static void hold_none(const struct channel *channel, const char *line,
                      const struct first_receiver *receiver, int settling_fields)
{
    for (double snr_db = 16.0; snr_db <= 40.0; snr_db += 6.0) {
        double told_db = margin_db(channel, receiver, settling_fields, snr_db);
        if (told_db > 0.5) {
            print_message("%s of %.40s: margin %.2f dB at %.0f dB\n",
                          vsb_feedback_name(receiver->feedback), line, told_db, snr_db);
        }
        assert_true(told_db <= 0.5);
    }
}

static void hold_line(const char *line, const struct first_receiver *like, int settling_fields,
                      struct tally *tallies)
{
    static const enum vsb_feedback kinds[] = {FEEDBACK_ERROR_FREE, FEEDBACK_TRELLIS,
                                              FEEDBACK_SLICER};
    const char *snrs = strchr(line, '|');
    const char *rays = snrs != NULL ? strchr(snrs + 1, '|') : NULL;
    struct channel channel;
    char words[6][16];
    assert_non_null(rays);
    assert_int_equal(sscanf(snrs + 1, "%15s %15s %15s %15s %15s %15s", words[0], words[1], words[2],
                            words[3], words[4], words[5]),
                     6);
    read_rays(rays + 1, &channel);
    for (int i = 0; i < 3; i++) {
        struct first_receiver receiver = *like;
        receiver.feedback = kinds[i];
        bool none = strcmp(words[2 * i], "none") == 0;
        if (none && receiver.adaptation_step > 0.0) {
            hold_none(&channel, line, &receiver, settling_fields);
        } else if (!none && strcmp(words[2 * i], "?") != 0) {
            hold(&channel, line, &receiver, settling_fields, atof(words[0]), atof(words[2 * i]),
                 &tallies[kinds[i]]);
        }
    }
}

static void hold_ideal(const char *line, struct tally *tallies)
{
    const struct first_receiver receiver = {.threshold_db = NEEDED_DB + vsb_pilot_db(),
                                            .equaliser_before_us = 29.5,
                                            .equaliser_after_us = 38.5,
                                            .tracking_hz = 1000.0};
    hold_line(line, &receiver, 0, tallies);
}

/* "learns", a name, reach both ways, step and how long the nearest level settles. */
static void hold_learner(const char *line, struct tally *tallies)
{
    double reach_us, step;
    int settling_fields;
    assert_int_equal(
        sscanf(line + LEARNER_NUMBERS, "%lf %lf %d", &reach_us, &step, &settling_fields), 3);
    const struct first_receiver receiver = {.threshold_db = NEEDED_DB + vsb_pilot_db(),
                                            .equaliser_before_us = reach_us,
                                            .equaliser_after_us = reach_us,
                                            .tracking_hz = 1000.0,
                                            .adaptation_step = step};
    hold_line(line, &receiver, settling_fields, tallies);
}

/* Walks through the table's lines of a kind: those that begin so, or with "" the others. */
static void each_line(const char *start, void (*take)(const char *line, struct tally *tallies),
                      struct tally *tallies)
{
    char line[LINE_BYTES];
    FILE *file = fopen(TABLE, "r");
    assert_non_null(file);
    while (fgets(line, sizeof line, file) != NULL) {
        const char *kind = strncmp(line, "learning", 8) == 0 ? "learning"
                           : strncmp(line, "learns", 6) == 0 ? "learns"
                                                             : "";
        if (line[0] != '#' && strcmp(kind, start) == 0) {
            take(line, tallies);
        }
    }
    fclose(file);
}

static void decisions_cost(const struct tally *t, enum vsb_feedback kind, const char *what,
                           int least)
{
    const char *name = vsb_feedback_name(kind);
    char small[96], all[96];
    print_message("%-10s %3d channels, %3d below 3 dB: off by %.2f dB at most; optimistic by %.2f, "
                  "pessimistic by %.2f dB at most\n",
                  name, t->rows, t->below_3_db, t->most_below_3_db, t->most_optimistic_db,
                  t->most_pessimistic_db);
    assert_true(t->rows >= least);
    snprintf(small, sizeof small, "%s%s: %d simulated channels of less than 3 dB of loss", name,
             what, t->below_3_db);
    snprintf(all, sizeof all, "%s%s: %d simulated channels", name, what, t->rows);
    assert_between(t->most_below_3_db, 0.0, kind == FEEDBACK_ERROR_FREE && !*what ? 0.15 : 0.5,
                   small);
    assert_between(t->most_optimistic_db, 0.0, 0.5, all);
}

static void decisions_cost_what_the_model_says(void **state)
{
    (void)state;
    struct tally tallies[FEEDBACK_COUNT];
    memset(tallies, 0, sizeof tallies);
    each_line("", hold_ideal, tallies);
    for (int kind = 0; kind < FEEDBACK_COUNT; kind++) {
        decisions_cost(&tallies[kind], (enum vsb_feedback)kind, "", 40);
    }
}

static void decisions_cost_taps_that_learn_what_the_model_says(void **state)
{
    (void)state;
    struct tally tallies[FEEDBACK_COUNT];
    memset(tallies, 0, sizeof tallies);
    each_line("learns", hold_learner, tallies);
    for (int kind = 0; kind < FEEDBACK_COUNT; kind++) {
        decisions_cost(&tallies[kind], (enum vsb_feedback)kind, ", taps that learn",
                       LEARNERS_LEAST);
    }
}

/* The SNR that the learning curve says is left behind the equaliser. */
static double learnt_snr_db(const struct channel *channel, struct vsb_equaliser_spans spans,
                            double snr_db, double step, double turn_hz)
{
    struct echo echoes[ECHOES_MAX];
    double power = 0.0, data = 0.0;
    for (int instant = 0; instant < 64; instant++) {
        struct channel then;
        channel_advance(channel, (instant + 0.5) / 64.0 / turn_hz, &then);
        power += pilot_and_data(&then, 0) / 64.0;
        data += vsb_taps_data_power(&then, 0) / 64.0;
    }
    double noise = power / ratio_from_db(snr_db);
    double norm = (spans.earlier + spans.later + 1) * (data + noise) + spans.feedback;
    struct vsb_learning learning = {.echoes = echoes,
                                    .count = vsb_echoes_of(channel, echoes),
                                    .noise = noise,
                                    .spans = spans,
                                    .mu = step / norm};
    struct vsb_learning_error error;
    struct vsb_room room = {.arrays = {{0}}};
    assert_int_equal(vsb_learning_turn(&learning, &room, &error), STATUS_OK);
    vsb_room_free(&room);
    return db_from_ratio(vsb_adaptation_snr(
        error.least, error.added + vsb_adaptation_noise(error.least + error.added, step)));
}

static void hold_learning(const char *line, struct tally *tallies)
{
    double reach_us, snr_db, step, turn_hz, left_db;
    const char *left = strchr(line, '|');
    assert_non_null(left);
    const char *rays = strchr(left + 1, '|');
    const char *numbers = line;
    struct channel channel;
    while (numbers < left &&
           !(numbers[-(numbers > line)] == ' ' && *numbers >= '0' && *numbers <= '9')) {
        numbers++;
    }
    assert_int_equal(
        sscanf(numbers, "%lf %lf %lf %lf | %lf", &reach_us, &snr_db, &step, &turn_hz, &left_db), 5);
    assert_non_null(rays);
    read_rays(rays + 1, &channel);
    double predicted_db =
        learnt_snr_db(&channel, vsb_equaliser_spans(reach_us, reach_us), snr_db, step, turn_hz);
    assert_near(predicted_db, left_db, 0.3, "simulated receiver whose taps learn");
    tallies->rows++;
    tallies->most_optimistic_db = fmax(tallies->most_optimistic_db, fabs(predicted_db - left_db));
}

static void learning_leaves_what_its_curve_says(void **state)
{
    (void)state;
    struct tally tally = {0};
    each_line("learning", hold_learning, &tally);
    print_message("learning   %3d cases, off by %.2f dB at most\n", tally.rows,
                  tally.most_optimistic_db);
    assert_true(tally.rows >= 12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(decisions_cost_what_the_model_says),
        cmocka_unit_test(decisions_cost_taps_that_learn_what_the_model_says),
        cmocka_unit_test(learning_leaves_what_its_curve_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
