#include "support/near.h"

#include <lapacke.h>
#include <math.h>
#include <stdlib.h>

#include "base/random.h"
#include "base/units.h"
#include "physics/vsb/equaliser.h"
#include "physics/vsb/within.h"
#include "standard/vsb/signal.h"

static void spans_follow_the_reach(void **state)
{
    (void)state;
    struct vsb_equaliser_spans spans = vsb_equaliser_spans(29.5, 38.5);
    assert_int_equal(spans.later, 317); /* 29.5 us x 10.762 symbols a us */
    assert_int_equal(spans.feedback, 414);
    assert_int_equal(spans.earlier, 317);
    assert_int_equal(vsb_equaliser_spans(50.0, 10.0).earlier, 107);
}

static void two_taps_give_the_worked_number(void **state)
{
    (void)state;
    double taps[] = {1.0, 1.0};
    struct vsb_channel channel = {0, 2, taps};
    double snr = 0.0;
    struct vsb_equaliser_spans spans = {0, 1, 1};
    assert_int_equal(vsb_equaliser_snr(&channel, 0.01, spans, &snr), STATUS_OK);
    assert_near(snr, 1.0 / 0.01 + 1.0 / 1.01, 1e-9, "worked number");
    spans.feedback = 0; /* the second symbol is then in the way: (1, 1) R^-1 (1, 1)' by hand */
    assert_int_equal(vsb_equaliser_snr(&channel, 0.01, spans, &snr), STATUS_OK);
    assert_near(snr, 2.0 / 1.01, 1e-9, "R = diag(1.01, 1.01)");
}

/* What the designed taps do, worked out from the channel alone. */
static void check_promise(const struct vsb_channel *channel, struct vsb_equaliser_spans spans)
{
    const double noise = 0.01;
    struct vsb_equaliser equaliser;
    assert_int_equal(vsb_equaliser_design(channel, noise, spans, &equaliser), STATUS_OK);
    double power = 0.0, useful = 0.0;
    int forward = spans.earlier + spans.later + 1;
    for (int i = 0; i < forward; i++) {
        power += noise * equaliser.forward[i] * equaliser.forward[i];
    }
    for (int j = -2000; j <= 2000; j++) { /* weight of the symbol sent j before */
        double weight = 0.0;
        for (int i = 0; i < forward; i++) {
            weight += equaliser.forward[i] * vsb_channel_tap(channel, i - spans.earlier + j);
        }
        if (j >= 1 && j <= spans.feedback) {
            weight -= equaliser.backward[j - 1];
            assert_near(weight, 0.0, 1e-12, "decided symbols are removed");
        } else if (j == 0) {
            useful = weight;
        } else {
            power += weight * weight;
        }
    }
    assert_near(useful, 1.0, 1e-10, "unbiased");
    assert_near(equaliser.snr, 1.0 / power, 1e-8 / power, "noise and residual interference");
    double snr = 0.0;
    assert_int_equal(vsb_equaliser_snr(channel, noise, spans, &snr), STATUS_OK);
    assert_near(snr, equaliser.snr, 1e-9 * snr, "the fast way");
    vsb_equaliser_free(&equaliser);
    assert_null(equaliser.forward);
}

static void the_taps_do_what_the_snr_promises(void **state)
{
    (void)state;
    const struct echo echoes[] = {
        {3.03, -2.0, 90.0, 0.0}, {-2.3, -6.0, 20.0, 0.0}, {9.0, -10.0, 250.0, 0.0}};
    struct vsb_channel channel;
    assert_int_equal(vsb_channel_make(echoes, 3, &channel), STATUS_OK);
    check_promise(&channel, (struct vsb_equaliser_spans){30, 50, 70});
    vsb_channel_free(&channel);
    assert_int_equal(vsb_channel_make_above(echoes, 3, 1e-6, &channel), STATUS_OK);
    check_promise(&channel, (struct vsb_equaliser_spans){20 - channel.first, 150, channel.count});
    vsb_channel_free(&channel);
}

