#include "support/near.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "command/simulate/simulate.h"
#include "profile/profile.h"
#include "scenario/scenario.h"
#include "scenario/section.h"
#include "study/divide/divide.h"
#include "study/explain/explain.h"
#include "study/place/place.h"
#include "study/reading/log.h"

/* Every name that pages promise, and what stands in no table: those of profiles are fields, those
 * of JSON are figures. */
static const char *const promised[] = {"page.marks",
                                       "weigh.limits",
                                       "weigh.order",
                                       "weigh.keep",
                                       "weigh.moves",
                                       "second.frontier",
                                       "page.system",
                                       "page.lock",
                                       "page.level_percent",
                                       "page.quality_percent",
                                       "page.error_rate",
                                       "page.error_rate_before",
                                       "page.error_rate_after",
                                       "page.corrected",
                                       "page.receiver_margin_db",
                                       "page.needed_snr_db",
                                       "page.fec_blocks",
                                       "page.signalling",
                                       "page.subframe_count",
                                       "page.error_rate_inner",
                                       "page.iterations",
                                       "page.ofdm_symbols",
                                       "page.errors",
                                       "page.bit_rate_mbps",
                                       "page.virtual_channel",
                                       "page.identity",
                                       "page.plp",
                                       "page.plp_count",
                                       "page.subframe",
                                       "page.last_boundary",
                                       "page.hybrid_interleaver",
                                       "page.snr_before",
                                       "page.not_computed"};

/* A scenario with every number known; the report's figures need only be numbers here. */
struct fixture {
    struct scenario scenario;
    struct report report;
    struct explain_context context;
};

static struct fixture *fixture_make(void)
{
    struct fixture *f = calloc(1, sizeof *f);
    assert_non_null(f);
    f->scenario.site = (struct site){.rf_channel = 10, .center_mhz = 195.0, .bandwidth_mhz = 6};
    f->scenario.transmission = transmission_default();
    f->scenario.first = (struct first_receiver){.threshold_db = 14.9,
                                                .equaliser_before_us = 29.5,
                                                .equaliser_after_us = 38.5,
                                                .tracking_hz = 10.0,
                                                .implementation_loss_db = 1.0};
    f->scenario.receiver =
        (struct receiver){.noise_figure_db = 7.0, .snr_db = 24.0, .level_dbm = -61.0};
    f->scenario.place = (struct place){.receive_height_m = 10.0, .location_percent = 50.0};
    f->scenario.station_count = 1;
    f->scenario.stations[0] =
        (struct station){.rf_channel = 10, .erp_kw = 30.0, .height_m = 150.0, .distance_km = 25.0};
    f->scenario.echo_count = 1;
    f->scenario.echoes[0] = (struct echo){.delay_us = 12.5, .level_db = -10.0};
    struct verdict *second = &f->report.verdicts.of[GENERATION_SECOND];
    f->report.verdicts.of[GENERATION_FIRST].facts.required_snr_db = 15.9;
    second->facts.required_snr_db = 22.0;
    second->facts.frame_ms = 249.0;
    second->facts.reach_us = 197.5;
    second->reception.needed_db = 22.0;
    for (int i = 0; i < GENERATION_COUNT; i++) {
        f->report.verdicts.of[i].known = true;
    }
    f->context = (struct explain_context){&f->scenario, &f->report};
    return f;
}

static void every_promised_name_has_an_entry(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof promised / sizeof promised[0]; i++) {
        if (!explain_find(promised[i])) {
            fail_msg("no entry for %s", promised[i]);
        }
    }
    assert_null(explain_find("mode.colour"));
    assert_null(explain_find("colour"));
    assert_null(explain_find(""));
    assert_string_equal(explain_find("ECHO_US")->name, "second.echo_us");
    assert_string_equal(explain_find("guard")->name, "mode.guard");
}

