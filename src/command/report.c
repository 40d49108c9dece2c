/* guardspan report: both generations side by side, as an engineer pastes it into a memo. */
#include <math.h>
#include <stdlib.h>

#include "command/commands.h"
#include "command/parts.h"
#include "physics/air/noise.h"
#include "present/table/notes.h"

static void append_table(struct table *table, enum format format, struct text *out)
{
    out->failed |= table_write(table, format, out) != STATUS_OK;
    table_free(table);
}

static void append_words(struct text *words, enum format format, struct text *out)
{
    note_paragraph(out, format, text_string(words));
    out->failed |= words->failed;
    text_free(words);
}

/* The verdict, then what it is about. */
static void write_head(const struct invocation *invocation, const struct report *report,
                       const struct pipes pipes[GENERATION_COUNT], struct text *out)
{
    struct text words = {0};
    verdict_words(&report->verdicts, &words);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        pipes_words(&pipes[i], &report->verdicts.of[i], &words);
    }
    append_words(&words, invocation->format, out);
    text_append(out, "\n");
    report_words_rf(&report->rf, &words);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct verdict *verdict = &report->verdicts.of[i];
        struct text chosen = {0};
        facts_words(&verdict->facts, &chosen);
        double mhz = verdict->reception.system->channel_mhz;
        if (chosen.length > 0) {
            text_printf(&words, "; %s in %d MHz: %s", verdict->reception.system->name,
                        report->rf.bandwidth_mhz, text_string(&chosen));
        } else if (mhz != 0.0 && mhz != report->rf.bandwidth_mhz) {
            text_printf(&words, "; %s in %g MHz", verdict->reception.system->name, mhz);
        }
        text_free(&chosen);
    }
    append_words(&words, invocation->format, out);
    text_append(out, "\n");
}

static void write_comparison(const struct report *report, enum format format, struct text *out)
{
    const struct verdict *verdicts = report->verdicts.of;
    struct figures_column columns[GENERATION_COUNT];
    for (int i = 0; i < GENERATION_COUNT; i++) {
        columns[i] = (struct figures_column){verdicts[i].reception.system->name, &verdicts[i],
                                             verdicts[i].known ? NULL : "no SNR"};
    }
    struct figure_list compared = figures_compared();
    struct table comparison = figures_beside(&compared, columns, GENERATION_COUNT);
    append_table(&comparison, format, out);
}

/* From the SNR to what is to spare, both at once. */
static void write_account(const struct verdicts *verdicts, enum format format, struct text *out)
{
    const struct table_column columns[] = {
        {"step", "From the SNR to what is to spare", NULL, 0},
        {"first", verdicts->of[GENERATION_FIRST].reception.system->name, "dB", 1},
        {"second", verdicts->of[GENERATION_SECOND].reception.system->name, "dB", 1},
    };
    struct account_rows beside;
    accounts_beside(verdicts, &beside);
    if (beside.count == 0) {
        return;
    }
    struct table table = table_start(columns, 1 + GENERATION_COUNT);
    for (int i = 0; i < beside.count; i++) {
        table_word(&table, beside.rows[i].step);
        for (int g = 0; g < GENERATION_COUNT; g++) {
            char words[32];
            account_row_text(&beside.rows[i], (enum generation)g, words, sizeof words);
            table_number(&table, beside.rows[i].db[g]);
            if (!isnan(beside.rows[i].db[g]) || verdicts->of[g].known) {
                table_read_as(&table, words);
            }
        }
    }
    text_append(out, "\n");
    append_table(&table, format, out);
}

static void write_details(const struct verdict *verdict, enum format format, struct text *out)
{
    const struct system *system = verdict->reception.system;
    struct figure_list details = figures_of_detail(system);
    char heading[64];
    if (details.count == 0) {
        return;
    }
    text_format(heading, sizeof heading, "%s in detail", system->name);
    note_heading(out, format, heading);
    struct table table =
        figures_beside(&details, &(const struct figures_column){"Value", verdict, NULL}, 1);
    append_table(&table, format, out);
}

