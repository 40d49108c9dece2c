#include "support/near.h"

#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/text.h"
#include "scenario/section.h"

/* The table of fields, walked: a new row is held to all of this by itself. */

/* A scenario in which every section has an item, and the base of a field in it. */
static struct scenario with_items(void)
{
    struct scenario scenario = scenario_default();
    for (size_t i = 0; i < section_count(); i++) {
        if (section_at(i)->most > 0) {
            assert_non_null(section_add(section_at(i), &scenario, "one"));
        }
    }
    return scenario;
}

static void *base_of(const struct field *field, struct scenario *scenario)
{
    size_t i = 0;
    while (section_field_of(section_at(i), field->name) != field) {
        i++;
        assert_true(i < section_count());
    }
    return section_item_of(section_at(i), scenario, 0);
}

static void assert_goes_round(const struct field *field, struct scenario *scenario, double number)
{
    char text[FIELD_TEXT_BYTES], again[FIELD_TEXT_BYTES];
    struct fault fault = {0};
    void *base = base_of(field, scenario);
    if (!isnan(number) && !field_may_be(field, base, number)) {
        return; /* as of channels that the pair's plan does not have */
    }
    field_write(field, number, text, sizeof text);
    if (field_take(field, base, field->name, text, &fault) != STATUS_OK) {
        fail_msg("%s.%s = %s: %s (%s)", field->section, field->name, text, fault.wrong,
                 fault.allowed);
    }
    assert_near(field_number(field, base), number, 0.0, "as written");
    field_format(field, base, again, sizeof again);
    assert_string_equal(again, text);
}

static void every_value_is_read_as_it_was_written(void **state)
{
    (void)state;
    struct scenario scenario = with_items();
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        if (field_is_text(field)) {
            continue;
        }
        assert_goes_round(field, &scenario, field->low);
        assert_goes_round(field, &scenario, field->high);
        double many = fmin(field->high, field->low + 5000.0); /* of cells there are millions */
        for (double n = field->low; field->type != FIELD_NUMBER && n <= many; n++) {
            assert_goes_round(field, &scenario, n);
        }
        if (!isnan(field->plain)) {
            assert_true(field->plain >= field->low && field->plain <= field->high);
            assert_goes_round(field, &scenario, field->plain);
        }
    }
}

static void a_word_stands_where_no_number_does(void **state)
{
    (void)state;
    static const char *const written[] = {"none", "NONE", "any", "Any", "auto", ""};
    struct scenario scenario = with_items();
    int words = 0;
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        for (size_t k = 0; k < sizeof written / sizeof written[0] && !field_is_text(field); k++) {
            double number = 0.0;
            bool own = field->word && strcasecmp(written[k], field->word) == 0;
            enum status status = field_read(field, written[k], &number);
            if (own || !field->choice) {
                assert_int_equal(status, own ? STATUS_OK : STATUS_MALFORMED);
                assert_true(own == isnan(number));
            }
            words += own;
        }
    }
    /* snr_db, level_dbm, entry_loss_db, bonded_snr_db, front_to_back_db, two bearings and
     * phase_deg, twice each; 12 times auto */
    assert_int_equal(words, 16 + 12);
    assert_int_equal(scenario_set(&scenario, "echo one.phase_deg", "ANY", NULL), STATUS_OK);
    assert_true(isnan(scenario.echoes[0].phase_deg));
    assert_int_equal(field_check(field_named("echo.phase_deg"), &scenario.echoes[0], "", NULL),
                     STATUS_OK);
    assert_int_equal(scenario_set(&scenario, "echo one.phase_deg", "-90", NULL), STATUS_OK);
    assert_near(scenario.echoes[0].phase_deg, -90.0, 0.0, "accepted, though 0 to 360 is told");
}

/* Where the default is a number and a word says that there is none, the word is said. */
static void a_word_that_is_not_the_default_is_said(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct field field = *field_named("receiver.snr_db");
    assert_string_equal(field.word, "none");
    field_put(&field, &scenario, NAN);
    assert_false(field_is_said(&field, &scenario));
    field.plain = 20.0;
    assert_true(field_is_said(&field, &scenario));
    field.word = NULL;
    assert_false(field_is_said(&field, &scenario));
}