static void every_key_of_a_profile_has_an_entry(void **state)
{
    (void)state;
    assert_true(field_count() > 40);
    for (size_t i = 0; i < field_count(); i++) {
        char name[FIELD_TEXT_BYTES];
        field_name(field_at(i), name, sizeof name);
        if (!explain_find(name)) {
            fail_msg("no entry for the key %s", name);
        }
    }
}

/* Calls for each figure of each study. */
static void visit_figures(const char *part, const struct figure_list *list,
                          void (*visit)(const char *name, void *owner), void *owner)
{
    for (size_t i = 0; i < list->count; i++) {
        char name[96];
        text_format(name, sizeof name, "%s.%s", part, list->rows[i]->name);
        visit(name, owner);
    }
}

static void visit_simulation(void (*visit)(const char *name, void *owner), void *owner)
{
    for (size_t i = 0; i < simulate_figures.count; i++) {
        const char *name = simulate_figures.rows[i].name;
        if (strcmp(name, "bits") != 0 && strcmp(name, "run") != 0 && strcmp(name, "seed") != 0 &&
            strcmp(name, "part") != 0) { /* for merging only */
            struct figure_list one = {1, {&simulate_figures.rows[i]}};
            visit_figures("simulate", &one, visit, owner);
        }
    }
}

static void visit_every_figure(void (*visit)(const char *name, void *owner), void *owner)
{
    static const char *const parts[GENERATION_COUNT] = {"first", "second"};
    const struct scenario scenario = scenario_default();
    const struct {
        const char *part;
        struct figure_list list;
    } tables[] = {{"rf", figures_all(&rf_figures)},
                  {"conditions", figures_all(&conditions_figures)},
                  {"place", figures_all(&place_figures)},
                  {"readings", figures_all(&log_figures)},
                  {"divide", figures_all(&division_figures)},
                  {"divide", figures_all(&division_service_figures)},
                  {"first", figures_compared()},
                  {"second", figures_compared()}};
    for (size_t i = 0; i < sizeof tables / sizeof tables[0]; i++) {
        visit_figures(tables[i].part, &tables[i].list, visit, owner);
    }
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct system *system = system_of(&scenario, (enum generation)i);
        struct figure_list own = figures_named(&generation_figures, system->figures);
        struct figure_list fared = figures_named(&generation_figures, system->fare_figures);
        visit_figures(parts[i], &own, visit, owner);
        visit_figures(parts[i], &fared, visit, owner);
        if (system->plp_figures != NULL) {
            struct figure_list pipes = figures_named(&generation_figures, system->plp_figures);
            visit_figures("plp", &pipes, visit, owner);
        }
    }
    visit_simulation(visit, owner);
}

static void expect_entry(const char *name, void *owner)
{
    int *count = owner;
    if (!explain_find(name)) {
        fail_msg("no entry for the figure %s", name);
    }
    (*count)++;
}

static void every_figure_of_every_study_has_an_entry(void **state)
{
    (void)state;
    int count = 0;
    visit_every_figure(expect_entry, &count);
    assert_true(count > 150);
}

struct search {
    const struct explanation *entry;
    bool found;
};

static void look_for_entry(const char *name, void *owner)
{
    struct search *search = owner;
    search->found = search->found || explain_find(name) == search->entry ||
                    explain_find_in(PAIR_DVB, name) == search->entry;
}

