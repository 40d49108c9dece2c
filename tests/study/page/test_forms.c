/* Rarer ways of writing a value, and of contradicting oneself, on pages of both pairs: the line,
 * the key that it says, and the value as it is told; what is nothing of the kind is not read. */
#include "support/near.h"

#include <math.h>
#include <string.h>

#include "study/page/page.h"
#include "support/scenarios.h"

static struct page read_page(enum pair pair, const char *line)
{
    struct page page;
    assert_int_equal(page_read(line, strlen(line), pair, &page, NULL), STATUS_OK);
    return page;
}

static void assert_reads(enum pair pair, const char *line, const char *key, const char *value)
{
    struct page page = read_page(pair, line);
    const struct page_entry *entry = page_find(&page, key, -1);
    for (size_t i = 0; entry == NULL && i < page.entry_count; i++) { /* or a PLP's */
        entry = strcmp(page.entries[i].key, key) == 0 ? &page.entries[i] : NULL;
    }
    char got[200] = "not read";
    if (entry) {
        text_format(got, sizeof got, "%s%s%s", entry->value, entry->unit[0] ? " " : "",
                    entry->unit);
    }
    if (strcmp(got, value ? value : "not read") != 0) {
        fail_msg("\"%s\": %s is \"%s\", not \"%s\"", line, key, got, value ? value : "not read");
    }
    page_free(&page);
}

struct form {
    const char *line, *key, *value; /* NULL: it is not that */
};

static void readings_are_told_with_and_without_units(void **state)
{
    (void)state;
    static const struct form forms[] = {
        {"BW: 6", "site.bandwidth_mhz", "6 MHz"},
        {"BW: 6 dB", "site.bandwidth_mhz", NULL},
        {"Frequency: 605", "site.center_mhz", "605 MHz"},
        {"Frequency: 605000", "site.center_mhz", "605 MHz"},
        {"Frequency: 605000000", "site.center_mhz", "605 MHz"},
        {"Frequency: 605.000 kHz", "site.center_mhz", "605 MHz"},
        {"Frequency: 605,5 MHz", "site.center_mhz", "605.5 MHz"},
        {"Channel: 7.1", "page.virtual_channel", "7.1"},
        {"Channel: -7.5", "page.virtual_channel", NULL},
        {"Level: -60", "receiver.level_dbm", "-60 dBm"},
        {"Level: 60 dB", "receiver.level_dbm", NULL},
        {"Quality: 24 dB", "receiver.snr_db", "24 dB"},
        {"Quality: 5 MHz", "page.quality_percent", NULL},
        {"Quality: 71", "page.quality_percent", "71"},
        {"Lock: 1", "page.lock", "yes"},
        {"Lock: 0", "page.lock", "no"},
        {"Lock: 7", "page.lock", NULL},
        {"Lock: no", "page.lock", "no"},
        {"Lock: yes", "page.lock", "yes"},
        {"BER: 3*10^-4", "page.error_rate", "0.0003"},
        {"BER: 3 x 10-4", "page.error_rate", "0.0003"},
        {"BER: 0.02 %", "page.error_rate", "0.0002"},
        {"BER: 5", "page.error_rate", NULL},
        {"Margin: 3.2 dB", "page.receiver_margin_db", "3.2 dB"},
        {"Margin: 3.2", "page.receiver_margin_db", "3.2 dB"},
        {"Margin: 3.2 MHz", "page.receiver_margin_db", NULL},
        {"Margin: unknown", "page.receiver_margin_db", NULL},
        {"LDM injection: -4 dB", "plp.injection_db", "4 dB"},
        {"LDM layer: none", "plp.layer", "none"},
        {"LDM layer: 1", "plp.layer", "enhanced"},
        {"Bitrate: 25700 kbps", "page.bit_rate_mbps", "25.7 Mbit/s"},
        {"Last boundary symbol: yes", "page.last_boundary", "yes"},
        {"Code rate 3/0", "mode.rate", NULL},
        {"Code rate 0.99", "mode.rate", NULL},
        {"Outer code BCH no", "mode.outer", "none"},
        {"Outer code BCH yes", "mode.outer", "BCH"},
        {"L1D_plp_layer[0] = 0", "plp.layer", "core"},
        {"L1D_plp_layer[0] = 1", "plp.layer", "enhanced"},
        {"L1D_plp_LDM_injection_level = 4", "plp.injection_db", "2 dB"},
        {"L1D_plp_LDM_injection_level = 12", "plp.injection_db", "7 dB"},
        {"L1D_plp_TI_mode = 0", "mode.interleaver", "none"},
        {"L1D_plp_TI_mode = 1", "mode.interleaver", NULL},
        {"plp_id[0] = 5\nplp_mod[0] = 3", "page.plp", "5"},
        {"plp_id = 5\nplp_mod = 3", "mode.constellation", "256QAM"},
        {"L1D_plp_mod[0][1] = 3", "mode.constellation", "256QAM"},
        {"L1D_plp_mod(0) = 3", "mode.constellation", "256QAM"},
        {"L1D_plp_mod[x] = 3", "mode.constellation", NULL},
        {"L1D_plp_mod[0 = 3", "mode.constellation", NULL},
        {"L1D_plp_mod[1.5] = 3", "mode.constellation", NULL},
        {"L1D_plp_mod[99] = 3", "mode.constellation", "256QAM"},
        {"L1D_fft_size[1] = 2", "mode.fft", "32K"},
        {"L1D_plp_mod = 3 (256QAM)", "mode.constellation", "256QAM"},
        {"L1D_plp_mod = 3 (256QAM", "mode.constellation", "256QAM"},
        {"L1D_num_subframes_minus2 = 1", "page.subframe_count", NULL},
        {"L1D_num_subframes_minus 1 = 1", "page.subframe_count", NULL},
        {"L1D_num_plp_minus", "page.plp_count", NULL},
        {"L1D_plp_HTI_inter_subframe = 1\nL1D_plp_HTI_num_TI_blocks_minus1 = 3", "mode.interleaver",
         "HTI 4 inter"},
        {"L1D_plp_HTI_inter_subframe = 0\nL1D_plp_HTI_num_TI_blocks_minus1 = 3", "mode.interleaver",
         "HTI 4"},
        {"L1D_plp_HTI_inter_subframe = 1\nL1D_plp_HTI_num_TI_blocks = 0", "mode.interleaver", NULL},
    };
    for (size_t i = 0; i < sizeof forms / sizeof forms[0]; i++) {
        assert_reads(PAIR_ATSC, forms[i].line, forms[i].key, forms[i].value);
    }
}

