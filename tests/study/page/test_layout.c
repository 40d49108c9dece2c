/* Tables, lists, objects and names of PLPs in rarer layouts, damaged tokens, and dumps: a page and
 * all that is read of it. */
#include "support/near.h"

#include <string.h>

#include "study/page/page.h"

/* One "key=value" for each entry, "~" where it is a guess, "@N" where it is a PLP's, "#N" where it
 * is a subframe's; "?" before what was not understood, "!" before what cannot be. */
static void dump(const struct page *page, struct text *out)
{
    for (size_t i = 0; i < page->entry_count; i++) {
        const struct page_entry *entry = &page->entries[i];
        text_printf(out, "%s%s=%s%s", i > 0 ? " " : "", entry->key, entry->value,
                    entry->guess ? "~" : "");
        text_printf(out, entry->plp >= 0 ? "@%d" : "", entry->plp);
        text_printf(out, entry->subframe >= 0 ? "#%d" : "", entry->subframe);
    }
    for (size_t i = 0; i < page->unread.count; i++) {
        text_printf(out, " ?%s", page->unread.rows[i]);
    }
    for (size_t i = 0; i < page->wrong.count; i++) {
        text_printf(out, " !%s", page->wrong.rows[i]);
    }
}

struct layout {
    const char *page, *read;
};

static void assert_all_read(enum pair pair, const struct layout *layouts, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        struct page page;
        struct text out = {0};
        assert_int_equal(page_read(layouts[i].page, strlen(layouts[i].page), pair, &page, NULL),
                         STATUS_OK);
        dump(&page, &out);
        if (strcmp(text_string(&out), layouts[i].read) != 0) {
            fail_msg("\"%s\": read\n%s\nexpected\n%s", layouts[i].page, text_string(&out),
                     layouts[i].read);
        }
        text_free(&out);
        page_free(&page);
    }
}

static void tables_are_read_by_their_columns(void **state)
{
    (void)state;
    static const struct layout rows[] = {
        {"PLP,Mod,Rate,SNR\n0,QPSK,4/15,\"24,3\"\n",
         "page.plp=0 mode.constellation=QPSK mode.rate=4/15 receiver.snr_db=24.3"},
        {"#   Mod   Rate\n0   QPSK   4/15\n1   256QAM   10/15\n",
         "page.plp=0 mode.constellation=QPSK@0 mode.rate=4/15@0 page.plp=1 "
         "mode.constellation=256QAM@1 mode.rate=10/15@1"},
        {"ID   SNR   Level\n1   20 dB   -60 dBm\n", "receiver.snr_db=20 receiver.level_dbm=-60 ?1"},
        {"PLP   Lock   Mod\n0   lock   QPSK\n1   locked   256QAM\n",
         "page.plp=0 page.lock=yes@0 mode.constellation=QPSK@0 page.plp=1 page.lock=yes@1 "
         "mode.constellation=256QAM@1"},
        {"Mod   Rate   SNR\nPLP A   QPSK   4/15   20 dB\n",
         "mode.constellation=QPSK mode.rate=4/15 receiver.snr_db=20 ?PLP"},
        {"Mod   Rate   SNR\nPLP 3   QPSK   4/15   20 dB\n",
         "page.plp=3 mode.constellation=QPSK mode.rate=4/15 receiver.snr_db=20"},
        {"PLP | 0 | 1 | 2\nRate | 4/15 | | 10/15\n",
         "page.plp=0 page.plp=1 page.plp=2 mode.rate=4/15@0 mode.rate=10/15@2"},
        {"PLP | 0 | 1\nGI | GI5_1024 | GI4_768\n",
         "page.plp=0 page.plp=1 mode.guard=GI5_1024 mode.guard=GI4_768"},
        {"PLP | 0 | 1\nRate | rate 4/15 | rate 10/15\n",
         "page.plp=0 page.plp=1 mode.rate=4/15@0 mode.rate=10/15@1 ?rate"},
        {"PLP | 0 | 1\nRate | LDPC 4/15 | LDPC 10/15\n",
         "page.plp=0 page.plp=1 mode.rate=4/15@0 mode.rate=10/15@1 ?LDPC ?LDPC"},
        {"PLP | 0 | 1\nRate | CTI 4/15 | CTI 10/15\n",
         "page.plp=0 page.plp=1 mode.rate=4/15@0 mode.rate=10/15@1 ?CTI ?CTI"},
        {"PLP | 0 | 1\nRate | 4/15 | lock\n", "page.plp=0 page.plp=1 mode.rate=4/15@0 ?lock"},
        {"PLP 0   PLP 1\n64800   16200\n",
         "page.plp=0 page.plp=1 mode.length=64800@0 mode.length=16200@1"},
        {"PLP 0   PLP 1\n64800   12345\n", "page.plp=0 page.plp=1 ?64800   12345"},
        {"PLP 0   PLP 1\nQPSK x   256QAM y\n",
         "page.plp=0 page.plp=1 mode.constellation=QPSK mode.constellation=256QAM ?x ?y"},
        {"PLP 0   PLP 1\nQPSK   4/15\n",
         "page.plp=0 page.plp=1 mode.constellation=QPSK mode.rate=4/15"},
        {"PLP 0   PLP 1\nQPSK   256QAM\n",
         "page.plp=0 page.plp=1 mode.constellation=QPSK@0 mode.constellation=256QAM@1"},
        {"SNR: 21.3   21   20.9\n", "receiver.snr_db=21.3 ?21   20.9"},
        {"SNR: 21.3   21.1   20.9\n", " ?SNR: 21.3   21.1   20.9"},
        {"9/15 90000 cells\n", "mode.rate=9/15 plp.cells=90000"},
        {"9/15 90000 cells 80000\n", "mode.rate=9/15 plp.cells=80000 ?90000"},
        {"Lock: lock = yes\n", "page.lock=yes"},
        {"Lock: lock   yes\n", "page.lock=yes"},
    };
    assert_all_read(PAIR_ATSC, rows, sizeof rows / sizeof rows[0]);
}

