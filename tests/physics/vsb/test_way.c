#include "physics/vsb/way.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "physics/vsb/adaptation.h"
#include "physics/vsb/echo.h"
#include "support/near.h"

/* Fresh room 3 (tests/proof/fresh.h): its receiver, which learns with a step of 0.2, decodes at no
 * SNR, for it comes from a place that it did not bear. */
static const struct echo room_3[] = {{0.087, -8.4, 224.0, 2.2},
                                     {0.291, -4.2, 14.0, 1.1},
                                     {0.399, -5.7, 187.0, 0.0},
                                     {0.028, -5.4, 213.0, -0.39}};

static struct vsb_echo_result solve(double step, bool moves, enum vsb_feedback feedback)
{
    static const char *const names[] = {"a", "b", "c", "d"};
    const struct first_receiver receiver = {.threshold_db = 14.9,
                                            .equaliser_before_us = 20.0,
                                            .equaliser_after_us = 20.0,
                                            .tracking_hz = 100.0,
                                            .adaptation_step = step,
                                            .feedback = feedback};
    struct channel channel;
    struct vsb_echo_result result;
    channel_start(&channel, 189e6);
    for (int i = 0; i < 4; i++) {
        struct echo ray = room_3[i];
        ray.doppler_hz = moves ? ray.doppler_hz : 0.0;
        assert_true(channel_add(&channel, &ray, names[i]));
    }
    assert_int_equal(vsb_echo_solve(&channel, 28.0, &receiver, &result), STATUS_OK);
    return result;
}

static void what_was_lost_on_the_way_is_lost(void **state)
{
    (void)state;
    struct vsb_echo_result lost = solve(0.2, true, FEEDBACK_TRELLIS);
    assert_true(lost.diverges && lost.margin_db < -1.0);
    assert_near(lost.output_snr_db,
                lost.static_snr_db - lost.decision_loss_db - lost.adaptation_loss_db -
                    lost.lag_loss_db,
                1e-9, "the account's sum");
    /* Not where nothing moves, nor where taps follow ideally or learn from what was sent. */
    assert_true(solve(0.2, false, FEEDBACK_TRELLIS).margin_db > 5.0);
    assert_true(solve(0.0, true, FEEDBACK_TRELLIS).margin_db > 5.0);
    assert_true(solve(0.2, true, FEEDBACK_ERROR_FREE).margin_db > 5.0);
}

/* Taps some way off the best ones. */
static float *taps_off(struct curve *curve)
{
    double error;
    float *taps = calloc((size_t)curve->inputs + CURVE_PLACES, sizeof *taps);
    assert_non_null(taps);
    assert_int_equal(curve_best(curve, taps, &error), STATUS_OK);
    for (int i = 0; i < curve->inputs; i++) {
        taps[i] += 0.02f * (float)sin(0.7 * i) * (float)(i % 5 == 0);
    }
    return taps;
}

/* The sum of products of the error's parts `lag` symbols apart, one by one. */
static double goes_on(struct curve *curve, const float *taps, double gain, int lag)
{
    double sum = 0.0;
    curve_error(curve, taps); /* leaves the residual symbols */
    curve->symbols[-curve->first_symbol] -= (float)gain;
    for (int i = 0; i + lag < curve->symbol_count; i++) {
        sum += (double)curve->symbols[i] * curve->symbols[i + lag];
    }
    for (int i = 0; i + lag < curve->forward; i++) {
        sum += curve->learning->noise * taps[i] * taps[i + lag];
    }
    return sum;
}

/* One of them turns. */
static struct vsb_learning behind_two_echoes(void)
{
    static const struct echo echoes[] = {{1.3, -5.0, 40.0, 2.0}, {0.4, -8.0, 300.0, 0.0}};
    const struct vsb_equaliser_spans spans = vsb_equaliser_spans(6.0, 6.0);
    return (struct vsb_learning){.echoes = echoes,
                                 .count = 2,
                                 .noise = 0.02,
                                 .spans = spans,
                                 .mu = vsb_adaptation_mu(0.05, 1.5, 0.02, spans),
                                 .step = 0.05,
                                 .feedback = FEEDBACK_TRELLIS};
}

/* Those taps of gain 1, leaning as doubts let the best ones lean. */
static float *taps_leaning(struct curve *curve, const float *taps)
{
    float *leaning = calloc((size_t)curve->inputs + CURVE_PLACES, sizeof *leaning);
    assert_int_equal(curve_doubt(curve, vsb_decision_survivors_doubt, leaning), STATUS_OK);
    float gain = (float)curve_gain(curve, taps);
    for (int i = 0; i < curve->inputs; i++) {
        leaning[i] += taps[i] / gain;
    }
    return leaning;
}

