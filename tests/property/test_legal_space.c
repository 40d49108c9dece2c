/* What must hold for every legal mode of the second generation. */
#include "support/near.h"

#include <stdbool.h>

#include "base/random.h"
#include "base/units.h"
#include "scenario/scenario.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/grid.h"
#include "standard/atsc3/pilots.h"

/* Calls `visit` for every legal geometry (FFT size, guard interval, pilots, reduction, boost). */
static long each_geometry(void (*visit)(const struct transmission *mode))
{
    long count = 0;
    for (int fft = 0; fft < FFT_COUNT; fft++) {
        for (int guard = 0; guard < GUARD_COUNT; guard++) {
            for (int pilots = 0; pilots < PILOTS_COUNT; pilots++) {
                struct transmission mode = transmission_default();
                mode.subframes[0].waveform.fft = (enum fft_size)fft;
                mode.subframes[0].waveform.guard = (enum guard)guard;
                mode.subframes[0].waveform.pilots = (enum pilots)pilots;
                if (transmission_check(&mode, NULL) != STATUS_OK) {
                    continue;
                }
                for (int i = 0; i < (REDUCTION_MAX + 1) * (BOOST_MAX + 1); i++) {
                    mode.subframes[0].waveform.reduction = i / (BOOST_MAX + 1);
                    mode.subframes[0].waveform.boost = i % (BOOST_MAX + 1);
                    visit(&mode);
                    count++;
                }
            }
        }
    }
    return count;
}

static void do_nothing(const struct transmission *mode)
{
    (void)mode;
}

static void the_legal_space_has_243_000_modes(void **state)
{
    (void)state;
    long codes = 0;
    for (int length = 0; length < LENGTH_COUNT; length++) {
        for (int constellation = 0; constellation < CONSTELLATION_COUNT; constellation++) {
            struct transmission mode = transmission_default();
            mode.plps[0].code.length = (enum code_length)length;
            mode.plps[0].code.constellation = (enum constellation)constellation;
            codes += transmission_check(&mode, NULL) == STATUS_OK ? RATE_COUNT : 0;
        }
    }
    assert_int_equal(codes, 120);
    assert_int_equal(each_geometry(do_nothing), 81 * 5 * 5);
    assert_int_equal(each_geometry(do_nothing) * codes, 243000);
}

static int distinct_pilots(const struct transmission *mode, enum symbol_kind symbol, int l)
{
    static uint8_t kinds[CARRIERS_MAX];
    int carriers = pilots_map(&mode->subframes[0].waveform, symbol, l, kinds), pilots = 0;
    for (int k = 0; k < carriers; k++) {
        pilots += kinds[k] != CARRIER_DATA;
    }
    return pilots;
}

/* The count by rule is that of the map, and the same in every symbol. */
static void compare_count_with_map(const struct transmission *mode)
{
    if (mode->subframes[0].waveform.boost != 0) { /* pilots do not depend on it */
        return;
    }
    for (int l = 0; l < pilots_dy(mode->subframes[0].waveform.pilots); l++) {
        assert_int_equal(pilots_count(&mode->subframes[0].waveform, SYMBOL_DATA),
                         distinct_pilots(mode, SYMBOL_DATA, l));
    }
    assert_int_equal(pilots_count(&mode->subframes[0].waveform, SYMBOL_BOUNDARY),
                     distinct_pilots(mode, SYMBOL_BOUNDARY, 0));
    assert_int_equal(pilots_count(&mode->subframes[0].waveform, SYMBOL_PREAMBLE),
                     distinct_pilots(mode, SYMBOL_PREAMBLE, 0));
    assert_int_equal(pilots_count(&mode->subframes[0].waveform, SYMBOL_FIRST_PREAMBLE),
                     distinct_pilots(mode, SYMBOL_FIRST_PREAMBLE, 0));
}

static void counts_agree_with_maps_in_every_symbol(void **state)
{
    (void)state;
    each_geometry(compare_count_with_map);
}

