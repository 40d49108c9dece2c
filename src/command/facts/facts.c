/* guardspan facts: the constants and tables in use, with their sources; and any setting or figure
 * explained with its formula, in numbers of the default profile (or of --set). */
#include <string.h>
#include <strings.h>

#include "command/commands.h"
#include "command/complete.h"
#include "command/facts/facts.h"
#include "present/table/notes.h"
#include "scenario/field.h"
#include "scenario/section.h"
#include "study/explain/explain.h"

static const struct fact facts[] = {
    {"8-vsb", "structure and net rate of the first generation", "ATSC A/53 Part 2", fact_vsb,
     PAIR_ATSC},
    {"numerology", "FFT sizes, sample rates, symbol times, carrier spacings",
     "ATSC A/322:2024-04 section 7", fact_numerology, PAIR_ATSC},
    {"carriers", "number of carriers by carrier reduction", "ATSC A/322:2024-04 Table 7.1",
     fact_carriers, PAIR_ATSC},
    {"guard", "guard intervals: samples, time, longer path",
     "ATSC A/322:2024-04 Tables 8.3 and 8.9", fact_guard, PAIR_ATSC},
    {"pilots", "scattered pilot patterns by guard interval and FFT size",
     "ATSC A/322:2024-04 Table 8.3 (SISO)", fact_pilots, PAIR_ATSC},
    {"boosts", "power of pilots over a data carrier's", "ATSC A/322:2024-04 Tables 8.4 and 8.5",
     fact_boosts, PAIR_ATSC},
    {"cells", "data cells of data and boundary symbols, counted by the pilots' rules",
     "computed from ATSC A/322:2024-04 section 8.1, Annexes D and F", fact_cells, PAIR_ATSC},
    {"preamble", "cells of preamble symbols, counted by the pilots' rules",
     "computed from ATSC A/322:2024-04 section 8.1 (Table 7.2)", fact_preamble, PAIR_ATSC},
    {"l1", "cells that L1 signalling takes", "ATSC A/322:2024-04 Table 6.17 and section 6.5.2.8",
     fact_l1, PAIR_ATSC},
    {"structures",
     "preamble structures that the bootstrap tells, one for each mode 1 to 5 of L1-Basic",
     "ATSC A/322:2024-04 Table H.1.1", fact_structures, PAIR_ATSC},
    {"layers", "injection levels of layered division",
     "ATSC A/322:2024-04 Tables 6.15, 6.16 and 9.24; needed SNR derived", fact_layers, PAIR_ATSC},
    {"codes", "payload bits of a code block by outer code", "ATSC A/322:2024-04 Tables 6.5-6.7",
     fact_codes, PAIR_ATSC},
    {"constellations", "bits a cell, and the code lengths they go with",
     "ATSC A/322:2024-04 Tables 6.8-6.11", fact_constellations, PAIR_ATSC},
    {"interleavers", "convolutional time interleavers", "ATSC A/322:2024-04 section 7.1.4",
     fact_interleavers, PAIR_ATSC},
    {"channels", "the channel plans of the pairs",
     "47 CFR 73.603; ITU Region 1, GE06 (from memory)", fact_channels, PAIR_COUNT},
    {"thresholds", "SNR that each constellation and code rate needs",
     "computed: mutual information of ATSC A/322:2024-04 Annex C; ideal SNR simulated with its "
     "codes by sum-product decoding of at most 50 iterations (make thresholds, seed 322): frame "
     "error rate 1e-4, extrapolated from the one that was counted to; +-: standard error",
     fact_thresholds, PAIR_ATSC},
    {"receiver", "loss from noisy pilots by pattern and boost", "ATSC A/327 Annex B", fact_receiver,
     true},
    {"equaliser", "defaults of the first generation's receiver",
     "ATSC A/54A; \"An 8-VSB DTV receiver for indoor and distributed transmission environments\" "
     "(IEEE); tracking: common practice",
     fact_equaliser, PAIR_ATSC},
    {"dvb-t-numerology", "FFT sizes, times, carriers and cells of DVB-T",
     "EN 300 744 V1.6.1 4.4, annexes F and G", fact_dvbt, PAIR_DVB},
    {"dvb-t-rates", "net rates of DVB-T in 8 MHz", "EN 300 744 V1.6.1 table 17, by its formula",
     fact_dvbt_rates, PAIR_DVB},
    {"dvb-t-thresholds", "SNR that each constellation, code rate and stream of DVB-T needs",
     "computed: mutual information; simulated with the standard's inner code (make dvbt, seed 20): "
     "bit error rate 2e-4 before the Reed-Solomon code, the pilots' power counted; table A.1: from "
     "memory",
     fact_dvbt_thresholds, PAIR_DVB},
    {"dvb-t2-numerology", "FFT sizes, times, carriers and P2 symbols of DVB-T2 in 8 MHz",
     "EN 302 755 V1.4.1 tables 45, 47 and 65 to 67", fact_dvbt2, PAIR_DVB},
    {"dvb-t2-pilots", "legal guard intervals and pilot patterns of DVB-T2, their cells in 8 MHz",
     "EN 302 755 V1.4.1 tables 48 to 50, 57, 58, 60 and 64, normal carriers", fact_dvbt2_pilots,
     false},
    {"dvb-t2-codes", "bits of a code block of DVB-T2", "EN 302 755 V1.4.1 tables 6 and 7",
     fact_dvbt2_codes, PAIR_DVB},
    {"dvb-t2-thresholds", "SNR that each constellation and code of DVB-T2 needs",
     "computed: mutual information; ideal SNR simulated with its codes (seed 20): frame error rate "
     "1e-4 behind the BCH code, extrapolated; genie-aided: TS 102 831 V1.2.1 table 44, from memory",
     fact_dvbt2_thresholds, PAIR_DVB},
    {"planning", "planning factors by band",
     "FCC OET Bulletin 69; Region 1: GE06 and ITU-R BT.2033 (from memory)", fact_planning,
     PAIR_COUNT},
    {"noise", "man-made noise over thermal noise (kTB)",
     "ITU-R P.372 Part 6; a city above 250 MHz: edition -8", fact_noise, PAIR_COUNT},
    {"methods", "field strength of 1 kW from 150 m to 1.5 m at 615 MHz, by each method",
     "computed: ITU-R P.1546, 47 CFR 73.699, ITU-R P.525, P.526, P.1546-3 Annex 7 (Hata's suburbs "
     "and "
     "open land: from memory)",
     fact_methods, PAIR_COUNT},
    {"buildings", "median building entry loss", "ITU-R P.2109, P = 0.5", fact_buildings,
     PAIR_COUNT},
    {"locations", "allowance for the share of locations, spread 5.5 dB",
     "ITU-R P.1546-3 Table 2, digital broadcasting", fact_locations, PAIR_COUNT},
    {"keys", "sections and keys of a profile", "this program", fact_keys, PAIR_COUNT},
};