/* Calls for each figure that the systems of a pair show. */
static void visit_pair(enum pair pair, void (*visit)(const char *name, void *owner), void *owner)
{
    static const char *const parts[GENERATION_COUNT] = {"first", "second"};
    const struct scenario scenario = scenario_default_of(pair);
    const struct {
        const char *part;
        struct figure_list list;
    } shared[] = {{"rf", figures_all(&rf_figures)},
                  {"conditions", figures_all(&conditions_figures)},
                  {"place", figures_all(&place_figures)},
                  {"readings", figures_all(&log_figures)}};
    struct figure_list compared = figures_compared();
    for (size_t i = 0; i < sizeof shared / sizeof shared[0]; i++) {
        visit_figures(shared[i].part, &shared[i].list, visit, owner);
    }
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct system *system = system_of(&scenario, (enum generation)i);
        struct figure_list own = figures_named(&generation_figures, system->figures);
        struct figure_list fared = figures_named(&generation_figures, system->fare_figures);
        visit_figures(parts[i], &own, visit, owner);
        visit_figures(parts[i], &fared, visit, owner);
        visit_figures(parts[i], &compared, visit, owner);
        if (system->plp_figures != NULL) {
            struct figure_list pipes = figures_named(&generation_figures, system->plp_figures);
            visit_figures("plp", &pipes, visit, owner);
        }
    }
}

/* These tell what can be chosen, or what is taken over from the other pair, and say so. */
static const char *const names_both[] = {"site.pair",
                                         "place.method",
                                         "place.time_percent",
                                         "place.field_dbuvm",
                                         "place.effective_height_m",
                                         "place.headroom_db",
                                         "place.interference_dbm"};

/* What no word about DVB-T and DVB-T2 may speak of. */
static void expect_words_of_dvb(const char *name, void *owner)
{
    static const char *const foreign[] = {"ATSC",
                                          "VSB",
                                          "A/3",
                                          "A/7",
                                          "FCC",
                                          "OET",
                                          "47 CFR",
                                          "United States",
                                          "US ",
                                          "L1-Basic",
                                          "6 MHz",
                                          "pilot boost",
                                          "carrier reduction"};
    const struct explanation *entry = explain_find_in(PAIR_DVB, name);
    int *count = owner;
    for (size_t i = 0; i < sizeof names_both / sizeof names_both[0]; i++) {
        if (strcmp(names_both[i], name) == 0) {
            return;
        }
    }
    if (!entry) {
        fail_msg("no entry for the figure %s of DVB", name);
        return;
    }
    const char *const texts[] = {entry->sentence, entry->paragraph, entry->formula, entry->source};
    for (size_t t = 0; t < sizeof texts / sizeof texts[0]; t++) {
        for (size_t i = 0; i < sizeof foreign / sizeof foreign[0]; i++) {
            if (strstr(texts[t], foreign[i])) {
                fail_msg("%s (%s) speaks of %s: %s", name, entry->name, foreign[i], texts[t]);
            }
        }
    }
    (*count)++;
}

/* Calls for each key of the sections that count in a pair. */
static void visit_keys(enum pair pair, void (*visit)(const char *name, void *owner), void *owner)
{
    for (size_t i = 0; i < section_count(); i++) {
        const struct field *field = NULL;
        const struct section *section = section_at(i);
        while (section_counts_in(section, pair) &&
               (field = section_field_after(section, field)) != NULL) {
            char name[FIELD_TEXT_BYTES];
            field_name(field, name, sizeof name);
            visit(name, owner);
        }
    }
}

/* A page's words, as far as they are of both pairs. */
static void visit_page(void (*visit)(const char *name, void *owner), void *owner)
{
    for (size_t i = 0; i < explain_count(); i++) {
        const char *name = explain_at(i)->name;
        const char *const both = "page.system"; /* names the systems of both pairs */
        bool other = strstr(explain_at(i)->source, "A/322") != NULL; /* of the other pair alone */
        if (strncmp(name, "page.", 5) == 0 && strcmp(name, both) != 0 && !other) {
            visit(name, owner);
        }
    }
}

