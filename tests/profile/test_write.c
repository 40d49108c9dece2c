#include "support/near.h"

#include <math.h>
#include <string.h>

#include "profile/profile.h"
#include "profile/scan.h"
#include "scenario/section.h"

static const char sample[] = "; a harbour\n"
                             "[site]\n"
                             "rf_channel = 10   ; high VHF\n"
                             "\n"
                             "[Mode]\n"
                             "  FFT=16k# what we air\n"
                             "guard = \"GI5_1024\"\n"
                             "pilots = SP12_2\n"
                             "\n"
                             "; from the far tower\n"
                             "[echo far tower]\n"
                             "delay_us = 104\n"
                             "level_db = -12\n"
                             "\n"
                             "[echo pier]\n"
                             "delay_us = 0.4\n"
                             "level_db = -6\n"
                             "; end";

static struct profile read_sample(const char *text)
{
    struct profile profile;
    struct fault fault = {0};
    enum status status = profile_read_text(text, strlen(text), &profile, &fault);
    if (status != STATUS_OK) {
        print_error("%s: %s (%s)\n", fault.place, fault.wrong, fault.allowed);
    }
    assert_int_equal(status, STATUS_OK);
    return profile;
}

static void set(struct profile *profile, const char *key, const char *value)
{
    struct fault fault = {0};
    enum status status = scenario_set(&profile->scenario, key, value, &fault);
    if (status != STATUS_OK) {
        print_error("%s: %s (%s)\n", fault.place, fault.wrong, fault.allowed);
    }
    assert_int_equal(status, STATUS_OK);
}

static void assert_written(struct profile *profile, const char *expected)
{
    struct text out = {0};
    struct fault fault = {0};
    assert_int_equal(profile_write_text(profile, &out, &fault), STATUS_OK);
    assert_string_equal(text_string(&out), expected);
    text_free(&out);
    profile_free(profile);
}

static void values_and_names_are_read_as_written(void **state)
{
    (void)state;
    struct profile profile = read_sample(sample);
    assert_int_equal(profile.scenario.transmission.subframes[0].waveform.fft, FFT_16K);
    assert_int_equal(profile.scenario.transmission.subframes[0].waveform.guard, GI5_1024);
    assert_int_equal(profile.scenario.site.rf_channel, 10);
    assert_near(profile.scenario.site.center_mhz, 195.0, 1e-9, "47 CFR 73.603: 192-198 MHz");
    assert_int_equal(profile.scenario.echo_count, 2);
    assert_string_equal(profile.scenario.echo_names[0], "far tower");
    assert_near(profile.scenario.echoes[0].delay_us, 104.0, 0.0, "as written");
    assert_near(profile.scenario.echoes[1].level_db, -6.0, 0.0, "as written");
    profile_free(&profile);
}

static void nothing_changed_nothing_written_anew(void **state)
{
    (void)state;
    struct profile profile = read_sample(sample);
    assert_written(&profile, sample);
}

static void a_changed_value_is_replaced_in_its_place(void **state)
{
    (void)state;
    struct profile profile =
        read_sample("[mode]\n  FFT=16k# what we air\nguard = \"GI5_1024\" ; x\n");
    set(&profile, "mode.fft", "32K");
    set(&profile, "mode.guard", "GI4_768");
    set(&profile, "mode.pilots", "SP32_2");
    assert_written(&profile, "[mode]\n  FFT=32K# what we air\nguard = GI4_768 ; x\n"
                             "pilots = SP32_2\n");
}

static void new_keys_and_sections_go_where_they_belong(void **state)
{
    (void)state;
    struct profile profile = read_sample("[mode]\nfft = 16K\n\n[receiver]\nspeed_kmh = 5");
    set(&profile, "mode.boost", "2");
    set(&profile, "receiver.snr_db", "21.5");
    set(&profile, "first.tracking_hz", "20");
    set(&profile, "echo hill.delay_us", "12");
    set(&profile, "echo hill.level_db", "-3");
    assert_written(&profile, "[mode]\nfft = 16K\nboost = 2\n\n[receiver]\nspeed_kmh = 5\n"
                             "snr_db = 21.5\n\n[first]\ntracking_hz = 20\n\n[echo hill]\n"
                             "delay_us = 12\nlevel_db = -3\n");
}