static void what_is_out_of_range_is_refused_and_leaves_the_value(void **state)
{
    (void)state;
    struct scenario scenario = with_items();
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        double beyond[] = {field->low - 1.0, field->high + 1.0, fmin(field->high * 1e3, 2e9) + 1.0};
        for (size_t k = 0; k < 3 && !field->choice && !field_is_text(field); k++) {
            struct scenario before = scenario;
            struct fault fault = {0};
            char text[FIELD_TEXT_BYTES];
            field_write(field, beyond[k], text, sizeof text);
            assert_int_equal(field_take(field, base_of(field, &scenario), "here", text, &fault),
                             STATUS_OUT_OF_RANGE);
            assert_string_equal(fault.place, "here");
            assert_true(fault.allowed[0] != '\0' && strstr(fault.wrong, "out of range"));
            assert_memory_equal(&scenario, &before, sizeof before);
        }
    }
}

/* A value that [mode] or [dvbt2] and a section of its own say is refused at either. */
static bool is_place(const struct field *field, const char *told, const char *place)
{
    static const char *const plain[] = {"mode", "dvbt2"};
    bool is = strcmp(told, place) == 0;
    if (field->unless) {
        char item[FIELD_TEXT_BYTES];
        text_format(item, sizeof item, "%s one.%s", field->unless, field->name);
        is |= strcmp(told, item) == 0;
    }
    for (size_t i = 0; i < sizeof plain / sizeof plain[0]; i++) {
        char name[FIELD_TEXT_BYTES];
        text_format(name, sizeof name, "%s.%s", plain[i], field->name);
        is |= field_named(name) && strcmp(told, name) == 0;
    }
    return is;
}

/* What no text can bring in, the check finds at the field's name. */
static void a_scenario_out_of_range_is_refused_at_the_field(void **state)
{
    (void)state;
    struct scenario sound = with_items();
    static const char *const needed[] = {"service one.snr_db",      "station one.rf_channel",
                                         "station one.erp_kw",      "station one.height_m",
                                         "station one.distance_km", "echo one.delay_us",
                                         "echo one.level_db"};
    for (size_t i = 0; i < sizeof needed / sizeof needed[0]; i++) {
        struct fault fault = {0};
        assert_int_equal(scenario_check(&sound, &fault), STATUS_OUT_OF_RANGE);
        assert_string_equal(fault.place, needed[i]);
        assert_string_equal(fault.wrong, "is missing");
        assert_int_equal(scenario_set(&sound, needed[i], i == 6 ? "-3" : "20", NULL), STATUS_OK);
    }
    assert_int_equal(scenario_check(&sound, NULL), STATUS_OK);
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        if (field->type == FIELD_YES_NO || field_is_text(field) ||
            (field->put && field->instead_of == NULL && strcmp(field->name, "rf_channel") == 0)) {
            continue; /* a bool has no third value; a channel that is none has no centre either */
        }
        struct scenario scenario = sound;
        struct fault fault = {0};
        char place[FIELD_TEXT_BYTES];
        text_format(place, sizeof place, "%s%s.%s", field->section,
                    section_find(field->section)->most > 0 ? " one" : "", field->name);
        field_put(field, base_of(field, &scenario), field->high + 1.0);
        assert_int_equal(scenario_check(&scenario, &fault), STATUS_OUT_OF_RANGE);
        assert_true(is_place(field, fault.place, place));
    }
}

static void steps_are_multiples_and_stay_in_range(void **state)
{
    (void)state;
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        if (field->choice || field->type == FIELD_RATE || field_is_text(field)) {
            continue;
        }
        double number = field_at_share(field, 0.5);
        for (int direction = 1; direction >= -1; direction -= 2) {
            for (int k = 0; k < 300; k++) {
                double next = field_stepped(field, number, direction, k % 2 == 0);
                assert_true(next >= field->low && next <= field->high);
                bool moves = direction * (next - number) > 0.0 || field->turn > 0.0;
                assert_true(moves || next == (direction > 0 ? field->high : field->low));
                number = next;
            }
        }
        assert_near(field_at_share(field, 1.0), field->high,
                    field->step > 0.0 ? field->step / 2.0 : 0.0, "the end of the range");
        if (field->word) {
            assert_near(field_stepped(field, NAN, 1, false), field_at_share(field, 0.5), 0.0,
                        "from what is not said to the middle");
        }
    }
    const struct field *phase = field_named("echo.phase_deg");
    assert_near(field_stepped(phase, 355.0, 1, false), 0.0, 0.0, "round");
    assert_near(field_stepped(phase, 0.0, -1, false), 355.0, 0.0, "and back");
    const struct field *delay = field_named("echo.delay_us");
    assert_near(field_stepped(delay, 0.05, 1, false), 0.06, 1e-12, "nanoseconds count there");
    assert_near(field_stepped(delay, 37.0, 1, true), 40.0, 0.0, "coarse: tens");
}