static void every_figure_and_key_of_dvb_is_told_in_its_own_words(void **state)
{
    (void)state;
    static const char *const simulated[] = {
        "simulate.snr_db",     "simulate.frames",     "simulate.planned", "simulate.frame_errors",
        "simulate.bit_errors", "simulate.fer",        "simulate.fer_low", "simulate.fer_high",
        "simulate.ber",        "simulate.iterations", "simulate.ser"};
    int count = 0;
    visit_pair(PAIR_DVB, expect_words_of_dvb, &count);
    for (size_t i = 0; i < sizeof simulated / sizeof simulated[0]; i++) {
        expect_words_of_dvb(simulated[i], &count);
    }
    visit_page(expect_words_of_dvb, &count);
    visit_keys(PAIR_DVB, expect_words_of_dvb, &count);
    assert_true(count > 100);
    assert_string_equal(explain_find_in(PAIR_DVB, "second.guard")->name, "dvbt2.guard");
    assert_string_equal(explain_find_in(PAIR_DVB, "first.guard")->name, "dvbt.guard");
    assert_string_equal(explain_find_in(PAIR_DVB, "net_mbps")->name, "dvb.net_mbps");
    assert_string_equal(explain_find_in(PAIR_ATSC, "net_mbps")->name, "second.net_mbps");
}

static void every_entry_is_promised_or_shared(void **state)
{
    (void)state;
    for (size_t e = 0; e < explain_count(); e++) {
        const char *name = explain_at(e)->name;
        struct search search = {explain_at(e), false};
        visit_every_figure(look_for_entry, &search);
        visit_pair(PAIR_DVB, look_for_entry, &search);
        visit_keys(PAIR_DVB, look_for_entry, &search);
        visit_page(look_for_entry, &search);
        bool found = field_named(name) || search.found;
        for (size_t i = 0; i < sizeof promised / sizeof promised[0]; i++) {
            found = found || strcmp(promised[i], name) == 0;
        }
        if (!found) {
            fail_msg("%s explains nothing that exists", name);
        }
        for (size_t other = 0; other < e; other++) {
            assert_string_not_equal(explain_at(other)->name, name);
        }
    }
    assert_null(explain_at(explain_count()));
}

static void every_formula_finds_its_numbers(void **state)
{
    (void)state;
    struct fixture *f = fixture_make();
    for (size_t e = 0; e < explain_count(); e++) {
        const struct explanation *entry = explain_at(e);
        struct text out = {0};
        if (!explain_formula(entry, &f->context, &out)) {
            fail_msg("%s: a number of its formula does not exist: %s", entry->name,
                     text_string(&out));
        }
        assert_null(strpbrk(text_string(&out), "{}"));
        if (strcmp(entry->name, "place.entry_loss_db") != 0) {
            assert_null(strstr(text_string(&out), "nan"));
        }
        text_free(&out);
    }
    free(f);
}

static void numbers_that_are_not_there_are_unknown(void **state)
{
    (void)state;
    struct explain_context nothing = {NULL, NULL};
    for (size_t e = 0; e < explain_count(); e++) {
        struct text out = {0};
        assert_true(explain_formula(explain_at(e), &nothing, &out));
        if (strchr(explain_at(e)->formula, '{')) {
            if (!strstr(explain_at(e)->formula, "{vsb") &&
                !strstr(text_string(&out), "(?: not said here)")) {
                fail_msg("%s: %s", explain_at(e)->name, text_string(&out));
            }
        }
        text_free(&out);
    }
    struct explanation broken = *explain_find("mode.fft");
    struct text out = {0};
    broken.formula = "{no_such_number:1}";
    assert_false(explain_formula(&broken, &nothing, &out));
    broken.formula = "{unclosed";
    assert_false(explain_formula(&broken, &nothing, &out));
    broken.formula = "{xy} {first.no_such} {mode.fft}";
    assert_false(explain_formula(&broken, &nothing, &out));
    text_free(&out);
    /* Of a station, of an echo and of what this pair has none of. */
    struct scenario scenario = scenario_default_of(PAIR_DVB);
    struct explain_context empty = {&scenario, NULL};
    broken.formula = "{erp_dbk:1} {echo_path_km:1} {plp.layer}";
    for (int i = 0; i < 2; i++) {
        assert_true(explain_formula(&broken, i ? &empty : &nothing, &out));
        assert_string_equal(text_string(&out), "? ? ? (?: not said here)");
        text_free(&out);
    }
    scenario.dvbt2.plp_count = 1;
    assert_true(explain_formula(&broken, &empty, &out));
    assert_string_equal(text_string(&out), "? ? ? (?: not said here)");
    text_free(&out);
    scenario = scenario_default();
    scenario.transmission.signalling.l1_detail_bits = 808;
    broken.formula = "{l1_detail_bits}";
    assert_true(explain_formula(&broken, &empty, &out));
    assert_string_equal(text_string(&out), "808");
    text_free(&out);
}

