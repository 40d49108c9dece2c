#include "support/near.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "simulation/interval.h"
#include "simulation/vsb/chain.h"
#include "simulation/vsb/line.h"
#include "simulation/vsb/trellis.h"
#include "standard/vsb/signal.h"

#define PILOT_POWER (VSB_PILOT_LEVEL * VSB_PILOT_LEVEL)

static const struct echo three_equal[] = {{1.0, 0.0, 0.0, 0.0}, {2.0, 0.0, 0.0, 0.0}};
static const struct echo late[] = {{6.0, -5.0, 70.0, 0.0}, {60.0, -20.0, 10.0, 0.0}};
static const struct echo early[] = {{-3.1, -6.0, 70.0, 0.0}, {0.09, -4.0, 130.0, 0.0}};

static const struct {
    const struct echo *echoes;
    int count;
} sets[] = {{NULL, 0}, {three_equal, 2}, {late, 2}, {early, 2}};
#define SETS (sizeof sets / sizeof sets[0])

static struct vsb_line *make_line(size_t set, double snr_db)
{
    const struct vsb_line_setup setup = {.echoes = sets[set].echoes,
                                         .count = sets[set].count,
                                         .symbol_power = VSB_LEVEL_POWER,
                                         .pilot_power = PILOT_POWER,
                                         .snr_db = snr_db,
                                         .spans = vsb_equaliser_spans(12.0, 12.0)};
    struct vsb_line *line;
    assert_int_equal(vsb_line_create(&setup, &line), STATUS_OK);
    return line;
}

/* Spread of an SNR measured over n symbols: 10 / ln 10 sqrt(2 / n), 0.02 dB here. */
static void the_line_leaves_the_snr_that_it_promises(void **state)
{
    (void)state;
    const long count = 100000, edge = 2000;
    double *sent = malloc(sizeof *sent * (size_t)count);
    double *received = malloc(sizeof *received * (size_t)count);
    assert_true(sent && received);
    for (size_t set = 0; set < SETS; set++) {
        struct vsb_line *line = make_line(set, 20.0);
        double *room = malloc(sizeof *room * vsb_line_room(line, count));
        assert_non_null(room);
        struct random random = random_seeded(9, set);
        for (long n = 0; n < count; n++) {
            sent[n] = 2.0 * (double)(random_bits(&random) >> 61) - 7.0;
        }
        vsb_line_send(line, sent, count, &random, room, received);
        double error = 0.0;
        for (long n = edge; n < count - edge; n++) {
            error += (received[n] - sent[n]) * (received[n] - sent[n]);
        }
        error /= (double)(count - 2 * edge);
        assert_near(db_from_ratio((VSB_LEVEL_POWER + PILOT_POWER) / error),
                    vsb_line_output_snr_db(line), 0.1, "five times the spread");
        free(room);
        vsb_line_free(line);
    }
    free(sent);
    free(received);
}

/* The SNR at which the equaliser's output is `output_db`. */
static double input_for(size_t set, double output_db)
{
    double low = output_db - 1.0, high = output_db + 15.0;
    for (int i = 0; i < 20; i++) {
        double middle = 0.5 * (low + high);
        struct vsb_line *line = make_line(set, middle);
        if (vsb_line_output_snr_db(line) < output_db) {
            low = middle;
        } else {
            high = middle;
        }
        vsb_line_free(line);
    }
    return high;
}

static struct interval segment_error_rate(size_t set, double snr_db, long units)
{
    struct vsb_line *line = make_line(set, snr_db);
    struct vsb_worker *worker = vsb_worker_create_on(line);
    assert_non_null(worker);
    long errors = 0;
    for (long unit = 0; unit < units; unit++) {
        errors += vsb_send(worker, snr_db, 5, (uint64_t)unit).segment_errors;
    }
    vsb_worker_free(worker);
    vsb_line_free(line);
    return interval_of_rate(errors, units * VSB_UNIT_SEGMENTS, 0.999);
}

/* An output of 14.9 dB is the threshold whatever the echoes were, also where what is left of them
 * is not Gaussian: errors abound 0.6 dB below (white noise: 4e-2), hardly any stay 0.3 dB above
 * (1e-5; three fields without an error bound the rate by 8e-3). */
static void the_threshold_at_the_equaliser_s_output_is_that_of_white_noise(void **state)
{
    (void)state;
    for (size_t set = 1; set < SETS; set++) {
        double threshold_db = input_for(set, 14.9);
        assert_between(segment_error_rate(set, threshold_db - 0.6, 1).low, 1.93e-4, 1.0,
                       "ATSC A/54A, 14.9 dB");
        assert_between(segment_error_rate(set, threshold_db + 0.3, 3).high, 0.0, 1.2e-2,
                       "ATSC A/54A, 14.9 dB");
    }
}

static void echoes_that_cancel_are_refused(void **state)
{
    (void)state;
    const struct echo opposite = {0.0, 0.0, 180.0, 0.0}, loud = {1.0, 50.0, 0.0, 0.0};
    struct vsb_line_setup setup = {.echoes = &opposite,
                                   .count = 1,
                                   .symbol_power = 1.0,
                                   .snr_db = 20.0,
                                   .spans = vsb_equaliser_spans(5.0, 5.0)};
    struct vsb_line *line;
    assert_int_equal(vsb_line_create(&setup, &line), STATUS_NO_SOLUTION);
    assert_null(line);
    setup.echoes = &loud;
    assert_int_equal(vsb_line_create(&setup, &line), STATUS_OUT_OF_RANGE);
    assert_null(line);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_line_leaves_the_snr_that_it_promises),
        cmocka_unit_test(the_threshold_at_the_equaliser_s_output_is_that_of_white_noise),
        cmocka_unit_test(echoes_that_cancel_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