static void what_hangs_together_is_put_together(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    field_put(field_named("site.center_mhz"), &scenario, 500.5);
    assert_int_equal(scenario.site.rf_channel, 0);
    assert_false(field_is_said(field_named("site.rf_channel"), &scenario));
    assert_true(field_is_said(field_named("site.center_mhz"), &scenario));
    field_put(field_named("site.rf_channel"), &scenario, 14);
    assert_near(scenario.site.center_mhz, 473.0, 0.0, "47 CFR 73.603 (published)");
    assert_false(field_is_said(field_named("site.center_mhz"), &scenario));
    field_put(field_named("site.bandwidth_mhz"), &scenario, 8);
    assert_int_equal(scenario.transmission.subframes[0].waveform.bandwidth_mhz, 8);
    assert_int_equal(scenario.site.bandwidth_mhz, 8);
}

static void names_are_unique_and_labels_fit(void **state)
{
    (void)state;
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        char name[FIELD_TEXT_BYTES];
        field_name(field, name, sizeof name);
        assert_ptr_equal(field_beside(field, field->name), field);
        assert_true(field->pairs != 0 || field_named(name) == field);
        assert_non_null(section_find(field->section));
        assert_true(strlen(field->title) > 3 && strlen(field_label(field)) <= 14);
        assert_true(field->unit &&
                    (field->choice || field->type == FIELD_RATE || field_is_text(field) ||
                     field->step > 0.0 || field->ratio > 1.0));
    }
}

/* ---- Sections. ---- */

static void items_are_added_found_and_removed(void **state)
{
    (void)state;
    for (size_t i = 0; i < section_count(); i++) {
        const struct section *section = section_at(i);
        struct scenario scenario = scenario_default(), empty = scenario;
        for (int k = 0; k < section->most; k++) {
            char name[16];
            text_format(name, sizeof name, "item %d", k);
            assert_non_null(section_add(section, &scenario, name));
            assert_int_equal(section_item_find(section, &scenario, name), k);
        }
        assert_null(section_add(section, &scenario, "one too many"));
        while (section->most > 0 && section_items(section, &scenario) > 0) {
            int last = section_items(section, &scenario) - 1;
            section_remove(section, &scenario, last / 2);
            assert_int_equal(section_item_find(section, &scenario, "item 0"),
                             last / 2 > 0 ? 0 : -1);
        }
        assert_memory_equal(&scenario, &empty, sizeof empty);
    }
}

static void fields_of_a_section_follow_each_other_to_the_last(void **state)
{
    (void)state;
    size_t count = 0;
    for (size_t i = 0; i < section_count(); i++) {
        const struct section *section = section_at(i);
        const struct field *field = NULL;
        int n = 0;
        for (; (field = section_field_after(section, field)) != NULL; n++) {
            assert_string_equal(field->section, section->name);
            assert_ptr_equal(section_field_at(section, n), field);
        }
        assert_null(section_field_at(section, n));
        assert_null(section_field_at(section, n + 1));
        count += (size_t)n;
    }
    assert_true(count >= field_count()); /* those of both pairs twice */
    char allowed[96];
    field_allowed(field_named("plp.over"), allowed, sizeof allowed);
    assert_string_equal(allowed, "a name");
}

static void a_name_leads_to_its_field_and_base(void **state)
{
    (void)state;
    struct scenario scenario = with_items();
    const void *base = NULL;
    assert_ptr_equal(scenario_field(&scenario, "Echo ONE.delay_us", &base),
                     field_named("echo.delay_us"));
    assert_ptr_equal(base, &scenario.echoes[0]);
    assert_ptr_equal(scenario_field(&scenario, "mode.guard", &base), field_named("mode.guard"));
    assert_ptr_equal(base, &scenario);
    static const char *const nothing[] = {
        "echo two.delay_us", "echo.delay_us", "mode.colour", "colour", "", ".fft", "mode",
        "mode one.fft"};
    for (size_t i = 0; i < sizeof nothing / sizeof nothing[0]; i++) {
        assert_null(scenario_field(&scenario, nothing[i], &base));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_value_is_read_as_it_was_written),
        cmocka_unit_test(a_word_stands_where_no_number_does),
        cmocka_unit_test(a_word_that_is_not_the_default_is_said),
        cmocka_unit_test(what_is_out_of_range_is_refused_and_leaves_the_value),
        cmocka_unit_test(a_scenario_out_of_range_is_refused_at_the_field),
        cmocka_unit_test(steps_are_multiples_and_stay_in_range),
        cmocka_unit_test(what_hangs_together_is_put_together),
        cmocka_unit_test(names_are_unique_and_labels_fit),
        cmocka_unit_test(items_are_added_found_and_removed),
        cmocka_unit_test(fields_of_a_section_follow_each_other_to_the_last),
        cmocka_unit_test(a_name_leads_to_its_field_and_base),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