static void wrong_decisions_meet_the_error_that_goes_on(void **state)
{
    (void)state;
    const struct vsb_learning learning = behind_two_echoes();
    struct curve curve;
    struct vsb_room room = {.arrays = {{0}}};
    struct vsb_decision_costs met, alone, best;
    assert_int_equal(curve_make(&learning, &curve), STATUS_OK);
    curve_set(&curve, 1000.0);
    float *taps = taps_off(&curve), *leaning = taps_leaning(&curve, taps);
    double gain = curve_gain(&curve, taps), x = 0.0, energy = 0.0, backward[256];
    double less =
        (curve_error(&curve, leaning) - 1.0) / (curve_error(&curve, taps) / (gain * gain) - 1.0);
    double all = goes_on(&curve, leaning, 1.0, 0);
    for (int j = 0; j < curve.spans.feedback; j++) {
        backward[j] = leaning[curve.forward + j];
        x -= backward[j] * goes_on(&curve, leaning, 1.0, j + 1) / all;
        energy += backward[j] * backward[j];
    }
    assert_int_equal(way_costs(&curve, taps, NULL, &room, &met), STATUS_OK);
    const struct vsb_pace pace = {learning.step, learning.mu};
    assert_int_equal(vsb_decision_costs(FEEDBACK_TRELLIS, backward, curve.spans.feedback, NULL,
                                        pace, &room, &alone),
                     STATUS_OK);
    assert_int_equal(way_costs(&curve, taps, taps, &room, &best), STATUS_OK);
    assert_near(best.loss_db, alone.loss_db + db_from_ratio(less), 1e-3,
                "of the best ones it is in the model at rest");
    assert_true(fabs(met.loss_db - best.loss_db) > 0.03);
    assert_near(met.loss_db - best.loss_db, 1.4 * x / energy * alone.loss_db, 1e-3,
                "sums one by one");
    free(leaning);
    free(taps);
    curve_free(&curve);
    vsb_room_free(&room);
}

/* Taps ever further off, each looked at; all are judged where teaching may cost anything. */
static void looks_that_are_not_judged_are_of_no_consequence(void **state)
{
    (void)state;
    const struct vsb_learning learning = behind_two_echoes();
    struct curve curve;
    struct vsb_room room = {.arrays = {{0}}};
    int matter = 0, spared = 0;
    assert_int_equal(curve_make(&learning, &curve), STATUS_OK);
    curve_set(&curve, 0.0);
    float *taps = taps_off(&curve);
    for (int worse = 0; worse < 24; worse++) {
        struct way way = {.count = 0};
        assert_int_equal(way_make(&way, &curve), STATUS_OK);
        for (int i = -WAY_LOOKS; i <= 0; i++) {
            taps[7 * (i + WAY_LOOKS)] += 0.02f * (float)worse;
            way_look(&way, &curve, 3e4 * i, taps);
            taps[7 * (i + WAY_LOOKS)] -= 0.02f * (float)worse;
        }
        for (double loss_db = 1.0; loss_db < 4.0; loss_db += 0.25) {
            const struct vsb_decision_costs some = {loss_db, 0.0}, any = {loss_db, INFINITY};
            double held_db, all_db;
            assert_int_equal(way_held_db(&way, &curve, 16.0, &some, &room, &held_db), STATUS_OK);
            for (int i = 0; i < way.count; i++) {
                spared += !way.looks[i].judged;
            }
            assert_int_equal(way_held_db(&way, &curve, 16.0, &any, &room, &all_db), STATUS_OK);
            double left_db = 16.0 - loss_db;
            assert_near(fmin(held_db, left_db), fmin(all_db, left_db), 0.0, "all judged");
            matter += all_db < left_db;
            for (int i = 0; i < way.count; i++) {
                way.looks[i].judged = false;
            }
        }
        way_free(&way);
    }
    assert_true(matter > 20 && spared > 200);
    free(taps);
    curve_free(&curve);
    vsb_room_free(&room);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_was_lost_on_the_way_is_lost),
        cmocka_unit_test(wrong_decisions_meet_the_error_that_goes_on),
        cmocka_unit_test(looks_that_are_not_judged_are_of_no_consequence),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
