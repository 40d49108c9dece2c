#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "profile/profile.h"
#include "study/reading/reading.h"

/* What pages amount to. Margins are held against the verdict of the same scenario, so that a page
 * and a profile that say the same are told the same. */

struct asked {
    struct page page;
    struct reading reading;
    struct weigh_space space;
};

static struct asked asked;

static const struct reading_pipe *ask(const char *bytes)
{
    const struct scenario base = scenario_default();
    assert_int_equal(page_read(bytes, strlen(bytes), PAIR_ATSC, &asked.page, NULL), STATUS_OK);
    assert_int_equal(reading_make(&asked.page, -1, &base, &asked.space, &asked.reading, NULL),
                     STATUS_OK);
    return reading_chosen(&asked.reading);
}

/* The margin alone; what was asked before stays. */
static double ask_margin(const char *bytes)
{
    const struct scenario base = scenario_default();
    struct page page;
    struct reading reading;
    assert_int_equal(page_read(bytes, strlen(bytes), PAIR_ATSC, &page, NULL), STATUS_OK);
    assert_int_equal(reading_make(&page, -1, &base, &asked.space, &reading, NULL), STATUS_OK);
    double margin_db = reading_chosen(&reading)->verdict.margin_db;
    reading_free(&reading);
    page_free(&page);
    return margin_db;
}

static void done(void)
{
    reading_free(&asked.reading);
    page_free(&asked.page);
}

static struct text words_of(void (*write)(const struct reading *reading, struct text *out))
{
    struct text words = {0};
    write(&asked.reading, &words);
    assert_false(words.failed);
    return words;
}

static void assert_says(void (*write)(const struct reading *reading, struct text *out),
                        const char *piece, bool says)
{
    struct text words = words_of(write);
    if ((strstr(text_string(&words), piece) != NULL) != says) {
        fail_msg("\"%s\" %s \"%s\"", text_string(&words), says ? "lacks" : "has", piece);
    }
    text_free(&words);
}

static void a_code_that_is_not_on_the_page_is_not_made_up(void **state)
{
    (void)state;
    const struct facts *facts = &ask("FFT 16K, SNR 22.4 dB")->verdict.facts;
    assert_string_equal(facts->fft, "16K");
    assert_null(facts->guard);
    assert_null(facts->constellation);
    assert_null(facts->rate);
    assert_null(facts->pilots);
    assert_true(isnan(facts->net_mbps) && isnan(facts->required_snr_db) && isnan(facts->length));
    const struct verdict *verdict = &reading_chosen(&asked.reading)->verdict;
    assert_false(verdict->known);
    assert_true(isnan(verdict->margin_db) && isnan(verdict->margin_noise_db));
    assert_near(verdict->conditions.snr_db, 22.4, 0.0, "the page");
    assert_says(reading_write_verdict, "does not say the constellation and the code rate", true);
    assert_says(reading_write_verdict, "between", true);
    assert_says(reading_write_verdict, "to spare", false);
    done();
}

/* Half of a code narrows the span: it is computed from the codes that are left. */
static void half_a_code_gives_a_narrower_span(void **state)
{
    (void)state;
    struct code_span all = ask("SNR 22.4 dB FFT 16K")->span;
    done();
    struct code_span half = ask("SNR 22.4 dB FFT 16K 256QAM")->span;
    assert_true(half.open);
    assert_true(half.least_db > all.least_db && half.most_db < all.most_db);
    assert_string_equal(half.least, "256QAM 2/15");
    assert_string_equal(half.most, "256QAM 13/15");
    assert_says(reading_write_verdict, "depending on the code rate", true);
    done();
    const struct reading_pipe *whole = ask("SNR 22.4 dB FFT 16K 256QAM 13/15");
    assert_false(whole->span.open);
    assert_near(whole->verdict.reception.needed_input_db, half.most_db, 1e-9, "the same code");
    done();
}

