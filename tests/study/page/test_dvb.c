#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "study/reading/reading.h"

/* Pages of an invented receiver that speak of DVB-T and DVB-T2, in several layouts and languages,
 * with decimal commas and damage. Each is held against all that may be read of it: one "key=value"
 * for each entry in the page's order, "~" where it is a guess, "@N" where it is a PLP's, and what
 * was not understood, what cannot be, and what contradicts behind "?", "!" and "#". */

struct sample {
    const char *name, *page, *expected;
};

static const struct sample samples[] = {
    {"all in one line", "8K 1/4 64QAM 2/3\nUHF 34   C/N 24,5 dB\n",
     "dvbt.fft=8K dvbt.guard=1/4 dvbt.constellation=64QAM dvbt.rate=2/3 site.rf_channel=34 "
     "receiver.snr_db=24.5 "},
    {"short forms with strokes",
     "ch21 | 474 MHz | 58 dBuV | MER 24.1\n"
     "T2 / 32KE / PP4 / GI 1/16 / 256QAM 3/5 / 64K LDPC / rotation on\nPLP 0\n",
     "site.rf_channel=21 site.center_mhz=474 receiver.level_dbm=-50.75 receiver.snr_db=24.1 "
     "page.system=DVB-T2 dvbt2.extended=yes dvbt2.fft=32K dvbt2.pilots=PP4 dvbt2.guard=1/16 "
     "dvbt2.constellation=256QAM dvbt2.rate=3/5 dvbt2.length=64800 dvbt2.rotation=yes page.plp=0 "},
    {"one a line, and what the receiver counts",
     "System:            DVB-T2\nFrequency:         618.000 MHz\nBandwidth:         8 MHz\n"
     "FFT:               32K extended\nGuard interval:    GI 1/128\nPilot pattern:     7\n"
     "PLP ID:            0\nModulation:        256QAM\nFEC:               2/3\n"
     "FEC frame:         64800\nRotated:           yes\nL1-post:           16QAM 1/2\n"
     "MER:               27.8 dB\nTS lock:           yes\nL1 lock:           yes\n"
     "BER before LDPC:   3.1e-3\nBER after LDPC:    0\nLDPC iterations:   4\nUCB:        0\n",
     "page.system=DVB-T2 site.center_mhz=618 site.bandwidth_mhz=8 dvbt2.fft=32K "
     "dvbt2.extended=yes dvbt2.guard=1/128 dvbt2.pilots=PP7 page.plp=0 dvbt2.constellation=256QAM "
     "dvbt2.rate=2/3 dvbt2.length=64800 dvbt2.rotation=yes dvbt2.l1_constellation=16QAM "
     "receiver.snr_db=27.8 page.lock=yes page.lock=yes page.error_rate_before=0.0031 "
     "page.error_rate_after=0 page.iterations=4 page.errors=0 "},
    {"German, decimal commas, VHF",
     "Norm: DVB-T\nKanal: 9\nFrequenz: 205,5 MHz\nBandbreite: 7 MHz\n"
     "\xC3\x9C"
     "bertragungsmodus: 8K\nSchutzintervall: 1/4\nModulation: 16QAM\nCoderate: 3/4\n"
     "Hierarchie: keine\nSignal-Rausch-Abstand: 18,4 dB\nBER vor Viterbi: 2,1E-2\n"
     "BER nach Viterbi: 4,0E-4\nUnkorrigierbare Bl\xC3\xB6"
     "cke: 12\n",
     "page.system=DVB-T site.rf_channel=9 site.center_mhz=205.5 site.bandwidth_mhz=7 dvbt.fft=8K "
     "dvbt.guard=1/4 dvbt.constellation=16QAM dvbt.rate=3/4 dvbt.hierarchy=none "
     "receiver.snr_db=18.4 page.error_rate_before=0.021 page.error_rate_inner=0.0004 "
     "page.errors=12 "},
    {"two streams",
     "Transmission mode  : 8K\nGuard interval     : 1/32\nHierarchy          : alpha 2\n"
     "Constellation      : 64QAM\nHP code rate       : 1/2\nLP code rate       : 3/4\n"
     "Priority           : LP\nC/N                : 17.2 dB\nCBER               : 3.0e-2\n"
     "VBER               : 1.0e-6\nTPS lock           : OK\nChannel            : 41\n",
     "dvbt.fft=8K dvbt.guard=1/32 dvbt.hierarchy=2 dvbt.constellation=64QAM dvbt.rate=1/2 "
     "dvbt.low_rate=3/4 dvbt.priority=low receiver.snr_db=17.2 page.error_rate_before=0.03 "
     "page.error_rate_inner=1e-06 page.lock=yes site.rf_channel=41 "},
    {"off a photograph",
     "DVB-T2  CH 3O\nFFT 32KE   GI l/128\nMod 256OAM  FEC 2/3\n5NR 2l.5 dB\nPP7 rotated\n",
     "page.system=DVB-T2 site.rf_channel=30~ dvbt2.fft=32K dvbt2.extended=yes "
     "dvbt2.constellation=256QAM~ dvbt2.rate=2/3 receiver.snr_db=21.5~ dvbt2.pilots=PP7 "
     "dvbt2.rotation=yes ?GI l/128 "},
    {"keys with names",
     "plp.id=1\ndvb.system=DVB-T2\nfft=16K\nguard=19/128\npp=3\nmod=64QAM\ncoderate=2/3\nhem=no\n"
     "bw=8MHz\nsnr=19.0dB\nber.post_ldpc=1e-8\nframe symbols=100\n",
     "page.plp=1 page.system=DVB-T2 dvbt2.fft=16K dvbt2.guard=19/128 dvbt2.pilots=PP3 "
     "dvbt2.constellation=64QAM dvbt2.rate=2/3 dvbt2.high_efficiency=no site.bandwidth_mhz=8 "
     "receiver.snr_db=19 page.error_rate_after=1e-08 dvbt2.symbols=100 "},
    {"a row under labels",
     "FFT   | GI    | Mod   | FEC | C/N\n8K    | 1/8   | 64QAM | 3/4 | 21,9 dB\n"
     "BER after Viterbi/before RS: 1.5e-4\nMPEG errors: 0\n",
     "dvbt.fft=8K dvbt.guard=1/8 dvbt.constellation=64QAM dvbt.rate=3/4 receiver.snr_db=21.9 "
     "page.error_rate_inner=0.00015 page.errors=0 "},
    {"several PLPs",
     "DVB-T2 multiplex on 618 MHz\n32K normal, guard 1/16, PP4\nPLP  Mod     FEC   MER\n"
     "0    256QAM  2/3   26.0\n1    QPSK    1/2   26.0\n",
     "page.system=DVB-T2 site.center_mhz=618 dvbt2.fft=32K dvbt2.extended=no dvbt2.guard=1/16 "
     "dvbt2.pilots=PP4 page.plp=0 dvbt2.constellation=256QAM@0 dvbt2.rate=2/3@0 "
     "receiver.snr_db=26@0 page.plp=1 dvbt2.constellation=QPSK@1 dvbt2.rate=1/2@1 "
     "receiver.snr_db=26@1 "},
    {"Spanish",
     "Sistema: DVB-T2\nCanal: 28\nModo FFT: 32K extended\nIntervalo de guarda: 1/16\n"
     "Patr\xC3\xB3n de pilotos: PP4\nModulaci\xC3\xB3n: 256QAM\nTasa de c\xC3\xB3"
     "digo: 3/5\nConstelaci\xC3\xB3n rotada: s\xC3\xAD\nRelaci\xC3\xB3n portadora/ruido: 21,7 dB\n"
     "Errores no corregidos: 3\n",
     "page.system=DVB-T2 site.rf_channel=28 dvbt2.fft=32K dvbt2.extended=yes dvbt2.guard=1/16 "
     "dvbt2.pilots=PP4 dvbt2.constellation=256QAM dvbt2.rate=3/5 dvbt2.rotation=yes "
     "receiver.snr_db=21.7 page.errors=3 "},
    {"times and counts",
     "System: DVB-T2\nCarriers: 27841\nGuard interval: 28 us\nPilots: 7\nData symbols: 59\n"
     "Constellation: 256\nCode rate: 2/3\nBlock length: normal\nLevel (dBmV): 3.5\n",
     "page.system=DVB-T2 second.carriers=27841 second.guard_us=28 dvbt2.pilots=PP7 "
     "second.data_symbols=59 dvbt2.constellation=256QAM dvbt2.rate=2/3 dvbt2.length=64800 "
     "receiver.level_dbm=-45.25 "},
    {"dates and parts of lists are no settings",
     "DVB-T tuner, page 1/2, 3/4/2025\nSNR 20 dB\nPLP 1/2\n",
     "page.system=DVB-T receiver.snr_db=20 ?tuner, page 1/2, 3/4/2025 ?PLP 1/2 "},
    {"what its system does not have", "Standard DVB-T\nFFT 32K  guard 1/128  256QAM 2/3\n",
     "page.system=DVB-T dvbt2.fft=32K dvbt2.guard=1/128 dvbt2.constellation=256QAM dvbt.rate=2/3 "
     "#the page says DVB-T, which has no FFT size 32K "},
    {"values that cannot be", "DVB-T2 FFT 64K GI 1/3 PP9 code rate 9/10 channel 52\n",
     "page.system=DVB-T2 "
     "!FFT size 64K: 2K|4K|8K or 1K|2K|4K|8K|16K|32K exist "
     "!guard interval 1/3: 1/4|1/8|1/16|1/32 or 1/128|1/32|1/16|19/256|1/8|19/128|1/4 exist "
     "!pilot pattern PP9: PP1|PP2|PP3|PP4|PP5|PP6|PP7|PP8 exist "
     "!code rate 9/10: 1/2|2/3|3/4|5/6|7/8 or 1/2|3/5|2/3|3/4|4/5|5/6 exist "
     "!RF channel 52: 5 to 12 or 21 to 48 exist "},
    {"two SNRs hide no mode that cannot be",
     "DVB-T2, FFT 2K, GI 1/128, PP7, 256QAM, code rate 2/3\nC/N 20 dB\nC/N 25 dB\n",
     "page.system=DVB-T2 dvbt2.fft=2K dvbt2.guard=1/128 dvbt2.pilots=PP7 "
     "dvbt2.constellation=256QAM dvbt2.rate=2/3 receiver.snr_db=20 receiver.snr_db=25 "
     "#measured SNR is 20 (line 2) and also 25 (line 3) "
     "#guard interval: 1/128 does not go with FFT 2K (legal: 1/32|1/16|1/8|1/4) "},
    {"what does not go together", "DVB-T2, FFT 32K, GI 1/16, PP1, QPSK, code rate 1/2\n",
     "page.system=DVB-T2 dvbt2.fft=32K dvbt2.guard=1/16 dvbt2.pilots=PP1 dvbt2.constellation=QPSK "
     "dvbt2.rate=1/2 "
     "#pilot pattern: PP1 does not go with FFT 32K and guard 1/16 (legal: PP2|PP4|PP8) "},
};

