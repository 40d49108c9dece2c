/* Structure of DVB-T2's waveform tables: pilots against cells, legal combinations. */
#include "support/near.h"

#include <string.h>

#include "standard/dvbt2/frame.h"

static void each_waveform(void (*look)(const struct t2_waveform *waveform), int expected)
{
    int count = 0;
    for (int i = 0; i < T2_FFT_COUNT * 2 * T2_GUARD_COUNT * T2_PILOTS_COUNT; i++) {
        struct t2_waveform waveform = {
            .fft = (enum t2_fft)(i / (2 * T2_GUARD_COUNT * T2_PILOTS_COUNT)),
            .extended = i / (T2_GUARD_COUNT * T2_PILOTS_COUNT) % 2 == 1,
            .guard = (enum t2_guard)(i / T2_PILOTS_COUNT % T2_GUARD_COUNT),
            .pilots = (enum t2_pilots)(i % T2_PILOTS_COUNT)};
        if (t2_waveform_check(&waveform, 8, NULL) == STATUS_OK) {
            look(&waveform);
            count++;
        }
    }
    assert_int_equal(count, expected);
}

/* Legal ones: 69 of table 58, and 50 of them again with extended carriers. */
#define LEGAL (69 + 50)

static void look_at_cells(const struct t2_waveform *waveform)
{
    unsigned char kinds[T2_CARRIERS_MAX];
    int dy = t2_pilots_dy(waveform->pilots);
    for (int l = 0; l < dy; l++) {
        int cells = 0, carriers = t2_map(waveform, l, kinds);
        for (int k = 0; k < carriers; k++) {
            cells += kinds[k] == T2_CELL;
        }
        assert_int_equal(cells, t2_data_cells(waveform));
    }
}

static void cells_left_by_the_pilots_are_those_of_table_48(void **state)
{
    (void)state;
    each_waveform(look_at_cells, LEGAL);
}

/* A closing symbol has pilots at every Dx-th carrier and at the edges, and nothing else; but 1K
 * with PP4 or PP5 and 2K with PP7 have one more, next to the last carrier. */
static void look_at_closing(const struct t2_waveform *waveform)
{
    if (!t2_has_closing(waveform)) {
        return;
    }
    int carriers = t2_carriers(waveform), shift = t2_extension(waveform), cells = 0;
    int dx = t2_pilots_dx(waveform->pilots);
    for (int k = 1; k < carriers - 1; k++) {
        cells += (k - shift) % dx != 0;
    }
    cells -= (waveform->fft == T2_1K && dx == 12) || (waveform->fft == T2_2K && dx == 24);
    assert_int_equal(cells, t2_closing_cells_all(waveform));
    assert_true(t2_closing_cells(waveform) > 0 && t2_closing_cells(waveform) < cells);
}

static void cells_of_closing_symbols_are_those_of_table_49(void **state)
{
    (void)state;
    each_waveform(look_at_closing, LEGAL);
}

/* Of a closing symbol's cells a share that hangs on the pattern alone is used, to a whole number:
 * that of 32K, or of 16K with extended carriers where 32K lacks the pattern. */
static void look_at_thinning(const struct t2_waveform *waveform)
{
    if (!t2_has_closing(waveform)) {
        return;
    }
    static const double shares[T2_PILOTS_COUNT] = {
        6573.0 / 9280,  21395.0 / 23200, 8011.0 / 11600,  23127.0 / 25520,
        8893.0 / 12760, 24102.0 / 26680, 11406.0 / 13340, 0.0};
    assert_near(t2_closing_cells(waveform),
                shares[waveform->pilots] * t2_closing_cells_all(waveform), 1.0,
                "one share a pattern");
}

static void closing_symbols_are_thinned_by_a_share_of_their_pattern(void **state)
{
    (void)state;
    each_waveform(look_at_thinning, LEGAL);
}

static void look_at_closing_rule(const struct t2_waveform *waveform)
{
    static const char *const closing[T2_FFT_COUNT][T2_GUARD_COUNT] = {
        /* table 64 */
        [T2_32K] = {"", "6", "4", "4", "2", "2", ""},
        [T2_16K] = {"", "76", "45", "45", "23", "23", "1"},
        [T2_8K] = {"", "7", "45", "45", "23", "23", "1"},
        [T2_4K] = {"", "7", "45", "", "23", "", "1"},
        [T2_2K] = {"", "7", "45", "", "23", "", "1"},
        [T2_1K] = {"", "", "45", "", "23", "", "1"}};
    char digit = (char)('1' + (int)waveform->pilots);
    bool listed = strchr(closing[waveform->fft][waveform->guard], digit) != NULL;
    assert_int_equal(t2_has_closing(waveform), listed);
}

static void frames_close_as_table_64_says(void **state)
{
    (void)state;
    each_waveform(look_at_closing_rule, LEGAL);
}

static void a_mended_waveform_is_legal_and_a_legal_one_stays(void **state)
{
    (void)state;
    for (int i = 0; i < T2_FFT_COUNT * 2 * T2_GUARD_COUNT * T2_PILOTS_COUNT; i++) {
        struct t2_waveform waveform = {
            .fft = (enum t2_fft)(i / (2 * T2_GUARD_COUNT * T2_PILOTS_COUNT)),
            .extended = i / (T2_GUARD_COUNT * T2_PILOTS_COUNT) % 2 == 1,
            .guard = (enum t2_guard)(i / T2_PILOTS_COUNT % T2_GUARD_COUNT),
            .pilots = (enum t2_pilots)(i % T2_PILOTS_COUNT)};
        struct t2_waveform before = waveform;
        bool legal = t2_waveform_check(&waveform, 8, NULL) == STATUS_OK;
        t2_waveform_repair(&waveform);
        assert_int_equal(t2_waveform_check(&waveform, 8, NULL), STATUS_OK);
        assert_int_equal(waveform.fft, before.fft);
        if (legal) {
            assert_true(waveform.guard == before.guard && waveform.pilots == before.pilots &&
                        waveform.extended == before.extended);
        }
    }
}

/* In the order of their lengths; of two as near the longer one. */
static void a_guard_interval_moves_to_the_nearest_that_is_legal(void **state)
{
    (void)state;
    static const struct {
        enum t2_fft fft;
        enum t2_guard said, mended;
    } rows[] = {{T2_1K, T2_GI_1_128, T2_GI_1_16},  {T2_1K, T2_GI_19_256, T2_GI_1_8},
                {T2_1K, T2_GI_19_128, T2_GI_1_4},  {T2_2K, T2_GI_1_128, T2_GI_1_32},
                {T2_32K, T2_GI_1_4, T2_GI_19_128}, {T2_32K, T2_GI_1_16, T2_GI_1_16}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct t2_waveform waveform = {.fft = rows[i].fft, .guard = rows[i].said};
        t2_waveform_repair(&waveform);
        assert_int_equal(waveform.guard, rows[i].mended);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cells_left_by_the_pilots_are_those_of_table_48),
        cmocka_unit_test(cells_of_closing_symbols_are_those_of_table_49),
        cmocka_unit_test(closing_symbols_are_thinned_by_a_share_of_their_pattern),
        cmocka_unit_test(frames_close_as_table_64_says),
        cmocka_unit_test(a_mended_waveform_is_legal_and_a_legal_one_stays),
        cmocka_unit_test(a_guard_interval_moves_to_the_nearest_that_is_legal),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
