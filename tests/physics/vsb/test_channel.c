#include "support/near.h"

#include <complex.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "physics/vsb/channel.h"
#include "standard/vsb/signal.h"

/* The spectrum that A/53 Part 2 draws, in cycles per symbol: half-power points at 0 and 1/2. */
static double drawn_spectrum(double f)
{
    double edge = 0.25 * VSB_ROLL_OFF;
    double from_middle = fabs(f - 0.25);
    if (from_middle <= 0.25 - edge) {
        return 1.0;
    }
    if (from_middle >= 0.25 + edge) {
        return 0.0;
    }
    return 0.5 - 0.5 * sin(PI * (from_middle - 0.25) / (2.0 * edge));
}

/* The pulse of that spectrum by the midpoint rule. */
static double complex pulse_by_integration(double t)
{
    const int steps = 40000;
    double low = -0.25 * VSB_ROLL_OFF, width = 0.5 + 0.5 * VSB_ROLL_OFF;
    double complex sum = 0.0;
    for (int i = 0; i < steps; i++) {
        double f = low + width * (i + 0.5) / steps;
        sum += drawn_spectrum(f) * cexp(I * 2.0 * PI * f * t);
    }
    return 2.0 * sum * width / steps;
}

static void the_pulse_is_the_fourier_transform_of_the_drawn_spectrum(void **state)
{
    (void)state;
    assumes("the receiving filter is the other half of the raised cosine");
    const double times[] = {0.0, 1e-9, 0.3, 0.5, 1.0, -1.0, 2.5, 8.68, -8.7, 17.3, 40.2, -63.5};
    for (size_t i = 0; i < sizeof times / sizeof times[0]; i++) {
        double complex expected = pulse_by_integration(times[i]);
        assert_near(vsb_pulse_in_phase(times[i]), creal(expected), 1e-7, "A/53 spectrum");
        assert_near(vsb_pulse_quadrature(times[i]), cimag(expected), 1e-7, "A/53 spectrum");
    }
    assert_near(vsb_pulse_in_phase(0.5), 0.63612, 5e-5, "worked number");
    assert_near(vsb_pulse_quadrature(1.0), 0.63465, 5e-5, "worked number");
}

static void the_pulse_has_no_singularity(void **state)
{
    (void)state;
    const double places[] = {0.0, 1.0 / VSB_ROLL_OFF, -1.0 / VSB_ROLL_OFF};
    for (size_t i = 0; i < 3; i++) {
        for (double step = 1e-3; step > 1e-16; step /= 10.0) {
            assert_near(vsb_pulse_in_phase(places[i] + step), vsb_pulse_in_phase(places[i]),
                        4.0 * step + 1e-12, "continuity");
            assert_near(vsb_pulse_quadrature(places[i] + step), vsb_pulse_quadrature(places[i]),
                        4.0 * step + 1e-12, "continuity");
        }
    }
}

static void symbols_do_not_disturb_each_other_without_echoes(void **state)
{
    (void)state;
    for (int n = -600; n <= 600; n++) {
        assert_near(vsb_pulse_in_phase(n), n == 0 ? 1.0 : 0.0, 1e-12, "Nyquist");
    }
}

static void the_vestige_reaches_the_channel_edge(void **state)
{
    (void)state;
    double vestige_hz = 0.25 * VSB_ROLL_OFF * vsb_symbol_rate_hz();
    assert_near(vestige_hz, vsb_pilot_offset_hz(), 1e3, "A/53 Part 2: pilot 309.44 kHz");
}

static const struct echo mixed_echoes[] = {
    {0.07, -3.0, 100.0, 0.0}, {-4.2, -8.0, -35.0, 0.0}, {11.3, -1.0, 77.0, 0.0}};