static void dump(const struct page *page, struct text *out)
{
    struct scenario base = scenario_default();
    struct page_settled settled;
    for (size_t i = 0; i < page->entry_count; i++) {
        const struct page_entry *entry = &page->entries[i];
        text_printf(out, "%s=%s%s", entry->key, entry->value, entry->guess ? "~" : "");
        text_printf(out, entry->plp >= 0 ? "@%d " : " ", entry->plp);
    }
    for (size_t i = 0; i < page->unread.count; i++) {
        text_printf(out, "?%s ", page->unread.rows[i]);
    }
    for (size_t i = 0; i < page->wrong.count; i++) {
        text_printf(out, "!%s ", page->wrong.rows[i]);
    }
    assert_int_equal(page_settle(page, -1, &base, &settled), STATUS_OK);
    for (size_t i = 0; i < settled.contradictions.count; i++) {
        text_printf(out, "#%s ", settled.contradictions.rows[i]);
    }
    page_settled_free(&settled);
}

static void pages_are_read_whole(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof samples / sizeof samples[0]; i++) {
        struct page page;
        struct text out = {0};
        assert_int_equal(
            page_read(samples[i].page, strlen(samples[i].page), PAIR_ATSC, &page, NULL), STATUS_OK);
        dump(&page, &out);
        if (page.pair != PAIR_DVB || strcmp(text_string(&out), samples[i].expected) != 0) {
            fail_msg("%s: read\n%s\nexpected\n%s", samples[i].name, text_string(&out),
                     samples[i].expected);
        }
        text_free(&out);
        page_free(&page);
    }
}

