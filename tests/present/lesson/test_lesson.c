#include "support/near.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "present/lesson/lesson.h"
#include "present/picture/grid.h"
#include "present/picture/pictures.h"
#include "study/report/report.h"

static struct scenario begin;
static struct lesson_scene scene;

static void read_well(const char *text, struct lesson *lesson)
{
    struct fault fault;
    if (lesson_read_text(text, strlen(text), lesson, &fault) != STATUS_OK) {
        fail_msg("%s: %s", fault.place, fault.wrong);
    }
}

static void play_to(const struct lesson *lesson, int stop)
{
    struct fault fault;
    begin = scenario_default();
    begin.receiver.positions = 64; /* enough to tell the shares apart that are told, and quick */
    if (lesson_play(lesson, &begin, stop, &scene, &fault) != STATUS_OK) {
        fail_msg("%s: %s", fault.place, fault.wrong);
    }
}

static void what_is_said_is_a_stop(void **state)
{
    (void)state;
    struct lesson lesson;
    read_well("# nothing\n\ntitle Two words\r\nsay First\n    goes on.\n\nset mode.fft 8K\nsay "
              "\xC2\xB5s\n",
              &lesson);
    assert_string_equal(lesson.title, "Two words");
    play_to(&lesson, 1);
    assert_int_equal(scene.stop_count, 2);
    assert_string_equal(scene.text, "First goes on.");
    assert_int_equal(scene.scenario.transmission.subframes[0].waveform.fft, FFT_16K);
    play_to(&lesson, 2);
    assert_string_equal(scene.text, "\xC2\xB5s");
    assert_int_equal(scene.scenario.transmission.subframes[0].waveform.fft, FFT_8K);
    play_to(&lesson, 99);
    assert_int_equal(scene.stop, 2);
    lesson_free(&lesson);
}

static void a_slide_goes_through_the_legal_choices(void **state)
{
    (void)state;
    struct lesson lesson;
    /* From GI5_1024 to GI8_2432: three steps, the last one together with what is said. */
    read_well("say A\nslide mode.guard GI8_2432\nsay B\n", &lesson);
    play_to(&lesson, 99);
    assert_int_equal(scene.stop_count, 4);
    static const enum guard guards[] = {GI5_1024, GI6_1536, GI7_2048, GI8_2432};
    for (int stop = 1; stop <= 4; stop++) {
        play_to(&lesson, stop);
        assert_int_equal(scene.scenario.transmission.subframes[0].waveform.guard, guards[stop - 1]);
        assert_string_equal(scene.text, stop < 4 ? "A" : "B");
    }
    lesson_free(&lesson);
    /* Back, and what is not legal is left out: 32K with GI12 has two patterns. */
    read_well("set mode.fft 32K\nset mode.guard GI12_4864\nset mode.pilots SP6_2\nsay A\n"
              "slide mode.pilots SP3_2\n",
              &lesson);
    play_to(&lesson, 99);
    assert_int_equal(scene.stop_count, 2);
    assert_int_equal(scene.scenario.transmission.subframes[0].waveform.pilots, SP3_2);
    lesson_free(&lesson);
    read_well("slide mode.rate 13/15\n", &lesson);
    play_to(&lesson, 2);
    assert_int_equal(scene.stop_count, 3);
    assert_int_equal(scene.scenario.transmission.plps[0].code.rate_15ths, 12);
    lesson_free(&lesson);
}

static void a_slide_of_a_number_ends_exactly(void **state)
{
    (void)state;
    struct lesson lesson;
    read_well("set \"echo far hill.delay_us\" 10\nset \"echo far hill.level_db\" -6\n"
              "slide \"echo far hill.delay_us\" 34.567 4\nslide site.rf_channel 12\n"
              "slide receiver.snr_db 20.5\n",
              &lesson);
    play_to(&lesson, 1);
    assert_int_equal(scene.stop_count, 4 + 2 + 1); /* from no SNR it is one step */
    assert_near(scene.scenario.echoes[0].delay_us, 10 + 24.567 / 4, 1e-4, "a quarter of the way");
    play_to(&lesson, 4);
    assert_near(scene.scenario.echoes[0].delay_us, 34.567, 0.0, "as written");
    play_to(&lesson, 5);
    assert_int_equal(scene.scenario.site.rf_channel, 11);
    play_to(&lesson, 7);
    assert_near(scene.scenario.receiver.snr_db, 20.5, 0.0, "as written");
    lesson_free(&lesson);
}

