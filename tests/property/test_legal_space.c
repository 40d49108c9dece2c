/* What must hold for every legal mode of the second generation. */
#include "support/near.h"

#include <stdbool.h>

#include "base/random.h"
#include "base/units.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/numerology.h"
#include "standard/atsc3/pilots.h"

/* Calls `visit` for every legal geometry (FFT size, guard interval, pilots, reduction, boost). */
static long each_geometry(void (*visit)(const struct mode *mode))
{
    long count = 0;
    for (int fft = 0; fft < FFT_COUNT; fft++) {
        for (int guard = 0; guard < GUARD_COUNT; guard++) {
            for (int pilots = 0; pilots < PILOTS_COUNT; pilots++) {
                struct mode mode = mode_default();
                mode.fft = (enum fft_size)fft;
                mode.guard = (enum guard)guard;
                mode.pilots = (enum pilots)pilots;
                if (mode_check(&mode, NULL) != STATUS_OK) {
                    continue;
                }
                for (int i = 0; i < (REDUCTION_MAX + 1) * (BOOST_MAX + 1); i++) {
                    mode.reduction = i / (BOOST_MAX + 1);
                    mode.boost = i % (BOOST_MAX + 1);
                    visit(&mode);
                    count++;
                }
            }
        }
    }
    return count;
}

static void do_nothing(const struct mode *mode)
{
    (void)mode;
}

static void the_legal_space_has_243_000_modes(void **state)
{
    (void)state;
    long codes = 0;
    for (int length = 0; length < LENGTH_COUNT; length++) {
        for (int constellation = 0; constellation < CONSTELLATION_COUNT; constellation++) {
            struct mode mode = mode_default();
            mode.length = (enum code_length)length;
            mode.constellation = (enum constellation)constellation;
            codes += mode_check(&mode, NULL) == STATUS_OK ? RATE_COUNT : 0;
        }
    }
    assert_int_equal(codes, 120);
    assert_int_equal(each_geometry(do_nothing), 81 * 5 * 5);
    assert_int_equal(each_geometry(do_nothing) * codes, 243000);
}

static int distinct_pilots(const struct mode *mode, enum symbol_kind symbol, int l)
{
    static uint8_t kinds[CARRIERS_MAX];
    int carriers = pilots_map(mode, symbol, l, kinds), pilots = 0;
    for (int k = 0; k < carriers; k++) {
        pilots += kinds[k] != CARRIER_DATA;
    }
    return pilots;
}

/* The count by rule is that of the map, and the same in every symbol. */
static void compare_count_with_map(const struct mode *mode)
{
    if (mode->boost != 0) { /* pilots do not depend on it */
        return;
    }
    for (int l = 0; l < pilots_dy(mode->pilots); l++) {
        assert_int_equal(pilots_count(mode, SYMBOL_DATA), distinct_pilots(mode, SYMBOL_DATA, l));
    }
    assert_int_equal(pilots_count(mode, SYMBOL_BOUNDARY),
                     distinct_pilots(mode, SYMBOL_BOUNDARY, 0));
    assert_int_equal(pilots_count(mode, SYMBOL_PREAMBLE),
                     distinct_pilots(mode, SYMBOL_PREAMBLE, 0));
    assert_int_equal(pilots_count(mode, SYMBOL_FIRST_PREAMBLE),
                     distinct_pilots(mode, SYMBOL_FIRST_PREAMBLE, 0));
}

static void counts_agree_with_maps_in_every_symbol(void **state)
{
    (void)state;
    each_geometry(compare_count_with_map);
}

static void check_counts(const struct mode *mode)
{
    struct cell_counts counts = cells_count(mode);
    assert_int_equal(counts.data, cells_data(mode));
    assert_int_equal(counts.boundary_total, cells_boundary_total(mode));
    assert_int_equal(counts.boundary, cells_boundary(mode));
    assert_int_equal(counts.first_preamble, cells_first_preamble(mode));
    assert_int_equal(counts.preamble, cells_preamble(mode));
    assert_true(counts.boundary > 0 && counts.boundary <= counts.boundary_total);
    assert_true(counts.boundary_total < counts.data && counts.data < counts.carriers);
    /* The active cells keep the symbol's power: at most that of a data symbol, one cell more. */
    double scattered = ratio_from_db(pilots_scattered_db(mode->pilots, mode->boost));
    double difference =
        (counts.boundary - counts.data) + (double)(counts.data - counts.boundary_total) * scattered;
    assert_true(difference < 1.0);
}

static void boundary_symbols_are_not_stronger_than_data_symbols(void **state)
{
    (void)state;
    each_geometry(check_counts);
}

