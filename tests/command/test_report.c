#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include <jansson.h>

#include "base/text.h"
#include "physics/information/required_snr.h"
#include "scenario/scenario.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/grid.h"
#include "study/report/report.h"
#include "support/run.h"

/* The names of the JSON form are a contract: these, in this order. */
static const char *const rf_names[] = {"channel", "center_mhz", "band", NULL};
static const char *const conditions_names[] = {"echoes", "speed_kmh", "positions", NULL};
static const char *const first_names[] = {"system",
                                          "snr_db",
                                          "snr_source",
                                          "net_mbps",
                                          "required_snr_db",
                                          "echo_before_us",
                                          "echo_after_us",
                                          "echo_km",
                                          "doppler_hz",
                                          "speed_kmh",
                                          "field_dbuvm",
                                          "margin_noise_db",
                                          "margin_db",
                                          "margin_90_db",
                                          "margin_99_db",
                                          "works",
                                          "positions_share",
                                          "account",
                                          NULL};
static const char *const second_names[] = {"system",
                                           "snr_db",
                                           "snr_source",
                                           "fft",
                                           "guard",
                                           "pilots",
                                           "boost",
                                           "reduction",
                                           "length",
                                           "rate",
                                           "constellation",
                                           "useful_us",
                                           "guard_us",
                                           "symbol_us",
                                           "spacing_hz",
                                           "carriers",
                                           "occupied_mhz",
                                           "data_cells",
                                           "boundary_cells",
                                           "preamble_symbols",
                                           "data_symbols",
                                           "cells_per_frame",
                                           "frame_ms",
                                           "plp_mbps",
                                           "net_mbps",
                                           "echo_us",
                                           "echo_km",
                                           "reach_us",
                                           "doppler_pilot_hz",
                                           "doppler_ici_hz",
                                           "doppler_hz",
                                           "speed_kmh",
                                           "limit_snr_db",
                                           "ideal_snr_db",
                                           "ideal_rayleigh_snr_db",
                                           "receiver_snr_db",
                                           "field_dbuvm",
                                           "margin_noise_db",
                                           "margin_db",
                                           "margin_90_db",
                                           "margin_99_db",
                                           "works",
                                           "positions_share",
                                           NULL};
static const char *const plp_names[] = {"name",
                                        "subframe",
                                        "layer",
                                        "share",
                                        "injection_db",
                                        "cells",
                                        "constellation",
                                        "rate",
                                        "length",
                                        "net_mbps",
                                        "limit_snr_db",
                                        "ideal_snr_db",
                                        "ideal_exact_snr_db",
                                        "receiver_snr_db",
                                        "interleaver_ms",
                                        "margin_noise_db",
                                        "margin_db",
                                        "works",
                                        "positions_share",
                                        NULL};

static json_t *report_json(const char *arguments)
{
    char line[1024];
    snprintf(line, sizeof line, "report --format json %s", arguments);
    return run_json(line);
}

static double number(json_t *json, const char *part, const char *name)
{
    json_t *value = json_object_get(json_object_get(json, part), name);
    assert_true(json_is_number(value));
    return json_number_value(value);
}

static const char *word(json_t *json, const char *part, const char *name)
{
    const char *value = json_string_value(json_object_get(json_object_get(json, part), name));
    assert_non_null(value);
    return value;
}

static void assert_begins_with(json_t *object, const char *const *names)
{
    void *iterator = json_object_iter(object);
    for (; *names; names++) {
        assert_non_null(iterator);
        assert_string_equal(json_object_iter_key(iterator), *names);
        iterator = json_object_iter_next(object, iterator);
    }
}

static void json_has_the_agreed_names_in_order(void **state)
{
    (void)state;
    json_t *json = report_json("");
    static const char *const parts[] = {"rf", "conditions", "first", "second", NULL};
    assert_begins_with(json, parts);
    assert_int_equal(json_object_size(json), 4);
    assert_begins_with(json_object_get(json, "conditions"), conditions_names);
    assert_begins_with(json_object_get(json, "rf"), rf_names);
    assert_begins_with(json_object_get(json, "first"), first_names);
    assert_begins_with(json_object_get(json, "second"), second_names);
    json_t *plps = json_object_get(json_object_get(json, "second"), "plps");
    assert_int_equal(json_array_size(plps), 1);
    assert_begins_with(json_array_get(plps, 0), plp_names);
    assert_int_equal(json_array_size(json_object_get(json_object_get(json, "first"), "account")),
                     0); /* no SNR is known */
    json_decref(json);
}