/* Margin needs code and SNR; the rate FFT size and guard interval too. */
static void each_figure_asks_for_what_it_follows_from(void **state)
{
    (void)state;
    const struct verdict *verdict = &ask("256QAM 10/15 SNR 25 dB")->verdict;
    assert_true(verdict->known && isfinite(verdict->margin_db));
    assert_near(verdict->margin_noise_db, 25.0 - verdict->facts.required_snr_db, 1e-9,
                "closed form");
    assert_true(isnan(verdict->facts.net_mbps) && isnan(verdict->facts.field_dbuvm));
    done();
    verdict = &ask("256QAM 10/15 FFT 16K GI5_1024 RF 27")->verdict;
    assert_true(isfinite(verdict->facts.net_mbps) && isfinite(verdict->facts.field_dbuvm));
    assert_true(isfinite(verdict->facts.speed_kmh));
    assert_false(verdict->known);
    assert_says(reading_write_verdict, "reports no SNR", true);
    done();
}

static const char two_plps[] = "SNR: 12.9 dB\nFFT 16K GI5_1024 SP12_2\n"
                               "PLP 0\nModulation: QPSK\nCode rate: 5/15\n"
                               "PLP 1\nModulation: 1024QAM\nCode rate: 8/15\n";

static void each_plp_is_told_with_its_margin(void **state)
{
    (void)state;
    const struct reading_pipe *chosen = ask(two_plps);
    assert_int_equal(asked.reading.pipe_count, 2);
    assert_int_equal(chosen->plp, 0); /* the most robust */
    assert_true(asked.reading.pipes[0].verdict.works);
    assert_false(asked.reading.pipes[1].verdict.works);
    assert_true(isnan(chosen->verdict.facts.net_mbps)); /* nobody says how the cells are shared */
    assert_says(reading_write_verdict, "PLP 0 comes in", true);
    assert_says(reading_write_verdict, "PLP 1 does not come in", true);
    done();
}

static void a_plp_that_is_not_there_is_refused_with_those_that_are(void **state)
{
    (void)state;
    const struct scenario base = scenario_default();
    struct fault fault = {0};
    assert_int_equal(page_read(two_plps, strlen(two_plps), PAIR_ATSC, &asked.page, NULL),
                     STATUS_OK);
    assert_int_equal(reading_make(&asked.page, 9, &base, &asked.space, &asked.reading, &fault),
                     STATUS_UNKNOWN_NAME);
    assert_string_equal(fault.wrong, "the page has no PLP 9");
    assert_string_equal(fault.allowed, "there are 0 1");
    page_free(&asked.page);
}

static void errors_beside_a_margin_are_worth_a_sentence(void **state)
{
    (void)state;
    ask("256QAM 10/15 SNR 21.8 dB\nUncorrected blocks: 12");
    assert_int_equal(asked.reading.remarks.count, 1);
    assert_non_null(strstr(asked.reading.remarks.rows[0], "12 errors that could not be repaired"));
    assert_non_null(strstr(asked.reading.remarks.rows[0], "echoes, motion"));
    assert_says(reading_write_mending, "more signal mends nothing", true);
    assert_true(reading_chosen(&asked.reading)->settled.legal);
    done();
    ask("256QAM 10/15 SNR 21.8 dB\nUncorrected blocks: 0\nLock: yes");
    assert_int_equal(asked.reading.remarks.count, 0);
    done();
    ask("256QAM 10/15 SNR 14 dB\nUncorrected blocks: 0");
    assert_int_equal(asked.reading.remarks.count, 1);
    assert_non_null(strstr(asked.reading.remarks.rows[0], "are missing"));
    assert_says(reading_write_mending, "more signal mends nothing", false);
    done();
    ask("8-VSB SNR 18 dB\nLock: no");
    assert_int_equal(asked.reading.remarks.count, 1);
    done();
}