size_t fact_count(void)
{
    return sizeof facts / sizeof facts[0];
}

const struct fact *fact_row(size_t i)
{
    return &facts[i];
}

const struct fact *fact_find(const char *name)
{
    for (size_t i = 0; i < fact_count(); i++) {
        if (strcmp(facts[i].name, name) == 0) {
            return &facts[i];
        }
    }
    return NULL;
}

static struct table list(void)
{
    static const struct table_column columns[] = {{"name", "Name", NULL, 0},
                                                  {"summary", "What it gives", NULL, 0},
                                                  {"source", "Source", NULL, 0}};
    struct table table = table_start(columns, 3);
    for (size_t i = 0; i < fact_count(); i++) {
        table_word(&table, facts[i].name);
        table_word(&table, facts[i].summary);
        table_word(&table, facts[i].source);
    }
    return table;
}

static enum exit_status refuse_name(const struct invocation *invocation)
{
    char allowed[384] = "";
    size_t used = 0;
    explain_near_words(invocation->operands[0], allowed, sizeof allowed);
    if (allowed[0] != '\0') {
        return invocation_refuse(invocation, "facts", allowed, "nothing is named just \"%s\"",
                                 invocation->operands[0]);
    }
    for (size_t i = 0; i < fact_count(); i++) {
        used += text_format(allowed + used, sizeof allowed - used, "%s%s", used ? " " : "",
                            facts[i].name);
    }
    return invocation_refuse(invocation, "facts", allowed, "nothing is named \"%s\"",
                             invocation->operands[0]);
}

