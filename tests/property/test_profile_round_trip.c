#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/random.h"
#include "profile/profile.h"
#include "support/effort.h"
#include "support/scenarios.h"

/* Whatever scenario a profile can hold: written and read it is the same, and so it is when a
 * profile that already has text is changed into another one. */

static size_t rounds(void)
{
    return effort(200, 1500, 50000);
}

static int pick(struct random *random, int low, int high)
{
    return low + (int)(random_uniform(random) * (high - low + 1));
}

static double number(struct random *random, double low, double high)
{
    double value = low + random_uniform(random) * (high - low);
    switch (pick(random, 0, 3)) {
    case 0:
        return fmin(fmax(round(value), low), high);
    case 1:
        return fmin(fmax(round(value * 10.0) / 10.0, low), high);
    case 2:
        return pick(random, 0, 1) ? low : high;
    default:
        return value;
    }
}

/* A random value for a key, set by its text as a user would write it. */
static void set_randomly(struct random *random, struct scenario *scenario, void *base,
                         const struct field *field)
{
    char value[FIELD_TEXT_BYTES];
    double low = field->low, high = field->high, drawn;
    do {
        drawn = field->word && pick(random, 0, 1) ? NAN
                : field->type == FIELD_NUMBER     ? number(random, low, high)
                                                  : pick(random, (int)low, (int)high);
    } while (!isnan(drawn) && !field_may_be(field, base, drawn));
    field_write(field, drawn, value, sizeof value);
    struct fault fault = {0};
    enum status status = field_take(field, base, field->name, value, &fault);
    if (status != STATUS_OK) {
        print_error("%s = %s: %s (%s)\n", field->name, value, fault.wrong, fault.allowed);
    }
    assert_int_equal(status, STATUS_OK);
    (void)scenario;
}

static void fill_section(struct random *random, struct scenario *scenario, const char *section,
                         void *base, double share)
{
    const struct field *field;
    for (field = NULL; (field = section_field_after(section_find(section), field)) != NULL;) {
        /* A file would have to be there: tests/profile/test_terrain.c. */
        if (field->type != FIELD_PATH && random_uniform(random) < share) {
            set_randomly(random, scenario, base, field);
        }
    }
}

static void random_name(struct random *random, char *name, int number_in_name)
{
    static const char *const stems[] = {"hill", "Far Tower", "\xC3\x89glise",
                                        "a.b",  "x_y-z",     "4th"};
    snprintf(name, NAME_MAX_BYTES, "%s %d", stems[pick(random, 0, 5)], number_in_name);
}

/* PLPs of the second pair, in a frame that has room for them. */
static void add_t2_plps(struct random *random, struct scenario *scenario)
{
    const struct section *section = section_find_in("plp", PAIR_DVB);
    scenario->dvbt2.symbols = 0;
    for (int i = pick(random, 0, 3); i > 0; i--) {
        char name[NAME_MAX_BYTES];
        random_name(random, name, i);
        struct t2_plp *plp = section_add(section, scenario, name);
        const struct field *field;
        assert_non_null(plp);
        for (field = NULL; (field = section_field_after(section, field)) != NULL;) {
            if (field->choice != NULL) {
                set_randomly(random, scenario, plp, field);
            }
        }
        plp->share_percent = pick(random, 0, 1) ? NAN : 30.0;
        plp->cells = isnan(plp->share_percent) && pick(random, 0, 1) ? 100000 : 0;
    }
}

static struct scenario random_scenario(struct random *random)
{
    struct scenario scenario = scenario_default();
    static const char *const sections[] = {"site",  "mode",     "dvbt", "dvbt2",
                                           "first", "receiver", "place"};
    double share = random_uniform(random);
    for (size_t i = 0; i < sizeof sections / sizeof sections[0]; i++) {
        fill_section(random, &scenario, sections[i], &scenario, share);
    }
    scenario_repair(&scenario);
    if (scenario.site.pair == PAIR_DVB) {
        add_t2_plps(random, &scenario);
    }
    scenario.station_count = pick(random, 0, 3);
    for (int i = 0; i < scenario.station_count; i++) {
        char name[NAME_MAX_BYTES];
        random_name(random, name, i);
        scenario.stations[i] = station_unset(name);
        scenario.stations[i].plan = pair_plan(scenario.site.pair);
        fill_section(random, &scenario, "station", &scenario.stations[i], 1.1);
    }
    scenario.echo_count = pick(random, 0, pick(random, 0, 9) ? 6 : ECHOES_MAX);
    for (int i = 0; i < scenario.echo_count; i++) {
        memset(scenario.echo_names[i], 0, NAME_MAX_BYTES);
        random_name(random, scenario.echo_names[i], i);
        scenario.echoes[i] = echo_unset();
        fill_section(random, &scenario, "echo", &scenario.echoes[i], 1.1);
    }
    struct fault fault = {0};
    enum status status = scenario_check(&scenario, &fault);
    if (status != STATUS_OK) {
        print_error("%s: %s (%s)\n", fault.place, fault.wrong, fault.allowed);
    }
    assert_int_equal(status, STATUS_OK);
    return scenario;
}