static void dvbs_settings_have_several_forms(void **state)
{
    (void)state;
    static const struct form forms[] = {
        {"DVB-T2 carrier mode: normal", "dvbt2.extended", "no"},
        {"DVB-T2\nPilots: PP-4", "dvbt2.pilots", "PP4"},
        {"DVB-T2\nPilots: 1/4", "dvbt2.pilots", NULL},
        {"DVB-T2\nPilots: PP x", "dvbt2.pilots", NULL},
        {"DVB-T2\nHEM: high", "dvbt2.high_efficiency", "yes"},
        {"DVB-T2\nHEM: normal", "dvbt2.high_efficiency", "no"},
        {"DVB-T2\nL1-post: BPSK", "dvbt2.l1_constellation", "BPSK"},
        {"DVB-T2\nL1-post: QPSK 1/2", "dvbt2.l1_constellation", "QPSK"},
        {"DVB-T2\nFrame: 220 ms", "second.frame_ms", "220 ms"},
        {"DVB-T2\nFrame: long", "second.frame_ms", NULL},
        {"DVB-T2 256QAM 16K LDPC", "dvbt2.length", "16200"},
        {"DVB-T2 256QAM 16K FEC", "dvbt2.length", "16200"},
        {"DVB-T\nHierarchy: 0", "dvbt.hierarchy", "none"},
        {"DVB-T\nHierarchy: 4", "dvbt.hierarchy", "4"},
        {"DVB-T\nPriority: HP", "dvbt.priority", "high"},
        {"DVB-T\nPriority: other", "dvbt.priority", NULL},
        {"DVB-T\nLP code rate: 7/8", "dvbt.low_rate", "7/8"},
        {"DVB-T\nLP code rate: unknown", "dvbt.low_rate", NULL},
        {"DVB-T 8K 1/4 64QAM HP 2/3 LP 3/4", "dvbt.low_rate", "3/4"},
    };
    for (size_t i = 0; i < sizeof forms / sizeof forms[0]; i++) {
        assert_reads(PAIR_DVB, forms[i].line, forms[i].key, forms[i].value);
    }
}