/* From the SNR, change by change, to what is to spare; the same margin stands in all places. */
static void the_account_adds_up_to_the_margin(void **state)
{
    (void)state;
    static const char *const generations[] = {"first", "second"};
    json_t *json = report_json("profiles/indoor-high-vhf.ini");
    for (int i = 0; i < 2; i++) {
        json_t *account = json_object_get(json_object_get(json, generations[i]), "account"), *step;
        double snr_db = NAN;
        size_t at;
        size_t last = json_array_size(account) - 1;
        assert_true(last >= 4);
        json_array_foreach(account, at, step)
        {
            double here_db = json_number_value(json_object_get(step, "snr_db"));
            json_t *change = json_object_get(step, "change_db");
            assert_true(json_is_string(json_object_get(step, "step")));
            if (json_is_number(change)) {
                snr_db += json_number_value(change);
                assert_near(here_db, snr_db, 1e-9, "the sum so far");
            }
            snr_db = here_db;
        }
        double left_db =
            json_number_value(json_object_get(json_array_get(account, last - 2), "snr_db"));
        double needed_db =
            json_number_value(json_object_get(json_array_get(account, last - 1), "snr_db"));
        assert_near(snr_db, left_db - needed_db, 1e-9, "what is to spare");
        assert_near(snr_db, number(json, generations[i], "margin_db"), 1e-9, "the margin");
        assert_int_equal(
            json_is_true(json_object_get(json_object_get(json, generations[i]), "works")),
            snr_db >= 0.0);
    }
    json_decref(json);
}

static void the_verdict_comes_first(void **state)
{
    (void)state;
    struct run run = run_line("report profiles/echo-two-transmitters.ini");
    assert_int_equal(strncmp(run.out, "8-VSB fails at all positions, ", 30), 0);
    const char *second = strstr(run.out, " dB short at half of them. OFDM decodes at all");
    assert_true(second != NULL && second < strchr(run.out, '\n'));
    assert_non_null(strstr(run.out, "\nMargin, with echoes and motion "));
    assert_non_null(strstr(run.out, "\nMargin, noise alone "));
    assert_non_null(strstr(run.out, "\nechoes "));
    assert_null(strstr(run.out, "-0.0"));
    run_free(&run);
}

static void the_defaults_are_those_of_the_format(void **state)
{
    (void)state;
    json_t *json = report_json("");
    assert_near(number(json, "rf", "channel"), 10, 0, "default");
    assert_near(number(json, "rf", "center_mhz"), 195.0, 1e-9, "47 CFR 73.603");
    assert_string_equal(word(json, "rf", "band"), "high VHF");
    assert_string_equal(word(json, "second", "fft"), "16K");
    assert_string_equal(word(json, "second", "guard"), "GI5_1024");
    assert_string_equal(word(json, "second", "pilots"), "SP12_2");
    assert_string_equal(word(json, "second", "rate"), "10/15");
    assert_string_equal(word(json, "second", "constellation"), "256QAM");
    assert_near(number(json, "second", "length"), 64800, 0, "default");
    assert_near(number(json, "second", "boost"), 4, 0, "default");
    assert_near(number(json, "second", "reduction"), 0, 0, "default");
    assert_near(number(json, "first", "required_snr_db"), 14.9, 1e-9, "ATSC A/54A");
    assert_near(number(json, "first", "echo_before_us"), 29.5, 1e-9, "published receiver");
    assert_near(number(json, "first", "echo_after_us"), 38.5, 1e-9, "published receiver");
    static const char *const unknown[] = {"margin_noise_db", "margin_db"}; /* no SNR is given */
    for (int i = 0; i < 2; i++) {
        assert_true(json_is_null(json_object_get(json_object_get(json, "first"), unknown[i])));
        assert_true(json_is_null(json_object_get(json_object_get(json, "second"), unknown[i])));
    }
    json_decref(json);
}