/* Other things that receivers show, and nothing to remark where they agree with the margin. */
static void what_receivers_count_is_weighed_against_the_margin(void **state)
{
    (void)state;
    static const struct {
        const char *page;
        size_t remarks;
    } rows[] = {
        {"256QAM 10/15 SNR 21.8 dB\nLock: no\nLock: yes", 1},
        {"256QAM 10/15 SNR 21.8 dB\nPost-LDPC BER: 1e-3\nLock: no", 1},
        {"256QAM 10/15 SNR 21.8 dB\nPost-LDPC BER: 0", 0},
        {"256QAM 10/15 SNR 14 dB\nPost-LDPC BER: 0\nLock: yes", 1},
        {"256QAM 10/15 SNR 14 dB\nLock: no", 0},
        {"256QAM 10/15\nLock: no", 0},
        {"256QAM SNR 20 dB\nUncorrected blocks: many", 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ask(rows[i].page);
        if (asked.reading.remarks.count != rows[i].remarks) {
            fail_msg("\"%s\": %zu remarks", rows[i].page, asked.reading.remarks.count);
        }
        done();
    }
    struct page page;
    struct fault fault = {0};
    const struct scenario base = scenario_default();
    const char *bytes = "FFT 8K";
    assert_int_equal(page_read(bytes, strlen(bytes), PAIR_ATSC, &page, NULL), STATUS_OK);
    assert_int_equal(reading_make(&page, 4, &base, &asked.space, &asked.reading, &fault),
                     STATUS_UNKNOWN_NAME);
    assert_string_equal(fault.allowed, "the page names no PLP");
    page_free(&page);
}

/* Only its frame shows that this interleaver needs more memory than there is. */
static void a_mode_that_its_frame_forbids_has_no_figures(void **state)
{
    (void)state;
    const struct reading_pipe *pipe =
        ask("FFT 16K GI5_1024 SP12_2 256QAM 10/15\nTime interleaver: HTI 1\nSNR 30 dB");
    assert_false(pipe->settled.legal);
    assert_int_equal(pipe->settled.contradictions.count, 1);
    assert_non_null(strstr(pipe->settled.contradictions.rows[0], "needs a memory"));
    done();
}

/* What could be said if more were known, at any SNR or none. */
static void half_known_modes_are_told_by_their_span(void **state)
{
    (void)state;
    static const char *const rows[][2] = {
        {"code rate 10/15 SNR -10 dB", "At -10.0 dB none of them comes in."},
        {"code rate 10/15 SNR 60 dB", "At 60.0 dB all of them come in."},
        {"code rate 10/15 SNR 20 dB", "At 20.0 dB they come in up to "},
        {"code rate 10/15", "depending on the constellation."},
        {"256QAM", "depending on the code rate."},
        {"FFT 16K SNR 20 dB", "depending on constellation and code rate."},
        {"SNR 20 dB", "The page says nothing of the mode, nor of which generation the signal is"},
        {"256QAM 10/15", "so the margin is unknown."},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ask(rows[i][0]);
        assert_says(reading_write_verdict, rows[i][1], true);
        done();
    }
    /* Whatever is known, all that can be told of it is told. */
    static void (*const writers[])(const struct reading *reading, struct text *out) = {
        reading_write_verdict, reading_write_cost,  reading_write_basis,
        reading_write_mending, reading_write_other, reading_write_limits};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ask(rows[i][0]);
        for (size_t k = 0; k < sizeof writers / sizeof writers[0]; k++) {
            struct text words = words_of(writers[k]);
            assert_null(strstr(text_string(&words), "nan"));
            assert_null(strstr(text_string(&words), "inf "));
            text_free(&words);
        }
        done();
    }
}

static void meanings_are_told_short_and_long(void **state)
{
    (void)state;
    static const char *const pages[] = {"FFT 16K GI5_1024 SP12_2 256QAM 10/15 RF 20 SNR 2l.5 dB",
                                        "8-VSB SNR 18 dB", "FFT 8K GI12_4864", "SNR 20 dB"};
    for (size_t i = 0; i < sizeof pages / sizeof pages[0]; i++) {
        ask(pages[i]);
        for (size_t k = 0; k < asked.page.entry_count; k++) {
            struct text brief = {0}, whole = {0};
            char title[80];
            reading_write_meaning(&asked.page.entries[k], &asked.reading, false, &brief);
            reading_write_meaning(&asked.page.entries[k], &asked.reading, true, &whole);
            assert_true(whole.length > brief.length && brief.length > 0);
            assert_true(reading_title(&asked.page.entries[k], title, sizeof title)[0] != '\0');
            text_free(&brief);
            text_free(&whole);
        }
        done();
    }
    ask("SNR 20 dB");
    struct text none = {0};
    char title[80];
    const struct page_entry unknown = {.key = "page.nothing"};
    reading_write_meaning(&unknown, &asked.reading, true, &none);
    assert_int_equal(none.length, 0);
    assert_string_equal(reading_title(&unknown, title, sizeof title), "page.nothing");
    done();
}