static void what_is_said_of_a_plp_goes_to_it(void **state)
{
    (void)state;
    static const struct layout rows[] = {
        {"PLP 0\nQPSK 4/15\nSNR: 20 dB\nC/N: 19 dB\nPLP 1\n256QAM 10/15\nSNR: 25 dB\nSNR (PLP 1): "
         "24 dB\nPLP 2\n16QAM 8/15\nSNR: 26 dB\n",
         "page.plp=0 mode.constellation=QPSK@0 mode.rate=4/15@0 receiver.snr_db=20@0 "
         "receiver.snr_db=19@0 page.plp=1 mode.constellation=256QAM@1 mode.rate=10/15@1 "
         "receiver.snr_db=25@1 page.plp=1 receiver.snr_db=24@1 page.plp=2 "
         "mode.constellation=16QAM@2 mode.rate=8/15@2 receiver.snr_db=26@2"},
        {"PLP   #   3\n", "page.plp=3"},
        {"PLPs: 0 & 1 & 4\n", "page.plp=0 page.plp=1 page.plp=4"},
        {"PLP 1 64K\n", "page.plp=1 mode.length=64800"},
        {"PLP: 2x\n", "page.plp=2 ?x"},
        {"{id: 0, mod: QPSK, cod: 4/15}\n", "page.plp=0 mode.constellation=QPSK mode.rate=4/15"},
        {"{\"id\": 0, \"rate\": \"4/15\"\n", "page.plp=0 mode.rate=4/15"},
        {"\"id\": 5, \"mod\": \"QPSK\"\n", "mode.constellation=QPSK ?id\": 5"},
        {"PLP0: QPSK 4/15 PLP1: 64QAM 8/15 SNR 20 dB\n",
         "page.plp=0 page.plp=1 mode.constellation=QPSK@0 mode.rate=4/15@0 "
         "mode.constellation=64QAM@1 mode.rate=8/15@1 receiver.snr_db=20"},
        {"PLP0: QPSK SNR 20 dB PLP1: 64QAM SNR 25 dB\n",
         "page.plp=0 page.plp=1 mode.constellation=QPSK@0 receiver.snr_db=20@0 "
         "mode.constellation=64QAM@1 receiver.snr_db=25@1"},
        {"Errors: PLP 0 SNR 20, PLP 1 SNR 21\n",
         "page.plp=0 page.plp=1 receiver.snr_db=20@0 receiver.snr_db=21@1"},
        {"Modulation: PLP 0: QPSK, PLP 1: 256QAM\n",
         "page.plp=0 page.plp=1 mode.constellation=QPSK@0 mode.constellation=256QAM@1"},
        {"Errors: PLP 0: 2, PLP 1: 0\n", "page.plp=0 page.plp=1 page.errors=2@0 page.errors=0@1"},
        {"{\"id\": 0, \"snr\": 20, \"mod\": \"QPSK\"}\n",
         "page.plp=0 receiver.snr_db=20 mode.constellation=QPSK"},
        {"Level: PLP 0: -20 dBm, PLP 1: -21 dBm\n",
         "page.plp=0 page.plp=1 receiver.level_dbm=-20 receiver.level_dbm=-21"},
    };
    assert_all_read(PAIR_ATSC, rows, sizeof rows / sizeof rows[0]);
}

