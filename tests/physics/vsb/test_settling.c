/* Implicit steps of the learning curve: the taps found are held against the curve's own slope, and
 * the loops for wide registers against their plain twins, compiled here under other names. */
#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "base/units.h"
#include "physics/vsb/settling.h"
#include "standard/vsb/signal.h"

#undef __x86_64__
#define settling_make plain_settling_make
#define settling_free plain_settling_free
#define settling_find plain_settling_find
enum status plain_settling_make(const struct curve *curve, struct settling *settling);
void plain_settling_free(struct settling *settling);
void plain_settling_find(struct curve *curve, struct settling *settling, double reach,
                         const float *from, float *taps);
#include "physics/vsb/settling.c"
#undef settling_make
#undef settling_free
#undef settling_find

static void one_tap_gives_the_worked_number(void **state)
{
    (void)state;
    const struct vsb_learning learning = {.noise = 0.1, .spans = {0, 0, 0}, .mu = 1e-4};
    struct curve curve;
    struct settling settling;
    float taps[1 + CURVE_PLACES] = {0.0f};
    assert_int_equal(curve_make(&learning, &curve), STATUS_OK);
    assert_int_equal(settling_make(&curve, &settling), STATUS_OK);
    curve_set(&curve, 0.0);
    settling_find(&curve, &settling, 2.0, taps, taps);
    assert_near((double)taps[0], 0.625, 1e-6, "worked number");
    settling_free(&settling);
    curve_free(&curve);
}

/* slope = p - R taps by the definition: what is left of each symbol, put back where it came from.
 */
static void slope_of(const struct curve *c, const float *taps, double *slope)
{
    for (int i = 0; i < c->forward; i++) {
        slope[i] = -c->learning->noise * (double)taps[i];
    }
    for (int k = c->first_symbol; k < c->first_symbol + c->symbol_count; k++) {
        bool fed_back = k >= 1 && k <= c->spans.feedback;
        double left = k == 0 ? -1.0 : fed_back ? -(double)taps[c->forward + k - 1] : 0.0;
        for (int t = 0; t < c->tap_count; t++) {
            int i = c->spans.later + k - c->at[t];
            left += i >= 0 && i < c->forward ? (double)c->channel[t] * (double)taps[i] : 0.0;
        }
        for (int t = 0; t < c->tap_count; t++) {
            int i = c->spans.later + k - c->at[t];
            if (i >= 0 && i < c->forward) {
                slope[i] -= (double)c->channel[t] * left;
            }
        }
        if (fed_back) {
            slope[c->forward + k - 1] = left;
        }
    }
}

/* How far taps = from + reach * slope(taps) is off, over what the step moves. */
static double off_of(const struct vsb_learning *learning, double reach, struct random *random)
{
    struct curve curve;
    struct settling settling, plain;
    assert_int_equal(curve_make(learning, &curve), STATUS_OK);
    assert_int_equal(settling_make(&curve, &settling), STATUS_OK);
    assert_int_equal(plain_settling_make(&curve, &plain), STATUS_OK);
    size_t n = (size_t)curve.inputs + CURVE_PLACES;
    float *from = calloc(3 * n, sizeof *from), *taps = from + n, *plain_taps = taps + n;
    double *slope = calloc(n, sizeof *slope);
    double moved = 0.0, off = 0.0;
    assert_true(from != NULL && slope != NULL);
    for (int i = 0; i < curve.inputs; i++) {
        from[i] = (float)(0.1 * random_normal(random));
    }
    curve_set(&curve, 0.0);
    settling_find(&curve, &settling, reach, from, taps);
    plain_settling_find(&curve, &plain, reach, from, plain_taps);
    assert_memory_equal(taps, plain_taps, (size_t)curve.inputs * sizeof *taps);
    slope_of(&curve, taps, slope);
    for (int i = 0; i < curve.inputs; i++) {
        double step = (double)taps[i] - (double)from[i];
        moved += step * step;
        off += pow(step - reach * slope[i], 2.0);
    }
    free(from);
    free(slope);
    settling_free(&settling);
    plain_settling_free(&plain);
    curve_free(&curve);
    return sqrt(off / moved);
}

/* Spans longer and shorter than the channel, feedback that ends before the earliest sample does. */
static void steps_end_where_the_slope_there_takes_them(void **state)
{
    (void)state;
    static const struct vsb_equaliser_spans spans[] = {
        {90, 100, 160}, {60, 40, 50}, {0, 30, 20}, {40, 0, 80}, {7, 9, 3}};
    struct random random = random_seeded(13, 3);
    for (int room = 0; room < 30; room++) {
        struct echo echoes[3];
        for (int i = 0; i < 3; i++) {
            echoes[i] = (struct echo){5.0 * random_uniform(&random) - (i == 0 ? 2.5 : 0.0),
                                      -1.0 - 12.0 * random_uniform(&random),
                                      360.0 * random_uniform(&random), i == 2 ? 1.0 : 0.0};
        }
        const struct vsb_learning learning = {.echoes = echoes,
                                              .count = 3,
                                              .noise = pow(10.0, -1.0 - random_uniform(&random)),
                                              .spans = spans[room % 5],
                                              .mu = 1e-4};
        for (double reach = 0.3; reach < 100.0; reach *= 6.0) {
            assert_between(off_of(&learning, reach, &random), 0.0, 1e-3, "the curve's slope");
        }
    }
}

/* A lone late echo: a generator begins where the ones before it may have died, or not begun. */
static void a_channel_of_two_taps_far_apart_is_solved_alike(void **state)
{
    (void)state;
    static const struct vsb_equaliser_spans spans[] = {{150, 150, 150}, {150, 150, 100}};
    const struct echo echo = {5.0, -10.0, 0.0, 20.0};
    struct random random = random_seeded(13, 4);
    for (int i = 0; i < 2; i++) {
        const struct vsb_learning learning = {
            .echoes = &echo, .count = 1, .noise = 0.011, .spans = spans[i], .mu = 1e-4};
        for (double reach = 0.3; reach < 1000.0; reach *= 6.0) {
            assert_between(off_of(&learning, reach, &random), 0.0, 1e-3, "the curve's slope");
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_tap_gives_the_worked_number),
        cmocka_unit_test(steps_end_where_the_slope_there_takes_them),
        cmocka_unit_test(a_channel_of_two_taps_far_apart_is_solved_alike),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
