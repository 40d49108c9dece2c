/* What wrong decisions of the trellis decoder's survivors cost, by symbols alone, in rooms that are
 * drawn: what physics/vsb/survivors.c is made from. A line a room: its number, the SNR that a
 * segment error rate of 1.93e-4 asks for and its standard error, and what the taps taken there
 * leave while no decision is wrong, of the data. That less SURVIVORS_NEEDED_DB is the loss. Many
 * rooms that lose little by the model at hand are passed over. `make survivors` runs all of them;
 * survivors-table.txt beside this file is what it printed.
 *
 * Behind `looks` prints what the model sees of each room in that table, and of those at rest in the
 * tables of the whole receiver: where it is from (0 the first, 1 the second, 2 those of them that
 * were not drawn and do not learn in a room), whether it is held back from the fit, loss and its
 * standard error, the guess and what corrects it. `make survivors-fit` makes the model's numbers of
 * that (fit-survivors). Usage:
 *
 *     survivors [FIRST [LAST]]
 *     survivors looks */
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "base/random.h"
#include "base/units.h"
#include "physics/vsb/echo.h"
#include "proof/search.h"
#include "proof/survivors.h"
#include "simulation/vsb/chain.h"

#define SEED 17

struct trial {
    struct survivors_room room;
    struct vsb_room *work;
    struct vsb_equaliser taps;
    struct vsb_receiver_setup setup;
    struct vsb_worker *worker; /* for this SNR */
    double snr_db;
};

static void stop_unless(bool good)
{
    if (!good) {
        fprintf(stderr, "survivors: a run failed\n");
        exit(1);
    }
}

static void take_taps(struct trial *trial, double snr_db)
{
    struct vsb_ideal ideal;
    stop_unless(survivors_taps(&trial->room, snr_db, trial->work, &ideal) == STATUS_OK);
    trial->taps =
        (struct vsb_equaliser){.backward = ideal.backward, .trusting_snr = ideal.taken_snr};
    trial->setup = (struct vsb_receiver_setup){.spans.feedback = trial->room.spans.feedback,
                                               .feedback = FEEDBACK_TRELLIS,
                                               .behind = &trial->taps};
    vsb_worker_free(trial->worker);
    trial->worker = vsb_worker_create(&trial->setup);
    stop_unless(trial->worker != NULL);
    trial->snr_db = snr_db;
}

static struct search_counts send_fields(void *context, double snr_db, int from, int count)
{
    struct trial *trial = context;
    struct search_counts counts = {.fields = count};
    if (trial->worker == NULL || snr_db != trial->snr_db) {
        take_taps(trial, snr_db);
    }
    for (int i = 0; i < count; i++) {
        struct vsb_outcome outcome =
            vsb_send(trial->worker, 0.0, run_seed_of_snr(SEED, snr_db), (uint64_t)(from + i));
        counts.fallen += outcome.segment_errors > 0;
        counts.lost += outcome.segment_errors;
    }
    return counts;
}

/* The SNR at which the model at hand puts the threshold. */
static double guess_db(const struct survivors_room *room, struct vsb_room *work)
{
    double low_db = 14.0, high_db = SEARCH_MOST_DB;
    while (high_db - low_db > 0.05) {
        double middle_db = 0.5 * (low_db + high_db), loss_db = INFINITY;
        struct vsb_ideal ideal;
        if (survivors_taps(room, middle_db, work, &ideal) == STATUS_OK) {
            (void)survivors_loss(ideal.backward, room->spans.feedback, work, &loss_db);
        }
        bool enough = db_from_ratio(ideal.taken_snr) - loss_db >= SURVIVORS_NEEDED_DB;
        *(enough ? &high_db : &low_db) = middle_db;
    }
    return high_db;
}

static void measure(int number)
{
    struct vsb_room work = {0};
    struct trial trial = {.room = survivors_room(number), .work = &work};
    struct search search = {.send = send_fields, .context = &trial, .segments = VSB_UNIT_SEGMENTS};
    struct vsb_ideal ideal;
    double from_db = guess_db(&trial.room, &work), error_db, loss_db = 0.0;
    if (survivors_taps(&trial.room, from_db, &work, &ideal) == STATUS_OK) {
        (void)survivors_loss(ideal.backward, trial.room.spans.feedback, &work, &loss_db);
    }
    if (loss_db > survivors_least_db(number)) {
        double snr_db = search_threshold(&search, from_db, &error_db);
        if (isfinite(snr_db) && survivors_taps(&trial.room, snr_db, &work, &ideal) == STATUS_OK) {
            printf("%5d  %6.3f %.3f  %6.3f\n", number, snr_db, error_db,
                   db_from_ratio(ideal.taken_snr));
            fflush(stdout);
        }
    }
    vsb_worker_free(trial.worker);
    vsb_room_free(&work);
}

#define LINE_BYTES 1024
#define LEARNER_NUMBERS 29 /* where they begin in its line */

/* What the model sees of the taps taken; `held`: not for the fit. */
static void print_look(int whole, bool held, double loss_db, double error_db,
                       const struct survivors_look *look)
{
    printf("%d %d %.4f %.3f %.5f", whole, held, loss_db, error_db, look->guess_db);
    for (int i = 0; i < SURVIVORS_INPUTS; i++) {
        printf(" %.6g", look->values[i]);
    }
    printf("\n");
}