static void write_notes(const struct scenario *scenario, const struct report *report,
                        enum format format, struct text *out)
{
    struct text note = {0};
    note_heading(out, format, "What the figures assume");
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct verdict *verdict = &report->verdicts.of[i];
        const struct system *system = verdict->reception.system;
        text_printf(&note, "%s: %s", system->name, system->assumes);
        if (verdict->facts.ideal_source != NULL) {
            text_printf(&note, " Ideal SNR: %s.", verdict->facts.ideal_source);
        }
        note_append(out, format, text_string(&note));
        text_clear(&note);
        if (system->notes != NULL) {
            system->notes(scenario, &note);
            note_append(out, format, text_string(&note));
            text_clear(&note);
        }
    }
    text_printf(&note,
                "Speed: on %.3f MHz. Field strength: outdoors at half of the locations, planning "
                "factors of %s (%s).",
                report->rf.center_mhz, band_name(report->rf.band),
                planning_source(pair_plan(scenario->site.pair)));
    note_append(out, format, text_string(&note));
    text_clear(&note);
    verdicts_words_snr(&report->verdicts, &note);
    if (report->verdicts.of[GENERATION_FIRST].known ||
        report->verdicts.of[GENERATION_SECOND].known) {
        text_append(&note, " Margin: that SNR less all losses to echoes and motion, less what is "
                           "needed.");
    }
    note_append(out, format, text_string(&note));
    note_append(out, format,
                "A planning aid, not a measurement: local rules and a licensed engineer decide.");
    out->failed |= note.failed;
    text_free(&note);
}

static void write_page(const struct invocation *invocation, const struct report *report,
                       const struct pipes pipes[GENERATION_COUNT], struct text *out)
{
    static const char *const of_plps[] = {"name",      "layer",    "constellation",
                                          "rate",      "net_mbps", "receiver_snr_db",
                                          "margin_db", "works",    NULL};
    static const char *const in_time[] = {
        "name",    "interleaver_ms", "latency_ms",        "start_up_ms",
        "fade_ms", "memory_cells",   "memory_most_cells", NULL};
    static const char *const needs[] = {"name",
                                        "limit_snr_db",
                                        "ideal_snr_db",
                                        "ideal_exact_snr_db",
                                        "ideal_rayleigh_snr_db",
                                        "receiver_snr_db",
                                        NULL};
    static const struct part_plps sections[] = {
        {"PLPs", 2, of_plps}, {"What the PLPs need", 2, needs}, {"Time interleaving", 1, in_time}};
    enum format format = invocation->format;
    write_head(invocation, report, pipes, out);
    write_comparison(report, format, out);
    write_account(&report->verdicts, format, out);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        for (size_t k = 0; k < sizeof sections / sizeof sections[0]; k++) {
            part_write_plps(&pipes[i], &sections[k], format, out);
        }
        write_details(&report->verdicts.of[i], format, out);
    }
    write_notes(&invocation->profile.scenario, report, format, out);
}

static enum status write_parts(const struct report *report,
                               const struct pipes pipes[GENERATION_COUNT], enum format format,
                               struct text *out)
{
    struct part parts[2 + GENERATION_COUNT] = {
        {"rf", figures_all(&rf_figures), &report->rf, PART_PLAIN, NULL},
        {"conditions", figures_all(&conditions_figures), &report->verdicts.of[GENERATION_SECOND],
         PART_PLAIN, NULL},
    };
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct verdict *verdict = &report->verdicts.of[i];
        parts[2 + i] = part_of_generation(generation_parts[i], verdict,
                                          verdict->reception.system->figures, PART_ALL);
        parts[2 + i].pipes = &pipes[i];
    }
    return parts_write(parts, 2 + GENERATION_COUNT, format, out);
}

static enum exit_status run(struct invocation *invocation)
{
    struct report *report = malloc(sizeof *report);
    struct fault fault = {0};
    enum status status = report != NULL ? report_make(&invocation->profile.scenario, report, &fault)
                                        : STATUS_NO_MEMORY;
    struct pipes pipes[GENERATION_COUNT] = {0};
    struct text out = {0};
    for (int i = 0; i < GENERATION_COUNT && status == STATUS_OK; i++) {
        status = pipes_make(&invocation->profile.scenario, (enum generation)i, &pipes[i], &fault);
    }
    if (status == STATUS_OK &&
        (invocation->format == FORMAT_JSON || invocation->format == FORMAT_CSV)) {
        status = write_parts(report, pipes, invocation->format, &out);
    } else if (status == STATUS_OK) {
        write_page(invocation, report, pipes, &out);
    }
    for (int i = 0; i < GENERATION_COUNT; i++) {
        pipes_free(&pipes[i]);
    }
    free(report);
    return invocation_finish(invocation, invocation->profile_path, status, &fault, &out);
}

const struct command command_report = {
    .name = "report",
    .operands = "[PROFILE]",
    .summary = "both generations side by side: what they withstand, carry and need",
    .takes_profile = 1,
    .notes = "Example: guardspan report --set mode.guard=GI4_768 --set mode.pilots=SP16_2",
    .run = run,
};