/* A receiver that cannot follow the motion has no margin: words say none, JSON null, CSV nothing.
 */
static void what_is_none_in_words_is_null_in_json(void **state)
{
    (void)state;
    static const struct {
        const char *name, *words;
    } margins[] = {{"margin_db", "\nMargin, with echoes and motion      none"},
                   {"margin_90_db", "\nMargin at 90 % of the time          none"},
                   {"margin_99_db", "\nMargin at 99 % of the time          none"}};
    static const char *const commands[] = {"report", "echo"};
    struct run words = run_line("report profiles/mobile.ini");
    for (int c = 0; c < 2; c++) {
        char line[96];
        text_format(line, sizeof line, "%s profiles/mobile.ini --format json", commands[c]);
        json_t *json = run_json(line);
        text_format(line, sizeof line, "%s profiles/mobile.ini --format csv", commands[c]);
        struct run csv = run_line(line);
        for (int i = 0; i < 3; i++) {
            char cell[64];
            text_format(cell, sizeof cell, "\nfirst,%s,,dB", margins[i].name);
            const json_t *first = json_object_get(json, "first");
            assert_true(json_is_null(json_object_get(first, margins[i].name)));
            assert_true(number(json, "second", margins[i].name) > 0.0);
            assert_non_null(strstr(words.out, margins[i].words));
            assert_non_null(strstr(csv.out, cell));
        }
        assert_near(number(json, "first", "positions_share"), 0.0, 0.0, "at no moment");
        run_free(&csv);
        json_decref(json);
    }
    run_free(&words);
}

/* 8-VSB is 6 MHz wide in a wider channel too: so much less noise is in it. */
static void noise_counts_in_the_width_of_each_signal(void **state)
{
    (void)state;
    for (int mhz = 6; mhz <= 8; mhz++) {
        char options[96];
        snprintf(options, sizeof options,
                 "--set receiver.level_dbm=-70 --set site.bandwidth_mhz=%d", mhz);
        json_t *json = report_json(options);
        assert_near(number(json, "first", "snr_db"), 106.19 - 7.0 - 70.0, 0.02,
                    "k T B in 6 MHz, noise figure 7 dB");
        assert_near(number(json, "first", "snr_db") - number(json, "second", "snr_db"),
                    10.0 * log10(mhz / 6.0), 1e-9, "the wider, the more noise");
        json_decref(json);
    }
}

static void published_figures_stand_in_the_report(void **state)
{
    (void)state;
    json_t *json = report_json("--set mode.guard=GI4_768 --set mode.pilots=SP16_2");
    assert_near(number(json, "first", "net_mbps"), 19.392658, 5e-7, "ATSC A/53 Part 2");
    assert_near(number(json, "second", "guard_us"), 111.11, 0.005, "ATSC A/322 GI4_768");
    assert_near(number(json, "second", "echo_km"), 33.31, 0.005, "c x 111.11 us");
    json_decref(json);
    json = report_json("--set mode.fft=32K --set mode.guard=GI1_192 --set mode.pilots=SP32_2 "
                       "--set mode.constellation=4096QAM --set mode.rate=13/15");
    assert_near(number(json, "second", "net_mbps"), 57.0, 1.0,
                "published capacity at 6 MHz: about 57 Mbit/s");
    json_decref(json);
    json = report_json("--set mode.fft=32K --set mode.guard=GI1_192 --set mode.pilots=SP32_2 "
                       "--set mode.constellation=4096QAM --set mode.rate=13/15 --set "
                       "mode.outer=none --set mode.frame_ms=5000 --set mode.boost=0 --set "
                       "site.bandwidth_mhz=8");
    assert_near(number(json, "second", "plp_mbps"), 78.5, 0.05,
                "published capacity at 8 MHz: 78.5 Mbit/s");
    json_decref(json);
    static const struct {
        int channel;
        double field_dbuvm;
    } rows[] = {{4, 28}, {10, 36}, {38, 41}};
    for (size_t i = 0; i < 2; i++) {
        char arguments[96];
        snprintf(arguments, sizeof arguments,
                 "--set site.rf_channel=%d --set first.threshold_db=15", rows[i].channel);
        json = report_json(arguments);
        assert_near(number(json, "first", "field_dbuvm"), rows[i].field_dbuvm, 0.5,
                    "47 CFR 73.622(e)");
        json_decref(json);
    }
    json = report_json("--set site.center_mhz=615 --set first.threshold_db=15");
    assert_near(number(json, "first", "field_dbuvm"), rows[2].field_dbuvm, 0.5, "47 CFR 73.622(e)");
    json_decref(json);
}