static void numbers_are_read_whole_or_not_at_all(void **state)
{
    (void)state;
    static const struct layout rows[] = {
        {"Errors: 1,234,567\n", "page.errors=1234567"},
        {"Errors: 1,234,5678\n", " ?Errors: 1,234,5678"},
        {"Errors: 1,23,456\n", " ?Errors: 1,23,456"},
        {"BER: 0,5e+0\n", "page.error_rate=0.5"},
        {"BER: 1,2e-5\n", "page.error_rate=1.2e-05"},
        {"BER: 1,2e5\n", " ?BER: 1,2e5"},
        {"Pages 1,2e\n", " ?Pages 1,2e"},
        {"Frequency: 605,000,000 Hz\n", "site.center_mhz=605"},
        {"Frequency: 605,000 kHz\n", "site.center_mhz=605"},
        {"Signal -5NR 21.4\n", "receiver.snr_db=21.4"},
        {"SNR: +2l.5 dB\n", "receiver.snr_db=21.5~"},
        {"Level: -5l dBm\n", "receiver.level_dbm=-51~"},
        {"SNR: 22 .l4 dB\n", "receiver.snr_db=22.14~"},
        {"SNR: 22 . 4 dB\n", "receiver.snr_db=22.4~"},
        {"RF 27 . 24.3 dB\n", "site.rf_channel=27 ?24.3 dB"},
        {"SNR: 21.5 d8\n", "receiver.snr_db=21.5~"},
        {"SNR: 2x2 dB\n", " ?SNR: 2x2 dB"},
        {"SNR: 20/25\n", " ?SNR: 20/25"},
        {"SNR: 20 / 25 dB\n", "receiver.snr_db=20 ?25 dB"},
        {"SNR 4/15\n", "mode.rate=4/15"},
        {"Guard: GI5_1024 = GI5_1024 = GI5_1024 = GI5_1024 = GI5_1024\n",
         "mode.guard=GI5_1024 mode.guard=GI5_1024 mode.guard=GI5_1024 mode.guard=GI5_1024 "
         "mode.guard=GI5_1024"},
        {"Errors: 12 934\n", "page.errors=12934"},
        {"Errors: 12 34\n", "page.errors=12 ?34"},
        {"Errors: 12.934\n", "page.errors=12934"},
        {"Errors: 1.5\n", " ?Errors: 1.5"},
        {"Share: 0 %\n", " !share of a PLP 0 %: 0 to 100 % are possible"},
        {"Share: 101 %\n", " !share of a PLP 101 %: 0 to 100 % are possible"},
        {"Share: 40 %\n", "plp.share_percent=40"},
        {"BER: -3\n", " !error rate -3: 0 to 1 are possible"},
        {"BER: 3 x y\n", " ?x y !error rate 3: 0 to 1 are possible"},
        {"BER: 3 x 20\n", " ?x 20 !error rate 3: 0 to 1 are possible"},
        {"BER: 3 x 1.5\n", " ?x 1.5 !error rate 3: 0 to 1 are possible"},
        {"Frequency: 605000.000 kHz\n", "site.center_mhz=605"},
        {"BW: 8000 kHz\n", "site.bandwidth_mhz=8"},
        {"8000 kHz\n", " ?8000 kHz"},
        {"6000 kHz BW\n", "site.bandwidth_mhz=6"},
        {"Code rate 0.05\n", " ?Code rate 0.05"},
        {"Code rate 0.99\n", " ?Code rate 0.99"},
        {"Outer code: BCH of this yes\n", "mode.outer=BCH ?of this"},
        {"Outer code: BCH of all this no\n", "mode.outer=BCH ?of all this no"},
        {"16K 9/15 256QAM\n", "mode.length=16200 mode.rate=9/15 mode.constellation=256QAM"},
        {"64QAM 8/15 16200\n", "mode.constellation=64QAM mode.rate=8/15 mode.length=16200"},
        {"64QAM 8/15 64800\n", "mode.constellation=64QAM mode.rate=8/15 mode.length=64800"},
        {"64QAM 8/15 64800 Hz\n", "mode.constellation=64QAM mode.rate=8/15 ?64800 Hz"},
        {"64QAM 8/15 64800x\n", "mode.constellation=64QAM mode.rate=8/15 ?64800x"},
        {"tuner 64800\n", " ?tuner 64800"},
        {"64NUC\n", "mode.constellation=64QAM"},
        {"NUQAM 256\n", "mode.constellation=256QAM"},
        {"256NUQAM\n", "mode.constellation=256QAM"},
        {"QAMNUC 256\n", "mode.constellation=256QAM"},
        {"256 QAMNUC\n", "mode.constellation=256QAM"},
        {"KQAM 1\n", " !constellation 1QAM: QPSK, 16, 64, 256, 1024 and 4096QAM exist"},
        {"64Q\n", "mode.constellation=64QAM"},
        {"64 Q\n", " ?64 Q"},
    };
    assert_all_read(PAIR_ATSC, rows, sizeof rows / sizeof rows[0]);
}

