#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/random.h"
#include "explorer/desk/errand.h"
#include "explorer/desk/field.h"
#include "explorer/desk/history.h"
#include "explorer/desk/job.h"
#include "explorer/desk/quantities.h"
#include "explorer/desk/settings.h"
#include "explorer/event.h"
#include "explorer/frame/cursor.h"
#include "explorer/frame/layout.h"
#include "explorer/frame/screen.h"
#include "study/explain/explain.h"

/* ---- Layout. ---- */

#define TILE_ROWS 60
#define TILE_COLUMNS 200

static unsigned char covered[TILE_ROWS][TILE_COLUMNS];

static void cover(struct rect rect)
{
    for (int row = rect.row; row < rect.row + rect.rows; row++) {
        for (int column = rect.column; column < rect.column + rect.columns; column++) {
            assert_in_range(row, 0, TILE_ROWS - 1);
            assert_in_range(column, 0, TILE_COLUMNS - 1);
            covered[row][column]++;
        }
    }
}

static void expect_tiled(int rows, int columns)
{
    for (int row = 0; row < TILE_ROWS; row++) {
        for (int column = 0; column < TILE_COLUMNS; column++) {
            int expected = row < rows && column < columns;
            if (covered[row][column] != expected) {
                fail_msg("%dx%d: cell %d,%d is covered %d times", columns, rows, row, column,
                         covered[row][column]);
            }
        }
    }
}

static void rectangles_tile_without_overlap(void **state)
{
    (void)state;
    for (int rows = 0; rows <= TILE_ROWS; rows++) {
        for (int columns = 0; columns <= TILE_COLUMNS; columns++) {
            struct layout screen = layout_screen(rows, columns);
            memset(covered, 0, sizeof covered);
            cover(screen.title);
            cover(screen.verdict);
            cover(screen.words);
            cover(screen.keys);
            if (screen.too_small) {
                cover(screen.body);
                expect_tiled(rows, columns);
                continue;
            }
            struct main_layout main = layout_main(screen.body);
            const struct rect parts[] = {
                main.settings, main.divider, main.quantities,  main.explain_divider, main.explain,
                main.rule,     main.picture, main.picture_gap, main.second_picture};
            for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
                cover(parts[i]);
            }
            expect_tiled(rows, columns);
        }
    }
}

static void a_larger_screen_shows_more(void **state)
{
    (void)state;
    struct main_layout small = layout_main(layout_screen(12, 40).body);
    struct main_layout usual = layout_main(layout_screen(24, 80).body);
    struct main_layout large = layout_main(layout_screen(60, 200).body);
    assert_true(small.one_panel && small.picture.rows == 0);
    assert_true(!usual.one_panel && usual.picture.rows >= 7 && usual.settings.rows >= 10);
    assert_true(large.second_picture.columns >= 90 && large.explain.columns >= 50);
}

/* ---- Events. ---- */

static void scripts_name_keys_and_type_the_rest(void **state)
{
    (void)state;
    struct script script = {.at = " Down  ab Click:3,14 Resize:24x80 'x y' Ctrl-C Space text:Up "};
    static const struct {
        enum event_kind kind;
        uint32_t key;
    } expected[] = {
        {EVENT_KEY, PRESS_DOWN}, {EVENT_KEY, 'a'}, {EVENT_KEY, 'b'}, {EVENT_MOUSE, 0},
        {EVENT_RESIZE, 0},       {EVENT_KEY, 'x'}, {EVENT_KEY, ' '}, {EVENT_KEY, 'y'},
        {EVENT_INTERRUPT, 0},    {EVENT_KEY, ' '}, {EVENT_KEY, 'U'}, {EVENT_KEY, 'p'},
    };
    struct event event;
    for (size_t i = 0; i < sizeof expected / sizeof expected[0]; i++) {
        assert_true(script_next(&script, &event));
        assert_int_equal(event.kind, expected[i].kind);
        assert_int_equal(event.key, expected[i].key);
        if (event.kind == EVENT_MOUSE) {
            assert_int_equal(event.row, 3);
            assert_int_equal(event.column, 14);
        }
        if (event.kind == EVENT_RESIZE) {
            assert_int_equal(event.rows, 24);
            assert_int_equal(event.columns, 80);
        }
    }
    assert_false(script_next(&script, &event));
}