static void what_contradicts_itself_is_told_in_both_pairs(void **state)
{
    (void)state;
    static const struct {
        enum pair pair;
        const char *page, *told;
    } rows[] = {
        {PAIR_DVB, "DVB-T2 FFT 32K\nGI 1/16\nGuard: 28 us",
         "guard interval 1/16 lasts 224.0 us at 8 MHz, not 28 us"},
        {PAIR_DVB, "DVB-T2 FFT 32K\nGuard: 13 us", "no guard interval lasts 13 us at 8 MHz"},
        {PAIR_DVB, "DVB-T FFT 8K\nGuard: 13 us", "no guard interval lasts 13 us at 8 MHz"},
        {PAIR_DVB, "DVB-T2 FFT 8K\nCarriers: 27841", "27841 carriers belong to FFT size 32K"},
        {PAIR_DVB, "DVB-T2\nCarriers: 1000", "no FFT size has 1000 carriers"},
        {PAIR_DVB, "DVB-T FFT 2K\nCarriers: 6817", "6817 carriers belong to FFT size 8K"},
        {PAIR_ATSC, "Carriers: 7000", "no FFT size has 7000 carriers"},
        {PAIR_ATSC, "FFT 8K\nCarrier reduction: 3\nCarriers: 6913",
         "6913 carriers belong to FFT size 8K with reduction 0"},
        {PAIR_ATSC, "ATSC 1.0\nATSC 3.0\nATSC 3.0", "the page speaks of ATSC 1.0 and of ATSC 3.0"},
        {PAIR_ATSC, "8-VSB\nGuard: 148.1 us",
         "the page says 8-VSB, which has none of the settings that it gives"},
        {PAIR_DVB, "8K 1/128 64QAM 2/3\nHierarchy: 2",
         "the page has settings of DVB-T2, which has no hierarchy 2"},
        {PAIR_DVB, "DVB-T2 FFT 32K extended\nCarriers: 27265",
         "27265 carriers belong to FFT size 32K"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct page page = read_page(rows[i].pair, rows[i].page);
        struct page_settled settled;
        struct scenario base = scenario_default();
        assert_int_equal(page_settle(&page, -1, &base, &settled), STATUS_OK);
        if (settled.contradictions.count < 1 ||
            strcmp(settled.contradictions.rows[0], rows[i].told) != 0) {
            fail_msg("\"%s\": \"%s\", not \"%s\"", rows[i].page,
                     settled.contradictions.count ? settled.contradictions.rows[0] : "nothing",
                     rows[i].told);
        }
        page_settled_free(&settled);
        page_free(&page);
    }
}

/* What is said in two ways that agree is said once: carriers and FFT size, guard interval as time.
 */
static void what_agrees_is_settled(void **state)
{
    (void)state;
    static const char *const pages[] = {
        "ATSC 3.0 FFT 8K\nCarrier reduction: 0\nCarriers: 6913",
        "DVB-T/T2 8K 1/4 64QAM 2/3",
        "DVB-T2\nGuard: 13 us", /* of which FFT size is not said */
        "DVB-T2 GI 1/16\nGuard: 13 us",
        "DVB-T2 32KE\nGI 1/128\nPP7\n256QAM 2/3\nData symbols: 1",
        "DVB-T 8K\nCarriers: 6817\nGuard: 224 us\nGI 1/4\n64QAM 2/3",
        "DVB-T\nCarriers: 1705\nGuard: 56 us\n64QAM 2/3",
        "DVB-T2 32KE\nCarriers: 27841\nGuard: 28 us\nGI 1/128\nPP7\n256QAM 2/3\nData symbols: 59",
        "DVB-T2 32KE\nGI 1/128\nPP7\n256QAM 2/3\nData symbols: 9000",
        "DVB-T2 32KE\nGI 1/128\nPP7\n256QAM 2/3\nframe symbols: 60\nData symbols: 58",
    };
    for (size_t i = 0; i < sizeof pages / sizeof pages[0]; i++) {
        struct page page = read_page(PAIR_DVB, pages[i]);
        struct page_settled settled;
        struct scenario base = scenario_default();
        assert_int_equal(page_settle(&page, -1, &base, &settled), STATUS_OK);
        if (settled.contradictions.count > 0) {
            fail_msg("\"%s\": %s", pages[i], settled.contradictions.rows[0]);
        }
        assert_true(settled.legal);
        page_settled_free(&settled);
        page_free(&page);
    }
}

/* A setting that is not on the page gives way, whoever asked for it. */
static void what_was_asked_for_yields_to_the_page(void **state)
{
    (void)state;
    static const struct {
        const char *key, *asked, *page, *becomes;
    } rows[] = {
        {"mode.constellation", "4096QAM", "LDPC 16K", "256QAM"},
        {"mode.length", "16200", "4096QAM", "64800"},
        {"mode.interleaver", "CTI 1448", "64QAM", "CTI 1024"},
        {"mode.constellation", "64QAM", "CTI-1448", "QPSK"},
        {"mode.boost", "2", "64QAM", "2"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct page page = read_page(PAIR_ATSC, rows[i].page);
        struct page_settled settled;
        struct scenario base = scenario_default();
        char value[FIELD_TEXT_BYTES];
        const struct field *field = field_named(rows[i].key);
        scenario_say(&base, rows[i].key, rows[i].asked);
        assert_int_equal(page_settle(&page, -1, &base, &settled), STATUS_OK);
        assert_true(settled.legal);
        field_format(field, &settled.scenario, value, sizeof value);
        assert_string_equal(value, rows[i].becomes);
        page_settled_free(&settled);
        page_free(&page);
    }
}

static bool has_line(const struct page_lines *lines, const char *line)
{
    bool has = false;
    for (size_t i = 0; i < lines->count && !has; i++) {
        has = strcmp(lines->rows[i], line) == 0;
    }
    return has;
}

static struct page_settled settle(enum pair pair, const char *text, const struct scenario *base)
{
    struct page page = read_page(pair, text);
    struct page_settled settled;
    assert_int_equal(page_settle(&page, -1, base, &settled), STATUS_OK);
    page_free(&page);
    return settled;
}

static void what_a_hierarchy_adds_counts_with_one_only(void **state)
{
    (void)state;
    struct scenario base = scenario_default_of(PAIR_DVB);
    struct page_settled settled = settle(PAIR_DVB, "DVB-T 8K 1/4 64QAM 2/3\nHierarchy: 2", &base);
    assert_true(has_line(&settled.assumed, "stream received high"));
    page_settled_free(&settled);
    settled = settle(PAIR_DVB, "DVB-T 8K 1/4 64QAM 2/3\nHierarchy: none", &base);
    assert_false(has_line(&settled.assumed, "stream received high"));
    page_settled_free(&settled);
}

static void the_first_subframe_is_the_one_with_the_lowest_number(void **state)
{
    (void)state;
    const struct scenario base = scenario_default();
    struct page_settled settled =
        settle(PAIR_ATSC, "Subframe 1\nFFT 8K\nSubframe 0\nFFT 32K\nSubframe 2\nFFT 16K", &base);
    assert_int_equal(settled.scenario.transmission.subframes[0].waveform.fft, FFT_32K);
    page_settled_free(&settled);
}

/* PLPs that the page does not name, but who asks gives: what the system has against them is told by
 * their own name. */
static void what_is_wrong_with_what_was_asked_for_is_told_by_its_place(void **state)
{
    (void)state;
    struct scenario base = scenario_default_of(PAIR_DVB);
    base.dvbt2.plp_count = 1;
    base.dvbt2.plps[0] = (struct t2_plp){.name = "one", .share_percent = NAN};
    base.dvbt2.plps[0].cells = 2000000000;
    struct page_settled settled = settle(PAIR_DVB, "DVB-T2 32KE 1/16 PP4 256QAM 2/3", &base);
    assert_false(settled.legal);
    assert_int_equal(settled.contradictions.count, 1);
    assert_non_null(strstr(settled.contradictions.rows[0], "cells too many (legal: "));
    assert_int_equal(strncmp(settled.contradictions.rows[0], "plp", 3), 0);
    page_settled_free(&settled);
}

/* Escape sequences as ECMA-48 delimits them, whole and broken off; a mark that hides is dropped. */
static void what_terminals_obey_is_taken_out(void **state)
{
    (void)state;
    static const char *const rows[][2] = {
        {"a\x1B", "a"},
        {"a\x1B(", "a"},
        {"a\x1B(B b", "a b"},
        {"a\x1B(\tb", "a\tb"},
        {"a\x1B[1", "a"},
        {"a\x1B[1\nb", "a\nb"},
        {"a\x1B[31mb", "ab"},
        {"a\xC2\x9B"
         "31mb",
         "ab"},
        {"a\x1B]title", "a"},
        {"a\x1B]title\nb", "a\nb"},
        {"a\x1B]title\rb", "a\nb"},
        {"a\x1B]title\ab", "ab"},
        {"a\x1B]title\x1B", "a"},
        {"a\x1B]title\x1B\\b", "ab"},
        {"a\x1B]title\x1B b", "a b"},
        {"a\r", "a\n"},
        {"a\r\nb", "a\nb"},
        {"\xEF\xBC\xA1\xC2\xAD\xF0\x9F\x98\x80", "A\xF0\x9F\x98\x80"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct text clean = {0};
        assert_int_equal(page_clean(rows[i][0], strlen(rows[i][0]), &clean, NULL), STATUS_OK);
        assert_string_equal(text_string(&clean), rows[i][1]);
        text_free(&clean);
    }
}

static void a_byte_of_zero_behind_an_escape_is_no_text(void **state)
{
    (void)state;
    struct text clean = {0};
    assert_int_equal(page_clean("a\x1B\0b", 4, &clean, NULL), STATUS_MALFORMED);
    text_free(&clean);
}

/* A line without an end is cut at its next space, or where it must. */
static void endless_lines_are_cut(void **state)
{
    (void)state;
    struct text line = {0}, clean = {0};
    while (line.length < 10000) {
        text_append(&line, line.length < 5000 ? "word " : "x");
    }
    assert_int_equal(page_clean(text_string(&line), line.length, &clean, NULL), STATUS_OK);
    size_t longest = 0;
    for (const char *at = text_string(&clean); *at;) {
        size_t length = strcspn(at, "\n");
        longest = length > longest ? length : longest;
        at += length + (at[length] != '\0');
    }
    assert_in_range(longest, 3000, 4000);
    text_free(&line);
    text_free(&clean);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(readings_are_told_with_and_without_units),
        cmocka_unit_test(dvbs_settings_have_several_forms),
        cmocka_unit_test(what_contradicts_itself_is_told_in_both_pairs),
        cmocka_unit_test(what_agrees_is_settled),
        cmocka_unit_test(what_was_asked_for_yields_to_the_page),
        cmocka_unit_test(what_a_hierarchy_adds_counts_with_one_only),
        cmocka_unit_test(the_first_subframe_is_the_one_with_the_lowest_number),
        cmocka_unit_test(what_is_wrong_with_what_was_asked_for_is_told_by_its_place),
        cmocka_unit_test(a_byte_of_zero_behind_an_escape_is_no_text),
        cmocka_unit_test(what_terminals_obey_is_taken_out),
        cmocka_unit_test(endless_lines_are_cut),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