static void what_nothing_is_called_explains_nothing(void **state)
{
    (void)state;
    char near[200], small[24];
    assert_null(explain_find_in(PAIR_DVB, "nothing.there"));
    assert_null(explain_find_in(PAIR_DVB, "nothing"));
    assert_null(explain_find_words("none"));
    assert_null(explain_find_words("auto"));
    assert_non_null(explain_find_words("trellis"));
    explain_near_words("", near, sizeof near);
    assert_string_equal(near, "");
    explain_near_words("margin", near, sizeof near);
    explain_near_words("margin", small, sizeof small); /* as many as fit */
    assert_true(strlen(small) < strlen(near) && strlen(near) < sizeof near);
    assert_true(strlen(small) > 0);
}

static void assert_formula_has(const struct fixture *f, const char *name, const char *expected)
{
    struct text out = {0};
    assert_true(explain_formula(explain_find(name), &f->context, &out));
    if (!strstr(text_string(&out), expected)) {
        fail_msg("%s: \"%s\" is not in \"%s\"", name, expected, text_string(&out));
    }
    text_free(&out);
}

/* Worked by hand from the documents' constants, not by the program. */
static void formulas_show_the_right_numbers(void **state)
{
    (void)state;
    struct fixture *f = fixture_make();
    /* 1024 / 6.912 = 148.148; 16384 / 6.912 = 2370.370; together 2518.519; 5.88 %. */
    assert_formula_has(f, "mode.guard", "1024 samples / 6.912 MHz = 148.1 us, a path 44.4 km");
    assert_formula_has(f, "mode.guard", "148.1 / 2518.5 = 5.9 %");
    assert_formula_has(f, "mode.fft", "16384 samples / 6.912 MHz = 2370.4 us");
    assert_formula_has(f, "mode.fft", "421.9 Hz");
    assert_formula_has(f, "mode.rate", "8 bits x 10/15 = 5.33");
    assert_formula_has(f, "mode.reduction", "13825 - 0 x 192 = 13825");
    assert_formula_has(f, "mode.l1_basic_mode", "3820"); /* Table 6.17 */
    assert_formula_has(f, "mode.outer", "43200; less 192 bits of outer code (BCH) = 43008");
    assert_formula_has(f, "second.needed_snr_db", "22.00 dB");
    /* A receiver that takes 1 dB needs that more, wherever it is told. */
    assert_formula_has(f, "first.required_snr_db", "14.9 dB + 1.0 dB = 15.9 dB");
    assert_formula_has(f, "first.field_dbuvm", "15.9 dB C/N in high VHF");
    assert_formula_has(f, "place.needed_snr_db", "first 15.9 dB, second 22.0 dB");
    assert_formula_has(f, "readings.needed_snr_db", "15.9 dB for 8-VSB");
    assert_formula_has(f, "first.net_mbps", "= 19.393 Mbit/s"); /* ATSC A/53 */
    assert_formula_has(f, "first.speed_kmh", "= 55 km/h");  /* 299.79 x 10 / 195 x 3.6 = 55.35 */
    assert_formula_has(f, "station.height_m", "= 63.5 km"); /* 4.12 (12.247 + 3.162) = 63.49 */
    assert_formula_has(f, "station.distance_km", "= 93.7 dBuV/m"); /* 106.92 + 14.77 - 27.96 */
    assert_formula_has(f, "echo.level_db", "from -3.3 to 2.4 dB");
    assert_formula_has(f, "receiver.antenna_dbd", "0.0 dBd = 2.15 dBi");
    assert_formula_has(f, "receiver.noise_figure_db", "= -99.2 dBm");
    free(f);
}

