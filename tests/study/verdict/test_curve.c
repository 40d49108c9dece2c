/* Where curves ask, with curves whose shape is known. */
#include "support/near.h"

#include <math.h>

#include "study/verdict/curve.h"

static void answer_all(struct curve *curve, double (*of)(double))
{
    double x;
    while (curve_next(curve, &x)) {
        curve_answer(curve, of(x));
    }
}

static double flat(double x)
{
    return 0.001 * x;
}

static double edge(double x)
{
    return x < 31.4 ? 0.0 : -20.0;
}

static double ends(double x)
{
    return x < -12.3 ? NAN : 1.0;
}

static void a_flat_curve_is_asked_evenly(void **state)
{
    (void)state;
    struct curve curve;
    curve_begin(&curve, -100.0, 100.0, 21, NULL, 0, 100);
    answer_all(&curve, flat);
    assert_int_equal(curve.count, 21);
    for (size_t i = 0; i < 21; i++) {
        assert_near(curve.x[i], -100.0 + 10.0 * (double)i, 1e-9, "even");
        assert_near(curve.y[i], flat(curve.x[i]), 0.0, "what was answered");
    }
}

static void check_edge(const struct curve *curve, double at)
{
    for (size_t i = 1; i < curve->count; i++) {
        assert_true(curve->x[i] > curve->x[i - 1]);
        if (curve->x[i - 1] < at && curve->x[i] >= at) {
            assert_between(curve->x[i] - curve->x[i - 1], 0.0, 0.4, "two thousandths of the span");
        }
    }
    assert_true(curve->count < 35); /* and few points do it */
}

static void an_edge_is_found_wherever_it_lies(void **state)
{
    (void)state;
    struct curve curve;
    curve_begin(&curve, -100.0, 100.0, 21, NULL, 0, 100);
    answer_all(&curve, edge);
    check_edge(&curve, 31.4);
    curve_begin(&curve, -100.0, 100.0, 21, NULL, 0, 100);
    answer_all(&curve, ends);
    check_edge(&curve, -12.3);
}

static void places_that_were_given_are_asked(void **state)
{
    (void)state;
    const double places[] = {3.25, -100.0, 250.0, NAN, 10.0};
    struct curve curve;
    curve_begin(&curve, -100.0, 100.0, 21, places, 5, 100);
    answer_all(&curve, flat);
    assert_int_equal(curve.count, 22); /* the others are ends, outside, nowhere or there already */
    assert_near(curve.x[11], 3.25, 0.0, "as given");
}

static void no_more_points_are_asked_than_may_be(void **state)
{
    (void)state;
    struct curve curve;
    curve_begin(&curve, -100.0, 100.0, 21, NULL, 0, 23);
    answer_all(&curve, edge);
    assert_int_equal(curve.count, 23);
}

static void a_neighbours_answer_is_at_hand(void **state)
{
    (void)state;
    struct curve curve;
    double x;
    curve_begin(&curve, 0.0, 1.0, 2, NULL, 0, 10);
    assert_true(curve_next(&curve, &x));
    assert_true(isnan(curve_near(&curve)));
    curve_answer(&curve, 7.0);
    assert_true(curve_next(&curve, &x));
    assert_near(curve_near(&curve), 7.0, 0.0, "the one before");
    curve_answer(&curve, 9.0);
    assert_true(curve_next(&curve, &x));
    assert_near(x, 0.5, 1e-12, "halfway");
    assert_near(curve_near(&curve), 7.0, 0.0, "the one before");
}

/* Places that are named have a point each, as many as there is room for. */
static void places_beyond_the_most_points_are_left_out(void **state)
{
    (void)state;
    struct curve curve;
    const double places[] = {1.0, 2.0, 3.0, 4.0};
    curve_begin(&curve, 0.0, 100.0, 3, places, 4, 5);
    assert_int_equal(curve.count, 5);
    assert_near(curve.x[1], 1.0, 0.0, "the first that is named");
    assert_near(curve.x[2], 2.0, 0.0, "the second");
    assert_near(curve.x[3], 50.0, 0.0, "even");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_flat_curve_is_asked_evenly),
        cmocka_unit_test(an_edge_is_found_wherever_it_lies),
        cmocka_unit_test(places_that_were_given_are_asked),
        cmocka_unit_test(no_more_points_are_asked_than_may_be),
        cmocka_unit_test(a_neighbours_answer_is_at_hand),
        cmocka_unit_test(places_beyond_the_most_points_are_left_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