static enum pair pair_read(const char *bytes, enum pair otherwise)
{
    struct page page;
    assert_int_equal(page_read(bytes, strlen(bytes), otherwise, &page, NULL), STATUS_OK);
    enum pair pair = page.pair;
    page_free(&page);
    return pair;
}

static void the_page_chooses_the_pair_and_else_who_asks(void **state)
{
    (void)state;
    static const char *const neither[] = {
        "",        "SNR 20 dB",     "RF 27",          "64QAM FFT 8K",
        "FFT 32K", "code rate 3/5", "nothing to see", "page 1/4"};
    for (size_t i = 0; i < sizeof neither / sizeof neither[0]; i++) {
        assert_int_equal(pair_read(neither[i], PAIR_ATSC), PAIR_ATSC);
        assert_int_equal(pair_read(neither[i], PAIR_DVB), PAIR_DVB);
    }
    static const char *const dvb[] = {"DVB-T",    "DVBT2",         "32KE",      "PP4",
                                      "GI 1/128", "FFT 8K GI 1/4", "64QAM 5/6", "T2 lock: yes",
                                      "rotated",  "TPS lock"};
    for (size_t i = 0; i < sizeof dvb / sizeof dvb[0]; i++) {
        assert_int_equal(pair_read(dvb[i], PAIR_ATSC), PAIR_DVB);
    }
    static const char *const atsc[] = {"8-VSB",   "ATSC 3.0",          "GI5_1024",
                                       "SP12_2",  "256QAM 10/15",      "L1-Basic 3",
                                       "256-NUC", "ATSC 3.0 64QAM 3/4"};
    for (size_t i = 0; i < sizeof atsc / sizeof atsc[0]; i++) {
        assert_int_equal(pair_read(atsc[i], PAIR_DVB), PAIR_ATSC);
    }
}