static void any_script_ends(void **state)
{
    (void)state;
    static const char letters[] = " '\tUpClick:Resize:9,x-text:";
    struct random random = random_seeded(3, 0);
    for (int i = 0; i < 5000; i++) {
        char text[64];
        int length = (int)(random_bits(&random) % 60);
        for (int k = 0; k < length; k++) {
            text[k] = letters[random_bits(&random) % (sizeof letters - 1)];
        }
        text[length] = '\0';
        struct script script = {.at = text};
        struct event event;
        int events = 0;
        while (script_next(&script, &event)) {
            assert_true(++events <= 64);
        }
        assert_true(script.at <= text + length);
    }
}

/* ---- A field. ---- */

static void type(struct field *field, const char *script_text)
{
    struct script script = {.at = script_text};
    struct event event;
    while (script_next(&script, &event)) {
        field_key(field, event.key);
    }
}

static void a_field_is_edited_at_its_cursor(void **state)
{
    (void)state;
    struct field field = {0};
    field_set(&field, "harbour");
    type(&field, ".ini Home X End Left Backspace Home Right Delete");
    assert_string_equal(field.text, "Xarbour.ii");
    type(&field, "Home Backspace Left End Delete Right");
    assert_string_equal(field.text, "Xarbour.ii");
    assert_false(field_key(&field, PRESS_ENTER));
    for (int i = 0; i < 2 * FIELD_BYTES; i++) {
        field_key(&field, 'a');
    }
    assert_int_equal(field.length, FIELD_BYTES - 1);
    assert_int_equal(strlen(field.text), FIELD_BYTES - 1);
}

static void a_field_takes_whole_characters(void **state)
{
    (void)state;
    struct field field = {0};
    field_set(&field, "h\xC3\xA9");
    assert_true(field_key(&field, 0x20AC));
    assert_true(field_key(&field, 0x1F4FB));
    assert_string_equal(field.text, "h\xC3\xA9\xE2\x82\xAC\xF0\x9F\x93\xBB");
    type(&field, "Left Left Left Delete");
    assert_string_equal(field.text, "h\xE2\x82\xAC\xF0\x9F\x93\xBB");
    type(&field, "End Backspace Backspace x");
    assert_string_equal(field.text, "hx");
    assert_false(field_key(&field, 0x85)); /* a control character */
}

static void a_long_field_shows_where_the_cursor_is(void **state)
{
    (void)state;
    struct grid grid = {0};
    assert_true(grid_resize(&grid, 1, 8));
    struct field field = {0};
    field_set(&field, "abcdefghij");
    screen_field(&grid, 0, 1, 5, &field);
    struct text text = {0};
    grid_dump(&grid, &text);
    assert_string_equal(text_string(&text), " ghij_\n");
    text_free(&text);
    grid_free(&grid);
}

/* ---- History. ---- */

static void history_goes_back_and_forward(void **state)
{
    (void)state;
    struct history history = {0};
    struct scenario now = scenario_default();
    for (int boost = 1; boost <= 3; boost++) {
        assert_true(history_remember(&history, &now));
        now.transmission.subframes[0].waveform.boost = boost;
    }
    assert_true(history_undo(&history, &now));
    assert_true(history_undo(&history, &now));
    assert_int_equal(now.transmission.subframes[0].waveform.boost, 1);
    assert_true(history_redo(&history, &now));
    assert_int_equal(now.transmission.subframes[0].waveform.boost, 2);
    assert_true(history_remember(&history, &now));
    now.transmission.subframes[0].waveform.boost = 0;
    assert_false(history_redo(&history, &now)); /* a change forgets what was undone */
    history_clear(&history);
    assert_false(history_undo(&history, &now));
}

static void history_forgets_the_oldest_first(void **state)
{
    (void)state;
    struct history history = {0};
    struct scenario now = scenario_default();
    for (int i = 0; i < HISTORY_MAX + 10; i++) {
        now.site.center_mhz = i;
        assert_true(history_remember(&history, &now));
    }
    int steps = 0;
    while (history_undo(&history, &now)) {
        steps++;
    }
    assert_int_equal(steps, HISTORY_MAX);
    assert_near(now.site.center_mhz, 10.0, 0.0, "the ten oldest are gone");
    history_clear(&history);
}