static void dumps_and_short_forms_of_both_pairs_are_read(void **state)
{
    (void)state;
    static const struct layout rows[] = {
        {"L1D_num_plp_minus_1 = 0\n", "page.signalling=1 ?0"},
        {"L1D_something 5\n", "page.signalling=5"},
        {"L1D_something=5\n", "page.signalling=5"},
        {"L1D_something[0] = 5\n", "page.signalling=5#0"},
        {"L1D_some_thing_minus1 = 5\n", "page.signalling=5"},
        {"plp_fec_type 1\n", "mode.outer=BCH mode.length=64800"},
    };
    assert_all_read(PAIR_ATSC, rows, sizeof rows / sizeof rows[0]);
    static const struct layout dvb[] = {
        {"plp_fec_type 1\nplp_mod 3\n", "dvbt2.length=64800 dvbt2.constellation=256QAM"},
        {"plp fec type 1\nplp_mod 3\n", " ?plp fec type 1 ?plp_mod 3"},
        {"PLP-FEC-TYPE: 1\nplp_mod 3\n", " ?PLP-FEC-TYPE: 1 ?plp_mod 3"},
        {"System: DVB-T/T2\n8K 1/4 64QAM 2/3\n",
         "page.system=DVB-T/T2 dvbt.fft=8K dvbt.guard=1/4 dvbt.constellation=64QAM dvbt.rate=2/3"},
        {"2/3 64QAM\n", "dvbt.rate=2/3 dvbt.constellation=64QAM"},
        {"DVB-T2\nFFT   GI   Mod\n8K   1/16 PP4   256QAM\n",
         "page.system=DVB-T2 dvbt2.fft=8K dvbt2.guard=1/16 dvbt2.pilots=PP4 "
         "dvbt2.constellation=256QAM"},
        {"DVB-T2\nFFT   Pilots   Mod\n8K   with PP4   256QAM\n16K   with PP x   64QAM",
         "page.system=DVB-T2 dvbt2.fft=8K dvbt2.pilots=PP4 dvbt2.constellation=256QAM "
         "dvbt2.fft=16K dvbt2.constellation=64QAM ?with PP x"},
        {"DVB-T2\nPilots: 4.5\n", "page.system=DVB-T2 ?Pilots: 4.5"},
        {"DVB-T2\nPilots: pattern 1/4\n", "page.system=DVB-T2 ?Pilots: pattern 1/4"},
        {"DVB-T2\nFFT 3/4\n", "page.system=DVB-T2 ?FFT 3/4"},
        {"DVB-T2\nFFT: 8 / 4\n", "page.system=DVB-T2 ?FFT: 8 / 4"},
        {"DVB-T2\nMod   GI   SNR\n256QAM 16K LDPC   1/16   20 dB\n",
         "page.system=DVB-T2 dvbt2.constellation=256QAM dvbt2.length=16200 dvbt2.guard=1/16 "
         "receiver.snr_db=20 ?LDPC"},
        {"DVB-T2\nMod   GI   SNR\n256QAM 16K FEC   1/16   20 dB\n",
         "page.system=DVB-T2 dvbt2.constellation=256QAM dvbt2.length=16200 dvbt2.guard=1/16 "
         "receiver.snr_db=20 ?FEC"},
        {"DVB-T2\nMod   GI   SNR\n256QAM 16K x   1/16   20 dB\n",
         "page.system=DVB-T2 dvbt2.constellation=256QAM dvbt2.fft=16K dvbt2.guard=1/16 "
         "receiver.snr_db=20 ?x"},
        {"DVB-T\nLP code rate: 7/9\n",
         "page.system=DVB-T !code rate 7/9: 1/2|2/3|3/4|5/6|7/8 exist"},
        {"DVB-T\nHierarchy: 3\n", "page.system=DVB-T !hierarchy 3: none|1|2|4 exist"},
        {"DVB-T2\nPP9\n",
         "page.system=DVB-T2 !pilot pattern PP9: PP1|PP2|PP3|PP4|PP5|PP6|PP7|PP8 exist"},
        {"DVB-T2 64K FFT\n", "page.system=DVB-T2 dvbt2.length=64800"},
    };
    assert_all_read(PAIR_DVB, dvb, sizeof dvb / sizeof dvb[0]);
}