static void the_gain_is_the_spectrum_of_the_taps(void **state)
{
    (void)state;
    struct vsb_channel channel;
    assert_int_equal(vsb_channel_make(mixed_echoes, 3, &channel), STATUS_OK);
    double re[65], im[65];
    vsb_channel_spectrum(mixed_echoes, 3, 64, re, im);
    for (int i = 0; i <= 64; i++) {
        double f = i / 128.0;
        double complex sum = 0.0;
        for (int k = 0; k < channel.count; k++) {
            sum += channel.taps[k] * cexp(-I * 2.0 * PI * f * (channel.first + k));
        }
        double expected = creal(sum * conj(sum));
        assert_near(vsb_channel_gain(mixed_echoes, 3, f), expected, 1e-4, "transform of the taps");
        assert_near(re[i], creal(sum), 1e-4, "transform of the taps");
        assert_near(im[i], cimag(sum), 1e-4, "transform of the taps");
        assert_near(re[i] * re[i] + im[i] * im[i], vsb_channel_gain(mixed_echoes, 3, f), 1e-9,
                    "one at a time");
    }
    vsb_channel_free(&channel);
    assert_near(vsb_channel_gain(NULL, 0, 0.001), 1.0, 1e-12, "no echo: flat, vestige included");
}

/* Beyond the ends that are left out as much energy lies as is said, within them nothing differs. */
static void ends_that_are_left_out_have_the_energy_asked_for(void **state)
{
    (void)state;
    struct vsb_channel whole, part;
    assert_int_equal(vsb_channel_make(mixed_echoes, 3, &whole), STATUS_OK);
    for (double least = 1e-3; least > 1e-12; least *= 0.1) {
        double before = 0.0, after = 0.0;
        assert_int_equal(vsb_channel_make_above(mixed_echoes, 3, least, &part), STATUS_OK);
        for (int i = 0; i < whole.count; i++) {
            int k = whole.first + i;
            double tap = whole.taps[i], off = tap - vsb_channel_tap(&part, k);
            *(k < part.first ? &before : &after) += off * off;
        }
        assert_between(before, 0.0, 1.5 * least, "the early end");
        assert_between(after, 0.0, 1.5 * least, "the late end");
        assert_true(part.count < whole.count);
        vsb_channel_free(&part);
    }
    vsb_channel_free(&whole);
}

static void an_echo_on_a_symbol_is_one_tap(void **state)
{
    (void)state;
    struct echo echo = {20.0 * vsb_symbol_us(), -6.0, 180.0, 0.0};
    struct vsb_channel channel;
    assert_int_equal(vsb_channel_make(&echo, 1, &channel), STATUS_OK);
    for (int k = -600; k < 700; k++) {
        double expected = k == 0 ? 1.0 : k == 20 ? -pow(10.0, -0.3) : 0.0;
        assert_near(vsb_channel_tap(&channel, k), expected, 1e-9, "closed form");
    }
    vsb_channel_free(&channel);
}

static void a_quarter_turn_shows_the_other_part(void **state)
{
    (void)state;
    struct echo echo = {0.0, 0.0, 90.0, 0.0};
    struct vsb_channel channel;
    assert_int_equal(vsb_channel_make(&echo, 1, &channel), STATUS_OK);
    for (int k = -5; k <= 5; k++) {
        assert_near(vsb_channel_tap(&channel, k), (k == 0 ? 1.0 : 0.0) - vsb_pulse_quadrature(k),
                    1e-12, "Re{j (p + jq)} = -q");
    }
    vsb_channel_free(&channel);
}

static void received_power_is_the_mean_over_the_spectrum(void **state)
{
    (void)state;
    assumes("data alone, without the pilot");
    const int steps = 200000;
    double width = 0.5 + 0.5 * VSB_ROLL_OFF, sum = 0.0;
    for (int i = 0; i < steps; i++) {
        double f = -0.25 * VSB_ROLL_OFF + width * (i + 0.5) / steps;
        double complex response = 1.0;
        for (int k = 0; k < 3; k++) {
            double turn = mixed_echoes[k].phase_deg * PI / 180.0 -
                          2.0 * PI * f * mixed_echoes[k].delay_us / vsb_symbol_us();
            response += pow(10.0, mixed_echoes[k].level_db / 20.0) * cexp(I * turn);
        }
        sum += drawn_spectrum(f) * creal(response * conj(response));
    }
    assert_near(vsb_received_power(mixed_echoes, 3), 2.0 * sum * width / steps, 1e-6,
                "integral over the transmitted spectrum");
    struct echo far = {30.0, -10.0, 12.0, 0.0};
    assert_near(vsb_received_power(&far, 1), 1.1, 1e-3, "far echoes add as powers");
    struct echo opposite = {0.0, 0.0, 180.0, 0.0};
    assert_near(vsb_received_power(&opposite, 1), 0.0, 1e-12, "cancellation");
}