/* ---- Background work. ---- */

static void count_up(struct job *job, void *context)
{
    int *count = context;
    while (!job_is_stopped(job)) {
        job_set_progress(job, ++*count / 1000.0);
        nanosleep(&(struct timespec){.tv_nsec = 100000}, NULL);
    }
}

static void work_once(struct job *job, void *context)
{
    job_set_progress(job, 2.0);
    *(int *)context = 42;
}

static void a_job_stops_when_asked(void **state)
{
    (void)state;
    struct job job = {0};
    int count = 0;
    assert_true(job_start(&job, count_up, &count));
    assert_false(job_start(&job, count_up, &count)); /* one at a time */
    while (job_progress(&job) < 0.003) {
        nanosleep(&(struct timespec){.tv_nsec = 100000}, NULL);
    }
    assert_true(job_is_running(&job));
    assert_false(job_finished(&job));
    job_stop(&job);
    assert_false(job_is_running(&job));
    assert_true(count >= 3);
    job_stop(&job); /* harmless */
}

static void a_job_says_once_that_it_is_done(void **state)
{
    (void)state;
    struct job job = {0};
    int result = 0;
    assert_true(job_start(&job, work_once, &result));
    while (!job_finished(&job)) {
        nanosleep(&(struct timespec){.tv_nsec = 100000}, NULL);
    }
    assert_int_equal(result, 42);
    assert_near(job_progress(&job), 1.0, 0.0, "progress is cut at the whole");
    assert_false(job_finished(&job));
}

/* ---- Errands. ---- */

struct sum {
    int from, to, milliseconds;
    long answer;
};

static void add_up(struct job *job, void *box)
{
    struct sum *sum = box;
    for (int i = 0; i < sum->milliseconds && !job_is_stopped(job); i++) {
        nanosleep(&(struct timespec){.tv_nsec = 1000000}, NULL);
    }
    for (int i = sum->from; i <= sum->to; i++) {
        sum->answer += i;
    }
}

static struct sum *sum_of(int from, int to, int milliseconds)
{
    struct sum *sum = calloc(1, sizeof *sum);
    assert_non_null(sum);
    *sum = (struct sum){from, to, milliseconds, 0};
    return sum;
}

static void what_is_quick_is_there_at_once(void **state)
{
    (void)state;
    struct errand errand = {.work = add_up};
    errand_want(&errand, sum_of(1, 100, 0), 60000.0);
    assert_true(errand.pending); /* until it is looked at */
    assert_true(errand_look(&errand));
    assert_false(errand.pending);
    assert_int_equal(((struct sum *)errand.done)->answer, 5050);
    assert_false(errand_look(&errand)); /* once for each answer */
    errand_free(&errand);
}

static void only_the_newest_wish_is_answered(void **state)
{
    (void)state;
    struct errand errand = {.work = add_up};
    errand_want(&errand, sum_of(1, 2, 10000), 0.0); /* told to stop by the next */
    errand_want(&errand, sum_of(1, 3, 0), 0.0);
    errand_want(&errand, sum_of(1, 4, 0), 0.0);
    errand_wait(&errand);
    assert_true(errand_look(&errand));
    assert_int_equal(((struct sum *)errand.done)->answer, 10);
    errand_want(&errand, sum_of(1, 5, 10000), 0.0);
    assert_int_equal(((struct sum *)errand.done)->answer, 10); /* the old one, until then */
    errand_want(&errand, NULL, 0.0);                           /* no longer wanted */
    assert_false(errand.pending);
    errand_wait(&errand);
    while (errand.job.started) {
        assert_false(errand_look(&errand));
    }
    assert_null(errand.done);
    errand_want(&errand, sum_of(1, 6, 10000), 0.0);
    errand_free(&errand); /* stops it */
}

/* ---- Cursor. ---- */