static void an_echo_that_is_gone_leaves_with_its_lines(void **state)
{
    (void)state;
    struct profile profile = read_sample("[echo a]\ndelay_us=1\nlevel_db=-1\n\n; second\n[echo "
                                         "b]\ndelay_us=2 ; two\nlevel_db=-2\n");
    profile.scenario.echoes[0] = profile.scenario.echoes[1];
    memcpy(profile.scenario.echo_names[0], profile.scenario.echo_names[1], NAME_MAX_BYTES);
    profile.scenario.echo_count = 1;
    assert_written(&profile, "; second\n[echo b]\ndelay_us=2 ; two\nlevel_db=-2\n");
}

/* The empty line behind it goes too, and at the end there is none. */
static void lines_of_what_is_gone_end_as_the_file_does(void **state)
{
    (void)state;
    struct profile profile = read_sample("[echo a]\r\ndelay_us=1\r\nlevel_db=-1\r\n\r\n"
                                         "[echo b]\r\ndelay_us=2\r\nlevel_db=-2\r\n"
                                         "[echo c]\r\ndelay_us=3\r\nlevel_db=-3");
    const struct section *section = section_find("echo");
    section_remove(section, &profile.scenario, 2);
    section_remove(section, &profile.scenario, 0);
    assert_written(&profile, "[echo b]\r\ndelay_us=2\r\nlevel_db=-2\r\n");
    profile = read_sample("[echo a]\ndelay_us=1\nlevel_db=-1\n\r");
    section_remove(section, &profile.scenario, 0);
    assert_written(&profile, "\r");
    profile = read_sample("[echo a]\ndelay_us=1\nlevel_db=-1\n[echo b]\ndelay_us=2\nlevel_db=-2");
    section_remove(section, &profile.scenario, 0);
    assert_written(&profile, "[echo b]\ndelay_us=2\nlevel_db=-2");
}

/* To a user another case is another name. */
static void a_name_in_another_case_is_written_anew(void **state)
{
    (void)state;
    struct profile profile = read_sample("[echo hill]\ndelay_us=1\nlevel_db=-1\n");
    assert_int_equal(section_rename(section_find("echo"), &profile.scenario, 0, "Hill", NULL),
                     STATUS_OK);
    assert_written(&profile, "[echo Hill]\ndelay_us = 1\nlevel_db = -1\n");
}

static void what_grows_too_large_is_not_written(void **state)
{
    (void)state;
    struct text text = {0}, out = {0};
    struct fault fault = {0};
    while (text.length < PROFILE_BYTES_MAX - 100) {
        text_append(&text, "; a line of comment, and another, and another, and another one\n");
    }
    struct profile profile = read_sample(text_string(&text));
    set(&profile, "echo one.delay_us", "4");
    set(&profile, "echo one.level_db", "-4");
    set(&profile, "receiver.speed_kmh", "12");
    set(&profile, "receiver.noise_figure_db", "6.5");
    assert_int_equal(profile_write_text(&profile, &out, &fault), STATUS_OUT_OF_RANGE);
    assert_non_null(strstr(fault.wrong, "too large"));
    profile_free(&profile);
    while (text.length <= PROFILE_BYTES_MAX) {
        text_append(&text, "; and one more\n");
    }
    assert_int_equal(profile_read_text(text_string(&text), text.length, &profile, &fault),
                     STATUS_MALFORMED);
    assert_string_equal(fault.wrong, "the file is too large");
    text_free(&text);
    text_free(&out);
}