/* ---- Bounds: what is beyond them is left out, and nothing else. ---- */

static int plps_named(const struct page *page)
{
    int plps[PAGE_PLP_MAX + 1];
    return page_plps(page, plps);
}

static struct page read_text(enum pair pair, struct text *text)
{
    struct page page;
    assert_int_equal(page_read(text_string(text), text->length, pair, &page, NULL), STATUS_OK);
    text_free(text);
    return page;
}

static void lines_with_more_than_is_kept_are_read_as_far_as_it_goes(void **state)
{
    (void)state;
    struct text text = {0};
    for (int i = 0; i < 70; i++) {
        text_printf(&text, "PLP%d: QPSK ", i % 64);
    }
    struct page page = read_text(PAIR_ATSC, &text);
    assert_int_equal(plps_named(&page), 64);
    page_free(&page);
    text_append(&text, "PLP"); /* columns of more PLPs than a table has */
    for (int i = 0; i < 40; i++) {
        text_printf(&text, " | %d", i);
    }
    page = read_text(PAIR_ATSC, &text);
    assert_int_equal(plps_named(&page), 40);
    page_free(&page);
    for (int columns = 32; columns <= 40; columns += 8) { /* a header of more than there may be */
        for (int i = 0; i < columns; i++) {
            text_append(&text, "SNR | ");
        }
        text_append(&text, "\n");
        for (int i = 0; i < columns; i++) {
            text_append(&text, "20 | ");
        }
        page = read_text(PAIR_ATSC, &text);
        assert_int_equal(page.entry_count, columns == 32 ? 32 : 0);
        page_free(&page);
    }
}

static void a_dump_without_an_end_is_kept_to_its_limit(void **state)
{
    (void)state;
    struct text text = {0};
    for (int i = 0; i < PAGE_ENTRIES_MAX + 7; i++) {
        text_append(&text, "L1D_num_ofdm_symbols 5\n");
    }
    struct page page = read_text(PAIR_ATSC, &text);
    assert_int_equal(page.entry_count, PAGE_ENTRIES_MAX);
    assert_int_equal(page.entries_left_out, 7);
    page_free(&page);
}

/* No character is cut in two where a text is longer than what is kept of it. */
static void long_texts_end_with_a_whole_character(void **state)
{
    (void)state;
    for (int shift = 0; shift < 3; shift++) {
        struct text text = {0};
        text_printf(&text, "Station: %.*s", shift, "abc");
        for (int i = 0; i < 60; i++) {
            text_append(&text, "\xEC\x98\x88"); /* three bytes */
        }
        struct page page = read_text(PAIR_ATSC, &text);
        assert_int_equal(page.entry_count, 1);
        size_t length = strlen(page.entries[0].text), most = PAGE_TEXT_BYTES - 1;
        assert_true(length <= most && length > most - 3);
        assert_int_equal((length - strlen("Station: ") - (size_t)shift) % 3, 0);
        page_free(&page);
    }
}

static void what_is_said_of_no_plp_is_found_for_each(void **state)
{
    (void)state;
    struct text text = {0};
    text_append(&text, "SNR 20 dB\nSNR 21 dB\nPLP0: QPSK\nPLP1: 64QAM\n");
    struct page page = read_text(PAIR_ATSC, &text);
    assert_string_equal(page_find(&page, "receiver.snr_db", 1)->value, "20");
    assert_string_equal(page_find(&page, "mode.constellation", 1)->value, "64QAM");
    assert_null(page_find(&page, "mode.constellation", 2));
    page_free(&page);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tables_are_read_by_their_columns),
        cmocka_unit_test(what_is_said_of_a_plp_goes_to_it),
        cmocka_unit_test(numbers_are_read_whole_or_not_at_all),
        cmocka_unit_test(dumps_and_short_forms_of_both_pairs_are_read),
        cmocka_unit_test(lines_with_more_than_is_kept_are_read_as_far_as_it_goes),
        cmocka_unit_test(a_dump_without_an_end_is_kept_to_its_limit),
        cmocka_unit_test(long_texts_end_with_a_whole_character),
        cmocka_unit_test(what_is_said_of_no_plp_is_found_for_each),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
