#include "support/near.h"

#include <stdio.h>
#include <string.h>

#include "base/random.h"
#include "explorer/desk/history.h"
#include "explorer/desk/quantities.h"
#include "explorer/desk/settings.h"
#include "explorer/desk/typing.h"
#include "explorer/echo/edit.h"
#include "explorer/event.h"
#include "explorer/place/edit.h"
#include "study/explain/explain.h"

/* ---- A line being typed. ---- */

static void type(struct typing *typing, const char *script_text)
{
    struct script script = {.at = script_text};
    struct event event;
    while (script_next(&script, &event)) {
        typing_key(typing, event.key);
    }
}

static void a_typed_line_is_edited_at_its_cursor(void **state)
{
    (void)state;
    struct typing typing = {0};
    typing_set(&typing, "harbour");
    type(&typing, ".ini Home X End Left Backspace Home Right Delete");
    assert_string_equal(typing.text, "Xarbour.ii");
    type(&typing, "Home Backspace Left End Delete Right");
    assert_string_equal(typing.text, "Xarbour.ii");
    assert_false(typing_key(&typing, PRESS_ENTER));
    for (int i = 0; i < 2 * TYPING_BYTES; i++) {
        typing_key(&typing, 'a');
    }
    assert_int_equal(typing.length, TYPING_BYTES - 1);
    assert_int_equal(strlen(typing.text), TYPING_BYTES - 1);
}

