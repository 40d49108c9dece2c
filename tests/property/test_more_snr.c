/* A better signal leaves more to spare. Where it does not, simulated receivers do worse too: the
 * best taps of an 8-VSB receiver lean the more on its decisions the less noise there is, and while
 * these are wrong that does harm. With the trellis decoder's this is over once it decodes. */
#include "support/near.h"
#include "support/scenarios.h"

#include <math.h>
#include <stdio.h>

#include "base/random.h"
#include "simulation/vsb/chain.h"
#include "study/verdict/verdict.h"
#include "support/effort.h"

#define FALL_DB 0.01

static struct verdict verdict;

/* One to five echoes over up to 90 us, a third of them ahead of the main signal, phases known. */
static struct scenario room(struct random *random, enum pair pair)
{
    struct scenario scenario = scenario_default_of(pair);
    int count = 1 + (int)(6.0 * random_uniform(random) * random_uniform(random));
    double reach_us = 60.0 * pow(random_uniform(random), 2.0);
    for (int i = 0; i < count; i++) {
        struct echo echo = {.delay_us = reach_us * (1.5 * random_uniform(random) - 0.5),
                            .level_db = -1.0 - 12.0 * random_uniform(random),
                            .phase_deg = 360.0 * random_uniform(random)};
        snprintf(scenario.echo_names[i], sizeof scenario.echo_names[i], "%d", i);
        scenario.echoes[scenario.echo_count++] = echo;
    }
    scenario.receiver.snr_db = 20.0;
    return scenario;
}

/* The furthest below what a lower SNR left. */
static double furthest_fall_db(const struct scenario *scenario, enum generation generation)
{
    double best_db = -INFINITY, fall_db = 0.0;
    assert_int_equal(verdict_prepare(scenario, generation, &verdict, NULL), STATUS_OK);
    for (double snr_db = 5.0; snr_db < 44.0; snr_db += 0.75) {
        verdict.conditions.snr_db = snr_db;
        assert_int_equal(verdict_solve(&verdict, NULL), STATUS_OK);
        if (isfinite(verdict.margin_db)) {
            fall_db = fmax(fall_db, best_db - verdict.margin_db);
            best_db = fmax(best_db, verdict.margin_db);
        }
    }
    return fall_db;
}

static void a_better_signal_leaves_more_without_wrong_decisions(void **state)
{
    (void)state;
    static const struct {
        enum pair pair;
        enum generation generation;
        double doppler_hz;
    } asked[] = {{PAIR_ATSC, GENERATION_FIRST, 0.0},
                 {PAIR_ATSC, GENERATION_SECOND, 0.0},
                 {PAIR_ATSC, GENERATION_SECOND, 20.0},
                 {PAIR_DVB, GENERATION_FIRST, 0.0},
                 {PAIR_DVB, GENERATION_SECOND, 0.0}};
    struct random random = random_seeded(77, 0);
    for (size_t i = 0; i < effort(8, 40, 200); i++) {
        for (size_t k = 0; k < sizeof asked / sizeof asked[0]; k++) {
            struct scenario scenario = room(&random, asked[k].pair);
            scenario.first.feedback = FEEDBACK_ERROR_FREE;
            scenario.receiver.positions = 8;
            scenario.echoes[0].doppler_hz = asked[k].doppler_hz;
            double fall_db = furthest_fall_db(&scenario, asked[k].generation);
            assert_near(fall_db, 0.0, FALL_DB, "what a lower SNR left");
        }
    }
}

/* Of a field's bytes, behind one echo; -1: the test fails. */
static double wrong_bytes(const struct echo *echo, enum vsb_feedback feedback, double snr_db)
{
    struct vsb_receiver_setup setup = {.snr_db = snr_db,
                                       .spans = vsb_equaliser_spans(29.5, 38.5),
                                       .feedback = feedback,
                                       .tracking_hz = 1e6};
    channel_start(&setup.channel, 189e6);
    assert_true(channel_add(&setup.channel, echo, "echo"));
    struct vsb_worker *worker = vsb_worker_create(&setup);
    assert_non_null(worker);
    struct vsb_outcome outcome = vsb_send(worker, snr_db, 13, 0);
    vsb_worker_free(worker);
    assert_int_equal(outcome.status, STATUS_OK);
    return outcome.byte_errors / (VSB_UNIT_SEGMENTS * 207.0);
}

static void simulated_receivers_that_fail_do_worse_with_a_better_signal(void **state)
{
    (void)state;
    const struct echo strong = {.delay_us = -20.0, .level_db = -6.0};
    double before = wrong_bytes(&strong, FEEDBACK_TRELLIS, 18.0);
    assert_true(wrong_bytes(&strong, FEEDBACK_TRELLIS, 20.0) > before + 0.3);
    assert_true(wrong_bytes(&strong, FEEDBACK_TRELLIS, 22.0) > before + 0.1);
    assert_near(wrong_bytes(&strong, FEEDBACK_TRELLIS, 25.0), 0.0, 1e-4, "it decodes again");
    /* By the nearest level one that decodes fails again. */
    const struct echo weak = {.delay_us = -18.58, .level_db = -9.3, .phase_deg = 107.0};
    assert_between(wrong_bytes(&weak, FEEDBACK_SLICER, 20.0), 0.0, 0.02, "ten of 207 are mended");
    assert_between(wrong_bytes(&weak, FEEDBACK_SLICER, 25.0), 0.3, 1.0, "hardly any segment is");
    /* By the trellis decoder it does not. */
    for (double snr_db = 20.0; snr_db < 31.0; snr_db += 2.0) {
        assert_between(wrong_bytes(&weak, FEEDBACK_TRELLIS, snr_db), 0.0, 1e-3, "it decodes");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_better_signal_leaves_more_without_wrong_decisions),
        cmocka_unit_test(simulated_receivers_that_fail_do_worse_with_a_better_signal),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