static void margins_come_from_snr_or_level(void **state)
{
    (void)state;
    json_t *json = report_json("--set receiver.snr_db=20");
    assert_near(number(json, "first", "margin_db"), 5.1, 1e-9, "20 - 14.9");
    assert_near(number(json, "second", "margin_db"),
                20.0 - number(json, "second", "receiver_snr_db"), 1e-9, "definition");
    json_decref(json);
    /* Noise: -106.2 dBm in 6 MHz (290 K) and a noise figure of 7 dB. */
    json = report_json("--set receiver.level_dbm=-80");
    assert_near(number(json, "first", "margin_db"), -80.0 + 106.2 - 7.0 - 14.9, 0.02,
                "kTB at 290 K");
    json_decref(json);
    json = report_json("--set receiver.level_dbm=-80 --set receiver.snr_db=20");
    assert_near(number(json, "first", "margin_db"), 5.1, 1e-9, "a measured SNR comes first");
    json_decref(json);
}

/* Echoes take of the one margin and not of the other; what they take is what `echo` says. */
static void the_margin_in_noise_alone_stands_beside_that_with_echoes(void **state)
{
    (void)state;
    json_t *json = report_json("profiles/single-frequency-network.ini");
    json_t *echo = run_json("echo --format json profiles/single-frequency-network.ini");
    double snr_db = number(echo, "input", "snr_db");
    assert_near(number(json, "first", "margin_noise_db"),
                snr_db - number(json, "first", "required_snr_db"), 1e-9, "definition");
    assert_near(number(json, "second", "margin_noise_db"),
                snr_db - number(json, "second", "receiver_snr_db"), 1e-9, "definition");
    assert_near(number(json, "first", "margin_db"), number(echo, "first", "margin_db"), 1e-9,
                "one verdict");
    assert_near(number(json, "second", "margin_db"), number(echo, "second", "margin_db"), 1e-9,
                "one verdict");
    /* Its other transmitters lie far outside of any equaliser. */
    assert_true(number(json, "first", "margin_noise_db") > 10.0);
    assert_true(number(json, "first", "margin_db") < 0.0);
    json_decref(json);
    json_decref(echo);
}

static void a_frequency_outside_the_plan_has_no_channel(void **state)
{
    (void)state;
    json_t *json = report_json("--set site.center_mhz=700");
    assert_true(json_is_null(json_object_get(json_object_get(json, "rf"), "channel")));
    json_decref(json);
    json = report_json("--set site.center_mhz=473");
    assert_near(number(json, "rf", "channel"), 14, 0, "47 CFR 73.603: 470-476 MHz");
    json_decref(json);
}

static void speed_follows_the_channel_in_use(void **state)
{
    (void)state;
    json_t *low = report_json("--set site.rf_channel=2"), *high = report_json("--set "
                                                                              "site.rf_channel=36");
    double ratio = number(low, "second", "speed_kmh") / number(high, "second", "speed_kmh");
    assert_near(ratio, 605.0 / 57.0, 1e-9, "v = c fd / f");
    json_decref(low);
    json_decref(high);
}

static void every_form_gives_the_same_figures(void **state)
{
    (void)state;
    struct run text = run_line("report"), csv = run_line("report --format csv"),
               markdown = run_line("report --format markdown");
    json_t *json = report_json("");
    char expected[64];
    snprintf(expected, sizeof expected, "second,cells_per_frame,%.0f,cells\r\n",
             number(json, "second", "cells_per_frame"));
    assert_non_null(strstr(csv.out, expected));
    snprintf(expected, sizeof expected, "Cells in a frame        %.0f   cells\n",
             number(json, "second", "cells_per_frame"));
    assert_non_null(strstr(text.out, expected));
    snprintf(expected, sizeof expected, "| Cells in a frame | %.0f | cells |\n",
             number(json, "second", "cells_per_frame"));
    assert_non_null(strstr(markdown.out, expected));
    json_decref(json);
    run_free(&text);
    run_free(&csv);
    run_free(&markdown);
}

