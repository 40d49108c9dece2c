/* Every word that stands on a screen finds its explanation. The words are taken from where they are
 * written: tables of settings and figures, accounts, pictures, and tables as they are printed. */
#include "support/near.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/facts/facts.h"
#include "present/picture/pictures.h"
#include "profile/profile.h"
#include "scenario/field.h"
#include "study/divide/divide.h"
#include "study/explain/explain.h"
#include "study/place/place.h"
#include "study/reading/log.h"
#include "support/run.h"

static int asked, unknown;

/* Names of systems, and what is no matter of television. */
static const char *const plain[] = {"Quantity", "Value", "Unit", "8-VSB", "OFDM",
                                    "Change",   "now",   "Move", "pinned"};

static void expect(const char *where, const char *words)
{
    asked++;
    for (size_t i = 0; i < sizeof plain / sizeof plain[0]; i++) {
        if (strcmp(plain[i], words) == 0) {
            return;
        }
    }
    if (words[0] != '\0' && !explain_find_words(words) && !fact_find(words) &&
        !fact_picture(words)) {
        print_error("%s: nothing explains \"%s\"\n", where, words);
        unknown++;
    }
}

static int begin(void **state)
{
    (void)state;
    asked = unknown = 0;
    return 0;
}

static void titles_of_settings_are_explained(void **state)
{
    (void)state;
    for (size_t i = 0; i < field_count(); i++) {
        expect("settings", field_at(i)->title);
        expect("settings", field_at(i)->label ? field_at(i)->label : "");
    }
    assert_true(asked > 150);
    assert_int_equal(unknown, 0);
}

static void what_settings_are_set_to_is_explained(void **state)
{
    (void)state;
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        for (int k = (int)field->low; field->type == FIELD_CHOICE && k <= (int)field->high; k++) {
            const char *value = field->choice(k);
            if (strcmp(value, "none") != 0 && strcmp(value, "auto") != 0) {
                expect("settings", value);
            }
        }
    }
    assert_true(asked > 100);
    assert_int_equal(unknown, 0);
    assert_string_equal(explain_find_words("GI5_1024")->name, "mode.guard");
    assert_string_equal(explain_find_words("PP4")->name, "dvbt2.pilots");
    assert_string_equal(explain_find_words("slicer")->name, "first.feedback");
}

static void labels_of_figures_are_explained(void **state)
{
    (void)state;
    const struct figure_table *const tables[] = {
        &generation_figures, &conditions_figures,      &rf_figures, &place_figures, &log_figures,
        &division_figures,   &division_service_figures};
    for (size_t t = 0; t < sizeof tables / sizeof tables[0]; t++) {
        for (size_t i = 0; i < tables[t]->count; i++) {
            expect("figures", tables[t]->rows[i].label);
            expect("figures", figure_brief(&tables[t]->rows[i]));
        }
    }
    assert_true(asked > 200);
    assert_int_equal(unknown, 0);
}

static struct profile profile;
static struct report report;

static void read_room(void)
{
    assert_int_equal(profile_read_file("profiles/indoor-high-vhf.ini", &profile, NULL), STATUS_OK);
    profile.scenario.receiver.positions = 8; /* words, not figures */
    assert_int_equal(report_make(&profile.scenario, &report, NULL), STATUS_OK);
}

static void steps_of_accounts_are_explained(void **state)
{
    (void)state;
    read_room();
    struct account_rows beside;
    accounts_beside(&report.verdicts, &beside);
    for (int i = 0; i < beside.count; i++) {
        expect("accounts", beside.rows[i].step);
    }
    for (int kind = 0; kind < LOSS_KIND_COUNT; kind++) {
        expect("losses", loss_kind_name((enum loss_kind)kind));
    }
    for (int g = 0; g < GENERATION_COUNT; g++) {
        struct account account;
        verdict_account(&report.verdicts.of[g], &account);
        for (int i = 0; i < account.count; i++) {
            expect("account", account.steps[i].step);
        }
    }
    expect("verdict", "verdict");
    expect("verdict", "to spare");
    expect("verdict", "short");
    expect("echo view", "if ideal");
    profile_free(&profile);
    assert_int_equal(unknown, 0);
}

