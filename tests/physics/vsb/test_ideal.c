#include "support/near.h"

#include <math.h>
#include <string.h>

#include "base/random.h"
#include "base/units.h"
#include "physics/vsb/ideal.h"
#include "standard/vsb/signal.h"

static const struct vsb_equaliser_spans usual = {317, 317, 414};

static struct vsb_ideal solve(const struct echo *echoes, int count, double noise,
                              struct vsb_equaliser_spans spans)
{
    static double backward[1024];
    struct vsb_room room = {.arrays = {{0}}};
    struct vsb_ideal ideal;
    assert_int_equal(vsb_ideal_solve(echoes, count, noise, spans, NULL, 0.0, &room, &ideal),
                     STATUS_OK);
    memcpy(backward, ideal.backward, (size_t)spans.feedback * sizeof *backward);
    ideal.backward = backward;
    vsb_room_free(&room);
    return ideal;
}

/* 1 + a z^-D: gamma is the larger root of noise gamma^2 - (1 + a^2 + noise) gamma + a^2 / noise. */
static void one_echo_on_a_symbol_has_a_closed_form(void **state)
{
    (void)state;
    const double levels[] = {-20.0, -6.0, -1.0}, noises[] = {0.3, 0.01, 1e-4};
    for (int l = 0; l < 3; l++) {
        for (int n = 0; n < 3; n++) {
            double a = sqrt(ratio_from_db(levels[l])), noise = noises[n];
            double b = 1.0 + a * a + noise, root = sqrt(b * b - 4.0 * a * a);
            double gamma = (b + root) / (2.0 * noise), tap = a / (noise * (gamma - 1.0));
            const struct echo echo = {3.0 * vsb_symbol_us(), levels[l], 0.0, 0.0};
            struct vsb_ideal ideal = solve(&echo, 1, noise, usual);
            assert_near(ideal.infinite_snr, gamma - 1.0, 1e-6 * gamma, "closed form");
            assert_near(ideal.linear_snr, root / noise - 1.0, 1e-6 * root / noise, "closed form");
            assert_near(ideal.feedback_energy, tap * tap, 2e-3 * tap * tap, "closed form");
            assert_near(db_from_ratio(ideal.snr), db_from_ratio(gamma - 1.0), VSB_IDEAL_ERROR_DB,
                        "the reach is long");
        }
    }
    const struct echo echo = {vsb_symbol_us(), 20.0 * log10(0.5), 0.0, 0.0};
    struct vsb_ideal ideal = solve(&echo, 1, 0.1, usual);
    assert_near(db_from_ratio(ideal.snr), 10.12, 0.005, "worked number");
    assert_near(sqrt(ideal.feedback_energy), 0.486, 0.0005, "worked number");
}

static void without_echoes_there_is_nothing_to_feed_back(void **state)
{
    (void)state;
    struct vsb_ideal ideal = solve(NULL, 0, 0.01, usual);
    assert_near(ideal.snr, 100.0, 1e-9, "1 / noise");
    assert_near(ideal.linear_snr, 100.0, 1e-9, "1 / noise");
    assert_near(ideal.feedback_energy, 0.0, 1e-9, "no echo");
}

/* Rays of any phase up to `reach_us` to either side; the strongest is not 0 dB by chance only. */
static int draw(struct random *random, double reach_us, struct echo *echoes)
{
    int count = 1 + (int)(6.0 * random_uniform(random));
    for (int i = 0; i < count; i++) {
        echoes[i] =
            (struct echo){reach_us * (2.0 * random_uniform(random) - 1.0),
                          -20.0 * random_uniform(random), 360.0 * random_uniform(random), 0.0};
    }
    return count;
}

/* Holds the answer against the taps designed for the whole channel. */
static void check_taps(struct random *random, double reach_us, struct vsb_equaliser_spans spans)
{
    struct echo echoes[6];
    int count = draw(random, reach_us, echoes);
    double snr_db = 5.0 + 30.0 * random_uniform(random);
    double noise = vsb_received_power(echoes, count) / ratio_from_db(snr_db);
    struct vsb_ideal ideal = solve(echoes, count, noise, spans);
    struct vsb_channel channel;
    struct vsb_equaliser taps;
    assert_int_equal(vsb_channel_make(echoes, count, &channel), STATUS_OK);
    assert_int_equal(vsb_equaliser_design(&channel, noise, spans, &taps), STATUS_OK);
    double feedback_energy = 0.0;
    for (int j = 0; j < spans.feedback; j++) {
        feedback_energy += taps.backward[j] * taps.backward[j];
    }
    assert_near(db_from_ratio(ideal.snr), db_from_ratio(taps.snr), 0.01, "finite taps");
    assert_near(ideal.feedback_energy, feedback_energy, 0.002 + 0.02 * feedback_energy,
                "finite taps");
    assert_true(taps.snr < ideal.infinite_snr * 1.0001);
    assert_true(ideal.linear_snr < ideal.infinite_snr * 1.0001);
    double apart = 0.0;
    for (int j = 0; j < spans.feedback; j++) {
        apart += pow(ideal.backward[j] - taps.backward[j], 2.0);
    }
    assert_near(apart, 0.0, 1e-3, "finite taps");
    vsb_equaliser_free(&taps);
    vsb_channel_free(&channel);
}

static void the_ends_of_pulses_cost_nothing(void **state)
{
    (void)state;
    struct random random = random_seeded(1, 0);
    const struct vsb_equaliser_spans short_spans = {30, 40, 60};
    for (int i = 0; i < 100; i++) {
        check_taps(&random, 0.5, usual);
        check_taps(&random, 6.0 * random_uniform(&random), short_spans);
    }
    for (int i = 0; i < 30; i++) {
        check_taps(&random, 60.0 * random_uniform(&random), usual);
    }
}

static void bad_echoes_are_refused(void **state)
{
    (void)state;
    const struct echo echo = {2.0 * ECHO_DELAY_MAX_US, 0.0, 0.0, 0.0};
    struct vsb_ideal ideal;
    struct vsb_room room = {.arrays = {{0}}};
    assert_int_equal(vsb_ideal_solve(&echo, 1, 0.01, usual, NULL, 0.0, &room, &ideal),
                     STATUS_OUT_OF_RANGE);
    vsb_room_free(&room);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_echo_on_a_symbol_has_a_closed_form),
        cmocka_unit_test(without_echoes_there_is_nothing_to_feed_back),
        cmocka_unit_test(the_ends_of_pulses_cost_nothing),
        cmocka_unit_test(bad_echoes_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