static void both_generations_get_plain_words_and_the_other_one(void **state)
{
    (void)state;
    const struct reading_pipe *first = ask("8-VSB, RF 8, SNR 13.4 dB");
    const struct scenario *scenario = &first->settled.scenario;
    struct verdict same;
    assert_int_equal(verdict_make(scenario, GENERATION_FIRST, &same, NULL), STATUS_OK);
    assert_near(first->verdict.margin_db, same.margin_db, 1e-9, "the one verdict");
    assert_says(reading_write_verdict, "It does not come in: 1.5 dB too little.", true);
    assert_says(reading_write_mending, "1.5 dB more would mend it", true);
    assert_says(reading_write_other, "second generation", true);
    assert_true(asked.reading.other.same_rate_db < first->verdict.reception.needed_input_db);
    done();
    ask("QPSK 4/15 FFT 16K GI5_1024 RF 8 SNR 10 dB");
    assert_says(reading_write_verdict, "It comes in", true);
    assert_says(reading_write_other, "8-VSB) would not come in: 4.9 dB too little", true);
    assert_says(reading_write_other, "4.9 dB more would mend it", true);
    done();
}

/* A page that contradicts itself still tells what stands there, and nothing that follows. */
static void a_contradiction_leaves_the_choices_and_no_figures(void **state)
{
    (void)state;
    const struct verdict *verdict = &ask("FFT 8K\nGI12_4864\n256QAM 8/15\nSNR 26 dB")->verdict;
    assert_string_equal(verdict->facts.fft, "8K");
    assert_string_equal(verdict->facts.guard, "GI12_4864");
    assert_true(isnan(verdict->facts.guard_us) && isnan(verdict->margin_db));
    done();
    verdict = &ask("FFT 8K\nFFT 16K\n256QAM 8/15\nSNR 26 dB")->verdict;
    assert_null(verdict->facts.fft);
    struct page_lines lines;
    assert_int_equal(reading_contradictions(&asked.reading, &asked.page, &lines), STATUS_OK);
    assert_int_equal(lines.count, 1);
    free(lines.rows);
    done();
}

/* A page and a profile that say the same layers get the same verdicts. */
static void layers_count_each_other_as_the_profile_has_it(void **state)
{
    (void)state;
    static const char profile_text[] =
        "[site]\nrf_channel = 14\n[mode]\nfft = 16K\nguard = GI5_1024\npilots = SP12_2\n"
        "boost = 4\n[receiver]\nsnr_db = 24\n"
        "[plp 0]\nconstellation = QPSK\nrate = 5/15\n"
        "[plp 1]\nlayer = enhanced\nover = 0\ninjection_db = 4\nconstellation = 64QAM\n"
        "rate = 10/15\n";
    static const char page_text[] = "RF 14 SNR 24.0 dB\n16K GI5_1024 SP12_2 boost 4\n"
                                    "PLP 0 layer core QPSK 5/15 64K\n"
                                    "PLP 1 layer enhanced injection -4 dB 64QAM 10/15 64K\n";
    struct profile profile = {0};
    assert_int_equal(profile_read_text(profile_text, strlen(profile_text), &profile, NULL),
                     STATUS_OK);
    ask(page_text);
    assert_true(asked.reading.joined);
    for (int i = 0; i < 2; i++) {
        struct verdict verdict;
        assert_int_equal(verdict_make_pipe(&profile.scenario, GENERATION_SECOND, i, &verdict, NULL),
                         STATUS_OK);
        assert_near(asked.reading.pipes[i].verdict.margin_db, verdict.margin_db, 1e-9,
                    "the profile's verdict");
    }
    assert_string_equal(asked.reading.pipes[1].verdict.facts.layer, "enhanced");
    double alone_db = ask_margin("SNR 24 dB 16K GI5_1024 SP12_2 boost 4 QPSK 5/15 64K RF 14");
    assert_true(asked.reading.pipes[0].verdict.margin_db < alone_db - 1.0); /* noise of the other */
    done();
    profile_free(&profile);
}