static void a_channel_gives_way_to_a_frequency_and_back(void **state)
{
    (void)state;
    struct profile profile = read_sample("[site]\nrf_channel = 12 ; old\nbandwidth_mhz = 6\n");
    set(&profile, "site.center_mhz", "300.25");
    assert_written(&profile, "[site]\nbandwidth_mhz = 6\ncenter_mhz = 300.25\n");
    profile = read_sample("[site]\ncenter_mhz = 300.25\nbandwidth_mhz = 6\n");
    assert_int_equal(profile.scenario.site.rf_channel, 0);
    set(&profile, "site.rf_channel", "14");
    assert_written(&profile, "[site]\nbandwidth_mhz = 6\nrf_channel = 14\n");
}

/* What [mode] and sections of their own can both say is written once, where it stands or belongs.
 */
static void subframes_and_pipes_are_kept(void **state)
{
    (void)state;
    static const char whole[] =
        "[frame]\nframe_ms = 200 ; asked\nl1_basic_mode = 2\n\n[subframe east]\nfft = 8K\n"
        "guard = GI6_1536\npilots = SP4_2\nsymbols = 60\n\n[subframe west]\n\n[plp phone]\n"
        "subframe = east\nrate = 5/15\nconstellation = QPSK\n\n[plp roof]\nsubframe = West\n\n"
        "[plp over]\nlayer = enhanced\nover = phone\nsubframe = east\ninjection_db = 3.5\n\n"
        "[service one]\nsnr_db = 4\n";
    struct profile profile = read_sample(whole);
    assert_int_equal(profile.scenario.transmission.plp_count, 3);
    assert_near(profile.scenario.transmission.frame_ms, 200.0, 0.0, "as written");
    assert_written(&profile, whole);
    profile = read_sample("[mode]\nframe_ms = 200\n[plp a]\nrate = 5/15\n");
    set(&profile, "mode.frame_ms", "100");
    set(&profile, "plp a.share_percent", "40");
    set(&profile, "frame.l1_basic_mode", "3");
    set(&profile, "plp b.interleaver", "HTI 6");
    assert_written(&profile, "[mode]\nframe_ms = 100\n[plp a]\nrate = 5/15\nshare_percent = 40\n"
                             "\n[frame]\nl1_basic_mode = 3\n\n[plp b]\ninterleaver = HTI 6\n");
}

/* PLPs of the two pairs have the same section and other keys: those of the pair that was left stay
 * as comments, and come back whole while nobody has left. */
static void pipes_of_the_pair_that_was_left_stay_as_comments(void **state)
{
    (void)state;
    static const char pipes[] = "; a town\r\n"
                                "[plp kept]\r\n"
                                "rate = 5/15 ; low\r\n"
                                "\r\n"
                                "; for roofs\r\n"
                                "[plp more]\r\n"
                                "; its rate\r\n"
                                "  rate = 9/15\r\n"
                                "\r\n"
                                "[echo pier]\r\n"
                                "delay_us = 0.4\r\n"
                                "level_db = -6\r\n";
    struct profile profile = read_sample(pipes);
    struct scenario before = profile.scenario;
    set(&profile, "site.pair", "DVB");
    struct text out = {0};
    assert_int_equal(profile_write_text(&profile, &out, NULL), STATUS_OK);
    assert_string_equal(text_string(&out), "; a town\r\n"
                                           "; Set aside, of pair ATSC:\r\n"
                                           "; [plp kept]\r\n"
                                           "; rate = 5/15 ; low\r\n"
                                           "\r\n"
                                           "; for roofs\r\n"
                                           "; Set aside, of pair ATSC:\r\n"
                                           "; [plp more]\r\n"
                                           "; its rate\r\n"
                                           ";   rate = 9/15\r\n"
                                           "\r\n"
                                           "[echo pier]\r\n"
                                           "delay_us = 0.4\r\n"
                                           "level_db = -6\r\n"
                                           "\r\n"
                                           "[site]\r\n"
                                           "pair = DVB\r\n");
    struct profile again = read_sample(text_string(&out));
    assert_int_equal(again.scenario.dvbt2.plp_count, 0);
    assert_int_equal(again.scenario.site.pair, PAIR_DVB);
    again.scenario = before; /* as undo has it, after saving */
    struct text back = {0};
    assert_int_equal(profile_write_text(&again, &back, NULL), STATUS_OK);
    assert_non_null(strstr(text_string(&back), "\n[plp kept]\r\nrate = 5/15\r\n"));
    assert_non_null(strstr(text_string(&back), "\n[plp more]\r\nrate = 9/15\r\n"));
    text_free(&back);
    text_free(&out);
    profile_free(&again);
    profile_free(&profile);
}