static void check_counts(const struct transmission *mode)
{
    struct cell_counts counts = cells_count(&mode->subframes[0].waveform);
    assert_int_equal(counts.data, cells_data(&mode->subframes[0].waveform));
    assert_int_equal(counts.boundary_total, cells_boundary_total(&mode->subframes[0].waveform));
    assert_int_equal(counts.boundary, cells_boundary(&mode->subframes[0].waveform));
    assert_int_equal(counts.first_preamble, cells_first_preamble(&mode->subframes[0].waveform));
    assert_int_equal(counts.preamble, cells_preamble(&mode->subframes[0].waveform));
    assert_true(counts.boundary > 0 && counts.boundary <= counts.boundary_total);
    assert_true(counts.boundary_total < counts.data && counts.data < counts.carriers);
    /* The active cells keep the symbol's power: at most that of a data symbol, one cell more. */
    double scattered = ratio_from_db(
        pilots_scattered_db(mode->subframes[0].waveform.pilots, mode->subframes[0].waveform.boost));
    double difference =
        (counts.boundary - counts.data) + (double)(counts.data - counts.boundary_total) * scattered;
    assert_true(difference < 1.0);
}

static void boundary_symbols_are_not_stronger_than_data_symbols(void **state)
{
    (void)state;
    each_geometry(check_counts);
}

static void check_frames(const struct transmission *geometry)
{
    static const double frame_ms[] = {50.0, 77.7, 250.0, 1000.0, 5000.0};
    for (size_t i = 0; i < sizeof frame_ms / sizeof frame_ms[0]; i++) {
        struct transmission mode = *geometry;
        mode.frame_ms = frame_ms[i];
        struct frame frame;
        assert_int_equal(frame_build(&mode, &frame, NULL), STATUS_OK);
        assert_true(frame.duration_ms <= mode.frame_ms + 1e-6);
        assert_true(frame.duration_ms + waveform_grid(&mode.subframes[0].waveform).symbol_us / 1e3 >
                    mode.frame_ms);
        assert_true(frame.data_symbols >= 1 && frame.preamble_payload >= 0);
        assert_true(frame.cells > 0);
        struct carried carried = code_carried(&mode.plps[0].code, frame.cell_rate_hz);
        assert_true(carried.net_mbps > 0 && carried.net_mbps < carried.plp_mbps);
    }
}

static void frames_are_as_long_as_fits_and_never_longer(void **state)
{
    (void)state;
    each_geometry(check_frames);
}

static struct frame frame_of(const struct transmission *mode)
{
    struct frame frame;
    assert_int_equal(frame_build(mode, &frame, NULL), STATUS_OK);
    return frame;
}

static double plp_mbps_of(const struct transmission *mode)
{
    return code_carried(&mode->plps[0].code, frame_of(mode).cell_rate_hz).plp_mbps;
}

static void check_rates(const struct transmission *geometry)
{
    double previous = 0.0;
    struct transmission mode = *geometry;
    for (int rate = RATE_MIN_15THS; rate <= RATE_MAX_15THS; rate++) {
        mode.plps[0].code.rate_15ths = rate;
        double mbps = plp_mbps_of(&mode);
        assert_true(mbps > previous);
        previous = mbps;
    }
    previous = 0.0;
    for (int constellation = 0; constellation < CONSTELLATION_COUNT; constellation++) {
        mode.plps[0].code.constellation = (enum constellation)constellation;
        double mbps = plp_mbps_of(&mode);
        assert_true(mbps > previous);
        previous = mbps;
    }
    double by_outer[OUTER_COUNT];
    for (int outer = 0; outer < OUTER_COUNT; outer++) {
        mode.plps[0].code.outer = (enum outer_code)outer;
        by_outer[outer] = plp_mbps_of(&mode);
    }
    assert_true(by_outer[OUTER_BCH] < by_outer[OUTER_CRC]);
    assert_true(by_outer[OUTER_CRC] < by_outer[OUTER_NONE]);
}

static void a_higher_code_rate_or_constellation_always_carries_more(void **state)
{
    (void)state;
    each_geometry(check_rates);
}

