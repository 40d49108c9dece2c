/* What a page amounts to where whoever asks says more than the page does: echoes, a lossy line, a
 * channel that is bonded, a pair whose other half cannot be; and what is told of it in words. */
#include "support/near.h"

#include <math.h>
#include <string.h>

#include "profile/profile.h"
#include "study/reading/reading.h"

static struct page page;
static struct reading reading;
static struct weigh_space space;

/* Reads a page with what the profile says beside it. */
static const struct reading_pipe *ask_with(const char *profile_text, const char *bytes)
{
    struct profile profile = {0};
    struct fault fault = {0};
    if (profile_read_text(profile_text, strlen(profile_text), &profile, &fault) != STATUS_OK) {
        fail_msg("%s: %s", fault.place, fault.wrong);
    }
    assert_int_equal(page_read(bytes, strlen(bytes), PAIR_ATSC, &page, NULL), STATUS_OK);
    if (reading_make(&page, -1, &profile.scenario, &space, &reading, &fault) != STATUS_OK) {
        fail_msg("%s: %s: %s", bytes, fault.place, fault.wrong);
    }
    profile_free(&profile);
    return reading_chosen(&reading);
}

static void done(void)
{
    reading_free(&reading);
    page_free(&page);
}

typedef void writer(const struct reading *reading, struct text *out);

static void assert_says(writer *write, const char *piece, bool says)
{
    struct text words = {0};
    write(&reading, &words);
    if ((strstr(text_string(&words), piece) != NULL) != says) {
        fail_msg("\"%s\" %s \"%s\"", text_string(&words), says ? "lacks" : "has", piece);
    }
    text_free(&words);
}

/* An echo as strong as the signal, far behind what the equaliser reaches. */
#define FAR_ECHO "[echo one]\ndelay_us = 100\nlevel_db = 0\nphase_deg = 0\n"

static void no_more_signal_mends_what_echoes_do(void **state)
{
    (void)state;
    const struct reading_pipe *pipe = ask_with(FAR_ECHO, "8-VSB SNR 20 dB RF 20");
    assert_true(pipe->verdict.known && pipe->verdict.margin_db < 0.0);
    assert_says(reading_write_verdict, "dB too little.", true);
    assert_says(reading_write_mending, "No more signal mends it: the echoes", true);
    done();
    /* Nor what the channel that is bonded lacks. */
    pipe = ask_with("[frame]\nbonding = plain\n[plp 0]\nbonded_snr_db = 10\n",
                    "SNR 40 dB 16K GI5_1024 256QAM 10/15");
    assert_true(pipe->verdict.known && isinf(pipe->verdict.margin_db));
    assert_says(reading_write_verdict, "It does not come in.", true);
    done();
}

static void a_lossy_line_is_named_where_it_takes_less_than_what_is_missing(void **state)
{
    (void)state;
    static const struct {
        const char *profile;
        bool named;
    } rows[] = {{"[receiver]\nline_loss_db = 1\n", true},
                {"[receiver]\nline_loss_db = 5\n", false},
                {"[receiver]\nline_loss_db = 0\n", false}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ask_with(rows[i].profile, "8-VSB SNR 13 dB");
        assert_says(reading_write_mending, "mend it", true);
        assert_says(reading_write_mending, "(which has 1.0 dB)", rows[i].named);
        done();
    }
}

/* With plain bonding each channel needs what its code asks for: what the other lacks nothing here
 * makes up. Of what needs it at no SNR no span is told. */
static void a_code_that_no_snr_suffices_for_is_in_no_span(void **state)
{
    (void)state;
    double most_db = ask_with("", "SNR 20 dB FFT 16K")->span.most_db;
    done();
    const struct reading_pipe *pipe =
        ask_with("[frame]\nbonding = plain\n[plp 0]\nbonded_snr_db = 10\n", "SNR 20 dB FFT 16K");
    assert_true(pipe->span.open);
    assert_true(pipe->span.most_db <= 10.0 && pipe->span.most_db < most_db);
    done();
    /* Long constellations have no short codes. */
    assert_string_equal(ask_with("", "SNR 20 dB LDPC 16K")->span.most, "256QAM 13/15");
    done();
}

static void a_rate_is_of_the_part_of_the_frame_that_a_plp_has(void **state)
{
    (void)state;
    static const struct {
        const char *page;
        bool whole;
    } rows[] = {{"256QAM 10/15 FFT 16K GI5_1024 SNR 30 dB", true},
                {"256QAM 10/15 FFT 16K GI5_1024 SNR 30 dB\nshare: 40 %", false},
                {"DVB-T 8K 1/4 64QAM 2/3 SNR 30 dB", false}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct text words = {0};
        reading_write_pipe(ask_with("", rows[i].page), &words);
        assert_non_null(strstr(text_string(&words), "Mbit/s net"));
        assert_int_equal(strstr(text_string(&words), "if this PLP has the whole frame") != NULL,
                         rows[i].whole);
        assert_says(reading_write_limits, "Noise or loss of", true);
        text_free(&words);
        done();
    }
    ask_with("", "8-VSB SNR 20 dB RF 20");
    assert_says(reading_write_limits, "Noise or loss of 5.1 dB more than now.", true);
    done();
}

/* How fast an echo off something turns hangs on the channel: where it is not known, what the loss
 * leaves is not told as all there is. */