static void check_frames(const struct mode *geometry)
{
    static const double frame_ms[] = {50.0, 77.7, 250.0, 1000.0, 5000.0};
    for (size_t i = 0; i < sizeof frame_ms / sizeof frame_ms[0]; i++) {
        struct mode mode = *geometry;
        mode.frame_ms = frame_ms[i];
        struct frame frame;
        assert_int_equal(frame_build(&mode, &frame, NULL), STATUS_OK);
        assert_true(frame.duration_ms <= mode.frame_ms + 1e-6);
        assert_true(frame.duration_ms + numerology_symbol_us(&mode) / 1e3 > mode.frame_ms);
        assert_true(frame.data_symbols >= 1 && frame.preamble_payload >= 0);
        assert_true(frame.cells > 0);
        assert_true(frame.net_mbps > 0 && frame.net_mbps < frame.plp_mbps);
    }
}

static void frames_are_as_long_as_fits_and_never_longer(void **state)
{
    (void)state;
    each_geometry(check_frames);
}

static struct frame frame_of(const struct mode *mode)
{
    struct frame frame;
    assert_int_equal(frame_build(mode, &frame, NULL), STATUS_OK);
    return frame;
}

static void check_rates(const struct mode *geometry)
{
    double previous = 0.0;
    struct mode mode = *geometry;
    for (int rate = RATE_MIN_15THS; rate <= RATE_MAX_15THS; rate++) {
        mode.rate_15ths = rate;
        double mbps = frame_of(&mode).plp_mbps;
        assert_true(mbps > previous);
        previous = mbps;
    }
    previous = 0.0;
    for (int constellation = 0; constellation < CONSTELLATION_COUNT; constellation++) {
        mode.constellation = (enum constellation)constellation;
        double mbps = frame_of(&mode).plp_mbps;
        assert_true(mbps > previous);
        previous = mbps;
    }
    double by_outer[OUTER_COUNT];
    for (int outer = 0; outer < OUTER_COUNT; outer++) {
        mode.outer = (enum outer_code)outer;
        by_outer[outer] = frame_of(&mode).plp_mbps;
    }
    assert_true(by_outer[OUTER_BCH] < by_outer[OUTER_CRC]);
    assert_true(by_outer[OUTER_CRC] < by_outer[OUTER_NONE]);
}

static void a_higher_code_rate_or_constellation_always_carries_more(void **state)
{
    (void)state;
    each_geometry(check_rates);
}

static void check_guard(const struct mode *mode)
{
    struct mode longer = *mode;
    if (mode->guard + 1 == GUARD_COUNT) {
        return;
    }
    longer.guard = (enum guard)(mode->guard + 1);
    if (!guard_is_allowed(longer.fft, longer.guard)) {
        return;
    }
    assert_true(numerology_guard_us(&longer) > numerology_guard_us(mode));
    /* With the same pilots it costs bit rate; over a long frame, so that whole symbols do not
     * decide. */
    if (pilots_are_allowed(longer.fft, longer.guard, longer.pilots)) {
        struct mode shorter = *mode;
        shorter.frame_ms = longer.frame_ms = 5000.0;
        assert_true(frame_of(&longer).plp_mbps < frame_of(&shorter).plp_mbps);
    }
}

static void more_guard_tolerates_more_and_carries_less(void **state)
{
    (void)state;
    each_geometry(check_guard);
}

static void check_reduction(const struct mode *mode)
{
    if (mode->reduction == REDUCTION_MAX) {
        return;
    }
    struct mode narrower = *mode;
    narrower.reduction++;
    assert_true(cells_data(&narrower) < cells_data(mode));
    assert_true(numerology_occupied_mhz(&narrower) < numerology_occupied_mhz(mode));
    assert_true(numerology_occupied_mhz(mode) < mode->bandwidth_mhz);
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
        struct mode mode = mode_default();
        mode.fft = (enum fft_size)(random_bits(&random) % FFT_COUNT);
        mode.guard = (enum guard)(random_bits(&random) % GUARD_COUNT);
        mode.pilots = (enum pilots)(random_bits(&random) % PILOTS_COUNT);
        mode.length = (enum code_length)(random_bits(&random) % LENGTH_COUNT);
        mode.constellation = (enum constellation)(random_bits(&random) % CONSTELLATION_COUNT);
        mode.interleaver = (enum interleaver)(random_bits(&random) % INTERLEAVER_COUNT);
        bool was_legal = mode_check(&mode, NULL) == STATUS_OK;
        int moved = mode_repair(&mode);
        assert_int_equal(mode_check(&mode, NULL), STATUS_OK);
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