/* An empty line and one of blanks get no mark, and the last line no end that it did not have. */
static void lines_set_aside_keep_their_ends(void **state)
{
    (void)state;
    struct profile profile =
        read_sample("[site]\npair = ATSC\n[plp a]\n\n \t\nrate = 5/15\n; last\nlayer = core");
    set(&profile, "site.pair", "DVB");
    assert_written(&profile, "[site]\npair = DVB\n; Set aside, of pair ATSC:\n; [plp a]\n\n \t\n"
                             "; rate = 5/15\n; last\n; layer = core");
}

/* What a comment mark makes too long to be read keeps its key and value. */
static void a_line_set_aside_can_be_read_again(void **state)
{
    (void)state;
    struct text text = {0}, out = {0};
    text_append(&text, "[plp kept]\nrate = 5/15 ; ");
    while (text.length < strlen("[plp kept]\n") + 499) {
        text_append(&text, "\xC3\xA4");
    }
    text_append(&text, "\n");
    struct profile profile = read_sample(text_string(&text));
    set(&profile, "site.pair", "DVB");
    assert_int_equal(profile_write_text(&profile, &out, NULL), STATUS_OK);
    assert_non_null(strstr(text_string(&out), "\n; rate = 5/15 ; \xC3\xA4"));
    struct profile again = read_sample(text_string(&out));
    profile_free(&again);
    profile_free(&profile);
    text_free(&text);
    text_free(&out);
}

static void a_measured_value_can_be_taken_back(void **state)
{
    (void)state;
    struct profile profile = read_sample("[receiver]\nsnr_db = 20\nspeed_kmh = 3\n");
    set(&profile, "receiver.snr_db", "none");
    assert_true(isnan(profile.scenario.receiver.snr_db));
    assert_written(&profile, "[receiver]\nspeed_kmh = 3\n");
}

static void line_ends_and_byte_order_mark_stay(void **state)
{
    (void)state;
    struct profile profile = read_sample("\xEF\xBB\xBF[mode]\r\nboost = 1\r\n");
    set(&profile, "mode.boost", "3");
    set(&profile, "mode.reduction", "2");
    assert_written(&profile, "\xEF\xBB\xBF[mode]\r\nboost = 3\r\nreduction = 2\r\n");
}

static void a_new_profile_says_only_what_differs_from_the_defaults(void **state)
{
    (void)state;
    struct profile profile = {.scenario = scenario_default()};
    assert_written(&profile, "");
    profile = (struct profile){.scenario = scenario_default()};
    set(&profile, "mode.rate", "7/15");
    set(&profile, "place.building", "efficient");
    set(&profile, "station Pier.rf_channel", "33");
    set(&profile, "station Pier.erp_kw", "0.1");
    set(&profile, "station Pier.height_m", "40");
    set(&profile, "station Pier.distance_km", "3");
    assert_written(&profile, "[mode]\nrate = 7/15\n\n[place]\nbuilding = efficient\n\n[station "
                             "Pier]\nrf_channel = 33\nerp_kw = 0.1\nheight_m = 40\n"
                             "distance_km = 3\n");
}

