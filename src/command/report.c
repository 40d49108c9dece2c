/* guardspan report: both generations side by side, as an engineer pastes it into a memo. */
#include <math.h>
#include <string.h>

#include "command/commands.h"
#include "command/figures.h"
#include "present/table/notes.h"
#include "present/table/table.h"
#include "study/report/report.h"

/* Rows that both generations have; the unit and decimals are the first figure's. */
static const struct {
    const char *label, *first, *second;
} compared[] = {
    {"Net rate", "net_mbps", "net_mbps"},
    {"Required SNR", "required_snr_db", "receiver_snr_db"},
    {"Margin, with echoes and motion", "margin_db", "margin_db"},
    {"Margin, noise alone", "margin_noise_db", "margin_noise_db"},
    {"Echo ahead of the main signal", "echo_before_us", "echo_us"},
    {"Echo behind the main signal", "echo_after_us", "echo_us"},
    {"Longer path of that echo", "echo_km", "echo_km"},
    {"Doppler", "doppler_hz", "doppler_hz"},
    {"Speed", "speed_kmh", "speed_kmh"},
    {"Field strength outdoors", "field_dbuvm", "field_dbuvm"},
};
#define COMPARED_COUNT (sizeof compared / sizeof compared[0])

static struct table compare(const struct report *report)
{
    static const struct table_column columns[] = {
        {"quantity", "Quantity", NULL, 0},
        {"first", "8-VSB", NULL, 0},
        {"second", "OFDM", NULL, 0},
        {"unit", "Unit", NULL, 0},
    };
    struct table table = table_start(columns, 4);
    for (size_t i = 0; i < COMPARED_COUNT; i++) {
        const struct figure_row *first = figure_find(FIGURE_FIRST, compared[i].first);
        const struct figure_row *second = figure_find(FIGURE_SECOND, compared[i].second);
        table_word(&table, compared[i].label);
        table_number_to(&table, figure_value(first, report), first->decimals);
        table_number_to(&table, figure_value(second, report), first->decimals);
        table_word(&table, first->unit);
    }
    return table;
}

static bool is_compared(const struct figure_row *row)
{
    for (size_t i = 0; i < COMPARED_COUNT; i++) {
        if (row->part == FIGURE_SECOND && strcmp(row->name, compared[i].second) == 0) {
            return true;
        }
    }
    return false;
}

static struct table detail(const struct report *report)
{
    static const struct table_column columns[] = {
        {"quantity", "Quantity", NULL, 0},
        {"value", "Value", NULL, 0},
        {"unit", "Unit", NULL, 0},
    };
    struct table table = table_start(columns, 3);
    for (size_t i = 0; i < figure_count(); i++) {
        const struct figure_row *row = figure_row(i);
        if (row->part != FIGURE_SECOND || is_compared(row) ||
            strcmp(row->name, "ideal_source") == 0) {
            continue;
        }
        char value[96];
        figure_words(row, report, value, sizeof value);
        table_word(&table, row->label);
        table_word(&table, value);
        table_word(&table, row->unit);
    }
    return table;
}

#define NOTE_SIZE 512

static void note_margin(const struct invocation *invocation, const struct report *report,
                        struct text *out)
{
    const struct conditions *conditions = &report->verdicts.of[GENERATION_SECOND].conditions;
    char note[NOTE_SIZE];
    if (conditions->source == SNR_NONE) {
        text_format(note, sizeof note,
                    "Margin: unknown; the profile gives neither receiver.snr_db nor "
                    "receiver.level_dbm nor a station.");
    } else if (conditions->source == SNR_LEVEL) {
        text_format(note, sizeof note,
                    "Margin: level %.1f dBm over %.1f dBm of receiver noise is an SNR of %.1f dB.",
                    invocation->profile.scenario.receiver.level_dbm, conditions->noise_dbm,
                    conditions->snr_db);
    } else {
        text_format(
            note, sizeof note,
            "Margin: SNR %.1f dB, %s; less the losses to echoes and motion, less the needed "
            "SNR.",
            conditions->snr_db,
            conditions->source == SNR_MEASURED ? "as measured" : "predicted for the station");
    }
    note_append(out, invocation->format, note);
}