/* ---- What follows. ---- */

struct asked {
    struct page page;
    struct reading reading;
    struct weigh_space space;
};

static const struct reading_pipe *ask(struct asked *asked, const char *bytes)
{
    const struct scenario base = scenario_default();
    *asked = (struct asked){0};
    assert_int_equal(page_read(bytes, strlen(bytes), PAIR_ATSC, &asked->page, NULL), STATUS_OK);
    assert_int_equal(reading_make(&asked->page, -1, &base, &asked->space, &asked->reading, NULL),
                     STATUS_OK);
    return reading_chosen(&asked->reading);
}

static void done(struct asked *asked)
{
    reading_free(&asked->reading);
    page_free(&asked->page);
    weigh_space_free(&asked->space);
}

static void a_page_and_a_profile_that_say_the_same_are_told_the_same(void **state)
{
    (void)state;
    static const struct {
        const char *page;
        enum generation generation;
        double net_mbps, tolerance;
    } rows[] = {
        /* EN 300 744 table 17, published; TS 102 831's UK mode, from memory. */
        {"DVB-T 8K 1/4 64QAM 2/3 SNR 21 dB", GENERATION_FIRST, 19.906, 0.001},
        {"DVB-T 2K 1/32 64QAM 7/8 SNR 30 dB", GENERATION_FIRST, 31.668, 0.001},
        {"DVB-T2 32KE 1/128 PP7 256QAM 2/3 symbols per frame 60 SNR 22 dB", GENERATION_SECOND,
         40.215, 0.001},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct asked asked;
        const struct reading_pipe *pipe = ask(&asked, rows[i].page);
        struct scenario scenario = pipe->settled.scenario;
        struct verdict verdict;
        assert_int_equal(pipe->settled.generation, rows[i].generation);
        assert_near(pipe->verdict.facts.net_mbps, rows[i].net_mbps, rows[i].tolerance,
                    "EN 300 744 table 17; TS 102 831 (from memory)");
        assert_int_equal(verdict_make(&scenario, rows[i].generation, &verdict, NULL), STATUS_OK);
        assert_near(pipe->verdict.margin_db, verdict.margin_db, 1e-9, "the verdict of a profile");
        assert_near(pipe->verdict.margin_noise_db,
                    scenario.receiver.snr_db - pipe->verdict.facts.required_snr_db, 1e-9,
                    "closed form");
        done(&asked);
    }
}