static void pins_pictures_and_rows_are_kept(void **state)
{
    (void)state;
    struct lesson lesson;
    read_well("say A\npin\nset mode.fft 8K\nshow doppler\nselect second.speed_kmh\nsay B\nunpin\n"
              "say C\n",
              &lesson);
    play_to(&lesson, 1);
    assert_false(scene.pinned);
    assert_null(scene.picture);
    play_to(&lesson, 2);
    assert_true(scene.pinned);
    assert_int_equal(scene.pinned_scenario.transmission.subframes[0].waveform.fft, FFT_16K);
    assert_string_equal(scene.picture, "doppler");
    assert_string_equal(scene.selected, "second.speed_kmh");
    play_to(&lesson, 3);
    assert_false(scene.pinned);
    lesson_free(&lesson);
}

static void bad_lessons_are_refused_by_line(void **state)
{
    (void)state;
    static const struct {
        const char *text, *place, *wrong;
    } cases[] = {
        {"", "", "nothing happens in it"},
        {"title x\n", "", "nothing happens in it"},
        {"say a\njump b\n", "line 2", "this is no step of a lesson"},
        {"  say a\n", "line 1", "only what is said goes on in a further line"},
        {"say a\npin\n  more\n", "line 3", "only what is said goes on in a further line"},
        {"say a\nset mode.fft\n", "line 2", "a key and a value are missing"},
        {"say a\nset mode.fft 64K\n", "line 2", "mode.fft: \"64K\" is not one of the choices"},
        {"say a\nset mode.speed 3\n", "line 2", "mode.speed: unknown key"},
        {"say a\nslide mode.fft 8K 0\n", "line 2", "the number of steps is wrong"},
        {"say a\nslide mode.fft 8K 5 5\n", "line 2", "there are words too many"},
        {"say a\npin it\n", "line 2", "there are words too many"},
        {"say a\nshow nothing\n", "line 2", "there is no such picture"},
        {"say a\nshow best\n", "line 2", "no view of the explorer shows this picture"},
        {"say a\nshow sheet\n", "line 2", "there is no such picture"},
        {"say a\nselect nothing\n", "line 2", "there is no such row"},
        {"say a\n\nsay \x1b[31m\n", "line 3", "there are bytes that are no text"},
        {"say a\n# \xFF\n", "line 2", "there are bytes that are no text"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct lesson lesson;
        struct fault fault = {0};
        assert_int_not_equal(
            lesson_read_text(cases[i].text, strlen(cases[i].text), &lesson, &fault), STATUS_OK);
        assert_string_equal(fault.place, cases[i].place);
        if (!strstr(fault.wrong, cases[i].wrong)) {
            fail_msg("%s instead of %s", fault.wrong, cases[i].wrong);
        }
        lesson_free(&lesson);
    }
}

/* What is named as allowed, is. */
static void the_pictures_named_as_allowed_can_be_shown(void **state)
{
    (void)state;
    static const char wrong[] = "say a\nshow sheet\n";
    struct lesson lesson;
    struct fault fault = {0};
    lesson_read_text(wrong, sizeof wrong - 1, &lesson, &fault);
    lesson_free(&lesson);
    char shown[sizeof fault.allowed] = "";
    size_t used = 0;
    for (size_t i = 0; i < picture_kind_count(); i++) {
        if (picture_kind_row(i)->view) {
            used += text_format(shown + used, sizeof shown - used, "%s%s", used ? "|" : "",
                                picture_kind_row(i)->name);
        }
    }
    assert_string_equal(fault.allowed, shown);
    char allowed[sizeof fault.allowed], *rest = allowed;
    snprintf(allowed, sizeof allowed, "%s", fault.allowed);
    for (char *name; (name = strtok_r(rest, "|", &rest)) != NULL;) {
        char text[64];
        snprintf(text, sizeof text, "show %s\nsay a\n", name);
        read_well(text, &lesson);
        lesson_free(&lesson);
    }
}

static void too_much_is_refused(void **state)
{
    (void)state;
    struct text text = {0};
    struct lesson lesson;
    struct fault fault;
    for (int i = 0; i <= LESSON_STEPS_MAX; i++) {
        text_append(&text, "say a\n");
    }
    assert_int_equal(lesson_read_text(text_string(&text), text.length, &lesson, &fault),
                     STATUS_MALFORMED);
    assert_string_equal(fault.place, "line 401");
    lesson_free(&lesson);
    text_clear(&text);
    text_append(&text, "say ");
    text_append_repeated(&text, 'a', 400);
    text_append(&text, "\n  ");
    text_append_repeated(&text, 'b', 300);
    assert_int_equal(lesson_read_text(text_string(&text), text.length, &lesson, &fault),
                     STATUS_MALFORMED);
    assert_string_equal(fault.place, "line 2");
    lesson_free(&lesson);
    static const struct {
        const char *verb;
        size_t most;
    } rows[] = {{"say ", LESSON_TEXT_MAX}, {"title ", 95}};
    for (size_t i = 0; i < 2; i++) {
        for (size_t over = 0; over < 2; over++) {
            text_clear(&text);
            text_append(&text, "say a\n");
            text_append(&text, rows[i].verb);
            text_append_repeated(&text, 'a', rows[i].most + over);
            assert_int_equal(lesson_read_text(text_string(&text), text.length, &lesson, &fault),
                             over ? STATUS_MALFORMED : STATUS_OK);
            lesson_free(&lesson);
        }
    }
    text_free(&text);
}

static void what_cannot_be_played_names_its_line(void **state)
{
    (void)state;
    struct lesson lesson;
    struct fault fault;
    read_well("say a\nset \"echo hill.delay_us\" 3\nsay b\n", &lesson);
    begin = scenario_default();
    assert_int_not_equal(lesson_play(&lesson, &begin, 1, &scene, &fault), STATUS_OK);
    assert_non_null(strstr(fault.place, "line 3: echo hill")); /* its level was never said */
    lesson_free(&lesson);
    read_well("say a\nslide \"echo hill.delay_us\" 3\n", &lesson);
    assert_int_not_equal(lesson_play(&lesson, &begin, 1, &scene, &fault), STATUS_OK);
    assert_string_equal(fault.wrong, "it has no value to start from");
    lesson_free(&lesson);
}

/* What is said must be seen whole in three lines of an 80-column terminal. */
static void the_lessons_that_come_along_play_and_fit(void **state)
{
    (void)state;
    DIR *folder = opendir("demo/lessons");
    assert_non_null(folder);
    int count = 0;
    struct grid grid = {0};
    for (struct dirent *entry; (entry = readdir(folder)) != NULL;) {
        if (entry->d_name[0] == '.') {
            continue;
        }
        char path[300];
        struct lesson lesson;
        struct fault fault;
        snprintf(path, sizeof path, "demo/lessons/%s", entry->d_name);
        if (lesson_read_file(path, &lesson, &fault) != STATUS_OK) {
            fail_msg("%s: %s: %s", path, fault.place, fault.wrong);
        }
        play_to(&lesson, 1000);
        assert_true(scene.stop_count >= 8);
        assert_true(lesson.title[0] != '\0' && strlen(lesson.title) <= 26);
        for (int i = 0; i < lesson.step_count; i++) {
            const struct lesson_step *step = &lesson.steps[i];
            if (step->verb == LESSON_SAY &&
                grid_write_wrapped(&grid, (struct rect){0, 0, 0, 78}, ROLE_PLAIN, step->text) > 3) {
                fail_msg("%s: line %d says too much for three lines", path, step->line);
            }
        }
        lesson_free(&lesson);
        count++;
    }
    closedir(folder);
    assert_int_equal(count, 7);
}

/* ---- What the lessons say, against the figures of the scene in which it is said. ---- */

static struct lesson shipped;

static void open_shipped(const char *path)
{
    struct fault fault;
    if (lesson_read_file(path, &shipped, &fault) != STATUS_OK) {
        fail_msg("%s: %s: %s", path, fault.place, fault.wrong);
    }
}

/* Plays to the first stop that says this. */
static struct report report_where(const char *words)
{
    struct report report;
    struct fault fault;
    int stop = 1;
    for (play_to(&shipped, stop); !strstr(scene.text, words); play_to(&shipped, ++stop)) {
        if (stop > scene.stop_count) {
            fail_msg("nothing says: %s", words);
        }
    }
    assert_int_equal(report_make(&scene.scenario, &report, &fault), STATUS_OK);
    return report;
}

/* As long as it is said. */
static struct facts facts_where(const char *words)
{
    struct report report = report_where(words);
    return *report_facts(&report, GENERATION_SECOND);
}

static double motion_loss_where(const char *words, double doppler_hz)
{
    struct report report = report_where(words);
    const struct reception *reception = &report.verdicts.of[GENERATION_SECOND].reception;
    double loss_db;
    reception->system->motion_losses(reception, 1, &doppler_hz, &loss_db);
    return loss_db;
}

static bool is_said_next(const char *words, struct report *report)
{
    struct fault fault;
    int stop = scene.stop;
    play_to(&shipped, stop + 1);
    assert_int_equal(report_make(&scene.scenario, report, &fault), STATUS_OK);
    return scene.stop > stop && strstr(scene.text, words);
}

static void the_doppler_lesson_says_what_limits(void **state)
{
    (void)state;
    open_shipped("demo/lessons/doppler-and-fft-size.txt");
    struct facts long_fft = facts_where("211 Hz apart");
    assert_near(long_fft.spacing_hz, 211.0, 0.5, "spacing, Hz");
    assert_near(motion_loss_where("211 Hz apart", long_fft.doppler_hz), db_from_ratio(2.0), 0.01,
                "the mark's meaning");
    assert_true(facts_where("makes: 53 Hz").doppler_hz < 52.0);
    struct facts half = facts_where("Half the FFT size");
    assert_near(half.doppler_hz / long_fft.doppler_hz, 2.0, 0.05, "twice the Doppler");
    struct facts quarter = facts_where("nearly doubles it again");
    assert_near(quarter.doppler_hz / half.doppler_hz, 1.9, 0.05, "nearly twice again");
    assert_true(quarter.net_mbps < half.net_mbps);
    /* With these pilots bind, whatever the pattern: that is what the lesson is about there. */
    struct facts four = facts_where("follows up to 93.8 Hz");
    assert_near(four.doppler_hz, 93.8, 0.06, "after four symbols, Hz");
    assert_true(four.doppler_hz == four.doppler_pilot_hz);
    assert_near(four.doppler_ici_hz, 436.0, 0.5, "leak, Hz");
    struct facts two = facts_where("so it is the limit");
    assert_near(two.doppler_hz, 187.5, 0.05, "after two symbols, Hz");
    assert_true(two.doppler_pilot_hz < two.doppler_ici_hz);
    struct report high = report_where("a speed of 356 km/h");
    double speed = report_facts(&high, GENERATION_SECOND)->speed_kmh;
    assert_near(speed, 356.0, 0.5, "channel 30, km/h");
    for (struct report report = high; is_said_next("the mark of the limit stays", &report);) {
        assert_near(report_facts(&report, GENERATION_SECOND)->doppler_hz, 187.5, 0.05,
                    "as long as it is said, Hz");
    }
    double low = facts_where("it is 1143 km/h").speed_kmh;
    assert_near(low, 1143.0, 0.5, "channel 7, km/h");
    assert_near(low / speed, 3.2, 0.05, "three times");
    lesson_free(&shipped);
}

static void the_guard_interval_lesson_says_where_the_echo_is(void **state)
{
    (void)state;
    open_shipped("demo/lessons/guard-interval.txt");
    struct report report = report_where("Here it lasts 27.8 us");
    do {
        assert_near(report_facts(&report, GENERATION_SECOND)->guard_us, 27.8, 0.05,
                    "as long as it is said, us");
        assert_true(scene.scenario.echoes[0].delay_us <
                    report_facts(&report, GENERATION_SECOND)->guard_us);
    } while (is_said_next("Here it lasts 27.8 us", &report));
    report = report_where("The echo has left the guard");
    assert_near(scene.scenario.echoes[0].delay_us * 0.2998, 10.0, 0.3, "path, km");
    assert_true(
        scene.scenario.echoes[0].delay_us > report_facts(&report, GENERATION_SECOND)->guard_us &&
        scene.scenario.echoes[0].delay_us < report_facts(&report, GENERATION_FIRST)->echo_after_us);
    report = report_where("holds the echo again");
    do {
        assert_true(scene.scenario.echoes[0].delay_us <
                    report_facts(&report, GENERATION_SECOND)->guard_us);
        assert_true(report_facts(&report, GENERATION_SECOND)->guard_us > 27.8);
    } while (is_said_next("holds the echo again", &report));
    report = report_where("the guard interval still");
    assert_true(scene.scenario.echoes[0].delay_us >
                    5.0 * report_facts(&report, GENERATION_FIRST)->echo_after_us &&
                scene.scenario.echoes[0].delay_us <
                    report_facts(&report, GENERATION_SECOND)->guard_us);
    assert_true(facts_where("gives bits back").net_mbps >
                report_facts(&report, GENERATION_SECOND)->net_mbps);
    lesson_free(&shipped);
}

static void the_network_lesson_says_what_each_generation_makes_of_it(void **state)
{
    (void)state;
    open_shipped("demo/lessons/one-network-two-verdicts.txt");
    struct report report = report_where("A roof in a town");
    const struct verdict *first = &report.verdicts.of[GENERATION_FIRST];
    const struct verdict *second = &report.verdicts.of[GENERATION_SECOND];
    assert_near(first->margin_db, 6.0, 0.5, "about 6 dB to spare");
    assert_near(second->margin_db, 6.0, 0.5, "about 6 dB to spare");
    assert_near(first->facts.net_mbps, 19.9, 0.05, "as it is said, Mbit/s");
    assert_near(second->facts.net_mbps, 33.1, 0.05, "as it is said, Mbit/s");
    assert_near(second->facts.net_mbps / first->facts.net_mbps, 5.0 / 3.0, 0.05, "two thirds more");
    report = report_where("a fifth of the time");
    assert_near(first->facts.guard_us, 224.0, 1e-9, "as it is said, us");
    assert_near(second->facts.guard_us, 224.0, 1e-9, "as it is said, us");
    assert_near(first->facts.guard_us / first->facts.symbol_us, 1.0 / 5.0, 1e-9, "a fifth");
    assert_near(second->facts.guard_us / second->facts.symbol_us, 1.0 / 17.0, 1e-9, "1/17");
    report_where("29 and 51 km later");
    assert_near(scene.scenario.echoes[0].delay_us * 0.299792, 29.0, 0.5, "path, km");
    assert_near(scene.scenario.echoes[1].delay_us * 0.299792, 51.0, 0.5, "path, km");
    report = report_where("DVB-T's code loses 5 dB");
    do {
        assert_near(first->margin_noise_db - first->margin_db, 5.0, 0.5, "loses 5 dB");
        assert_near(second->margin_noise_db - second->margin_db, 2.5, 0.2, "about 2.5 dB");
        assert_true(first->works && first->margin_db < 1.0 && second->margin_db > 3.0);
    } while (is_said_next("DVB-T's code loses 5 dB", &report));
    report = report_where("arrives 36 us behind");
    double late_us = scene.scenario.echoes[1].delay_us - first->facts.guard_us;
    assert_near(late_us, 36.0, 1e-9, "as it is said, us");
    assert_near(late_us / first->facts.useful_us, 0.04, 0.002, "4 % of its symbol");
    assert_near(late_us / second->facts.useful_us, 0.01, 0.002, "1 % of its symbol");
    assert_false(first->works);
    assert_true(second->works && second->margin_db < 3.0);
    report = report_where("drives at 40 km/h");
    assert_true(first->works && !second->works);
    assert_near(second->facts.spacing_hz, 279.0, 0.5, "as it is said, Hz");
    assert_near(first->facts.spacing_hz, 1116.0, 0.5, "as it is said, Hz");
    report = report_where("has smaller sizes");
    assert_true(second->works && second->margin_db > first->margin_db + 3.0);
    assert_near(second->facts.net_mbps / first->facts.net_mbps, 1.0, 0.02, "about as much");
    report = report_where("Both verdicts on the roof");
    assert_true(first->works && first->margin_db < 1.0 && second->margin_db > 3.0);
    assert_near(second->facts.net_mbps, 33.1, 0.05, "as it is said, Mbit/s");
    lesson_free(&shipped);
}

static void the_code_rate_lesson_says_what_a_step_is_worth(void **state)
{
    (void)state;
    open_shipped("demo/lessons/code-rate-and-margin.txt");
    struct report report = report_where("The letter O");
    const double *margin_db = &report.verdicts.of[GENERATION_SECOND].margin_db;
    double before = *margin_db;
    for (bool more = true; more;) {
        more = is_said_next("The letter O", &report);
        assert_true(*margin_db - before > 1.65 && *margin_db - before < 2.1);
        before = *margin_db;
    }
    assert_true(before > 0.0);
    report = report_where("much the same place");
    struct facts other = *report_facts(&report, GENERATION_SECOND);
    assert_near(*margin_db, before, 0.6, "much the same place, dB");
    struct facts brief = facts_where("code length matters little");
    assert_near(other.required_snr_db - brief.required_snr_db, -0.3, 0.1, "a few tenths, dB");
    report = report_where("gives up bits and gains margin as before");
    for (before = *margin_db; is_said_next("as before", &report);) {
        assert_true(*margin_db > before);
        assert_int_equal(scene.scenario.transmission.plps[0].code.constellation, QPSK);
        before = *margin_db;
    }
    assert_true(facts_where("below the noise").required_snr_db < 0.0);
    lesson_free(&shipped);
}

/* ---- Of shares and pipes. ---- */

static double share_of(const struct report *report, enum generation generation)
{
    return report->verdicts.of[generation].positions_share;
}

static void the_room_lesson_ends_in_both_verdicts(void **state)
{
    (void)state;
    open_shipped("demo/lessons/one-room-two-verdicts.txt");
    struct report report = report_where("In white noise alone both");
    for (int i = 0; i < GENERATION_COUNT; i++) {
        assert_true(report.verdicts.of[i].works);
    }
    assert_between(report_facts(&report, GENERATION_SECOND)->net_mbps /
                       report_facts(&report, GENERATION_FIRST)->net_mbps,
                   0.9, 1.1, "about the same rate");
    report = report_where("five echoes within");
    for (int i = 0; i < scene.scenario.echo_count; i++) {
        assert_true(scene.scenario.echoes[i].delay_us < 0.5);
    }
    assert_int_equal(scene.scenario.echo_count, 5);
    const struct verdict *first = &report.verdicts.of[GENERATION_FIRST];
    const struct verdict *second = &report.verdicts.of[GENERATION_SECOND];
    /* What is said of the bad positions, and of the loss. */
    assert_true(first->margin_db - first->margin_90_db >
                second->margin_db - second->margin_90_db + 1.0);
    assert_true(first->margin_90_db < -2.0 && second->margin_90_db > 0.0);
    assert_between(share_of(&report, GENERATION_FIRST), 0.25, 0.45, "more than half fail");
    assert_between(share_of(&report, GENERATION_SECOND), 0.901, 0.99, "fewer than one in ten fail");
    report = report_where("never decides wrongly");
    assert_true(share_of(&report, GENERATION_FIRST) > 0.75);
    assert_between(share_of(&report, GENERATION_SECOND) - share_of(&report, GENERATION_FIRST),
                   -0.03, 0.15, "nearly as often");
    report = report_where("at 24 dB");
    assert_between(share_of(&report, GENERATION_FIRST), 0.82, 0.98, "about nine of ten");
    report = report_where("Back at 18 dB, both verdicts");
    assert_near(scene.scenario.receiver.snr_db, 18.0, 0.0, "dB");
    assert_int_equal(scene.scenario.first.feedback, FEEDBACK_TRELLIS);
    assert_int_equal(scene.stop, scene.stop_count);
    lesson_free(&shipped);
}

static void the_lesson_of_the_hand_says_who_bears_what_moves(void **state)
{
    (void)state;
    open_shipped("demo/lessons/a-hand-and-the-wind.txt");
    struct report report = report_where("one wall");
    assert_near(share_of(&report, GENERATION_FIRST), 1.0, 0.0, "wherever it stands");
    assert_near(share_of(&report, GENERATION_SECOND), 1.0, 0.0, "wherever it stands");
    report = report_where("now and then");
    assert_between(share_of(&report, GENERATION_FIRST), 0.75, 0.97, "now and then");
    assert_near(share_of(&report, GENERATION_SECOND), 1.0, 0.0, "keeps decoding");
    report = report_where("1.6 m on this channel: 1 Hz");
    assert_near(SPEED_OF_LIGHT_M_S / (report.rf.center_mhz * 1e6), 1.6, 0.05, "wave, m");
    assert_near(scene.scenario.echoes[1].doppler_hz, 1.0, 0.0, "Hz");
    report = report_where("Waving at 3 Hz");
    assert_between(share_of(&report, GENERATION_FIRST), 0.35, 0.65, "about half of the time");
    assert_near(share_of(&report, GENERATION_SECOND), 1.0, 0.0, "does not mind");
    report = report_where("The hand is gone");
    double before = share_of(&report, GENERATION_FIRST);
    report = report_where("More wind: 5 Hz");
    assert_true(share_of(&report, GENERATION_FIRST) < before);
    assert_true(scene.scenario.echoes[2].level_db < -2.0); /* weaker than the hand's, but later */
    report = report_where("Both verdicts in the gust");
    assert_near(share_of(&report, GENERATION_FIRST), 0.0, 0.0, "all the time");
    assert_near(share_of(&report, GENERATION_SECOND), 1.0, 0.0, "all the time");
    assert_near(scene.scenario.first.tracking_hz, 10.0, 0.0, "follows, Hz");
    assert_near(report_facts(&report, GENERATION_SECOND)->doppler_hz, 27.3, 0.5, "bears, Hz");
    lesson_free(&shipped);
}

/* A pipe by its name, where something is said. */
static struct verdict pipe_where(const char *words, const char *name)
{
    static struct verdict verdict;
    report_where(words);
    for (int i = 0; i < scene.scenario.transmission.plp_count; i++) {
        if (strcmp(scene.scenario.transmission.plps[i].name, name) == 0) {
            assert_int_equal(
                verdict_make_pipe(&scene.scenario, GENERATION_SECOND, i, &verdict, NULL),
                STATUS_OK);
            return verdict;
        }
    }
    fail_msg("no pipe %s", name);
    return verdict;
}

static void the_lesson_of_pipes_says_what_each_needs(void **state)
{
    (void)state;
    open_shipped("demo/lessons/two-pipes.txt");
    struct report report = report_where("It needs about 11 dB");
    assert_near(report_facts(&report, GENERATION_SECOND)->required_snr_db, 11.3, 0.5, "roof, dB");
    struct verdict roof = pipe_where("It needs about 11 dB", "roof");
    double whole_mbps = roof.facts.net_mbps;
    struct verdict phone = pipe_where("QPSK at 5/15 needs about 1 dB", "phone");
    double alone_db = phone.facts.required_snr_db;
    assert_near(alone_db, 0.6, 0.5, "phone, dB");
    roof = pipe_where("QPSK at 5/15 needs about 1 dB", "roof");
    assert_near(roof.facts.net_mbps / whole_mbps, 0.5, 0.01, "halved");
    assert_between(phone.facts.net_mbps / (whole_mbps - roof.facts.net_mbps), 0.1, 0.5,
                   "a fraction");
    double half_mbps = roof.facts.net_mbps;
    assert_true(pipe_where("gets its rate back", "roof").facts.net_mbps > 1.4 * half_mbps);
    roof = pipe_where("whole channel for each", "roof");
    assert_near(roof.facts.net_mbps, whole_mbps, 0.1, "all cells, Mbit/s");
    assert_true(roof.facts.required_snr_db > 16.0 && roof.works);
    phone = pipe_where("Nothing is free", "phone");
    assert_near(phone.facts.required_snr_db - alone_db, 3.0, 0.5, "about 3 dB more");
    roof = pipe_where("8 dB: the phone hardly", "roof");
    assert_true(!roof.works && roof.facts.required_snr_db > 20.0);
    phone = pipe_where("8 dB: the phone hardly", "phone");
    assert_true(phone.facts.required_snr_db - alone_db < 1.5);
    assert_true(pipe_where("At 5 dB both decode", "roof").works);
    assert_true(pipe_where("At 5 dB both decode", "phone").works);
    lesson_free(&shipped);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_said_is_a_stop),
        cmocka_unit_test(a_slide_goes_through_the_legal_choices),
        cmocka_unit_test(a_slide_of_a_number_ends_exactly),
        cmocka_unit_test(pins_pictures_and_rows_are_kept),
        cmocka_unit_test(bad_lessons_are_refused_by_line),
        cmocka_unit_test(the_pictures_named_as_allowed_can_be_shown),
        cmocka_unit_test(too_much_is_refused),
        cmocka_unit_test(what_cannot_be_played_names_its_line),
        cmocka_unit_test(the_lessons_that_come_along_play_and_fit),
        cmocka_unit_test(the_doppler_lesson_says_what_limits),
        cmocka_unit_test(the_guard_interval_lesson_says_where_the_echo_is),
        cmocka_unit_test(the_room_lesson_ends_in_both_verdicts),
        cmocka_unit_test(the_lesson_of_the_hand_says_who_bears_what_moves),
        cmocka_unit_test(the_lesson_of_pipes_says_what_each_needs),
        cmocka_unit_test(the_network_lesson_says_what_each_generation_makes_of_it),
        cmocka_unit_test(the_code_rate_lesson_says_what_a_step_is_worth),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
