#include "support/near.h"
#include "support/scenarios.h"

#include <string.h>

#include "scenario/scenario.h"
#include "standard/atsc3/transmission.h"

static void the_default_mode_is_legal(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    assert_int_equal(transmission_check(&mode, NULL), STATUS_OK);
}

#define ASSERT_NAMES_READ_BACK(key, stem, type, count)                     \
    for (int i = 0; i < (count); i++) {                                    \
        assert_int_equal(choice_named(key, stem##_name((enum type)i)), i); \
    }                                                                      \
    assert_string_equal(stem##_name((enum type)(count)), "?")

static void every_name_reads_back(void **state)
{
    (void)state;
    ASSERT_NAMES_READ_BACK("mode.fft", fft, fft_size, FFT_COUNT);
    ASSERT_NAMES_READ_BACK("mode.guard", guard, guard, GUARD_COUNT);
    ASSERT_NAMES_READ_BACK("mode.pilots", pilots, pilots, PILOTS_COUNT);
    ASSERT_NAMES_READ_BACK("mode.constellation", constellation, constellation, CONSTELLATION_COUNT);
    ASSERT_NAMES_READ_BACK("mode.length", code_length, code_length, LENGTH_COUNT);
    ASSERT_NAMES_READ_BACK("mode.outer", outer_code, outer_code, OUTER_COUNT);
    ASSERT_NAMES_READ_BACK("mode.interleaver", interleaver, interleaver, INTERLEAVER_COUNT);
    for (int i = 0; i < INTERLEAVER_COUNT; i++) {
        assert_int_equal(interleaver_from_name(interleaver_name((enum interleaver)i)), i);
    }
    assert_int_equal(interleaver_from_name("no such name"), -1);
}

static void names_say_the_numbers_behind_them(void **state)
{
    (void)state;
    assert_int_equal(pilots_dx((enum pilots)choice_named("mode.pilots", "sp24_4")), 24);
    assert_int_equal(pilots_dy((enum pilots)choice_named("mode.pilots", "SP24_4")), 4);
    assert_int_equal(guard_samples((enum guard)choice_named("mode.guard", "GI12_4864")), 4864);
    assert_int_equal(fft_points(FFT_32K), 32768);
    assert_int_equal(constellation_bits(QAM4096), 12);
    assert_int_equal(code_length_bits(LENGTH_16200), 16200);
}

/* Each illegal choice is refused at its key, and what is legal there is listed. */
static void illegal_choices_are_refused_with_what_is_legal(void **state)
{
    (void)state;
    struct fault fault;
    struct transmission mode = transmission_default();
    mode.subframes[0].waveform.fft = FFT_8K;
    mode.subframes[0].waveform.guard = GI8_2432;
    assert_int_equal(transmission_check(&mode, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "mode.guard");
    assert_non_null(strstr(fault.allowed, "GI7_2048"));
    assert_null(strstr(fault.allowed, "GI8_2432"));

    mode = transmission_default();
    mode.subframes[0].waveform.pilots = SP3_2;
    assert_int_equal(transmission_check(&mode, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "mode.pilots");
    assert_string_equal(fault.allowed, "SP6_2|SP6_4|SP12_2|SP12_4");

    mode = transmission_default();
    mode.plps[0].code.length = LENGTH_16200;
    mode.plps[0].code.constellation = QAM1024;
    assert_int_equal(transmission_check(&mode, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "mode.constellation");

    mode = transmission_default();
    mode.plps[0].interleaver = CTI_1448_EXTENDED;
    assert_int_equal(transmission_check(&mode, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "mode.interleaver");
}

static void repair_moves_to_the_nearest_legal_choices(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    assert_int_equal(transmission_repair(&mode), 0);
    mode.subframes[0].waveform.fft = FFT_8K;
    mode.subframes[0].waveform.guard = GI12_4864;
    mode.plps[0].code.length = LENGTH_16200;
    mode.plps[0].code.constellation = QAM4096;
    mode.plps[0].interleaver = CTI_1254_EXTENDED;
    assert_int_equal(transmission_repair(&mode), 4);
    assert_int_equal(mode.subframes[0].waveform.guard, GI7_2048);
    assert_int_equal(mode.subframes[0].waveform.pilots, SP3_2);
    assert_int_equal(transmission_check(&mode, NULL), STATUS_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_default_mode_is_legal),
        cmocka_unit_test(every_name_reads_back),
        cmocka_unit_test(names_say_the_numbers_behind_them),
        cmocka_unit_test(illegal_choices_are_refused_with_what_is_legal),
        cmocka_unit_test(repair_moves_to_the_nearest_legal_choices),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