static bool look_at(const struct survivors_room *room, double snr_db, struct vsb_room *work,
                    struct vsb_ideal *ideal, struct survivors_look *look)
{
    return survivors_taps(room, snr_db, work, ideal) == STATUS_OK &&
           survivors_look(ideal->backward, room->spans.feedback, work, look) == STATUS_OK;
}

static void look_at_drawn(const char *line, struct vsb_room *work)
{
    int number;
    double snr_db, error_db;
    if (sscanf(line, "%d %lf %lf", &number, &snr_db, &error_db) == 3) {
        struct survivors_room room = survivors_room(number);
        struct vsb_ideal ideal;
        struct survivors_look look;
        if (look_at(&room, snr_db, work, &ideal, &look)) {
            print_look(0, survivors_unseen(number),
                       db_from_ratio(ideal.taken_snr) - SURVIVORS_NEEDED_DB, error_db, &look);
        }
    }
}

#define ASTRAY_FROM_DB 2.6 /* of loss: hardly more leads taps astray that learn (decision.c) */

/* The loss that makes the margin 0 in which the whole receiver is at its threshold. NAN where taps
 * that learn lose more than their feedback does. */
static double settled_loss_db(const struct channel *channel, const struct first_receiver *receiver,
                              double snr_db, const struct vsb_ideal *ideal)
{
    struct vsb_echo_result result;
    if (vsb_echo_solve(channel, snr_db, receiver, &result) != STATUS_OK) {
        return NAN;
    }
    double loss_db =
        result.decision_loss_db - db_from_ratio(ideal->snr / ideal->taken_snr) + result.margin_db;
    return receiver->adaptation_step > 0.0 && loss_db > ASTRAY_FROM_DB ? NAN : loss_db;
}

/* Rays that stand, none stronger than the main one. */
static bool read_room(const char *text, struct channel *channel, struct survivors_room *room)
{
    struct echo echo;
    int used = 0;
    channel_start(channel, 189e6);
    for (; sscanf(text, "%lf %lf %lf %lf%n", &echo.delay_us, &echo.level_db, &echo.phase_deg,
                  &echo.doppler_hz, &used) == 4;
         text += used) {
        if (echo.level_db > 0.0 || echo.doppler_hz != 0.0) {
            return false;
        }
        channel_add(channel, &echo, "ray");
    }
    survivors_place(channel, room);
    return true;
}

/* A line of the whole receiver's tables. */
static void look_at_settled(const char *line, struct vsb_room *work)
{
    struct first_receiver receiver = {.threshold_db = SURVIVORS_NEEDED_DB + vsb_pilot_db(),
                                      .equaliser_before_us = 29.5,
                                      .equaliser_after_us = 38.5,
                                      .tracking_hz = 1000.0};
    const char *snrs = strchr(line, '|'), *rays = snrs != NULL ? strchr(snrs + 1, '|') : NULL;
    double snr_db, error_db;
    struct channel channel;
    struct survivors_room room;
    struct vsb_ideal ideal;
    struct survivors_look look;
    bool learns = strncmp(line, "learns", 6) == 0;
    if (rays == NULL || strncmp(line, "learning", 8) == 0 || strncmp(line, "fresh", 5) == 0 ||
        sscanf(snrs + 1, "%*s %*s %lf %lf", &snr_db, &error_db) != 2 ||
        !read_room(rays + 1, &channel, &room) ||
        (learns && sscanf(line + LEARNER_NUMBERS, "%lf %lf", &receiver.equaliser_before_us,
                          &receiver.adaptation_step) != 2)) {
        return;
    }
    if (learns) {
        receiver.equaliser_after_us = receiver.equaliser_before_us;
    }
    room.spans = vsb_equaliser_spans(receiver.equaliser_before_us, receiver.equaliser_after_us);
    if (look_at(&room, snr_db, work, &ideal, &look)) {
        double loss_db = settled_loss_db(&channel, &receiver, snr_db, &ideal);
        if (isfinite(loss_db)) {
            bool named = strncmp(line, "random", 6) != 0 && strstr(line, " room ") == NULL;
            print_look(named ? 2 : 1, strncmp(line, "learns last", 11) == 0, loss_db, error_db,
                       &look);
        }
    }
}

static void look_at_all(const char *table, void (*look)(const char *line, struct vsb_room *work))
{
    char line[LINE_BYTES];
    struct vsb_room work = {0};
    FILE *file = fopen(table, "r");
    stop_unless(file != NULL);
    while (fgets(line, sizeof line, file) != NULL) {
        if (line[0] != '#') {
            look(line, &work);
        }
    }
    fclose(file);
    vsb_room_free(&work);
}

int main(int count, char **arguments)
{
    int first = 0, last = SURVIVORS_ROOMS - 1;
    if (count == 2 && strcmp(arguments[1], "looks") == 0) {
        look_at_all("tests/proof/survivors-table.txt", look_at_drawn);
        look_at_all("tests/proof/receiver-table.txt", look_at_settled);
        look_at_all("tests/proof/fresh-table.txt", look_at_settled);
        look_at_all("tests/proof/learner-table.txt", look_at_settled);
        return 0;
    }
    if (count > 3 || (count > 1 && !number_read_int(arguments[1], &first)) ||
        (count > 2 && !number_read_int(arguments[2], &last))) {
        fprintf(stderr, "usage: survivors [FIRST [LAST]] | looks\n");
        return 2;
    }
    for (int i = first; i <= last && i < SURVIVORS_ROOMS; i++) {
        measure(i);
    }
    return 0;
}