/* A label without the system's name before it and the figure behind it. */
static void expect_label(const char *where, const char *label)
{
    char words[64];
    snprintf(words, sizeof words, "%s", label);
    for (int g = 0; g < GENERATION_COUNT; g++) {
        const char *name = report.verdicts.of[g].reception.system->name;
        if (strncmp(words, name, strlen(name)) == 0) {
            memmove(words, words + strlen(name), strlen(words + strlen(name)) + 1);
        } else if (strstr(words, name)) { /* "useful in OFDM" */
            *strstr(words, name) = '\0';
        }
    }
    char *from = words + strspn(words, " ,");
    char *figure = from;
    while (*figure && !(isdigit((unsigned char)*figure) || (*figure == '-' && figure > from))) {
        figure++;
    }
    while (figure > from && strchr(" -+,", figure[-1])) {
        figure--;
    }
    *figure = '\0';
    expect(where, from);
}

static void words_of_pictures_are_explained(void **state)
{
    (void)state;
    read_room();
    const struct picture_case shown = {.scenario = &profile.scenario, .report = &report};
    static const char *const drawn[] = {"delays",  "doppler",   "rate", "carriers",
                                        "account", "positions", "rays"};
    for (size_t i = 0; i < picture_kind_count(); i++) {
        expect("pictures", picture_kind_row(i)->name);
        expect("pictures", picture_kind_row(i)->title);
    }
    for (size_t k = 0; k < sizeof drawn / sizeof drawn[0]; k++) {
        struct picture picture;
        assert_true(picture_kind_make(picture_kind_find(drawn[k]), &shown, &picture));
        expect(drawn[k], picture.x.label);
        expect(drawn[k], picture.y.label);
        for (size_t i = 0; i < picture.series_count; i++) {
            expect_label(drawn[k], picture.series[i].label);
        }
        for (size_t i = 0; i < picture.band_count; i++) {
            expect_label(drawn[k], picture.bands[i].label);
        }
        for (size_t i = 0; i < picture.mark_count; i++) {
            expect_label(drawn[k], picture.marks[i].label);
        }
        picture_free(&picture);
    }
    profile_free(&profile);
    assert_int_equal(unknown, 0);
}

/* Heads of a Markdown table: the row above its rule. */
static void expect_heads(const char *line, char *head)
{
    for (char *word = strtok(head, "|\n"); word; word = strtok(NULL, "|\n")) {
        word += strspn(word, " ");
        word[strcspn(word, "(")] = '\0'; /* the unit */
        size_t length = strlen(word);
        while (length > 0 && word[length - 1] == ' ') {
            word[--length] = '\0';
        }
        expect(line, word);
    }
}

static void heads_of_tables_are_explained(void **state)
{
    (void)state;
    static const char *const lines[] = {
        "report profiles/indoor-high-vhf.ini --set receiver.positions=4 --format markdown",
        "echo profiles/indoor-high-vhf.ini --set receiver.positions=4 --format markdown",
        "weigh profiles/indoor-high-vhf.ini --set receiver.positions=4 --top 2 --format markdown"};
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        struct run run = run_line(lines[i]);
        assert_int_equal(run.status, 0);
        char *before = NULL;
        for (char *at = run.out; *at; at += strcspn(at, "\n") + (at[strcspn(at, "\n")] == '\n')) {
            if (before && strspn(at, "|-: ") == strcspn(at, "\n") && *at == '|') {
                char head[400];
                snprintf(head, sizeof head, "%.*s", (int)strcspn(before, "\n"), before);
                expect_heads(lines[i], head);
            }
            before = at;
        }
        run_free(&run);
    }
    assert_true(asked > 20);
    assert_int_equal(unknown, 0);
}

static void facts_tells_what_was_asked_by_any_word(void **state)
{
    (void)state;
    static const char *const lines[][2] = {{"facts margin", "margin, with echoes and motion"},
                                           {"facts Required%20SNR", "receiver SNR"},
                                           {"facts wrong%20decisions", "lost to decisions"}};
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        struct run run = run_line(lines[i][0]);
        assert_int_equal(run.status, 0);
        assert_non_null(strstr(run.out, lines[i][1]));
        run_free(&run);
    }
    struct run run = run_line("facts decision");
    assert_int_equal(run.status, 2);
    assert_non_null(strstr(
        run.err, "nothing is named just \"decision\" (decisions fed back, lost to decisions)"));
    run_free(&run);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup(titles_of_settings_are_explained, begin),
        cmocka_unit_test_setup(what_settings_are_set_to_is_explained, begin),
        cmocka_unit_test_setup(labels_of_figures_are_explained, begin),
        cmocka_unit_test_setup(steps_of_accounts_are_explained, begin),
        cmocka_unit_test_setup(words_of_pictures_are_explained, begin),
        cmocka_unit_test_setup(heads_of_tables_are_explained, begin),
        cmocka_unit_test(facts_tells_what_was_asked_by_any_word),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