static void assert_same_plps(const struct scenario *a, const struct scenario *b)
{
    const struct section *section = section_find_in("plp", PAIR_DVB);
    const struct field *field;
    assert_int_equal(section_items(section, a), section_items(section, b));
    for (int i = 0; i < section_items(section, a); i++) {
        int k = section_item_find(section, b, section_item_name(section, a, i));
        assert_true(k >= 0);
        for (field = NULL; (field = section_field_after(section, field)) != NULL;) {
            assert_true(
                field_is_same(field, section_item(section, a, i), section_item(section, b, k)));
        }
    }
}

static void assert_same_section(const char *section, const void *a, const void *b)
{
    const struct field *field;
    for (field = NULL; (field = section_field_after(section_find(section), field)) != NULL;) {
        char one[FIELD_TEXT_BYTES], other[FIELD_TEXT_BYTES];
        field_format(field, a, one, sizeof one);
        field_format(field, b, other, sizeof other);
        assert_string_equal(one, other);
    }
}

/* Echoes and stations by name: a profile that keeps some of its text keeps their order in it. */
static void assert_same(const struct scenario *a, const struct scenario *b)
{
    static const char *const sections[] = {"site",  "mode",     "dvbt", "dvbt2",
                                           "first", "receiver", "place"};
    for (size_t i = 0; i < sizeof sections / sizeof sections[0]; i++) {
        bool first_of_plps = strcmp(sections[i], "dvbt2") == 0 && a->dvbt2.plp_count > 0;
        if (!first_of_plps) { /* which one is the first hangs on the order in the file */
            assert_same_section(sections[i], a, b);
        }
    }
    if (a->site.pair == PAIR_DVB) {
        assert_same_plps(a, b);
    }
    assert_int_equal(a->transmission.subframes[0].waveform.bandwidth_mhz,
                     b->transmission.subframes[0].waveform.bandwidth_mhz);
    assert_int_equal(a->station_count, b->station_count);
    assert_int_equal(a->echo_count, b->echo_count);
    for (int i = 0; i < a->station_count; i++) {
        int k = 0;
        while (k < b->station_count && strcmp(a->stations[i].name, b->stations[k].name) != 0) {
            k++;
        }
        assert_true(k < b->station_count);
        assert_same_section("station", &a->stations[i], &b->stations[k]);
    }
    for (int i = 0; i < a->echo_count; i++) {
        int k = 0;
        while (k < b->echo_count && strcmp(a->echo_names[i], b->echo_names[k]) != 0) {
            k++;
        }
        assert_true(k < b->echo_count);
        assert_same_section("echo", &a->echoes[i], &b->echoes[k]);
    }
}

static struct profile written_and_read(const struct profile *profile)
{
    struct text text = {0};
    struct fault fault = {0};
    struct profile read = {.scenario = scenario_default()};
    enum status status = profile_write_text(profile, &text, &fault);
    if (status == STATUS_OK) {
        status = profile_read_text(text_string(&text), text.length, &read, &fault);
    }
    if (status != STATUS_OK) {
        print_error("%s: %s (%s) in\n%s\n", fault.place, fault.wrong, fault.allowed,
                    text_string(&text));
    }
    assert_int_equal(status, STATUS_OK);
    text_free(&text);
    return read;
}

static void any_scenario_is_read_as_it_was_written(void **state)
{
    (void)state;
    struct random random = random_seeded(11, 0);
    for (size_t i = 0; i < rounds(); i++) {
        struct profile profile = {.scenario = random_scenario(&random)};
        struct profile read = written_and_read(&profile);
        assert_same(&profile.scenario, &read.scenario);
        for (int k = 0; k < read.scenario.echo_count; k++) {
            assert_string_equal(read.scenario.echo_names[k], profile.scenario.echo_names[k]);
        }
        profile_free(&read);
    }
}

static void any_profile_can_become_any_other(void **state)
{
    (void)state;
    struct random random = random_seeded(12, 0);
    struct profile profile = {.scenario = random_scenario(&random)};
    for (size_t i = 0; i < rounds(); i++) {
        struct profile next = written_and_read(&profile);
        assert_same(&profile.scenario, &next.scenario);
        profile_free(&profile);
        profile = next;
        profile.scenario = random_scenario(&random);
        if (profile.original.length > 60000) { /* start afresh before it grows without end */
            text_free(&profile.original);
        }
    }
    profile_free(&profile);
}

static void what_is_not_changed_is_not_written_anew(void **state)
{
    (void)state;
    struct random random = random_seeded(13, 0);
    for (size_t i = 0; i < rounds() / 4; i++) {
        struct profile profile = {.scenario = random_scenario(&random)};
        struct profile read = written_and_read(&profile);
        struct text again = {0};
        struct fault fault;
        assert_int_equal(profile_write_text(&read, &again, &fault), STATUS_OK);
        assert_string_equal(text_string(&again), text_string(&read.original));
        text_free(&again);
        profile_free(&read);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_scenario_is_read_as_it_was_written),
        cmocka_unit_test(any_profile_can_become_any_other),
        cmocka_unit_test(what_is_not_changed_is_not_written_anew),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