static void check_guard(const struct transmission *mode)
{
    struct transmission longer = *mode;
    if (mode->subframes[0].waveform.guard + 1 == GUARD_COUNT) {
        return;
    }
    longer.subframes[0].waveform.guard = (enum guard)(mode->subframes[0].waveform.guard + 1);
    if (!guard_is_allowed(longer.subframes[0].waveform.fft, longer.subframes[0].waveform.guard)) {
        return;
    }
    assert_true(waveform_grid(&longer.subframes[0].waveform).guard_us >
                waveform_grid(&mode->subframes[0].waveform).guard_us);
    /* With the same pilots it costs bit rate; over a long frame, so that whole symbols do not
     * decide. */
    if (pilots_are_allowed(longer.subframes[0].waveform.fft, longer.subframes[0].waveform.guard,
                           longer.subframes[0].waveform.pilots)) {
        struct transmission shorter = *mode;
        shorter.frame_ms = longer.frame_ms = 5000.0;
        assert_true(plp_mbps_of(&longer) < plp_mbps_of(&shorter));
    }
}

static void more_guard_tolerates_more_and_carries_less(void **state)
{
    (void)state;
    each_geometry(check_guard);
}

static void check_reduction(const struct transmission *mode)
{
    if (mode->subframes[0].waveform.reduction == REDUCTION_MAX) {
        return;
    }
    struct transmission narrower = *mode;
    narrower.subframes[0].waveform.reduction++;
    assert_true(cells_data(&narrower.subframes[0].waveform) <
                cells_data(&mode->subframes[0].waveform));
    assert_true(waveform_grid(&narrower.subframes[0].waveform).occupied_mhz <
                waveform_grid(&mode->subframes[0].waveform).occupied_mhz);
    assert_true(waveform_grid(&mode->subframes[0].waveform).occupied_mhz <
                mode->subframes[0].waveform.bandwidth_mhz);
}

static void carrier_reduction_narrows_and_costs_cells(void **state)
{
    (void)state;
    each_geometry(check_reduction);
}

/* Repair makes any combination of in-range choices legal, and leaves a legal one alone. */
static void any_choice_can_be_repaired(void **state)
{
    (void)state;
    struct random random = random_seeded(322, 0);
    for (int i = 0; i < 20000; i++) {
        struct transmission mode = transmission_default();
        mode.subframes[0].waveform.fft = (enum fft_size)(random_bits(&random) % FFT_COUNT);
        mode.subframes[0].waveform.guard = (enum guard)(random_bits(&random) % GUARD_COUNT);
        mode.subframes[0].waveform.pilots = (enum pilots)(random_bits(&random) % PILOTS_COUNT);
        mode.plps[0].code.length = (enum code_length)(random_bits(&random) % LENGTH_COUNT);
        mode.plps[0].code.constellation =
            (enum constellation)(random_bits(&random) % CONSTELLATION_COUNT);
        mode.plps[0].interleaver = (enum interleaver)(random_bits(&random) % INTERLEAVER_COUNT);
        struct frame frame;
        bool was_legal = transmission_check(&mode, NULL) == STATUS_OK &&
                         frame_build(&mode, &frame, NULL) == STATUS_OK;
        int moved = transmission_repair(&mode);
        assert_int_equal(transmission_check(&mode, NULL), STATUS_OK);
        assert_int_equal(frame_build(&mode, &frame, NULL), STATUS_OK);
        assert_int_equal(moved == 0, was_legal);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_legal_space_has_243_000_modes),
        cmocka_unit_test(counts_agree_with_maps_in_every_symbol),
        cmocka_unit_test(boundary_symbols_are_not_stronger_than_data_symbols),
        cmocka_unit_test(frames_are_as_long_as_fits_and_never_longer),
        cmocka_unit_test(a_higher_code_rate_or_constellation_always_carries_more),
        cmocka_unit_test(more_guard_tolerates_more_and_carries_less),
        cmocka_unit_test(carrier_reduction_narrows_and_costs_cells),
        cmocka_unit_test(any_choice_can_be_repaired),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