/* In the second pair both generations have the same figures: what is explained of the one must not
 * show the other's number alone. */
static void a_figure_of_dvb_t_is_explained_by_its_own_number(void **state)
{
    (void)state;
    const struct scenario scenario = scenario_default_of(PAIR_DVB);
    const struct system *system = system_of(&scenario, GENERATION_FIRST);
    const char *const *lists[] = {system->figures, system->fare_figures};
    int explained = 0;
    for (size_t list = 0; list < sizeof lists / sizeof lists[0]; list++) {
        for (const char *const *name = lists[list]; *name; name++) {
            static const char own[] = "{first.";
            char dotted[96];
            snprintf(dotted, sizeof dotted, "first.%s", *name);
            const struct explanation *entry = explain_find_in(PAIR_DVB, dotted);
            assert_non_null(entry);
            if (strstr(entry->formula, "{second.") && !strstr(entry->formula, own)) {
                fail_msg("%s: \"%s\" is the other's", dotted, entry->formula);
            }
            explained += strstr(entry->formula, own) != NULL;
        }
    }
    assert_true(explained > 30);
}

/* ---- Plain words ---- */

struct reading {
    int sentences, words, letters, longest;
};

static void read_words(const char *prose, struct reading *reading)
{
    int words = 0;
    for (const char *at = prose; *at;) {
        size_t length = strcspn(at, " ");
        int letters = 0;
        for (size_t i = 0; i < length; i++) {
            letters += isalpha((unsigned char)at[i]) != 0;
        }
        words += letters > 0;
        reading->words += letters > 0;
        reading->letters += letters;
        bool last = at[length] == '\0';
        if (length > 0 && strchr(".;:?", at[length - 1]) &&
            (last || at[length - 1] != '.' || isupper((unsigned char)at[length + 1]) ||
             isdigit((unsigned char)at[length + 1]))) {
            reading->sentences++;
            reading->longest = words > reading->longest ? words : reading->longest;
            words = 0;
        }
        at += length + !last;
    }
}

/* The automated readability index (Smith and Senter, 1967): 4.71 letters/words + 0.5
 * words/sentences - 21.43, about the school grade that can follow. */
static double readability_index(const struct reading *reading)
{
    return 4.71 * reading->letters / reading->words + 0.5 * reading->words / reading->sentences -
           21.43;
}

static void the_words_are_plain(void **state)
{
    (void)state;
    struct reading all = {0};
    for (size_t e = 0; e < explain_count(); e++) {
        const struct explanation *entry = explain_at(e);
        struct reading own = {0};
        read_words(entry->sentence, &own);
        read_words(entry->paragraph, &own);
        read_words(entry->sentence, &all);
        read_words(entry->paragraph, &all);
        if (own.longest > 28 || readability_index(&own) > 12.0) {
            fail_msg("%s: longest clause %d words, index %.1f", entry->name, own.longest,
                     readability_index(&own));
        }
    }
    assert_between(readability_index(&all), 1.0, 8.0, "eighth grade at most, on the whole");
}