static void bad_echoes_are_refused_by_name(void **state)
{
    (void)state;
    const struct {
        struct echo echo;
        const char *wrong;
    } bad[] = {
        {{NAN, 0, 0, 0}, "delay"},        {{1e6, 0, 0, 0}, "delay"},
        {{-INFINITY, 0, 0, 0}, "delay"},  {{1, 60, 0, 0}, "level"},
        {{1, NAN, 0, 0}, "level"},        {{1, 0, INFINITY, 0}, "phase"},
        {{1, 0, 0, INFINITY}, "Doppler"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct echo echoes[2] = {{1, -3, 0, 0}, bad[i].echo};
        struct fault fault;
        assert_int_equal(echoes_check(echoes, 2, &fault), STATUS_OUT_OF_RANGE);
        assert_string_equal(fault.place, "echo 2");
        assert_non_null(strstr(fault.wrong, bad[i].wrong));
        struct vsb_channel channel;
        assert_int_equal(vsb_channel_make(echoes, 2, &channel), STATUS_OUT_OF_RANGE);
        assert_null(channel.taps);
    }
    assert_int_equal(echoes_check(NULL, ECHOES_MAX + 1, NULL), STATUS_OUT_OF_RANGE);
    assert_int_equal(echoes_check(NULL, 1, NULL), STATUS_OUT_OF_RANGE);
    assert_int_equal(echoes_check(NULL, 0, NULL), STATUS_OK);
    const struct echo any = {1, -3, NAN, 0};
    assert_int_equal(echoes_check(&any, 1, NULL), STATUS_OK); /* a phase nobody knows */
}

static void the_pilot_sees_a_ray_turned_by_its_delay(void **state)
{
    (void)state;
    struct channel channel;
    struct echo seen[ECHOES_MAX];
    channel_start(&channel, 189e6);
    assert_true(channel_add(&channel, &(struct echo){0.05, -1.0, 270.0, 2.0}, "wall"));
    assert_int_equal(vsb_echoes_of(&channel, seen), 1);
    assert_near(seen[0].phase_deg, 270.0 + 360.0 * 2.690559 * 0.05, 1e-3,
                "ATSC A/53: pilot 309.44 kHz above the lower edge of 6 MHz");
    assert_near(seen[0].level_db, -1.0, 1e-12, "as given");
    assert_near(seen[0].doppler_hz, 2.0, 0.0, "as given");
    double complex at_pilot = channel_response(&channel, -2.690559e6, 0.0);
    double complex ray = cexp(CMPLX(0.0, seen[0].phase_deg * PI / 180.0)) * pow(10.0, -1.0 / 20.0);
    assert_near(cabs(at_pilot - (1.0 + ray)), 0.0, 1e-5, "the same channel at the pilot");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_pulse_is_the_fourier_transform_of_the_drawn_spectrum),
        cmocka_unit_test(the_pulse_has_no_singularity),
        cmocka_unit_test(symbols_do_not_disturb_each_other_without_echoes),
        cmocka_unit_test(the_vestige_reaches_the_channel_edge),
        cmocka_unit_test(the_gain_is_the_spectrum_of_the_taps),
        cmocka_unit_test(ends_that_are_left_out_have_the_energy_asked_for),
        cmocka_unit_test(an_echo_on_a_symbol_is_one_tap),
        cmocka_unit_test(a_quarter_turn_shows_the_other_part),
        cmocka_unit_test(received_power_is_the_mean_over_the_spectrum),
        cmocka_unit_test(bad_echoes_are_refused_by_name),
        cmocka_unit_test(the_pilot_sees_a_ray_turned_by_its_delay),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
