/* What lies beyond the tables: names of what is none, choices out of bounds, and how they are
 * mended.
 */
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "scenario/scenario.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/transmission.h"
#include "standard/dvbt/signal.h"
#include "standard/dvbt2/frame.h"

static void what_is_none_has_no_name(void **state)
{
    (void)state;
    const char *const names[] = {constellation_name((enum constellation)99),
                                 code_rate_name(99),
                                 code_length_name((enum code_length)99),
                                 outer_code_name((enum outer_code)99),
                                 interleaver_name((enum interleaver)99),
                                 layer_name((enum layer)99),
                                 miso_name((enum miso)99),
                                 alignment_name((enum alignment)99),
                                 bonding_name((enum bonding)99),
                                 time_info_name((enum time_info)99),
                                 fft_name((enum fft_size)99),
                                 guard_name((enum guard)99),
                                 pilots_name((enum pilots)99),
                                 dvbt_fft_name((enum dvbt_fft)99),
                                 dvbt_guard_name((enum dvbt_guard)99),
                                 dvbt_constellation_name((enum dvbt_constellation)99),
                                 dvbt_rate_name((enum dvbt_rate)99),
                                 dvbt_hierarchy_name((enum dvbt_hierarchy)99),
                                 dvbt_priority_name((enum dvbt_priority)99),
                                 t2_length_name((enum t2_length)99),
                                 t2_rate_name((enum t2_rate)99),
                                 t2_constellation_name((enum t2_constellation)99),
                                 t2_l1_name((enum t2_l1)99),
                                 t2_fft_name((enum t2_fft)99),
                                 t2_guard_name((enum t2_guard)99),
                                 t2_pilots_name((enum t2_pilots)99)};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        assert_string_equal(names[i], "?");
    }
}

static void a_t2_frame_has_symbols_within_bounds(void **state)
{
    (void)state;
    struct fault fault = {0};
    for (int fft = 0; fft < T2_FFT_COUNT; fft++) {
        struct dvbt2 mode = {.waveform = {.fft = (enum t2_fft)fft}};
        t2_repair(&mode, 8);
        assert_int_equal(mode.symbols, 0); /* auto stays */
        int least = t2_symbols_min((enum t2_fft)fft), most = t2_symbols_max(&mode.waveform, 8);
        const int wrong[] = {1, least - 1, most + 1, 99999};
        for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
            mode.symbols = wrong[i];
            assert_int_equal(t2_check(&mode, 8, &fault), STATUS_ILLEGAL);
            assert_string_equal(fault.place, "dvbt2.symbols");
            t2_repair(&mode, 8);
            assert_int_equal(t2_check(&mode, 8, NULL), STATUS_OK);
        }
    }
    struct dvbt2 odd = {.waveform = {.fft = T2_32K, .guard = T2_GI_1_16, .pilots = T2_PP4},
                        .symbols = 31};
    assert_int_equal(t2_check(&odd, 8, &fault), STATUS_ILLEGAL);
    assert_non_null(strstr(fault.allowed, "even"));
    t2_repair(&odd, 8);
    assert_int_equal(odd.symbols, 30);
    for (int mhz = 4; mhz <= 9; mhz += 5) {
        assert_int_equal(t2_check(&odd, mhz, &fault), STATUS_ILLEGAL);
        assert_string_equal(fault.place, "site.bandwidth_mhz");
    }
}

static void t2_waveforms_are_mended_to_the_nearest_that_is_legal(void **state)
{
    (void)state;
    for (int i = 0; i < T2_FFT_COUNT * T2_GUARD_COUNT * T2_PILOTS_COUNT; i++) {
        struct t2_waveform waveform = {.fft = (enum t2_fft)(i % T2_FFT_COUNT),
                                       .guard = (enum t2_guard)(i / T2_FFT_COUNT % T2_GUARD_COUNT),
                                       .pilots =
                                           (enum t2_pilots)(i / T2_FFT_COUNT / T2_GUARD_COUNT)};
        struct t2_waveform before = waveform;
        bool legal = t2_waveform_check(&waveform, 8, NULL) == STATUS_OK;
        t2_waveform_repair(&waveform);
        assert_int_equal(t2_waveform_check(&waveform, 8, NULL), STATUS_OK);
        assert_int_equal(waveform.fft, before.fft);
        assert_true(!legal || (waveform.guard == before.guard && waveform.pilots == before.pilots));
    }
}