/* Where the reach holds the channel its taps are found another way; the SNR alone never is. */
static void within_its_reach_it_is_the_same_equaliser(void **state)
{
    (void)state;
    static const struct echo sets[][3] = {
        {{3.03, -2.0, 90.0, 0.0}, {-2.3, -6.0, 20.0, 0.0}, {9.0, -10.0, 250.0, 0.0}},
        {{0.1, -6.0, 30.0, 0.0}, {0.3, -9.0, 190.0, 0.0}, {0.4, -12.0, 250.0, 0.0}},
        {{7.0, 4.0, 10.0, 0.0}, {14.0, 3.0, 160.0, 0.0}, {11.0, -1.0, 250.0, 0.0}}};
    for (int s = 0; s < 3; s++) {
        for (double noise = 0.3; noise > 1e-5; noise *= 0.1) {
            struct vsb_channel channel;
            assert_int_equal(vsb_channel_make_above(sets[s], 3, 1e-5 * noise, &channel), STATUS_OK);
            int last = channel.first + channel.count - 1;
            const struct vsb_equaliser_spans closely = {-channel.first, 40, channel.count - 1};
            const struct vsb_equaliser_spans amply = {20 - channel.first, 160, last + 700};
            const struct vsb_equaliser_spans spans[] = {closely, amply};
            for (int i = 0; i < 2; i++) {
                struct vsb_equaliser taps;
                double snr = 0.0;
                assert_int_equal(vsb_equaliser_design(&channel, noise, spans[i], &taps), STATUS_OK);
                assert_int_equal(vsb_equaliser_snr(&channel, noise, spans[i], &snr), STATUS_OK);
                assert_near(taps.snr, snr, 1e-7 * snr, "four generators");
                vsb_equaliser_free(&taps);
            }
            vsb_channel_free(&channel);
        }
    }
}

/* Unbiased output SNR of forward taps by the definition: noise, symbols that are not fed back, and
 * of those that are the share in doubt. */
static double snr_of(const struct vsb_channel *channel, double noise,
                     struct vsb_equaliser_spans spans, const struct vsb_doubts *doubts,
                     const double *forward)
{
    double power = 0.0, useful = 0.0;
    int count = spans.earlier + spans.later + 1;
    for (int i = 0; i < count; i++) {
        power += noise * forward[i] * forward[i];
    }
    for (int j = -1400; j <= 1400; j++) {
        double weight = 0.0, share = 1.0;
        for (int i = 0; i < count; i++) {
            weight += forward[i] * vsb_channel_tap(channel, i - spans.earlier + j);
        }
        if (j >= 1 && j <= spans.feedback) {
            int age = (j - 1) / VSB_DOUBT_SYMBOLS;
            share = doubts->doubt[age < doubts->ages ? age : doubts->ages - 1];
        }
        useful = j == 0 ? weight : useful;
        power += j == 0 ? 0.0 : share * weight * weight;
    }
    return useful * useful / power;
}

/* h' R^-1 h from R as it is written down, each entry a sum of its own. */
static double snr_of_matrix(const struct vsb_channel *channel, double noise,
                            struct vsb_equaliser_spans spans)
{
    enum { MOST = 128 };
    static double r[MOST][MOST];
    double h[MOST], u[MOST], snr = 0.0;
    int n = spans.earlier + spans.later + 1;
    for (int i = 0; i < n; i++) {
        h[i] = u[i] = vsb_channel_tap(channel, i - spans.earlier);
        for (int j = 0; j <= i; j++) {
            r[i][j] = i == j ? noise : 0.0;
            for (int k = channel->first; k < channel->first + channel->count; k++) {
                int symbol = k - (i - spans.earlier); /* before the wanted one */
                double stays = symbol < 0 || symbol > spans.feedback ? 1.0 : 0.0;
                r[i][j] +=
                    stays * vsb_channel_tap(channel, k) * vsb_channel_tap(channel, k + j - i);
            }
        }
    }
    assert_int_equal(LAPACKE_dposv(LAPACK_ROW_MAJOR, 'L', n, 1, &r[0][0], MOST, u, 1), 0);
    for (int i = 0; i < n; i++) {
        snr += h[i] * u[i];
    }
    return snr;
}