/* JSON of one fact: {"name", "source", "rows": [...]}; of all: the list. */
static enum status write_fact_json(const struct fact *fact, const struct table *rows,
                                   struct text *out)
{
    static const struct table_column word[] = {{"word", "", NULL, 0}};
    struct table name = table_start(word, 1), source = table_start(word, 1);
    table_word(&name, fact->name);
    table_word(&source, fact->source);
    const struct member members[] = {{"name", MEMBER_VALUE, &name},
                                     {"source", MEMBER_VALUE, &source},
                                     {"rows", MEMBER_ARRAY, rows}};
    enum status status = members_write_json(members, 3, out);
    table_free(&name);
    table_free(&source);
    return status;
}

static enum status write_fact(const struct fact *fact, enum format format, struct text *out)
{
    struct table rows = fact->make();
    enum status status;
    if (format == FORMAT_JSON) {
        status = write_fact_json(fact, &rows, out);
    } else {
        char note[256];
        text_format(note, sizeof note, "%s: %s.", fact->name, fact->summary);
        note_paragraph(out, format, note);
        text_append(out, format == FORMAT_CSV ? "" : "\n");
        status = table_write(&rows, format, out);
        text_append(out, format == FORMAT_CSV ? "" : "\n");
        text_format(note, sizeof note, "Source: %s.", fact->source);
        note_paragraph(out, format, note);
    }
    table_free(&rows);
    return status;
}

/* The figures that formulas show; what cannot be computed stays unknown. */
struct numbers {
    struct report report;
    bool report_known;
};

static struct numbers numbers_of(const struct scenario *scenario)
{
    struct numbers numbers = {.report_known = false};
    numbers.report_known = report_make(scenario, &numbers.report, NULL) == STATUS_OK;
    return numbers;
}

/* Numbers of a pair that has the setting: DVB-T's guard interval is none of ATSC 3.0. */
static struct scenario scenario_with(const struct explanation *entry,
                                     const struct scenario *scenario)
{
    struct scenario own = *scenario;
    const struct field *field = field_named(entry->name);
    const struct section *section = field ? section_find(field->section) : NULL;
    for (int pair = 0; section && pair < PAIR_COUNT; pair++) {
        if (!section_counts_in(section, own.site.pair) &&
            section_counts_in(section, (enum pair)pair)) {
            scenario_set_pair(&own, (enum pair)pair);
        }
    }
    return own;
}