static void without_a_channel_motion_is_not_judged(void **state)
{
    (void)state;
    static const char unknown[] = "is borne, as far as loss decides: without the channel";
    ask_with("", "8-VSB SNR 30 dB");
    assert_says(reading_write_limits, unknown, true);
    done();
    ask_with("", "8-VSB SNR 30 dB RF 20");
    assert_says(reading_write_limits, unknown, false);
    assert_says(reading_write_limits, "moves faster than the receiver follows", true);
    done();
}

static void without_an_snr_to_spare_nothing_faster_is_possible(void **state)
{
    (void)state;
    ask_with("", "256QAM 10/15 FFT 16K GI5_1024 SNR 30 dB");
    assert_says(reading_write_cost, "would be possible", true);
    done();
    const struct reading_pipe *pipe = ask_with("", "256QAM 10/15 FFT 16K GI5_1024 SNR 12 dB");
    assert_true(reading.possible_mbps < pipe->verdict.facts.net_mbps); /* of a slower mode */
    assert_says(reading_write_cost, "would be possible", false);
    done();
    ask_with("", "256QAM 10/15 FFT 16K GI5_1024");
    assert_true(reading.weighed && isnan(reading.possible_mbps));
    assert_says(reading_write_cost, "would be possible", false);
    done();
}

/* The pair's other system as the profile has it cannot be, which the page's own is not told by. */
static void where_the_other_one_cannot_be_nothing_is_told_of_it(void **state)
{
    (void)state;
    struct scenario base = scenario_default();
    struct text words = {0};
    const char *bytes = "8-VSB SNR 18 dB\nCH 20";
    assert_int_equal(page_read(bytes, strlen(bytes), PAIR_ATSC, &page, NULL), STATUS_OK);
    base.transmission.plps[0].interleaver = HTI_1; /* more memory than there is */
    assert_int_equal(reading_make(&page, -1, &base, &space, &reading, NULL), STATUS_OK);
    assert_true(reading_chosen(&reading)->verdict.works && !reading.other.known);
    reading_write_other(&reading, &words);
    reading_write_meaning(&page.entries[0], &reading, true, &words);
    assert_non_null(strstr(text_string(&words), " Here: "));
    text_free(&words);
    done();
}

static void of_plps_that_fail_the_one_that_lacks_least_is_mended(void **state)
{
    (void)state;
    static const char *const pages[] = {
        "SNR 14 dB 16K GI5_1024 SP12_2\nPLP 0 QPSK 4/15\nPLP 1 256QAM 8/15\nPLP 2 256QAM 12/15\n",
        "SNR 14 dB 16K GI5_1024 SP12_2\nPLP 0 QPSK 4/15\nPLP 2 256QAM 12/15\nPLP 1 256QAM 8/15\n",
        "SNR 14 dB 16K GI5_1024 SP12_2\nPLP 0 QPSK 4/15\nPLP 1 256QAM 8/15\nPLP 7 256QAM 12/15\n"
        "PLP 3 256QAM 11/15\n"};
    for (size_t i = 0; i < sizeof pages / sizeof pages[0]; i++) {
        ask_with("", pages[i]);
        assert_says(reading_write_mending, "For PLP 1: ", true);
        done();
    }
    ask_with("", "SNR 14 dB 16K GI5_1024 SP12_2\nPLP 0 QPSK 4/15\nPLP 1 256QAM 12/15\n"
                 "PLP 2 256QAM 8/15\n");
    assert_says(reading_write_mending, "For PLP 2: ", true);
    done();
}

static void errors_that_are_not_of_noise_are_told_once_for_all_plps(void **state)
{
    (void)state;
    ask_with("", "SNR 20 dB 16K GI5_1024 SP12_2\nPLP 0 QPSK 4/15 errors 5\nPLP 1 QPSK 5/15\n");
    assert_true(reading.pipes[0].not_noise && !reading.pipes[1].not_noise);
    assert_says(reading_write_mending, "more signal mends nothing", true);
    done();
    /* What is harmless beside what is not is not told. */
    ask_with("", "256QAM 10/15 SNR 21.8 dB\nUncorrected 12\nPost-LDPC BER: 0");
    assert_int_equal(reading.remarks.count, 1);
    assert_non_null(strstr(reading.remarks.rows[0], "shows 12 errors that could not be repaired,"));
    done();
    ask_with("", "8-VSB SNR 18 dB\nUncorrected packets 340\nTPS errors 0");
    assert_non_null(strstr(reading.remarks.rows[0], "340 errors"));
    done();
}

static int close_space(void **state)
{
    (void)state;
    weigh_space_free(&space);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_more_signal_mends_what_echoes_do),
        cmocka_unit_test(a_lossy_line_is_named_where_it_takes_less_than_what_is_missing),
        cmocka_unit_test(a_code_that_no_snr_suffices_for_is_in_no_span),
        cmocka_unit_test(a_rate_is_of_the_part_of_the_frame_that_a_plp_has),
        cmocka_unit_test(without_a_channel_motion_is_not_judged),
        cmocka_unit_test(without_an_snr_to_spare_nothing_faster_is_possible),
        cmocka_unit_test(where_the_other_one_cannot_be_nothing_is_told_of_it),
        cmocka_unit_test(of_plps_that_fail_the_one_that_lacks_least_is_mended),
        cmocka_unit_test(errors_that_are_not_of_noise_are_told_once_for_all_plps),
    };
    return cmocka_run_group_tests(tests, NULL, close_space);
}