/* Echoes within the spans, beyond them and far beyond, before and after: generators that begin
 * late, die early or never do, gaps between the channel's taps. */
static void late_rooms_are_solved_as_their_matrix_is(void **state)
{
    (void)state;
    static const struct vsb_equaliser_spans spans[] = {{40, 50, 45}, {20, 30, 90}, {5, 60, 10}};
    struct random random = random_seeded(13, 2);
    for (int room = 0; room < 30; room++) {
        struct echo echoes[3];
        struct vsb_channel channel;
        for (int i = 0; i < 3; i++) {
            double reach_us = i == 0 ? 3.0 : i == 1 ? 12.0 : 60.0;
            echoes[i] = (struct echo){reach_us * (2.0 * random_uniform(&random) - 1.0),
                                      -1.0 - 15.0 * random_uniform(&random),
                                      360.0 * random_uniform(&random), 0.0};
        }
        double noise = pow(10.0, -1.0 - 3.0 * random_uniform(&random)), snr = 0.0;
        const struct vsb_equaliser_spans *span = &spans[room % 3];
        struct vsb_equaliser taps;
        assert_int_equal(vsb_channel_make_above(echoes, 3, 1e-4 * noise, &channel), STATUS_OK);
        assert_int_equal(vsb_equaliser_snr(&channel, noise, *span, &snr), STATUS_OK);
        assert_int_equal(vsb_equaliser_design(&channel, noise, *span, &taps), STATUS_OK);
        double exact = snr_of_matrix(&channel, noise, *span);
        assert_near(snr, exact, 1e-8 * exact, "LAPACK");
        assert_near(taps.snr, exact, 1e-8 * exact, "LAPACK");
        const struct vsb_doubts none = {.doubt = {0.0}, .ages = 1};
        assert_near(snr_of(&channel, noise, *span, &none, taps.forward), exact, 1e-7 * exact,
                    "the taps");
        vsb_equaliser_free(&taps);
        vsb_channel_free(&channel);
    }
}

/* Doubts that fall with age, that rise, and that end before the feedback does or after; some that
 * are what they are whatever the SNR. */
static const struct vsb_doubts doubts[] = {
    {.doubt = {0.2, 0.1, 0.05, 0.02}, .ages = 4},
    {.doubt = {0.1, 0.15, 0.3}, .ages = 3},
    {.doubt = {0.3, 0.25, 0.2, 0.15, 0.12, 0.1, 0.08, 0.06, 0.04, 0.02}, .ages = 10},
    {.doubt = {0.07}, .ages = 1}};
static const struct vsb_doubts *doubts_now;

static void doubts_given(double snr, struct vsb_doubts *at)
{
    (void)snr;
    *at = *doubts_now;
}

/* By the quick way for channels within the reach, and by the other. */
static void doubts_leave_their_share_and_no_other_taps_do_better(void **state)
{
    (void)state;
    const struct echo echoes[] = {{1.4, -2.0, 90.0, 0.0}, {-1.3, -6.0, 20.0, 0.0}};
    const double noise = 0.02;
    const struct vsb_equaliser_spans spans = {30, 25, 60};
    const struct vsb_doubts none = {.doubt = {0.0}, .ages = 1};
    for (size_t d = 0; d < 2 * sizeof doubts / sizeof doubts[0]; d++) {
        struct vsb_channel channel;
        struct vsb_equaliser trusting, best;
        doubts_now = &doubts[d / 2];
        assert_int_equal(vsb_channel_make_above(echoes, 2, d % 2 == 0 ? 1e-9 : 1e-4, &channel),
                         STATUS_OK);
        assert_true(vsb_within(&channel, spans) == (d % 2 == 1));
        assert_int_equal(vsb_equaliser_design_doubting(&channel, noise, spans, doubts_given, 1e-10,
                                                       0.0, &trusting, &best),
                         STATUS_OK);
        double snr = snr_of(&channel, noise, spans, doubts_now, best.forward);
        assert_near(best.snr, snr, 1e-7 * snr, "by the definition");
        double free = snr_of(&channel, noise, spans, &none, trusting.forward);
        assert_near(trusting.snr, free, 1e-7 * free, "by the definition");
        assert_near(trusting.trusting_snr, free, 1e-7 * free, "it has no doubts");
        assert_between(best.trusting_snr, best.snr, trusting.snr, "doubts cost something");
        for (int i = 0; i < spans.earlier + spans.later + 1; i++) {
            best.forward[i] += 0.02;
            assert_true(snr_of(&channel, noise, spans, doubts_now, best.forward) < snr);
            best.forward[i] -= 0.02;
        }
        vsb_equaliser_free(&trusting);
        vsb_equaliser_free(&best);
        vsb_channel_free(&channel);
    }
}