/* Without the injection level nobody knows what a layer needs. */
static void a_layer_without_its_injection_level_has_no_margin(void **state)
{
    (void)state;
    ask("SNR 24 dB\n16K GI5_1024 SP12_2\nPLP 0 layer core QPSK 5/15\n"
        "PLP 1 layer enhanced 64QAM 10/15\n");
    for (int i = 0; i < 2; i++) {
        assert_false(asked.reading.pipes[i].verdict.known);
        assert_true(isnan(asked.reading.pipes[i].verdict.facts.required_snr_db));
    }
    assert_says(reading_write_verdict, "shares its cells with another layer", true);
    done();
}

/* Rates go by the sizes on the page, and their sum is the transmission's. */
static void sizes_on_the_page_give_rates(void **state)
{
    (void)state;
    ask("SNR 24 dB\n16K GI5_1024 SP12_2\nPLP 0 QPSK 5/15 share 25 %\n"
        "PLP 1 64QAM 10/15 share 75 %\n");
    double both_mbps = reading_net_mbps(&asked.reading);
    double second_mbps = asked.reading.pipes[1].verdict.facts.net_mbps;
    assert_near(asked.reading.pipes[1].verdict.facts.plp_share, 0.75, 1e-4, "the page");
    done();
    double whole_mbps = ask("16K GI5_1024 SP12_2 64QAM 10/15")->verdict.facts.net_mbps;
    assert_near(second_mbps, 0.75 * whole_mbps, 0.005 * whole_mbps, "in proportion to cells");
    assert_true(both_mbps > second_mbps && both_mbps < whole_mbps);
    done();
}

static bool has_line(const struct page_lines *lines, const char *piece)
{
    for (size_t i = 0; i < lines->count; i++) {
        if (strstr(lines->rows[i], piece)) {
            return true;
        }
    }
    return false;
}

/* ---- Pages of which the PLPs go into one transmission, or do not. ---- */

#define WHOLE "SNR 24 dB\n16K GI5_1024 SP12_2\n"

static void subframes_with_their_symbols_are_one_transmission(void **state)
{
    (void)state;
    ask("SNR 24 dB\nSubframe 0\n16K GI5_1024 SP12_2\nData symbols: 20\nPLP 0\nQPSK 5/15\n"
        "Share: 100 %\nSubframe 1\n32K GI5_1024 SP12_2\nData symbols: 12\nPLP 1\n64QAM 10/15\n"
        "Share: 100 %\n");
    assert_true(asked.reading.joined);
    assert_int_equal(asked.reading.transmission.subframe_count, 2);
    assert_int_equal(asked.reading.transmission.subframes[0].symbols, 20);
    assert_int_equal(asked.reading.transmission.subframes[1].symbols, 12);
    assert_true(isfinite(reading_net_mbps(&asked.reading)));
    done();
    ask("SNR 24 dB\nSubframe 0\n16K GI5_1024 SP12_2\nData symbols: 20\nPLP 0\nQPSK 5/15\n"
        "Share: 100 %\nSubframe 1\n32K GI5_1024 SP12_2\nPLP 1\n64QAM 10/15\nShare: 100 %\n");
    assert_true(isnan(reading_net_mbps(&asked.reading))); /* how long the other is nobody says */
    done();
    /* Named in a row of a table, after its PLPs. */
    ask("SNR 24 dB\nPLP | 0 | 1\nSubframe 3\nRate | 5/15 | 10/15\nMod | QPSK | 64QAM\n");
    assert_int_equal(asked.reading.pipes[1].subframe, 3);
    done();
}

static void more_subframes_than_a_transmission_has_do_not_fit(void **state)
{
    (void)state;
    struct text text = {0};
    text_append(&text, "SNR 24 dB\n");
    for (int i = 0; i <= SUBFRAMES_MAX; i++) {
        text_printf(&text, "Subframe %d\n16K GI5_1024 SP12_2\nPLP %d\nQPSK 5/15\n", i, i);
    }
    ask(text_string(&text));
    text_free(&text);
    assert_int_equal(asked.reading.pipe_count, SUBFRAMES_MAX + 1);
    assert_false(asked.reading.joined);
    assert_true(has_line(&asked.reading.remarks, "do not fit into one frame"));
    done();
    text_append(&text, "DVB-T2 32KE 1/16 PP4 SNR 24 dB\n");
    for (int i = 0; i <= T2_PLPS_MAX; i++) {
        text_printf(&text, "PLP %d: 64QAM 3/5\n", i);
    }
    ask(text_string(&text));
    text_free(&text);
    assert_int_equal(asked.reading.pipe_count, T2_PLPS_MAX + 1);
    assert_false(asked.reading.joined);
    done();
}