static void text_fits_80_columns_and_says_what_it_assumes(void **state)
{
    (void)state;
    struct run run = run_line("report --set receiver.level_dbm=-60");
    assert_non_null(strstr(run.out, "What the figures assume"));
    assert_non_null(strstr(run.out, "planning aid"));
    assert_non_null(strstr(run.out, "from the level less the receiver's noise"));
    /* Where the ideal SNR comes from stands under the table, wrapped at words. */
    const char *source =
        ideal_source_words(ideal_snr(LENGTH_64800, QAM256, 10, FADING_AWGN).source);
    char first_word[32];
    snprintf(first_word, sizeof first_word, "%.*s", (int)strcspn(source, " "), source);
    assert_non_null(strstr(run.out, first_word));
    for (char *rest, *line = strtok_r(run.out, "\n", &rest); line;
         line = strtok_r(NULL, "\n", &rest)) {
        assert_true(text_columns(line) <= 80);
    }
    run_free(&run);
}

/* A sample of the legal space through the command line; tests/property has all of it. */
static void cells_and_times_are_those_of_the_rules(void **state)
{
    (void)state;
    int step = 0;
    for (int fft = 0; fft < FFT_COUNT; fft++) {
        for (int guard = 0; guard < GUARD_COUNT; guard++) {
            for (int pilots = 0; pilots < PILOTS_COUNT; pilots++) {
                struct transmission mode = transmission_default();
                mode.subframes[0].waveform.fft = (enum fft_size)fft;
                mode.subframes[0].waveform.guard = (enum guard)guard;
                mode.subframes[0].waveform.pilots = (enum pilots)pilots;
                mode.subframes[0].waveform.boost = step % 5;
                mode.subframes[0].waveform.reduction = step / 5 % 5;
                if (!pilots_are_allowed(mode.subframes[0].waveform.fft,
                                        mode.subframes[0].waveform.guard,
                                        mode.subframes[0].waveform.pilots)) {
                    continue;
                }
                step++;
                char arguments[256];
                snprintf(arguments, sizeof arguments,
                         "--set mode.fft=%s --set mode.guard=%s --set mode.pilots=%s --set "
                         "mode.boost=%d --set mode.reduction=%d",
                         fft_name(mode.subframes[0].waveform.fft),
                         guard_name(mode.subframes[0].waveform.guard),
                         pilots_name(mode.subframes[0].waveform.pilots),
                         mode.subframes[0].waveform.boost, mode.subframes[0].waveform.reduction);
                json_t *json = report_json(arguments);
                struct frame frame;
                struct fault fault;
                assert_int_equal(frame_build(&mode, &frame, &fault), STATUS_OK);
                assert_near(number(json, "second", "data_cells"),
                            cells_data(&mode.subframes[0].waveform), 0, "rule");
                assert_near(number(json, "second", "boundary_cells"),
                            cells_boundary(&mode.subframes[0].waveform), 0, "rule");
                assert_near(number(json, "second", "carriers"),
                            carriers_count(mode.subframes[0].waveform.fft,
                                           mode.subframes[0].waveform.reduction),
                            0, "Table 7.1");
                assert_near(number(json, "second", "cells_per_frame"), (double)frame.cells, 0,
                            "rule");
                assert_near(number(json, "second", "net_mbps"),
                            code_carried(&mode.plps[0].code, frame.cell_rate_hz).net_mbps, 1e-9,
                            "rule");
                assert_near(number(json, "second", "guard_us"),
                            guard_samples(mode.subframes[0].waveform.guard) / 6.912, 1e-8,
                            "samples / 6.912 MHz");
                json_decref(json);
            }
        }
    }
    assert_int_equal(step, 81);
}

/* The headline's is one of several, of which not all decode; nothing is said of them without an
 * SNR. */