static void qpsk_is_mended_to_no_hierarchy(void **state)
{
    (void)state;
    for (int i = 0; i < DVBT_CONSTELLATION_COUNT; i++) {
        struct dvbt mode = {.constellation = (enum dvbt_constellation)i, .hierarchy = DVBT_ALPHA_2};
        dvbt_repair(&mode);
        assert_int_equal(mode.hierarchy, i == DVBT_QPSK ? DVBT_PLAIN : DVBT_ALPHA_2);
        assert_int_equal(dvbt_check(&mode, 8, NULL), STATUS_OK);
    }
}

/* Two subframes of a PLP each. */
static struct transmission two_subframes(void)
{
    struct transmission t = transmission_default();
    t.subframe_count = t.plp_count = 2;
    t.subframes[1] = t.subframes[0];
    t.plps[1] = t.plps[0];
    for (int i = 0; i < 2; i++) {
        snprintf(t.subframes[i].name, sizeof t.subframes[i].name, "s%d", i);
        snprintf(t.plps[i].name, sizeof t.plps[i].name, "p%d", i);
        snprintf(t.plps[i].subframe, sizeof t.plps[i].subframe, "s%d", i);
    }
    return t;
}

static void refused(const struct transmission *t, const char *place)
{
    struct frame frame;
    struct fault fault = {0};
    assert_int_equal(frame_build(t, &frame, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, place);
}

static void subframes_are_no_longer_than_their_frame(void **state)
{
    (void)state;
    struct frame frame;
    struct transmission t = two_subframes();
    t.alignment = ALIGNED_TO_TIME;
    assert_int_equal(frame_build(&t, &frame, NULL), STATUS_OK);
    t.subframes[0].share_percent = 60.0;
    assert_int_equal(frame_build(&t, &frame, NULL), STATUS_OK);
    assert_near((double)frame.pools[0].symbols / (frame.pools[0].symbols + frame.pools[1].symbols),
                0.6, 0.03, "the share that was asked, in whole symbols");
    t.subframes[1].share_percent = 70.0;
    refused(&t, "subframe s1.share_percent");
    t.subframes[1].share_percent = NAN;
    t.subframes[1].symbols = 2000;
    refused(&t, "subframe s1.symbols");
}

static void layers_that_do_not_fit_are_refused_and_mended(void **state)
{
    (void)state;
    struct fault fault = {0};
    struct transmission t = two_subframes();
    t.plps[1].layer = LAYER_ENHANCED;
    snprintf(t.plps[1].over, sizeof t.plps[1].over, "p0");
    t.plps[1].injection_db = 4.0;
    assert_int_equal(transmission_check(&t, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "plp p1.subframe");
    transmission_repair(&t);
    assert_int_equal(transmission_check(&t, NULL), STATUS_OK);
    assert_string_equal(t.plps[1].subframe, "s0");
    /* Its core's interleaver may not be an extended one; a level that no code says becomes the
     * next. */
    t.plps[0].interleaver = CTI_1448_EXTENDED;
    t.plps[0].code.constellation = t.plps[1].code.constellation = QPSK;
    assert_int_equal(transmission_check(&t, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "plp p0.interleaver");
    t.plps[1].injection_db = 4.2;
    transmission_repair(&t);
    assert_int_equal(transmission_check(&t, NULL), STATUS_OK);
    assert_int_equal(t.plps[0].interleaver, CTI_1024);
    assert_near(t.plps[1].injection_db, 4.0, 1e-9, "the nearest of A/322's levels");
    /* Without any core it becomes one. */
    t.plps[1].over[0] = '\0';
    t.plps[0] = t.plps[1];
    t.plp_count = 1;
    transmission_repair(&t);
    assert_int_equal(t.plps[0].layer, LAYER_CORE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_none_has_no_name),
        cmocka_unit_test(a_t2_frame_has_symbols_within_bounds),
        cmocka_unit_test(t2_waveforms_are_mended_to_the_nearest_that_is_legal),
        cmocka_unit_test(qpsk_is_mended_to_no_hierarchy),
        cmocka_unit_test(subframes_are_no_longer_than_their_frame),
        cmocka_unit_test(layers_that_do_not_fit_are_refused_and_mended),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