static void a_layer_lies_over_the_core_before_it(void **state)
{
    (void)state;
    ask(WHOLE "LDM injection: -4 dB\nPLP 0 layer core QPSK 5/15 share 50 %\n"
              "PLP 1 layer enhanced 64QAM 10/15\nPLP 2 layer core QPSK 5/15 share 50 %\n"
              "PLP 3 layer enhanced 64QAM 10/15\n");
    assert_true(asked.reading.joined);
    assert_string_equal(asked.reading.transmission.plps[1].over, "0");
    assert_string_equal(asked.reading.transmission.plps[3].over, "2");
    assert_true(isfinite(reading_net_mbps(&asked.reading))); /* a layer has its core's cells */
    done();
    ask(WHOLE "PLP 0 layer enhanced injection 4 dB QPSK 5/15\nPLP 1 layer core 64QAM 10/15\n");
    assert_false(asked.reading.joined); /* no core stands before it */
    done();
    ask(WHOLE "LDM injection: -4 dB\nPLP 0 layer core QPSK 5/15\n"
              "PLP 1 layer enhanced 64QAM 10/15\nPLP 2 layer enhanced 64QAM 10/15\n");
    assert_true(asked.reading.joined); /* two over one, side by side */
    assert_string_equal(asked.reading.transmission.plps[2].over, "0");
    done();
    /* A core in another subframe is none to lie over. */
    ask("SNR 24 dB\nLDM injection: -4 dB\nSubframe 0\n16K GI5_1024 SP12_2\n"
        "PLP 0 layer core QPSK 5/15\nSubframe 1\n16K GI5_1024 SP12_2\n"
        "PLP 1 layer enhanced 64QAM 10/15\n");
    assert_false(asked.reading.joined);
    done();
}

static void who_has_no_layer_has_its_margin(void **state)
{
    (void)state;
    ask(WHOLE "LDM injection: -4 dB\nPLP 0 layer core QPSK 5/15\nPLP 1 layer none 64QAM 4/15\n"
              "PLP 2 64QAM 5/15\n");
    assert_false(asked.reading.joined); /* an injection level and no layer that has it */
    assert_false(asked.reading.pipes[0].verdict.known);
    assert_true(asked.reading.pipes[1].verdict.known && asked.reading.pipes[2].verdict.known);
    done();
}

static void sizes_that_cannot_be_or_are_of_nobody_give_no_share(void **state)
{
    (void)state;
    assert_near(
        ask("FFT 16K GI5_1024 SP12_2 256QAM 10/15\ncells: 16000000")->verdict.facts.plp_share, 1.0,
        1e-12, "more than there are");
    done();
    ask("DVB-T 8K 1/4 64QAM 2/3\nSNR 24 dB\ncells: 20000"); /* it has no PLPs */
    assert_near(reading_chosen(&asked.reading)->verdict.facts.net_mbps, 19.906, 0.001,
                "EN 300 744 table 17");
    done();
    ask(WHOLE "cells: 20000\nPLP 0 QPSK 5/15\nPLP 1 64QAM 10/15\n"); /* of which? */
    assert_true(isnan(asked.reading.pipes[0].verdict.facts.net_mbps));
    done();
    ask(WHOLE "PLPs: 2\nPLP 0\nQPSK 5/15\n"); /* the other is not named */
    assert_true(isnan(asked.reading.pipes[0].verdict.facts.net_mbps));
    done();
    ask(WHOLE "PLPs: 1\nPLP 0\nQPSK 5/15\n");
    assert_true(isfinite(asked.reading.pipes[0].verdict.facts.net_mbps));
    done();
    ask("DVB-T2 32KE 1/16 PP4\nPLP0 256QAM 2/3 cells 200000\nPLP1 64QAM 3/5 cells 300000\n");
    assert_near(asked.reading.dvbt2.plps[1].cells, 300000.0, 0.0, "the page");
    assert_true(isfinite(reading_net_mbps(&asked.reading)));
    done();
}