static void the_headline_says_how_many_plps_decode(const char *profile)
{
    static const struct {
        const char *set, *told;
    } wanted[] = {
        {"", "Of OFDM's 3 PLPs 2 decode; its margin is that of phone, the most robust."},
        {"--set receiver.snr_db=6", "Of OFDM's 3 PLPs 1 decodes; its margin is that of phone,"},
        {"--set receiver.snr_db=none", NULL},
    };
    for (size_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++) {
        char line[256];
        snprintf(line, sizeof line, "report %s %s", profile, wanted[i].set);
        struct run run = run_line(line);
        assert_int_equal(run.status, 0);
        for (char *at = run.out; *at != 0; at++) {
            *at = *at == '\n' ? ' ' : *at; /* wherever its lines are wrapped */
        }
        const char *told = wanted[i].told != NULL ? wanted[i].told : "Of OFDM's";
        assert_int_equal(strstr(run.out, told) != NULL, wanted[i].told != NULL);
        run_free(&run);
    }
}

/* Wherever the PLPs of a profile are told, each has a row and the one verdict. */
static void every_page_tells_each_plp_with_one_verdict(void **state)
{
    (void)state;
    static const char profile[] = "plps.ini";
    static const char text[] =
        "[receiver]\nsnr_db = 16\n[echo hill]\ndelay_us = 9\nlevel_db = -3\n"
        "[plp phone]\nconstellation = QPSK\nrate = 5/15\nshare_percent = 30\n"
        "[plp roof]\nconstellation = 64QAM\nrate = 9/15\n"
        "[plp above]\nconstellation = 16QAM\nrate = 5/15\nlayer = enhanced\nover = phone\n";
    run_write_file(profile, text, sizeof text - 1);
    char line[256];
    json_t *pages[2];
    static const char *const commands[] = {"report", "echo", "weigh --top 3"};
    for (int i = 0; i < 3; i++) {
        snprintf(line, sizeof line, "%s %s", commands[i], profile);
        struct run run = run_line(line);
        assert_int_equal(run.status, 0);
        const char *table = strstr(run.out, "\nPLPs\n");
        assert_non_null(table);
        assert_non_null(strstr(table, "\nphone "));
        assert_non_null(strstr(table, "\nroof "));
        assert_non_null(strstr(table, "\nabove "));
        const char *headline = strstr(run.out, "Of OFDM's 3 PLPs");
        assert_int_equal(headline != NULL, i < 2);
        run_free(&run);
    }
    the_headline_says_how_many_plps_decode(profile);
    for (int i = 0; i < 2; i++) {
        snprintf(line, sizeof line, "%s --format json %s", commands[i], profile);
        pages[i] = run_json(line);
    }
    for (size_t i = 0; i < 3; i++) {
        double margins_db[2];
        for (int k = 0; k < 2; k++) {
            json_t *rows = json_object_get(json_object_get(pages[k], "second"), "plps");
            json_t *row = json_array_get(rows, i);
            assert_non_null(row);
            margins_db[k] = json_real_value(json_object_get(row, "margin_db"));
        }
        assert_true(margins_db[0] == margins_db[1]);
    }
    json_decref(pages[0]);
    json_decref(pages[1]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(json_has_the_agreed_names_in_order),
        cmocka_unit_test(the_account_adds_up_to_the_margin),
        cmocka_unit_test(the_verdict_comes_first),
        cmocka_unit_test(the_defaults_are_those_of_the_format),
        cmocka_unit_test(what_is_none_in_words_is_null_in_json),
        cmocka_unit_test(noise_counts_in_the_width_of_each_signal),
        cmocka_unit_test(published_figures_stand_in_the_report),
        cmocka_unit_test(margins_come_from_snr_or_level),
        cmocka_unit_test(the_margin_in_noise_alone_stands_beside_that_with_echoes),
        cmocka_unit_test(a_frequency_outside_the_plan_has_no_channel),
        cmocka_unit_test(speed_follows_the_channel_in_use),
        cmocka_unit_test(every_form_gives_the_same_figures),
        cmocka_unit_test(text_fits_80_columns_and_says_what_it_assumes),
        cmocka_unit_test(cells_and_times_are_those_of_the_rules),
        cmocka_unit_test_setup_teardown(every_page_tells_each_plp_with_one_verdict, run_set_up,
                                        run_tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
