#include "support/near.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "physics/vsb/channel.h"
#include "simulation/vsb/receiver/air.h"
#include "standard/vsb/signal.h"

#define SYMBOLS 20000
#define MIDDLE 9000

static float sent[SYMBOLS], samples[SYMBOLS];

static void pass(const struct channel *channel, int reference, double noise_power, uint64_t seed)
{
    struct random random = random_seeded(seed, 0);
    struct vsb_air *air = vsb_air_create(SYMBOLS);
    assert_non_null(air);
    assert_int_equal(vsb_air_set(air, channel, reference), STATUS_OK);
    vsb_air_send(air, sent, noise_power, &random, samples);
    vsb_air_free(air);
}

static void send_one_symbol(void)
{
    for (int n = 0; n < SYMBOLS; n++) {
        sent[n] = n == MIDDLE ? 1.0f : 0.0f;
    }
}

/* A ray's sample is Re{a exp(j phase at the pilot) (p + j q)(n - delay)}: the closed forms of the
 * pulse, on the one hand, filters in blocks on the other. */
static void a_ray_is_the_pulse_with_its_phase_at_the_pilot(void **state)
{
    (void)state;
    static const struct echo echoes[] = {{0.05, -1.0, 270.0, 0.0},
                                         {7.52, -3.0, 40.0, 0.0},
                                         {-21.3, 0.0, 130.0, 0.0},
                                         {400.1, -6.0, 10.0, 0.0}};
    const double below_hz = 2690559.44; /* published: half of A/53's Nyquist band of 5.381119 MHz */
    struct channel channel;
    channel_start(&channel, 189e6);
    for (size_t i = 0; i < 4; i++) {
        channel_add(&channel, &echoes[i], "echo");
    }
    send_one_symbol();
    pass(&channel, 0, 1e-20, 1);
    for (int n = 0; n < SYMBOLS; n++) {
        double expected = vsb_pulse_in_phase(n - MIDDLE);
        for (size_t i = 0; i < 4; i++) {
            double delay = echoes[i].delay_us / vsb_symbol_us(), at = n - MIDDLE - delay;
            double phase =
                echoes[i].phase_deg * PI / 180.0 + 2.0 * PI * below_hz * 1e-6 * echoes[i].delay_us;
            expected +=
                sqrt(ratio_from_db(echoes[i].level_db)) *
                (cos(phase) * vsb_pulse_in_phase(at) - sin(phase) * vsb_pulse_quadrature(at));
        }
        assert_near(samples[n], expected, 1e-3, "closed form of the pulse, 60 dB");
    }
}

/* Seen from the second ray, the first is an early one of the opposite phase and Doppler. */
static void the_reference_ray_is_what_the_receiver_locks_to(void **state)
{
    (void)state;
    const struct echo late = {3.0, 6.0, 75.0, 4.0};
    struct channel channel;
    channel_start(&channel, 189e6);
    channel_add(&channel, &late, "late");
    send_one_symbol();
    pass(&channel, 1, 1e-20, 1);
    assert_near(samples[MIDDLE], 1.0 + sqrt(ratio_from_db(-6.0)) * 0.0, 0.03,
                "gain 1 at its own instant, and a tail of the other");
    double early = 0.0;
    for (int n = MIDDLE - 40; n < MIDDLE - 25; n++) {
        early += samples[n] * samples[n];
    }
    assert_true(early > 0.05 && early < 0.5); /* a quarter of the power, either part of it */
}

/* An echo turns with its Doppler: after a quarter of a turn what was in phase is in quadrature. */
static void a_ray_turns_with_its_doppler(void **state)
{
    (void)state;
    const double doppler_hz = vsb_symbol_rate_hz() / 4.0 / 12000.0; /* a quarter in 3000 symbols */
    struct echo echo = {2000.0 / vsb_symbol_rate_hz() * 1e6, 0.0, 0.0, doppler_hz};
    struct channel channel;
    channel_start(&channel, 189e6);
    channel_add(&channel, &echo, "echo");
    for (int n = 0; n < SYMBOLS; n++) {
        sent[n] = n % 3000 == 0 ? 1.0f : 0.0f;
    }
    pass(&channel, 0, 1e-20, 1);
    for (int n = 3000; n + 2000 < SYMBOLS; n += 3000) {
        /* 2000 symbols late: whole turns at the pilot, R / 4. */
        double phase = 2.0 * PI * doppler_hz * (n + 2000) / vsb_symbol_rate_hz();
        assert_near(samples[n + 2000], cos(phase), 5e-3, "2 pi Doppler t");
    }
}

static void noise_is_white_and_of_the_power_asked_for(void **state)
{
    (void)state;
    struct channel channel;
    double power = 0.0, beside[3] = {0};
    channel_start(&channel, 189e6);
    for (int n = 0; n < SYMBOLS; n++) {
        sent[n] = 0.0f;
    }
    pass(&channel, 0, 2.5, 8);
    const int edge = 300, count = SYMBOLS - 2 * edge;
    for (int n = edge; n < SYMBOLS - edge; n++) {
        power += samples[n] * samples[n];
        for (int d = 0; d < 3; d++) {
            beside[d] += samples[n] * samples[n - 1 - d];
        }
    }
    assert_near(power / count, 2.5, 5.0 * 2.5 * sqrt(2.0 / count), "variance of a variance");
    for (int d = 0; d < 3; d++) {
        assert_near(beside[d] / count, 0.0, 5.0 * 2.5 / sqrt(count), "white at the symbol rate");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_ray_is_the_pulse_with_its_phase_at_the_pilot),
        cmocka_unit_test(the_reference_ray_is_what_the_receiver_locks_to),
        cmocka_unit_test(a_ray_turns_with_its_doppler),
        cmocka_unit_test(noise_is_white_and_of_the_power_asked_for),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