/* DVB-T2's PLPs share the frame as a profile has them: the same rates and margins. */
static void plps_of_the_second_pair_are_one_transmission(void **state)
{
    (void)state;
    static const char profile_text[] =
        "[site]\npair = DVB\nrf_channel = 39\n[dvbt2]\nfft = 32K\nextended = yes\n"
        "guard = 1/16\npilots = PP4\n[receiver]\nsnr_db = 24.5\n"
        "[plp 0]\nconstellation = 256QAM\nrate = 2/3\nlength = 64800\nshare_percent = 60\n"
        "[plp 1]\nconstellation = 64QAM\nrate = 3/5\nlength = 64800\nshare_percent = 40\n";
    struct profile profile = {0};
    struct fault fault = {0};
    if (profile_read_text(profile_text, strlen(profile_text), &profile, &fault) != STATUS_OK) {
        fail_msg("%s: %s", fault.place, fault.wrong);
    }
    ask("DVB-T2 618 MHz 8 MHz\nFFT 32KE GI 1/16 PP4\n"
        "PLP0 256QAM 2/3 64K rotated cells 60%\nPLP1 64QAM 3/5 64K rotated cells 40%\n"
        "MER 24.5 dB\n");
    assert_true(asked.reading.joined);
    for (int i = 0; i < 2; i++) {
        const struct verdict *read = &asked.reading.pipes[i].verdict;
        struct verdict verdict;
        assert_int_equal(verdict_make_pipe(&profile.scenario, GENERATION_SECOND, i, &verdict, NULL),
                         STATUS_OK);
        assert_near(read->facts.net_mbps, verdict.facts.net_mbps, 1e-9, "the profile's verdict");
        assert_near(read->margin_db, verdict.margin_db, 1e-9, "the profile's verdict");
    }
    done();
    profile_free(&profile);
}

/* 40 blocks of 64800 bits at 6 bits a cell are 432000 cells, and 40 times what a block carries. */
static void code_blocks_tell_how_much_of_a_frame_a_plp_has(void **state)
{
    (void)state;
    ask("DVB-T2 16K 19/128 PP2 62 symbols per frame\n"
        "PLP 0: 64QAM 3/5 64K, 40 FEC blocks\nPLP 1: 256QAM 3/4 64K, 30 FEC blocks\n"
        "C/N 26.3 dB\n");
    assert_true(asked.reading.joined);
    const struct facts *facts = &asked.reading.pipes[0].verdict.facts;
    double block_bits = t2_bch_bits(T2_64800, T2_3_5);
    assert_near(facts->plp_mbps, 40.0 * block_bits / (1e3 * facts->frame_ms), 0.01, "closed form");
    done();
}

/* What does not fit into a frame has no rates, and the page's margins stay. */
static void plps_that_do_not_fit_have_no_rates(void **state)
{
    (void)state;
    ask("DVB-T2 16K 19/128 PP2 62 symbols per frame\nPLP 0: 64QAM 3/5 64K, 400 FEC blocks\n"
        "PLP 1: 256QAM 3/4 64K, 300 FEC blocks\nC/N 26.3 dB\n");
    assert_false(asked.reading.joined);
    assert_true(isnan(asked.reading.pipes[0].verdict.facts.net_mbps));
    assert_true(asked.reading.pipes[0].verdict.works);
    assert_true(has_line(&asked.reading.remarks, "do not fit into one frame"));
    done();
}

static void a_page_without_shares_says_what_is_missing(void **state)
{
    (void)state;
    const struct reading_pipe *pipe = ask(two_plps);
    assert_true(has_line(&pipe->settled.missing, "the part of the frame that each PLP has"));
    done();
}

/* A count of no PLP in particular is told once, against the PLP that fails first. */
static void errors_of_no_plp_are_told_once(void **state)
{
    (void)state;
    ask("SNR 16 dB 16K GI5_1024 SP12_2\nUncorrected blocks: 31\n"
        "PLP 0 QPSK 4/15\nPLP 1 64QAM 7/15\n");
    assert_int_equal(asked.reading.remarks.count, 1);
    assert_true(has_line(&asked.reading.remarks, "even to PLP 1"));
    done();
    ask("SNR 16 dB 16K GI5_1024 SP12_2\n"
        "PLP 0 QPSK 4/15 errors 0\nPLP 1 64QAM 7/15 errors 31\n");
    assert_int_equal(asked.reading.remarks.count, 1);
    assert_true(has_line(&asked.reading.remarks, "PLP 1: the receiver shows 31 errors"));
    done();
}