static void a_typed_line_takes_whole_characters(void **state)
{
    (void)state;
    struct typing typing = {0};
    typing_set(&typing, "h\xC3\xA9");
    assert_true(typing_key(&typing, 0x20AC));
    assert_true(typing_key(&typing, 0x1F4FB));
    assert_string_equal(typing.text, "h\xC3\xA9\xE2\x82\xAC\xF0\x9F\x93\xBB");
    type(&typing, "Left Left Left Delete");
    assert_string_equal(typing.text, "h\xE2\x82\xAC\xF0\x9F\x93\xBB");
    type(&typing, "End Backspace Backspace x");
    assert_string_equal(typing.text, "hx");
    assert_false(typing_key(&typing, 0x85)); /* a control character */
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

/* ---- Settings and quantities. ---- */

static void every_setting_has_a_label_and_words(void **state)
{
    (void)state;
    for (int pair = 0; pair < PAIR_COUNT; pair++) {
        for (int i = 0; i < setting_count((enum pair)pair); i++) {
            struct value value = setting_value(i, (enum pair)pair);
            char name[64];
            value_name(&value, name, sizeof name);
            assert_non_null(explain_find(name));
            char label[64];
            value_label(&value, label, sizeof label);
            assert_true(strlen(label) <= 14);
        }
    }
}

/* Settings show what stands once, the editors of subframes, PLPs, services, stations and echoes the
 * rest; what two sections can say is shown once. */
static int shown_in_editor(const char *name, const struct field *field)
{
    int found = 0;
    for (size_t i = 0; i < section_count(); i++) { /* pairs may have one of the name each */
        const struct section *section = section_at(i);
        struct value value;
        for (int n = 0; strcmp(section->name, name) == 0 && value_at(section, 0, n, &value); n++) {
            char label[64];
            value_label(&value, label, sizeof label);
            assert_true(strlen(label) <= 14);
            found += value.field == field;
        }
    }
    return found;
}

static void every_field_is_shown(void **state)
{
    (void)state;
    struct scenario plain = scenario_default();
    for (size_t k = 0; k < field_count(); k++) {
        const struct field *field = field_at(k);
        int found = 0;
        for (int pair = 0; pair < PAIR_COUNT; pair++) {
            bool counts = section_counts_in(section_find(field->section), (enum pair)pair);
            int here = 0;
            for (int i = 0; i < setting_count((enum pair)pair); i++) {
                here += setting_value(i, (enum pair)pair).field == field;
            }
            assert_true(here <= counts);
            found = here > found ? here : found;
        }
        struct value value; /* what the place view has of the main view's is counted there */
        for (int row = 0; row < place_row_count(&plain); row++) {
            found += !place_row_is_shared(row) && place_row_value(row, 0, &value) &&
                     value.field == field;
        }
        for (int column = 0; column < ECHO_COLUMN_COUNT; column++) {
            found += echo_field(0, (enum echo_column)column) == field;
        }
        found += shown_in_editor("subframe", field) + shown_in_editor("plp", field) +
                 shown_in_editor("service", field);
        if (found != (field->same_as == NULL)) {
            fail_msg("%s.%s is shown %d times", field->section, field->name, found);
        }
    }
}

/* Every grouped figure of the report has its row, and each is explained. */
static void every_figure_with_a_group_is_a_quantity(void **state)
{
    (void)state;
    for (size_t f = 0; f < generation_figures.count; f++) {
        const struct figure *figure = &generation_figures.rows[f];
        int found = 0;
        for (int i = 0; i < quantity_count(); i++) {
            found += quantity_row(i) == figure;
        }
        if (figure->group != NULL && strcmp(figure->group, "Settings") != 0) {
            assert_int_equal(found, 1);
            assert_true(strlen(figure_brief(figure)) + strlen(figure->unit) + 2 <= 17);
        }
    }
    for (int i = 0; i < quantity_count(); i++) {
        char name[64];
        quantity_name(i, name, sizeof name);
        assert_non_null(explain_find(name));
    }
}

static struct value setting_called(const char *name)
{
    const struct field *field = field_named(name);
    assert_non_null(field);
    return value_of(field);
}

static void exactly_the_legal_choices_are_offered(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct value guard = setting_called("mode.guard"), pilots = setting_called("mode.pilots");
    struct value constellation = setting_called("mode.constellation");
    struct value length = setting_called("mode.length");
    for (int fft = 0; fft < FFT_COUNT; fft++) {
        for (int g = 0; g < GUARD_COUNT; g++) {
            if (!guard_is_allowed((enum fft_size)fft, (enum guard)g)) {
                continue;
            }
            scenario.transmission.subframes[0].waveform.fft = (enum fft_size)fft;
            scenario.transmission.subframes[0].waveform.guard = (enum guard)g;
            transmission_repair(&scenario.transmission);
            struct choices choices;
            value_choices(&guard, &scenario, &choices);
            int legal = 0;
            for (int k = 0; k < GUARD_COUNT; k++) {
                legal += guard_is_allowed((enum fft_size)fft, (enum guard)k);
            }
            assert_int_equal(choices.count, legal);
            assert_string_equal(choices.text[choices.at], guard_name((enum guard)g));
            value_choices(&pilots, &scenario, &choices);
            int n = 0;
            for (int k = 0; k < PILOTS_COUNT; k++) {
                if (pilots_are_allowed((enum fft_size)fft, (enum guard)g, (enum pilots)k)) {
                    assert_string_equal(choices.text[n++], pilots_name((enum pilots)k));
                }
            }
            assert_int_equal(choices.count, n);
        }
    }
    scenario.transmission.plps[0].code.length = LENGTH_16200;
    transmission_repair(&scenario.transmission);
    struct choices choices;
    value_choices(&constellation, &scenario, &choices);
    assert_int_equal(choices.count, 4);
    value_choices(&length, &scenario, &choices);
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
        struct value value = setting_value(
            (int)(random_bits(&random) % (unsigned)setting_count(now.site.pair)), now.site.pair);
        int direction = random_bits(&random) % 2 ? 1 : -1;
        if (!value_step(&value, &now, direction, &next, NULL)) {
            continue;
        }
        struct fault fault;
        if (scenario_check(&next, &fault) != STATUS_OK) {
            fail_msg("%s: %s %s", value.field->name, fault.place, fault.wrong);
        }
        char moved[192], was[64], is[64];
        value_moved(&value, &now, &next, moved, sizeof moved);
        value_text(&value, &now, was, sizeof was);
        if (moved[0] == '\0' && strcmp(was, "none") != 0 && strcmp(was, "auto") != 0 &&
            value_kind(&value) == VALUE_CHOSEN) {
            assert_true(value_step(&value, &next, -direction, &back, NULL));
            value_text(&value, &back, is, sizeof is);
            assert_string_equal(is, was);
        }
        now = next;
    }
}

static void numbers_step_without_crumbs(void **state)
{
    (void)state;
    struct scenario now = scenario_default(), next;
    struct value threshold = setting_called("first.threshold_db");
    char text[64];
    for (int i = 0; i < 7; i++) {
        assert_true(value_step(&threshold, &now, 1, &next, NULL));
        now = next;
    }
    value_text(&threshold, &now, text, sizeof text);
    assert_string_equal(text, "15.6 dB");
    assert_true(value_set_share(&threshold, &now, 1.0, &next, NULL));
    assert_false(value_step(&threshold, &next, 1, &now, NULL)); /* the end of the range */
    value_text(&threshold, &next, text, sizeof text);
    assert_string_equal(text, "40 dB");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_typed_line_is_edited_at_its_cursor),
        cmocka_unit_test(a_typed_line_takes_whole_characters),
        cmocka_unit_test(history_goes_back_and_forward),
        cmocka_unit_test(history_forgets_the_oldest_first),
        cmocka_unit_test(every_setting_has_a_label_and_words),
        cmocka_unit_test(every_field_is_shown),
        cmocka_unit_test(every_figure_with_a_group_is_a_quantity),
        cmocka_unit_test(exactly_the_legal_choices_are_offered),
        cmocka_unit_test(steps_stay_legal),
        cmocka_unit_test(numbers_step_without_crumbs),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