static void what_could_not_be_read_back_is_not_written(void **state)
{
    (void)state;
    struct profile profile = {.scenario = scenario_default()};
    struct text out = {0};
    struct fault fault;
    profile.scenario.transmission.subframes[0].waveform.guard = GI12_4864;
    assert_int_equal(profile_write_text(&profile, &out, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "mode.guard");
    profile.scenario = scenario_default();
    set(&profile, "echo a.delay_us", "1");
    set(&profile, "echo a.level_db", "1");
    strcpy(profile.scenario.echo_names[0], "a]b");
    assert_int_equal(profile_write_text(&profile, &out, &fault), STATUS_MALFORMED);
    set(&profile, "echo c.delay_us", "1");
    set(&profile, "echo c.level_db", "1");
    strcpy(profile.scenario.echo_names[0], "C");
    assert_int_equal(profile_write_text(&profile, &out, &fault), STATUS_ILLEGAL);
    text_free(&out);
}

/* The first value of the field that is legal and is not the default. */
static bool make_different(const struct field *field, struct scenario *scenario)
{
    for (double n = field->low; n <= field->high; n += 1.0) {
        *scenario = scenario_default();
        struct scenario plain = *scenario;
        field_put(field, scenario, n);
        if (!field_is_same(field, scenario, &plain) &&
            scenario_check(scenario, NULL) == STATUS_OK) {
            return true;
        }
    }
    return false;
}

static void only_what_differs_from_the_defaults_is_written(void **state)
{
    (void)state;
    int count = 0;
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        struct profile profile = {0};
        if (section_find(field->section)->most > 0) {
            continue;
        }
        const char *section = field->same_as ? "mode" : field->section; /* said by one of two */
        assert_true(make_different(field, &profile.scenario));
        char value[FIELD_TEXT_BYTES], expected[3 * FIELD_TEXT_BYTES];
        field_format(field, &profile.scenario, value, sizeof value);
        text_format(expected, sizeof expected, "[%s]\n%s = %s\n", section, field->name, value);
        assert_written(&profile, expected);
        count++;
    }
    assert_true(count > 30);
}

static void any_phase_is_kept_as_such(void **state)
{
    (void)state;
    static const char written[] =
        "[echo hill]\ndelay_us = 3\nlevel_db = -6\nphase_deg = Any ; who knows\n";
    struct profile profile = read_sample(written);
    assert_true(isnan(profile.scenario.echoes[0].phase_deg));
    assert_written(&profile, written);
    profile = read_sample(written);
    set(&profile, "echo hill.phase_deg", "90");
    assert_written(&profile,
                   "[echo hill]\ndelay_us = 3\nlevel_db = -6\nphase_deg = 90 ; who knows\n");
    profile = (struct profile){.scenario = scenario_default()};
    set(&profile, "echo hill.delay_us", "3");
    set(&profile, "echo hill.level_db", "-6");
    set(&profile, "echo hill.phase_deg", "ANY");
    assert_written(&profile, "[echo hill]\ndelay_us = 3\nlevel_db = -6\n"); /* the default */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(values_and_names_are_read_as_written),
        cmocka_unit_test(nothing_changed_nothing_written_anew),
        cmocka_unit_test(a_changed_value_is_replaced_in_its_place),
        cmocka_unit_test(new_keys_and_sections_go_where_they_belong),
        cmocka_unit_test(an_echo_that_is_gone_leaves_with_its_lines),
        cmocka_unit_test(lines_of_what_is_gone_end_as_the_file_does),
        cmocka_unit_test(a_name_in_another_case_is_written_anew),
        cmocka_unit_test(what_grows_too_large_is_not_written),
        cmocka_unit_test(a_channel_gives_way_to_a_frequency_and_back),
        cmocka_unit_test(subframes_and_pipes_are_kept),
        cmocka_unit_test(pipes_of_the_pair_that_was_left_stay_as_comments),
        cmocka_unit_test(lines_set_aside_keep_their_ends),
        cmocka_unit_test(a_line_set_aside_can_be_read_again),
        cmocka_unit_test(a_measured_value_can_be_taken_back),
        cmocka_unit_test(line_ends_and_byte_order_mark_stay),
        cmocka_unit_test(a_new_profile_says_only_what_differs_from_the_defaults),
        cmocka_unit_test(what_could_not_be_read_back_is_not_written),
        cmocka_unit_test(only_what_differs_from_the_defaults_is_written),
        cmocka_unit_test(any_phase_is_kept_as_such),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