/* The worst count is held against the margin, whichever stands first. */
static void the_worst_count_is_held_against_the_margin(void **state)
{
    (void)state;
    ask("8-VSB SNR 18 dB\nTPS errors 0\nUncorrected packets 340");
    assert_int_equal(asked.reading.remarks.count, 1);
    assert_true(has_line(&asked.reading.remarks, "340 errors"));
    done();
}

/* C/N before and MER behind the equaliser: the page has two, and the lower is nearer to what the
 * decoder sees. */
static void of_two_snrs_the_lower_counts(void **state)
{
    (void)state;
    const struct reading_pipe *pipe = ask("DVB-T 8K 1/4 64QAM 2/3\nC/N 28.4 dB\nMER 25.9 dB");
    assert_near(pipe->verdict.conditions.snr_db, 25.9, 1e-9, "the page");
    assert_true(has_line(&pipe->settled.assumed, "the lower counts (25.9 dB, not 28.4 dB)"));
    done();
}

/* What breaks and mends is told of the PLPs that it happens to. */
static void several_plps_break_and_mend_in_their_order(void **state)
{
    (void)state;
    ask("SNR 14 dB 16K GI5_1024 SP12_2\n"
        "PLP 0 QPSK 4/15\nPLP 1 64QAM 7/15\nPLP 2 256QAM 8/15\n");
    assert_says(reading_write_limits, "Noise or loss takes PLP 1 at ", true);
    assert_says(reading_write_limits, "then PLP 0 at ", true);
    assert_says(reading_write_mending, "For PLP 2: ", true);
    done();
}

static int close_space(void **state)
{
    (void)state;
    weigh_space_free(&asked.space);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_code_that_is_not_on_the_page_is_not_made_up),
        cmocka_unit_test(half_a_code_gives_a_narrower_span),
        cmocka_unit_test(each_figure_asks_for_what_it_follows_from),
        cmocka_unit_test(each_plp_is_told_with_its_margin),
        cmocka_unit_test(a_plp_that_is_not_there_is_refused_with_those_that_are),
        cmocka_unit_test(errors_beside_a_margin_are_worth_a_sentence),
        cmocka_unit_test(what_receivers_count_is_weighed_against_the_margin),
        cmocka_unit_test(a_mode_that_its_frame_forbids_has_no_figures),
        cmocka_unit_test(half_known_modes_are_told_by_their_span),
        cmocka_unit_test(meanings_are_told_short_and_long),
        cmocka_unit_test(both_generations_get_plain_words_and_the_other_one),
        cmocka_unit_test(a_contradiction_leaves_the_choices_and_no_figures),
        cmocka_unit_test(layers_count_each_other_as_the_profile_has_it),
        cmocka_unit_test(a_layer_without_its_injection_level_has_no_margin),
        cmocka_unit_test(sizes_on_the_page_give_rates),
        cmocka_unit_test(subframes_with_their_symbols_are_one_transmission),
        cmocka_unit_test(more_subframes_than_a_transmission_has_do_not_fit),
        cmocka_unit_test(a_layer_lies_over_the_core_before_it),
        cmocka_unit_test(who_has_no_layer_has_its_margin),
        cmocka_unit_test(sizes_that_cannot_be_or_are_of_nobody_give_no_share),
        cmocka_unit_test(plps_of_the_second_pair_are_one_transmission),
        cmocka_unit_test(code_blocks_tell_how_much_of_a_frame_a_plp_has),
        cmocka_unit_test(plps_that_do_not_fit_have_no_rates),
        cmocka_unit_test(a_page_without_shares_says_what_is_missing),
        cmocka_unit_test(errors_of_no_plp_are_told_once),
        cmocka_unit_test(the_worst_count_is_held_against_the_margin),
        cmocka_unit_test(of_two_snrs_the_lower_counts),
        cmocka_unit_test(several_plps_break_and_mend_in_their_order),
    };
    return cmocka_run_group_tests(tests, NULL, close_space);
}
