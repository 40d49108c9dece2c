#include "support/longway.h"
#include "support/near.h"

#include <math.h>

#include "scenario/scenario.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/grid.h"
#include "standard/atsc3/pilots.h"
#include "study/report/report.h"
#include "support/effort.h"

/* The whole legal space: each of the 243 000 modes reports what the rules of ATSC A/322:2024-04
 * (and A/321 for the bootstrap) give, written out here a second time. Of a shorter run every
 * waveform is looked at, and of the codes every N-th: N shares no factor with the 120 codes of a
 * waveform, so that from waveform to waveform all of them have their turn. */

struct expected {
    int preamble_symbols, data_symbols;
    long cells;
    double frame_ms;
};

/* Bootstrap 2 ms, a preamble of as many symbols as L1 needs, whole symbols up to the asked length,
 * the last of them a boundary symbol. */
static struct expected expect(const struct transmission *mode, int first_preamble, int preamble,
                              int data, int boundary)
{
    double symbol_us =
        (fft_points(mode->subframes[0].waveform.fft) +
         guard_samples(mode->subframes[0].waveform.guard)) /
        (0.384 * 3.0 * mode->subframes[0].waveform.bandwidth_mhz); /* 16 + bsr = 3 per MHz */
    int l1 = cells_l1_basic(mode->signalling.l1_basic_mode) +
             cells_l1_detail(mode->signalling.l1_detail_mode, 200); /* 185 bits, in 25 bytes */
    struct expected expected = {.preamble_symbols = 1};
    int room = first_preamble;
    for (; room < l1; room += preamble) {
        expected.preamble_symbols++;
    }
    int symbols = (int)floor((mode->frame_ms - 2.0) * 1000.0 / symbol_us + 1e-9);
    expected.data_symbols = symbols - expected.preamble_symbols;
    expected.cells = room - l1 + (long)(expected.data_symbols - 1) * data + boundary;
    expected.frame_ms = 2.0 + symbols * symbol_us / 1000.0;
    return expected;
}

static long check_codes(const struct scenario *scenario, struct transmission mode,
                        const struct expected *expected, long count)
{
    const long every = (long)effort(13, 7, 1);
    for (int i = 0; i < LENGTH_COUNT * CONSTELLATION_COUNT * RATE_COUNT; i++) {
        mode.plps[0].code.rate_15ths = RATE_MIN_15THS + i % RATE_COUNT;
        mode.plps[0].code.constellation =
            (enum constellation)(i / RATE_COUNT % CONSTELLATION_COUNT);
        mode.plps[0].code.length = (enum code_length)(i / RATE_COUNT / CONSTELLATION_COUNT);
        if (!constellation_is_allowed(mode.plps[0].code.length, mode.plps[0].code.constellation)) {
            continue;
        }
        if (count++ % every != 0) {
            continue;
        }
        struct facts second;
        struct fault fault;
        assert_int_equal(facts_with(scenario, &mode, &second, &fault), STATUS_OK);
        assert_near(second.cells_per_frame, (double)expected->cells, 0, "cells");
        assert_near(second.data_symbols, expected->data_symbols, 0, "symbols");
        assert_near(second.preamble_symbols, expected->preamble_symbols, 0, "symbols");
        /* kbch = K - 12 x 16 (long) or K - 12 x 14 (short code) bits of BCH parity. */
        int parity = mode.plps[0].code.length == LENGTH_64800 ? 192 : 168;
        int payload =
            code_length_bits(mode.plps[0].code.length) / 15 * mode.plps[0].code.rate_15ths - parity;
        double plp_mbps =
            (double)expected->cells * constellation_bits(mode.plps[0].code.constellation) /
            code_length_bits(mode.plps[0].code.length) * payload / (expected->frame_ms * 1000.0);
        assert_near(second.plp_mbps, plp_mbps, 1e-9 * plp_mbps, "section 4's formula");
        assert_between(second.net_mbps, 0.99 * plp_mbps, plp_mbps, "less packet headers");
        assert_true(second.limit_snr_db < second.ideal_snr_db);
        assert_true(second.ideal_snr_db < second.required_snr_db);
        assert_true(second.ideal_snr_db < second.ideal_rayleigh_snr_db);
    }
    return count;
}