static void a_cursor_stays_inside_and_in_sight(void **state)
{
    (void)state;
    static const uint32_t keys[] = {PRESS_UP,        PRESS_DOWN, PRESS_PAGE_UP,
                                    PRESS_PAGE_DOWN, PRESS_HOME, PRESS_END};
    struct random random = random_seeded(7, 0);
    struct cursor cursor = {0};
    for (int i = 0; i < 5000; i++) {
        unsigned roll = (unsigned)(random_bits(&random) % 8);
        if (roll < 6) {
            cursor_key(&cursor, keys[roll]);
        } else if (roll == 6) {
            cursor_fit(&cursor, (int)(random_bits(&random) % 30), (int)(random_bits(&random) % 12));
        } else {
            cursor_click(&cursor, (int)(random_bits(&random) % 14) - 1);
        }
        assert_true(cursor.at >= 0 && (cursor.at < cursor.count || cursor.at == 0));
        assert_true(cursor.at >= cursor.first && cursor.at <= cursor.first + cursor.rows);
        assert_true(cursor.first == 0 || cursor.first + cursor.rows <= cursor.count);
    }
}

static void a_page_keeps_one_row_of_the_last(void **state)
{
    (void)state;
    struct cursor cursor = {0};
    cursor_fit(&cursor, 100, 10);
    cursor_key(&cursor, PRESS_PAGE_DOWN);
    assert_int_equal(cursor.at, 9);
    cursor_key(&cursor, PRESS_PAGE_DOWN);
    assert_int_equal(cursor.at, 18);
    assert_int_equal(cursor.first, 9);
    assert_true(cursor_click(&cursor, 0));
    assert_int_equal(cursor.at, 9);
    assert_false(cursor_click(&cursor, 10));
    cursor_key(&cursor, PRESS_END);
    assert_int_equal(cursor.first, 90);
    cursor_key(&cursor, PRESS_HOME);
    assert_int_equal(cursor.first, 0);
}

/* ---- Settings and quantities. ---- */

static void every_setting_has_a_key_and_words(void **state)
{
    (void)state;
    for (int i = 0; i < setting_count(); i++) {
        char name[64];
        setting_name(i, name, sizeof name);
        assert_non_null(setting_key(i));
        assert_non_null(explain_find(name));
        assert_true(strlen(setting_row(i)->label) <= 14);
        assert_true(!setting_is_number(i) || setting_row(i)->step > 0.0);
    }
    /* And every key of these sections has a setting. */
    static const char *const sections[] = {"site", "mode", "first", "receiver"};
    for (size_t k = 0; k < key_count(); k++) {
        for (size_t s = 0; s < sizeof sections / sizeof sections[0]; s++) {
            if (strcmp(key_row(k)->section, sections[s]) != 0) {
                continue;
            }
            int found = 0;
            for (int i = 0; i < setting_count(); i++) {
                found += setting_key(i) == key_row(k);
            }
            assert_int_equal(found, 1);
        }
    }
}

static void every_quantity_is_a_figure_of_the_report(void **state)
{
    (void)state;
    for (int i = 0; i < quantity_count(); i++) {
        const struct quantity *q = quantity_row(i);
        assert_true(q->first || q->second);
        assert_true(!q->first || figure_find(FIGURE_FIRST, q->first));
        assert_true(!q->second || figure_find(FIGURE_SECOND, q->second));
        assert_true(strlen(q->label) + strlen(q->unit) + 2 <= 17);
        char name[64];
        snprintf(name, sizeof name, "%s.%s", q->second ? "second" : "first",
                 q->second ? q->second : q->first);
        assert_non_null(explain_find(name));
    }
}

static int setting_called(const char *key)
{
    for (int i = 0; i < setting_count(); i++) {
        if (strcmp(setting_row(i)->key, key) == 0) {
            return i;
        }
    }
    fail_msg("no setting %s", key);
    return -1;
}