static void every_entry_is_complete(void **state)
{
    (void)state;
    for (size_t e = 0; e < explain_count(); e++) {
        const struct explanation *entry = explain_at(e);
        size_t sentence = strlen(entry->sentence), paragraph = strlen(entry->paragraph);
        assert_true(strlen(explain_title(entry)) > 0);
        assert_true(strlen(entry->formula) > 0);
        assert_true(strlen(entry->source) > 0);
        assert_true(isupper((unsigned char)entry->sentence[0]) ||
                    isdigit((unsigned char)entry->sentence[0]));
        assert_int_equal(entry->sentence[sentence - 1], '.');
        assert_int_equal(entry->paragraph[paragraph - 1], '.');
        assert_null(strstr(entry->sentence, ". ")); /* one sentence */
        assert_string_not_equal(entry->sentence, entry->paragraph);
        for (const char *c = entry->paragraph; *c; c++) {
            assert_true((unsigned char)*c >= ' ' && (unsigned char)*c < 127);
        }
    }
}

/* A name that ends in a unit is explained with that unit. */
static void units_are_mentioned(void **state)
{
    (void)state;
    static const struct {
        const char *ending, *unit;
    } units[] = {{"_us", "us"},       {"_km", "km"},        {"_hz", "Hz"},    {"_db", "dB"},
                 {"_mbps", "Mbit/s"}, {"_dbuvm", "dBuV/m"}, {"_dbm", "dBm"},  {"_kmh", "km/h"},
                 {"_mhz", "MHz"},     {"_ms", " ms"},       {"_kw", "kW"},    {"_m", " m"},
                 {"_dbd", "dBd"},     {"_deg", "degrees"},  {"_percent", "%"}};
    int checked = 0;
    for (size_t e = 0; e < explain_count(); e++) {
        const struct explanation *entry = explain_at(e);
        for (size_t u = 0; u < sizeof units / sizeof units[0]; u++) {
            const char *at = strrchr(entry->name, '_');
            if (!at || strcmp(at, units[u].ending) != 0) {
                continue;
            }
            checked++;
            if (!strstr(entry->formula, units[u].unit) ||
                (!strstr(entry->sentence, units[u].unit) &&
                 !strstr(entry->paragraph, units[u].unit) &&
                 !strstr(entry->sentence, "microseconds") && strcmp(at, "_percent") != 0)) {
                fail_msg("%s does not speak of %s", entry->name, units[u].unit);
            }
        }
    }
    assert_true(checked > 50);
}

static void assert_says(const char *name, const char *words)
{
    const struct explanation *entry = explain_find(name);
    assert_non_null(entry);
    if (!strstr(entry->paragraph, words) && !strstr(entry->sentence, words)) {
        fail_msg("%s does not say \"%s\"", name, words);
    }
}

static void loose_folklore_is_corrected(void **state)
{
    (void)state;
    assert_says("mode.fft", "A longer FFT alone does not tolerate longer echoes");
    assert_says("mode.fft", "so motion (Doppler) does more harm");
    assert_says("receiver.snr_db", "modulation error ratio (MER) after the equaliser");
    assert_says("receiver.level_dbm", "Signal strength does not tell whether the signal decodes");
    assert_says("mode.length", "a few tenths of a dB");
    assert_says("mode.length", "the code rate moves it by many dB");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_promised_name_has_an_entry),
        cmocka_unit_test(every_key_of_a_profile_has_an_entry),
        cmocka_unit_test(every_figure_of_every_study_has_an_entry),
        cmocka_unit_test(every_figure_and_key_of_dvb_is_told_in_its_own_words),
        cmocka_unit_test(every_entry_is_promised_or_shared),
        cmocka_unit_test(every_formula_finds_its_numbers),
        cmocka_unit_test(numbers_that_are_not_there_are_unknown),
        cmocka_unit_test(what_nothing_is_called_explains_nothing),
        cmocka_unit_test(formulas_show_the_right_numbers),
        cmocka_unit_test(a_figure_of_dvb_t_is_explained_by_its_own_number),
        cmocka_unit_test(the_words_are_plain),
        cmocka_unit_test(every_entry_is_complete),
        cmocka_unit_test(units_are_mentioned),
        cmocka_unit_test(loose_folklore_is_corrected),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
