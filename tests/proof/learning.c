/* Measures what taps that learn leave while rays turn, by the simulated 8-VSB receiver with
 * feedback free of errors, for physics/vsb/learning.h to be held against it
 * (tests/simulation/vsb/receiver/ test_table.c). A line a case: its name, reach both ways, SNR,
 * step and common turn, then the SNR of the data behind the equaliser over the last of some turns,
 * then delay, level, phase and Doppler of each ray but the main one. `make receiver` runs it, some
 * minutes; receiver-table.txt beside this file holds what it printed. Usage:
 *
 *     learning [fresh [FIRST [LAST]]]
 *
 * With `fresh` the motions are those of fresh.h (fresh-table.txt). */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "base/units.h"
#include "proof/fresh.h"
#include "simulation/vsb/receiver/receiver.h"
#include "standard/vsb/signal.h"

#define SEED 13
#define TURNS 4                  /* at least */
#define FRESH_SYMBOLS_LEAST 20e6 /* four time constants of the slowest taps, and a turn */

static const struct moving {
    const char *name;
    double reach_us, snr_db, step, turn_hz; /* all rays turn whole turns once in 1 / turn_hz */
    int count;
    struct echo echoes[5];
} cases[] = {
    {"at rest", 12.0, 20.0, 0.05, 20.0, 1, {{5.03, -10.0, 0.0, 0.0}}},
    {"at rest", 12.0, 20.0, 0.2, 20.0, 1, {{5.03, -10.0, 0.0, 0.0}}},
    {"one echo", 12.0, 20.0, 0.05, 20.0, 1, {{5.03, -10.0, 0.0, 20.0}}},
    {"one echo", 12.0, 20.0, 0.1, 40.0, 1, {{5.03, -10.0, 0.0, 40.0}}},
    {"one echo", 12.0, 18.0, 0.2, 90.0, 1, {{5.03, -10.0, 0.0, 90.0}}},
    {"one echo", 8.0, 20.0, 0.1, 40.0, 1, {{2.03, -4.0, 0.0, 40.0}}},
    {"one echo", 12.0, 20.0, 0.1, 8.0, 1, {{10.0, -3.0, 0.0, 8.0}}},
    {"one echo", 8.0, 20.0, 0.1, 8.0, 1, {{0.3, -3.0, 0.0, 8.0}}},
    {"one early echo", 12.0, 18.0, 0.1, 20.0, 1, {{-3.0, -6.0, 0.0, 20.0}}},
    {"two echoes", 8.0, 20.0, 0.1, 10.0, 2, {{0.2, -4.0, 0.0, 10.0}, {1.5, -6.0, 30.0, 20.0}}},
    {"opposed", 12.0, 16.0, 0.1, 10.0, 2, {{-3.0, -6.0, 0.0, 10.0}, {4.0, -6.0, 90.0, -10.0}}},
    {"slow echo", 34.0, 20.0, 0.05, 5.0, 1, {{5.03, -10.0, 0.0, 5.0}}},
    {"one echo", 34.0, 20.0, 0.05, 20.0, 1, {{5.03, -10.0, 0.0, 20.0}}},
    {"strong slow", 34.0, 20.0, 0.05, 2.0, 1, {{10.03, -3.0, 0.0, 2.0}}},
    {"weak and fast", 12.0, 22.0, 0.1, 60.0, 1, {{5.03, -16.0, 0.0, 60.0}}},
    {"as one", 12.0, 20.0, 0.1, 20.0, 2, {{2.03, -9.0, 0.0, 20.0}, {6.03, -11.0, 0.0, 20.0}}},
    {"three speeds",
     12.0,
     20.0,
     0.1,
     6.0,
     3,
     {{1.03, -9.0, 0.0, 6.0}, {4.13, -11.0, 90.0, -12.0}, {7.03, -14.0, 200.0, 18.0}}},
    {"one stands",
     20.0,
     18.0,
     0.2,
     15.0,
     3,
     {{-2.03, -9.0, 40.0, 15.0}, {3.13, -6.0, 120.0, 0.0}, {12.03, -10.0, 0.0, -30.0}}},
    {"city",
     12.0,
     22.0,
     0.2,
     5.0,
     5,
     {{-0.2, -8.0, 10.0, 5.0},
      {0.3, -6.0, 70.0, -5.0},
      {1.4, -9.0, 220.0, 10.0},
      {2.1, -11.0, 0.0, 0.0},
      {4.8, -13.0, 130.0, -10.0}}},
    {"room",
     12.0,
     20.0,
     0.2,
     4.4,
     5,
     {{0.028, -3.0, 200.0, 0.0},
      {0.061, -5.0, 95.0, 4.4},
      {0.11, -4.0, 310.0, 0.0},
      {0.17, -8.0, 30.0, -8.8},
      {0.42, -6.0, 150.0, 0.0}}},
};