/* As much in doubt as is left: the taps end where the doubts are those of what they leave. */
static void doubts_that_grow_with_the_noise(double snr, struct vsb_doubts *at)
{
    *at = (struct vsb_doubts){.doubt = {1.0 / snr}, .ages = 1};
}

static void doubts_are_those_where_the_receiver_ends(void **state)
{
    (void)state;
    double taps[] = {1.0, 0.6};
    struct vsb_channel channel = {0, 2, taps};
    const struct vsb_equaliser_spans spans = {0, 0, 1};
    struct vsb_equaliser trusting, equaliser;
    assert_int_equal(vsb_equaliser_design_doubting(&channel, 0.1, spans,
                                                   doubts_that_grow_with_the_noise, 1e-10, 0.0,
                                                   &trusting, &equaliser),
                     STATUS_OK);
    assert_near(equaliser.snr, (1.0 - 0.36) / 0.1, 0.003 * 6.4, "1 / snr = 0.1 + 0.36 / snr");
    vsb_equaliser_free(&trusting);
    vsb_equaliser_free(&equaliser);
}

static void doubts_shrink_the_feedback_taps(void **state)
{
    (void)state;
    double taps[] = {1.0, 0.6};
    struct vsb_channel channel = {0, 2, taps};
    const struct vsb_doubts doubt = {.doubt = {0.19}, .ages = 1};
    const struct vsb_equaliser_spans spans = {0, 0, 1};
    struct vsb_equaliser trusting, equaliser;
    doubts_now = &doubt;
    assert_int_equal(vsb_equaliser_design_doubting(&channel, 0.1, spans, doubts_given, 1e-10, 0.0,
                                                   &trusting, &equaliser),
                     STATUS_OK);
    assert_near(equaliser.snr, 1.0 / (0.1 + 0.19 * 0.36), 1e-9, "by hand");
    assert_near(equaliser.trusting_snr, 1.0 / (0.1 + 0.36 * 0.01), 1e-9, "a tenth is left of it");
    assert_near(equaliser.backward[0], 0.6 * 0.9, 1e-12, "correlation sqrt(1 - 0.19)");
    vsb_equaliser_free(&trusting);
    vsb_equaliser_free(&equaliser);
}

static void no_taps_at_all_is_a_slicer(void **state)
{
    (void)state;
    struct echo echo = {10.0 * vsb_symbol_us(), -10.0, 0.0, 0.0};
    struct vsb_channel channel;
    assert_int_equal(vsb_channel_make(&echo, 1, &channel), STATUS_OK);
    double snr = 0.0;
    struct vsb_equaliser_spans spans = {0, 0, 0};
    assert_int_equal(vsb_equaliser_snr(&channel, 0.05, spans, &snr), STATUS_OK);
    assert_near(snr, 1.0 / 0.15, 1e-6, "all echo power is interference");
    vsb_channel_free(&channel);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(spans_follow_the_reach),
        cmocka_unit_test(two_taps_give_the_worked_number),
        cmocka_unit_test(the_taps_do_what_the_snr_promises),
        cmocka_unit_test(within_its_reach_it_is_the_same_equaliser),
        cmocka_unit_test(late_rooms_are_solved_as_their_matrix_is),
        cmocka_unit_test(doubts_leave_their_share_and_no_other_taps_do_better),
        cmocka_unit_test(doubts_are_those_where_the_receiver_ends),
        cmocka_unit_test(doubts_shrink_the_feedback_taps),
        cmocka_unit_test(no_taps_at_all_is_a_slicer),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