static void exactly_the_legal_choices_are_offered(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    int guard = setting_called("guard"), pilots = setting_called("pilots");
    for (int fft = 0; fft < FFT_COUNT; fft++) {
        for (int g = 0; g < GUARD_COUNT; g++) {
            if (!guard_is_allowed((enum fft_size)fft, (enum guard)g)) {
                continue;
            }
            scenario.transmission.subframes[0].waveform.fft = (enum fft_size)fft;
            scenario.transmission.subframes[0].waveform.guard = (enum guard)g;
            transmission_repair(&scenario.transmission);
            struct setting_choices choices;
            setting_choices(guard, &scenario, &choices);
            int legal = 0;
            for (int k = 0; k < GUARD_COUNT; k++) {
                legal += guard_is_allowed((enum fft_size)fft, (enum guard)k);
            }
            assert_int_equal(choices.count, legal);
            assert_string_equal(choices.text[choices.at], guard_name((enum guard)g));
            setting_choices(pilots, &scenario, &choices);
            int n = 0;
            for (int k = 0; k < PILOTS_COUNT; k++) {
                if (pilots_are_allowed((enum fft_size)fft, (enum guard)g, (enum pilots)k)) {
                    assert_string_equal(choices.text[n++], pilots_name((enum pilots)k));
                }
            }
            assert_int_equal(choices.count, n);
        }
    }
    scenario.transmission.subframes[0].plps[0].code.length = LENGTH_16200;
    transmission_repair(&scenario.transmission);
    struct setting_choices choices;
    setting_choices(setting_called("constellation"), &scenario, &choices);
    assert_int_equal(choices.count, 4);
    setting_choices(setting_called("length"), &scenario, &choices);
    assert_int_equal(choices.count, 2);
}

/* Wherever the arrows lead, the scenario stays legal, and a step back undoes a step that moved
 * nothing else. */
static void steps_stay_legal(void **state)
{
    (void)state;
    struct random random = random_seeded(17, 0);
    struct scenario now = scenario_default(), next, back;
    for (int k = 0; k < 4000; k++) {
        int i = (int)(random_bits(&random) % (unsigned)setting_count());
        int direction = random_bits(&random) % 2 ? 1 : -1;
        if (!setting_step(i, &now, direction, &next)) {
            continue;
        }
        struct fault fault;
        if (scenario_check(&next, &fault) != STATUS_OK) {
            fail_msg("%s: %s %s", setting_row(i)->key, fault.place, fault.wrong);
        }
        char moved[192], was[64], is[64];
        setting_moved(i, &now, &next, moved, sizeof moved);
        setting_text(i, &now, was, sizeof was);
        if (moved[0] == '\0' && strcmp(was, "none") != 0 && !setting_is_number(i)) {
            assert_true(setting_step(i, &next, -direction, &back));
            setting_text(i, &back, is, sizeof is);
            assert_string_equal(is, was);
        }
        now = next;
    }
}

static void numbers_step_without_crumbs(void **state)
{
    (void)state;
    struct scenario now = scenario_default(), next;
    int threshold = setting_called("threshold_db");
    char text[64];
    for (int i = 0; i < 7; i++) {
        assert_true(setting_step(threshold, &now, 1, &next));
        now = next;
    }
    setting_text(threshold, &now, text, sizeof text);
    assert_string_equal(text, "15.6 dB");
    assert_true(setting_set_share(threshold, &now, 1.0, &next));
    assert_false(setting_step(threshold, &next, 1, &now)); /* the end of the range */
    setting_text(threshold, &next, text, sizeof text);
    assert_string_equal(text, "40 dB");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rectangles_tile_without_overlap),
        cmocka_unit_test(a_larger_screen_shows_more),
        cmocka_unit_test(scripts_name_keys_and_type_the_rest),
        cmocka_unit_test(any_script_ends),
        cmocka_unit_test(a_field_is_edited_at_its_cursor),
        cmocka_unit_test(a_field_takes_whole_characters),
        cmocka_unit_test(a_long_field_shows_where_the_cursor_is),
        cmocka_unit_test(history_goes_back_and_forward),
        cmocka_unit_test(history_forgets_the_oldest_first),
        cmocka_unit_test(a_job_stops_when_asked),
        cmocka_unit_test(a_job_says_once_that_it_is_done),
        cmocka_unit_test(what_is_quick_is_there_at_once),
        cmocka_unit_test(only_the_newest_wish_is_answered),
        cmocka_unit_test(a_cursor_stays_inside_and_in_sight),
        cmocka_unit_test(a_page_keeps_one_row_of_the_last),
        cmocka_unit_test(every_setting_has_a_key_and_words),
        cmocka_unit_test(every_quantity_is_a_figure_of_the_report),
        cmocka_unit_test(exactly_the_legal_choices_are_offered),
        cmocka_unit_test(steps_stay_legal),
        cmocka_unit_test(numbers_step_without_crumbs),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