/* SNR of an output against what was sent. */
static double snr_db(const float *output, const float *sent, long from, long to)
{
    double cross = 0.0, power = 0.0, out = 0.0;
    for (long n = from; n < to; n++) {
        cross += (double)output[n] * sent[n];
        power += (double)sent[n] * sent[n];
        out += (double)output[n] * output[n];
    }
    double useful = cross * cross / power;
    return db_from_ratio(useful / (out - useful));
}

/* The SNR over the last of some turns, or NAN. */
static double measure(const struct vsb_receiver_setup *setup, long turn, int turns, uint64_t number)
{
    long count = turns * turn;
    struct vsb_receiver *receiver = vsb_receiver_create(setup, count);
    float *sent = malloc((size_t)count * sizeof *sent);
    float *output = malloc((size_t)count * sizeof *output);
    struct random random = random_seeded(SEED, number);
    double result_db = NAN;
    bool all = receiver && sent && output;
    for (long n = 0; all && n < count; n++) {
        sent[n] = 2.0f * (float)(random_bits(&random) >> 61) - 7.0f;
    }
    if (all && vsb_receiver_run(receiver, 0, &random, sent, output, 0, NULL) == STATUS_OK) {
        result_db = snr_db(output, sent, count - turn, count - 1000);
    }
    free(sent);
    free(output);
    vsb_receiver_free(receiver);
    return result_db;
}

/* False: the run failed. */
static bool tell(const struct moving *m, int turns, uint64_t number)
{
    struct vsb_receiver_setup setup = {.snr_db = m->snr_db,
                                       .spans = vsb_equaliser_spans(m->reach_us, m->reach_us),
                                       .feedback = FEEDBACK_ERROR_FREE,
                                       .step = m->step,
                                       .tracking_hz = 1e6};
    channel_start(&setup.channel, 189e6);
    for (int ray = 0; ray < m->count; ray++) {
        channel_add(&setup.channel, &m->echoes[ray], "echo");
    }
    double left_db = measure(&setup, lround(vsb_symbol_rate_hz() / m->turn_hz), turns, number);
    printf("learning %-15s %4g %4g %5g %4g | %6.2f |", m->name, m->reach_us, m->snr_db, m->step,
           m->turn_hz, left_db);
    for (int ray = 0; ray < m->count; ray++) {
        const struct echo *echo = &m->echoes[ray];
        printf(" %g %g %g %g", echo->delay_us, echo->level_db, echo->phase_deg, echo->doppler_hz);
    }
    printf("\n");
    fflush(stdout);
    return !isnan(left_db);
}

static bool tell_fresh(int first, int last)
{
    for (int i = first; i <= last && i < FRESH_MOTIONS; i++) {
        struct fresh fresh = fresh_motion(i);
        struct moving m = {.name = "fresh",
                           .reach_us = fresh.reach_us,
                           .snr_db = fresh.snr_db,
                           .step = fresh.step,
                           .turn_hz = fresh.turn_hz,
                           .count = fresh.count};
        memcpy(m.echoes, fresh.echoes, sizeof fresh.echoes);
        double turns = ceil(FRESH_SYMBOLS_LEAST / vsb_symbol_rate_hz() * m.turn_hz);
        if (!tell(&m, turns < TURNS ? TURNS : (int)turns, (uint64_t)i)) {
            return false;
        }
    }
    return true;
}

static bool tell_all(void)
{
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        if (!tell(&cases[i], TURNS, i)) {
            return false;
        }
    }
    return true;
}

int main(int argc, char **argv)
{
    int first = 0, last = FRESH_MOTIONS;
    bool fresh = argc > 1 && argc <= 4 && strcmp(argv[1], "fresh") == 0;
    if (argc > 1 && !(fresh && (argc < 3 || number_read_int(argv[2], &first)) &&
                      (argc < 4 || number_read_int(argv[3], &last)))) {
        fprintf(stderr, "usage: learning [fresh [FIRST [LAST]]]\n");
        return 2;
    }
    if (!(fresh ? tell_fresh(first, last) : tell_all())) {
        fprintf(stderr, "learning: a run failed\n");
        return 1;
    }
    return 0;
}
