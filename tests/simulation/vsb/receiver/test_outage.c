/* The share of positions at which 8-VSB decodes, as the verdict's physics predicts it, against the
 * simulated receiver at the same positions, as kept in tests/proof/outage-table.txt. */
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "physics/vsb/echo.h"
#include "standard/vsb/signal.h"

#define TABLE "tests/proof/outage-table.txt"
#define LINE_BYTES 1024
#define ROOMS_MAX 8
#define FIELD_PARTS 3
#define WRONG_MOST 2    /* of 12480 segments: 1.93e-4 */
#define NEEDED_DB 14.57 /* of the data, in white noise (*computed*) */

struct tally {
    char name[24];
    int positions, predicted, simulated, differ;
    double most_wrong_db; /* margin where the simulation says otherwise */
};

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

static struct tally *tally_of(struct tally *tallies, const char *line)
{
    char name[24] = {0};
    memcpy(name, line, 20);
    for (int i = 19; i >= 0 && name[i] == ' '; i--) {
        name[i] = '\0';
    }
    int i = 0;
    while (tallies[i].positions > 0 && strcmp(tallies[i].name, name) != 0) {
        i++;
    }
    assert_true(i < ROOMS_MAX);
    strcpy(tallies[i].name, name);
    return &tallies[i];
}

/* While rays turn, a field comes through where each part of it does. */
static double least_margin_db(const struct channel *channel, const struct first_receiver *receiver,
                              double snr_db)
{
    const double field_s = VSB_FIELD_SEGMENTS * VSB_SEGMENT_SYMBOLS / vsb_symbol_rate_hz();
    const int parts = channel_moves(channel) ? FIELD_PARTS : 0;
    double least_db = INFINITY;
    for (int i = 0; i <= parts; i++) {
        struct channel then;
        struct vsb_echo_result result;
        channel_advance(channel, parts > 0 ? field_s * i / parts : 0.0, &then);
        assert_int_equal(vsb_echo_solve(&then, snr_db, receiver, &result), STATUS_OK);
        least_db = fmin(least_db, result.margin_db);
    }
    return least_db;
}

static void hold_line(const char *line, struct tally *tallies)
{
    double reach_us, snr_db, step;
    int position, wrong;
    assert_int_equal(
        sscanf(line + 20, "%lf %lf %lf %d | %d", &reach_us, &snr_db, &step, &position, &wrong), 5);
    const struct first_receiver receiver = {.threshold_db = NEEDED_DB + vsb_pilot_db(),
                                            .equaliser_before_us = reach_us,
                                            .equaliser_after_us = reach_us,
                                            .tracking_hz = 1000.0,
                                            .adaptation_step = step,
                                            .feedback = FEEDBACK_TRELLIS};
    struct channel channel;
    read_rays(strrchr(line, '|') + 1, &channel);
    double least_db = least_margin_db(&channel, &receiver, snr_db);
    struct tally *tally = tally_of(tallies, line);
    bool predicted = least_db >= 0.0, simulated = wrong <= WRONG_MOST;
    tally->positions++;
    tally->predicted += predicted;
    tally->simulated += simulated;
    if (predicted != simulated) {
        tally->differ++;
        tally->most_wrong_db = fmax(tally->most_wrong_db, fabs(least_db));
    }
}

static void the_share_of_positions_is_the_simulated_one(void **state)
{
    (void)state;
    struct tally tallies[ROOMS_MAX + 1] = {{.positions = 0}};
    char line[LINE_BYTES];
    FILE *file = fopen(TABLE, "r");
    assert_non_null(file);
    while (fgets(line, sizeof line, file) != NULL) {
        if (line[0] != '#') {
            hold_line(line, tallies);
        }
    }
    fclose(file);
    int rooms = 0;
    for (struct tally *t = tallies; t->positions > 0; t++, rooms++) {
        double predicted_share = (double)t->predicted / t->positions;
        double simulated_share = (double)t->simulated / t->positions;
        char source[96];
        snprintf(source, sizeof source, "%.20s: simulated at %d positions", t->name, t->positions);
        print_message(
            "%s: %.3f predicted, %.3f simulated; %d differ, margins there up to %.2f dB\n", t->name,
            predicted_share, simulated_share, t->differ, t->most_wrong_db);
        assert_true(t->positions >= 128);
        assert_near(predicted_share, simulated_share, 0.05, source);
        assert_true(t->differ <=
                    t->positions / 8); /* nor do the same shares hide other positions */
    }
    assert_true(rooms >= 4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_share_of_positions_is_the_simulated_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