static void check_geometry(const struct transmission *mode, const struct facts *second)
{
    static const int units[FFT_COUNT] = {96, 192, 384};
    double rate_mhz = 6.912;
    int carriers = fft_points(mode->subframes[0].waveform.fft) * 27 / 32 + 1 -
                   mode->subframes[0].waveform.reduction * units[mode->subframes[0].waveform.fft];
    assert_near(second->carriers, carriers, 0, "Table 7.1");
    assert_near(second->useful_us, fft_points(mode->subframes[0].waveform.fft) / rate_mhz, 1e-9,
                "Tu");
    assert_near(second->guard_us, guard_samples(mode->subframes[0].waveform.guard) / rate_mhz, 1e-9,
                "Tg");
    assert_near(second->symbol_us, second->useful_us + second->guard_us, 1e-9, "Ts");
    assert_near(second->echo_km, second->guard_us * 0.299792458, 1e-9, "c Tg");
    assert_near(second->reach_us, second->useful_us / pilots_dx(mode->subframes[0].waveform.pilots),
                1e-9, "Tu / Dx");
    assert_near(second->doppler_pilot_hz,
                1e6 / (2.0 * pilots_dy(mode->subframes[0].waveform.pilots) * second->symbol_us),
                1e-9, "section 8");
    assert_true(second->doppler_hz > 0.0 || !isfinite(second->required_snr_db));
    assert_true(second->doppler_hz <= second->doppler_pilot_hz);
    assert_true(second->doppler_hz <= second->doppler_ici_hz); /* estimates err as well */
    assert_near(second->data_cells,
                carriers - pilots_count(&mode->subframes[0].waveform, SYMBOL_DATA), 0, "cells");
    int total = carriers - pilots_count(&mode->subframes[0].waveform, SYMBOL_BOUNDARY);
    double power = pow(10.0, pilots_scattered_db(mode->subframes[0].waveform.pilots,
                                                 mode->subframes[0].waveform.boost) /
                                 10.0);
    double active =
        second->data_cells + (pilots_count(&mode->subframes[0].waveform, SYMBOL_DATA) -
                              pilots_count(&mode->subframes[0].waveform, SYMBOL_BOUNDARY)) *
                                 power;
    assert_near(second->boundary_cells, fmin(total, ceil(active - 1e-9)), 0, "Annex F");
}

static void every_legal_mode_reports_what_the_rules_give(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    long count = 0;
    for (int i = 0; i < FFT_COUNT * GUARD_COUNT * PILOTS_COUNT * 25; i++) {
        struct transmission mode = transmission_default();
        mode.subframes[0].waveform.boost = i % 5;
        mode.subframes[0].waveform.reduction = i / 5 % 5;
        mode.subframes[0].waveform.pilots = (enum pilots)(i / 25 % PILOTS_COUNT);
        mode.subframes[0].waveform.guard = (enum guard)(i / 25 / PILOTS_COUNT % GUARD_COUNT);
        mode.subframes[0].waveform.fft = (enum fft_size)(i / 25 / PILOTS_COUNT / GUARD_COUNT);
        if (!pilots_are_allowed(mode.subframes[0].waveform.fft, mode.subframes[0].waveform.guard,
                                mode.subframes[0].waveform.pilots)) {
            continue;
        }
        struct facts second;
        struct fault fault;
        assert_int_equal(facts_with(&scenario, &mode, &second, &fault), STATUS_OK);
        check_geometry(&mode, &second);
        struct expected expected = expect(&mode, cells_first_preamble(&mode.subframes[0].waveform),
                                          cells_preamble(&mode.subframes[0].waveform),
                                          (int)second.data_cells, (int)second.boundary_cells);
        count = check_codes(&scenario, mode, &expected, count);
    }
    assert_int_equal(count, 243000);
}

static void every_bandwidth_scales_the_times(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct facts second[3];
    struct fault fault;
    for (int i = 0; i < 3; i++) {
        scenario_set_bandwidth(&scenario, 6 + i);
        assert_int_equal(facts_with(&scenario, &scenario.transmission, &second[i], &fault),
                         STATUS_OK);
        assert_near(second[i].guard_us * (6 + i), second[0].guard_us * 6, 1e-9, "6 : 7 : 8");
        assert_near(second[i].occupied_mhz * 6, second[0].occupied_mhz * (6 + i), 1e-9,
                    "6 : 7 : 8");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_legal_mode_reports_what_the_rules_give),
        cmocka_unit_test(every_bandwidth_scales_the_times),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