static void write_notes(const struct invocation *invocation, const struct report *report,
                        struct text *out)
{
    const struct report_second *second = &report->second;
    enum format format = invocation->format;
    char note[NOTE_SIZE];
    note_heading(out, format, "What the figures assume");
    text_format(note, sizeof note,
                "Net rate: 8-VSB in packets of 188 bytes; OFDM after outer code and baseband "
                "packet headers, one subframe and one PLP in a frame of %.2f ms.",
                second->frame_ms);
    note_append(out, format, note);
    text_format(note, sizeof note,
                "Required SNR in AWGN: 8-VSB at the threshold of visibility, pilot counted as "
                "signal; OFDM what a receiver needs (model of ATSC A/327 Annex B). Ideal SNR: %s.",
                ideal_source_words(second->ideal_source));
    note_append(out, format, note);
    note_append(out, format,
                "Echoes: OFDM bears without loss what fits, ahead and behind together, into the "
                "guard interval. 8-VSB has no guard interval: its figures are the reach of the "
                "receiver's equaliser ([first] of the profile), and an echo within costs SNR.");
    text_format(note, sizeof note,
                "Doppler: OFDM the smaller of the pilots' limit and of the interference that "
                "doubles the C/N a receiver needs; 8-VSB what the equaliser follows. Speed: on "
                "%.3f MHz.",
                report->rf.center_mhz);
    note_append(out, format, note);
    text_format(note, sizeof note,
                "Field strength: outdoors at half of the locations, planning factors of %s (FCC "
                "OET Bulletin 69).",
                band_name(report->rf.band));
    note_append(out, format, note);
    note_margin(invocation, report, out);
    note_append(out, format,
                "A planning aid, not a measurement: local rules and a licensed engineer decide.");
}

static void write_title(const struct invocation *invocation, const struct report *report,
                        struct text *out)
{
    char line[256], channel[32] = "";
    const struct transmission *mode = &report->second.transmission;
    if (report->rf.channel) {
        text_format(channel, sizeof channel, "RF channel %d, ", report->rf.channel);
    }
    text_format(line, sizeof line, "%s%.3f MHz, %s; OFDM in %d MHz: %s %s %s, %s %s", channel,
                report->rf.center_mhz, band_name(report->rf.band),
                mode->subframes[0].waveform.bandwidth_mhz,
                fft_name(mode->subframes[0].waveform.fft),
                guard_name(mode->subframes[0].waveform.guard),
                pilots_name(mode->subframes[0].waveform.pilots),
                constellation_name(mode->subframes[0].plps[0].code.constellation),
                figure_find(FIGURE_SECOND, "rate")->word(report));
    note_paragraph(out, invocation->format, line);
}

static enum status write_page(const struct invocation *invocation, const struct report *report,
                              struct text *out)
{
    struct table comparison = compare(report), details = detail(report);
    enum format format = invocation->format;
    write_title(invocation, report, out);
    text_append(out, "\n");
    enum status status = table_write(&comparison, format, out);
    note_heading(out, format, "OFDM in detail");
    if (status == STATUS_OK) {
        status = table_write(&details, format, out);
    }
    write_notes(invocation, report, out);
    table_free(&comparison);
    table_free(&details);
    return status;
}

/* One line a figure: part, name, value, unit. */
static enum status write_csv(const struct report *report, struct text *out)
{
    static const struct table_column columns[] = {
        {"part", "Part", NULL, 0},
        {"name", "Name", NULL, 0},
        {"value", "Value", NULL, 0},
        {"unit", "Unit", NULL, 0},
    };
    static const char *const parts[] = {"rf", "first", "second"};
    struct table table = table_start(columns, 4);
    for (size_t i = 0; i < figure_count(); i++) {
        const struct figure_row *row = figure_row(i);
        table_word(&table, parts[row->part]);
        table_word(&table, row->name);
        figures_add(&table, row, report);
        table_word(&table, row->unit);
    }
    enum status status = table_write(&table, FORMAT_CSV, out);
    table_free(&table);
    return status;
}

static enum status write_json(const struct report *report, struct text *out)
{
    static const char *const names[] = {"rf", "first", "second"};
    struct table_column columns[3][PART_FIGURES_MAX];
    struct table tables[3];
    struct member members[3];
    for (int part = 0; part < 3; part++) {
        size_t count = figures_columns((enum figure_part)part, columns[part]);
        tables[part] = table_start(columns[part], count);
        figures_add_all(&tables[part], (enum figure_part)part, report);
        members[part] = (struct member){names[part], MEMBER_OBJECT, &tables[part]};
    }
    enum status status = members_write_json(members, 3, out);
    for (int part = 0; part < 3; part++) {
        table_free(&tables[part]);
    }
    return status;
}

static enum exit_status run(struct invocation *invocation)
{
    struct report report;
    struct fault fault = {0};
    enum status status = report_make(&invocation->profile.scenario, &report, &fault);
    struct text out = {0};
    if (status == STATUS_OK && invocation->format == FORMAT_JSON) {
        status = write_json(&report, &out);
    } else if (status == STATUS_OK && invocation->format == FORMAT_CSV) {
        status = write_csv(&report, &out);
    } else if (status == STATUS_OK) {
        status = write_page(invocation, &report, &out);
    }
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