static void rate_and_margin_are_unknown_until_constellation_and_code_rate_are_said(void **state)
{
    (void)state;
    static const char *const parts[] = {"DVB-T2 32KE 1/16 PP4 SNR 22 dB",
                                        "DVB-T2 32KE 1/16 PP4 256QAM SNR 22 dB",
                                        "DVB-T 8K 1/4 rate 2/3 SNR 22 dB", "DVB-T SNR 22 dB"};
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        struct asked asked;
        const struct reading_pipe *pipe = ask(&asked, parts[i]);
        assert_true(isnan(pipe->verdict.facts.net_mbps) && isnan(pipe->verdict.margin_db));
        assert_true(pipe->span.open && pipe->span.least_db < pipe->span.most_db);
        done(&asked);
    }
    struct asked asked;
    const struct reading_pipe *pipe = ask(&asked, "DVB-T2 256QAM 2/3 SNR 22 dB");
    assert_true(isfinite(pipe->verdict.margin_db) && isnan(pipe->verdict.facts.net_mbps));
    assert_null(pipe->verdict.facts.fft);
    done(&asked);
}

/* EN 300 744 4.3: up to 2e-4 behind the Viterbi decoder nothing is lost. */
static void errors_are_held_against_the_margin(void **state)
{
    (void)state;
    static const struct {
        const char *page;
        size_t remarks;
    } rows[] = {
        {"DVB-T 8K 1/4 64QAM 2/3 SNR 22 dB\nBER after Viterbi 1.9e-4\n", 0},
        {"DVB-T 8K 1/4 64QAM 2/3 SNR 22 dB\nBER after Viterbi 2.1e-4\n", 1},
        {"DVB-T 8K 1/4 64QAM 2/3 SNR 22 dB\nBER before Viterbi 2e-2\n", 0},
        {"DVB-T 8K 1/4 64QAM 2/3 SNR 15 dB\nUCB: 0\n", 1},
        {"DVB-T2 32KE 1/16 PP4 256QAM 2/3 MER 23 dB\nBER after LDPC: 1e-8\n", 0},
        {"DVB-T2 32KE 1/16 PP4 256QAM 2/3 MER 23 dB\nBER after LDPC: 1e-5\n", 1},
        {"DVB-T2 32KE 1/16 PP4 256QAM 2/3 MER 23 dB\nL1 lock: yes\nTS lock: no\n", 1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct asked asked;
        ask(&asked, rows[i].page);
        if (asked.reading.remarks.count != rows[i].remarks) {
            fail_msg("\"%s\": %zu remarks", rows[i].page, asked.reading.remarks.count);
        }
        done(&asked);
    }
}

static void words_are_of_the_pair_and_of_no_other(void **state)
{
    (void)state;
    static void (*const writers[])(const struct reading *reading, struct text *out) = {
        reading_write_verdict, reading_write_limits,  reading_write_mending, reading_write_other,
        reading_write_cost,    reading_write_assumed, reading_write_basis};
    static const char *const foreign[] = {"ATSC", "VSB", "A/322", "A/327", "boost"};
    for (size_t i = 0; i < sizeof samples / sizeof samples[0]; i++) {
        struct asked asked;
        struct text out = {0};
        ask(&asked, samples[i].page);
        for (size_t w = 0; w < sizeof writers / sizeof writers[0]; w++) {
            writers[w](&asked.reading, &out);
            text_append(&out, "\n");
        }
        reading_write_pipe(reading_chosen(&asked.reading), &out);
        for (size_t f = 0; f < sizeof foreign / sizeof foreign[0]; f++) {
            if (strstr(text_string(&out), foreign[f])) {
                fail_msg("%s: \"%s\" speaks of %s", samples[i].name, text_string(&out), foreign[f]);
            }
        }
        text_free(&out);
        done(&asked);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pages_are_read_whole),
        cmocka_unit_test(the_page_chooses_the_pair_and_else_who_asks),
        cmocka_unit_test(a_page_and_a_profile_that_say_the_same_are_told_the_same),
        cmocka_unit_test(rate_and_margin_are_unknown_until_constellation_and_code_rate_are_said),
        cmocka_unit_test(errors_are_held_against_the_margin),
        cmocka_unit_test(words_are_of_the_pair_and_of_no_other),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