static enum status write_explanation(const struct explanation *entry,
                                     const struct scenario *scenario, enum format format,
                                     struct text *out)
{
    static const struct table_column columns[] = {
        {"name", "Name", NULL, 0},         {"title", "Title", NULL, 0},
        {"sentence", "In short", NULL, 0}, {"paragraph", "At length", NULL, 0},
        {"formula", "Formula", NULL, 0},   {"source", "Source", NULL, 0}};
    struct scenario own = scenario_with(entry, scenario);
    struct numbers numbers = numbers_of(&own);
    struct explain_context context = {.scenario = &own,
                                      .report = numbers.report_known ? &numbers.report : NULL};
    struct text formula = {0};
    explain_formula(entry, &context, &formula);
    enum status status = formula.failed ? STATUS_NO_MEMORY : STATUS_OK;
    if (status == STATUS_OK && format == FORMAT_TEXT) {
        text_printf(out, "%s (%s)\n\n", explain_title(entry), entry->name);
        note_paragraph(out, format, entry->sentence);
        note_paragraph(out, format, entry->paragraph);
        text_printf(out, "\n%s\n\nSource: %s.\n", text_string(&formula), entry->source);
    } else if (status == STATUS_OK) {
        struct table table = table_start(columns, sizeof columns / sizeof columns[0]);
        table_word(&table, entry->name);
        table_word(&table, explain_title(entry));
        table_word(&table, entry->sentence);
        table_word(&table, entry->paragraph);
        table_word(&table, text_string(&formula));
        table_word(&table, entry->source);
        status = table_write(&table, format, out);
        table_free(&table);
    }
    text_free(&formula);
    return status;
}

const struct picture_kind *fact_picture(const char *words)
{
    for (size_t i = 0; i < picture_kind_count(); i++) {
        const struct picture_kind *kind = picture_kind_row(i);
        if (strcasecmp(kind->name, words) == 0 || strcasecmp(kind->title, words) == 0) {
            return kind;
        }
    }
    return NULL;
}

static enum status write_picture(const struct picture_kind *kind, enum format format,
                                 struct text *out)
{
    static const struct table_column columns[] = {{"name", "Picture", NULL, 0},
                                                  {"shows", "What it shows", NULL, 0}};
    if (format != FORMAT_TEXT) {
        struct table table = table_start(columns, 2);
        table_word(&table, kind->name);
        table_word(&table, kind->help);
        enum status status = table_write(&table, format, out);
        table_free(&table);
        return status;
    }
    text_printf(out, "%s (a picture)\n\nIt shows %s.\nguardspan draw %s PROFILE -o FILE draws it",
                kind->name, kind->help, kind->name);
    if (kind->view) {
        text_printf(out, "; in the explorer it is one of view \"%s\", key n", kind->view);
    }
    text_append(out, ".\n");
    return STATUS_OK;
}

static enum exit_status run(struct invocation *invocation)
{
    struct text out = {0};
    enum status status;
    if (invocation->operand_count == 0) {
        struct table table = list();
        status = table_write(&table, invocation->format, &out);
        table_free(&table);
    } else {
        const char *name = invocation->operands[0];
        const struct fact *fact = fact_find(name);
        enum pair pair = invocation->profile.scenario.site.pair;
        const struct explanation *words = explain_find_words(name);
        bool other = fact && fact->pair != PAIR_COUNT && fact->pair != pair;
        if (other && explain_find_in(pair, name) != NULL) { /* the key or figure of that name */
            fact = NULL;
            words = NULL;
        }
        const struct explanation *entry =
            fact ? NULL : explain_find_in(pair, words ? words->name : name);
        const struct picture_kind *kind = fact_picture(name);
        if (!fact && !entry && !kind) {
            return refuse_name(invocation);
        }
        status = fact    ? write_fact(fact, invocation->format, &out)
                 : entry ? write_explanation(entry, &invocation->profile.scenario,
                                             invocation->format, &out)
                         : write_picture(kind, invocation->format, &out);
    }
    out.failed = out.failed || status != STATUS_OK;
    enum exit_status result = invocation_write(invocation, &out);
    text_free(&out);
    return result;
}

static void offer_names(const char *option, struct text *offers)
{
    for (size_t i = 0; i < fact_count() && !option; i++) {
        offer_word(offers, facts[i].name, facts[i].summary);
    }
}

const struct command command_facts = {
    .name = "facts",
    .operands = "[NAME]",
    .summary = "the constants and tables in use, with their sources",
    .operands_most = 1,
    .offer = offer_names,
    .notes = "Without NAME it lists the names. A setting (mode.guard) or a figure\n"
             "(echo_us, first.output_snr_db) is explained with its formula.",
    .run = run,
};
