/* guardspan place: stations at a place, side by side, from the tower to the margin. */
#include <math.h>

#include "command/commands.h"
#include "physics/air/interference.h"
#include "physics/air/motion.h"
#include "present/table/figures.h"
#include "present/table/notes.h"
#include "study/place/line.h"
#include "study/place/place.h"

#define NOTE_SIZE 640

static struct table interferers_of(const struct link *link)
{
    struct figure_list list = figures_all(&interferer_figures);
    struct table table = figures_across(&list, NULL, 0);
    for (int i = 0; i < link->interferer_count; i++) {
        table_figures(&table, &list, &link->interferers[i]);
    }
    return table;
}

/* JSON and CSV: one row a station. */
static enum status write_stations(const struct place_study *study, enum format format,
                                  struct text *out)
{
    static const char *const names[] = {"name",
                                        "generation",
                                        "center_mhz",
                                        "method",
                                        "field_dbuvm",
                                        "level_dbm",
                                        "noise_dbm",
                                        "interference_dbm",
                                        "cn_db",
                                        "needed_snr_db",
                                        "margin_db",
                                        "works",
                                        "reach_km",
                                        "needed_noise_db",
                                        "margin_noise_db",
                                        "location_db",
                                        "entry_loss_db",
                                        "discrimination_db",
                                        "interference_db",
                                        "headroom_db",
                                        "needed_field_dbuvm",
                                        "effective_height_m",
                                        "clearance_deg",
                                        "terrain_db",
                                        "network_gain_db",
                                        "network_gain_served_db",
                                        "error_db",
                                        "net_mbps",
                                        "doppler_hz",
                                        NULL};
    static const struct table_column within = {"interferers", "Interferers", NULL, 0};
    struct figure_list list = figures_named(&place_figures, names);
    struct table table = figures_across(&list, &within, 1);
    for (int i = 0; i < study->count; i++) {
        struct table interferers = interferers_of(&study->stations[i].link);
        table_figures(&table, &list, &study->stations[i]);
        table_rows(&table, &interferers);
    }
    enum status status = table_write(&table, format, out);
    table_free(&table);
    return status;
}

/* Who disturbs whom, where anybody does. */
static enum status write_interferers(const struct place_study *study, enum format format,
                                     struct text *out)
{
    static const struct table_column columns[] = {{"station", "Station", NULL, 0},
                                                  {"name", "Disturbed by", NULL, 0},
                                                  {"offset", "Channels off", NULL, 0},
                                                  {"level_dbm", "Level", "dBm", 1},
                                                  {"dbm", "As noise", "dBm", 1}};
    struct table table = table_start(columns, sizeof columns / sizeof columns[0]);
    for (int i = 0; i < study->count; i++) {
        const struct link *link = &study->stations[i].link;
        for (int k = 0; k < link->interferer_count; k++) {
            const struct interferer *interferer = &link->interferers[k];
            table_word(&table, link->tower.name);
            table_word(&table, interferer->name);
            table_whole(&table, interferer->offset);
            table_number(&table, interferer->level_dbm);
            table_number(&table, interferer->dbm);
        }
    }
    enum status status = STATUS_OK;
    if (table_row_count(&table) > 0) {
        note_heading(out, format, "Interference, told as noise on the wanted channel");
        status = table_write(&table, format, out);
    }
    table_free(&table);
    return status;
}

static bool knows_terrain(const struct place_study *study)
{
    bool known = false;
    for (int i = 0; i < study->count; i++) {
        known = known || study->stations[i].link.tower.terrain.count > 0;
    }
    return known;
}

/* Text and Markdown: one column a station. What terrain does is told where there is any. */
static enum status write_side_by_side(const struct place_study *study, enum format format,
                                      struct text *out)
{
    struct figures_column columns[STATIONS_MAX];
    struct figure_list all = figures_all(&place_figures), beside = {0};
    for (size_t i = 0; i < all.count; i++) {
        if (all.rows[i]->beside ||
            (knows_terrain(study) && place_figure_is_of_terrain(all.rows[i]))) {
            beside.rows[beside.count++] = all.rows[i];
        }
    }
    for (int i = 0; i < study->count; i++) {
        columns[i] =
            (struct figures_column){study->stations[i].link.tower.name, &study->stations[i], NULL};
    }
    struct table table = figures_beside(&beside, columns, (size_t)study->count);
    enum status status = table_write(&table, format, out);
    table_free(&table);
    return status;
}

static enum status write_bands(const struct scenario *scenario, const struct station *station,
                               enum format format, struct text *out, struct fault *fault)
{
    static const char *const names[] = {"rf_channel", "band",      "field_dbuvm",
                                        "level_dbm",  "noise_dbm", "cn_db",
                                        "margin_db",  "reach_km",  NULL};
    static const char *const heads[] = {"Channel", "Band", "Field",  "Level",
                                        "Noise",   "C/N",  "Margin", "Reach"};
    struct figure_list list = figures_named(&place_figures, names);
    struct place_station results[BAND_COUNT];
    enum status status = place_bands_make(scenario, station, results, fault);
    if (status != STATUS_OK) {
        return status;
    }
    struct table table = figures_across(&list, NULL, 0);
    for (size_t i = 0; i < list.count && !table.failed; i++) {
        table.columns[i].label = heads[i];
    }
    char channels[32];
    size_t used = 0;
    for (int band = 0; band < BAND_COUNT; band++) {
        if (results[band].link.tower.rf_channel > 0) {
            table_figures(&table, &list, &results[band]);
            used += text_format(channels + used, sizeof channels - used, "%s%d",
                                used == 0         ? ""
                                : band < BAND_UHF ? ", "
                                                  : " or ",
                                results[band].link.tower.rf_channel);
        }
    }
    char heading[160];
    text_format(heading, sizeof heading, "With this antenna (%.1f dBd), were %s on channel %s",
                scenario->receiver.antenna_dbd, station->name, channels);
    note_heading(out, format, heading);
    status = table_write(&table, format, out);
    table_free(&table);
    return status;
}

/* Doppler of what moves near the path, on each station's channel, and the stations' limits. */
static enum status write_motion(const struct place_study *study, enum format format,
                                struct text *out)
{
    struct table_column columns[STATIONS_MAX + 3] = {{"reflector", "Reflector", NULL, 0},
                                                     {"speed", "Speed", "km/h", 0}};
    size_t count = 2;
    for (int i = 0; i < study->count; i++) {
        const char *name = study->stations[i].link.tower.name;
        columns[count++] = (struct table_column){name, name, "Hz", 1};
    }
    struct table table = table_start(columns, count);
    for (size_t row = 0; row < reflector_count(); row++) {
        const struct reflector_row *reflector = reflector_row(row);
        table_word(&table, reflector->name);
        table_number(&table, reflector->speed_kmh);
        for (int i = 0; i < study->count; i++) {
            table_number(&table, reflector_doppler_hz(reflector->speed_kmh,
                                                      study->stations[i].link.center_mhz));
        }
    }
    table_word(&table, "limit");
    table_null(&table);
    for (int i = 0; i < study->count; i++) {
        table_number(&table, study->stations[i].verdict.facts.doppler_hz);
    }
    note_heading(out, format, "Doppler of an echo off something that moves");
    enum status status = table_write(&table, format, out);
    table_free(&table);
    return status;
}

/* ---- Words. ---- */

static void note_words(struct text *out, enum format format, struct text *words)
{
    note_append(out, format, text_string(words));
    text_clear(words);
}

static enum status write_network(const struct scenario *scenario, enum format format,
                                 struct text *out, struct fault *fault)
{
    struct text words = {0};
    enum status status = network_line_words(scenario, &words, fault);
    if (status == STATUS_OK && words.length > 0) {
        note_heading(out, format, "Single-frequency network");
        note_append(out, format, text_string(&words));
    }
    out->failed = out->failed || words.failed;
    text_free(&words);
    return status;
}

static void write_words(const struct place_study *study, enum format format, struct text *out)
{
    struct text words = {0};
    note_heading(out, format, "In words");
    for (int i = 0; i < study->count; i++) {
        place_words_station(&study->stations[i], &words);
        note_words(out, format, &words);
    }
    if (study->count > 1) {
        note_heading(out, format, "What differs, and why");
    }
    for (int i = 1; i < study->count; i++) {
        place_words_difference(&study->stations[0], &study->stations[i], &words);
        note_words(out, format, &words);
    }
    out->failed = out->failed || words.failed;
    text_free(&words);
}

static void write_motion_words(const struct place_study *study, enum format format,
                               struct text *out)
{
    struct text words = {0};
    text_append(out, "\n");
    for (int i = 0; i < study->count; i++) {
        place_words_motion(&study->stations[i], &words);
        note_words(out, format, &words);
    }
    out->failed = out->failed || words.failed;
    text_free(&words);
}

/* A plan may have channels of several widths, and a profile has one signal. */
static void note_widths(const struct scenario *scenario, enum format format, struct text *out)
{
    for (int i = 0; i < scenario->station_count; i++) {
        const struct station *station = &scenario->stations[i];
        int width_mhz = rf_width_mhz(station->plan, station->rf_channel);
        if (width_mhz > 0 && width_mhz < scenario->site.bandwidth_mhz) {
            char note[256];
            text_format(note, sizeof note,
                        "Station %s: channel %d is %d MHz wide; rate, noise and times are those "
                        "of the profile's %d MHz all the same (site.bandwidth_mhz).",
                        station->name, station->rf_channel, width_mhz,
                        scenario->site.bandwidth_mhz);
            note_append(out, format, note);
        }
    }
}

static void note_reflectors(enum format format, struct text *out)
{
    struct text words = {0};
    text_append(&words, "Reflectors: ");
    for (size_t i = 0; i < reflector_count(); i++) {
        text_printf(&words, "%s%s, %s", i > 0 ? "; " : "", reflector_row(i)->name,
                    reflector_row(i)->assumes);
    }
    text_append(&words, ". An echo off them is shifted by up to 2 v f / c.");
    note_append(out, format, text_string(&words));
    out->failed = out->failed || words.failed;
    text_free(&words);
}

static void write_assumptions(const struct scenario *scenario, const struct place_study *study,
                              enum format format, struct text *out)
{
    char note[NOTE_SIZE];
    note_heading(out, format, "What the figures assume");
    text_format(
        note, sizeof note,
        "Field: method %s, exceeded for %g %% of the time, antenna at %.1f m, surroundings %s, "
        "%s. The error to expect is a standard deviation "
        "of predictions. Reach: where the margin is gone, all else equal.",
        field_method_name(scenario->place.method), scenario->place.time_percent,
        scenario->place.receive_height_m, surroundings_name(scenario->place.surroundings),
        knows_terrain(study)
            ? "terrain where a station has a file of it, else even ground; the stations' heights "
              "then count above the ground at their feet"
            : "even ground; no terrain is known");
    note_append(out, format, note);
    text_format(note, sizeof note,
                "Receiver: %.1f dBd, the stronger polarisation, line %.1f "
                "dB, noise figure %.1f dB, man-made noise %s (ITU-R P.372; above 250 MHz "
                "carried on, for a city by edition -8).",
                scenario->receiver.antenna_dbd, scenario->receiver.line_loss_db,
                scenario->receiver.noise_figure_db,
                man_made_noise_name(scenario->receiver.man_made));
    note_append(out, format, note);
    text_format(note, sizeof note,
                "Margin: for %g %% of the locations (log-normal, 5.5 dB); building %s%s, a median "
                "(ITU-R P.2109; below 80 MHz its value there).",
                scenario->place.location_percent, building_name(scenario->place.building),
                isnan(scenario->place.entry_loss_db) ? "" : ", entry loss given");
    note_append(out, format, note);
    text_format(
        note, sizeof note,
        "Interference: every other station, as noise. Same channel: its power; others by %s "
        "(measured on one kind of signal; others are taken as alike); third-order products at an "
        "intercept of %+.0f dBm. The antenna hears less from aside where its bearing and a "
        "station's are given: %s.",
        interference_source(pair_plan(scenario->site.pair)), scenario->receiver.intercept_dbm,
        isnan(scenario->place.front_to_back_db) ? "ITU-R BT.419" : "OET Bulletin 69");
    note_append(out, format, note);
    note_widths(scenario, format, out);
    note_reflectors(format, out);
    note_append(
        out, format,
        study->has_echoes
            ? "Decodes from an SNR of: total power of all rays over noise at which each generation "
              "just decodes under the profile's echoes (see guardspan echo)."
            : "Needed SNR: what each generation needs in white noise; no echoes are given.");
    note_append(out, format,
                "Each number is rounded by itself, so a sum can differ from its parts by 0.1 dB.");
    note_append(out, format,
                "A planning aid, not a measurement: local rules and a licensed engineer decide.");
    note_append(out, format, place_words_caution());
}

/* What is asked, before all figures: which stations come in. What was measured is not of them. */
static void write_answer(const struct scenario *scenario, const struct place_study *study,
                         enum format format, struct text *out)
{
    struct text words = {0};
    for (int i = 0; i < study->count; i++) {
        const struct verdict *verdict = &study->stations[i].verdict;
        text_printf(&words, "%s (%s) ", study->stations[i].link.tower.name,
                    verdict->reception.system->name);
        verdict_words_short(verdict, &words);
        text_append(&words, ". ");
    }
    bool measured = !isnan(scenario->receiver.snr_db) || !isnan(scenario->receiver.level_dbm);
    text_printf(&words, "Levels are predicted%s.",
                measured ? "; what the profile says was measured counts in report and echo" : "");
    note_paragraph(out, format, text_string(&words));
    text_append(out, "\n");
    out->failed = out->failed || words.failed;
    text_free(&words);
}

static enum status write_page(const struct scenario *scenario, const struct place_study *study,
                              enum format format, struct text *out, struct fault *fault)
{
    write_answer(scenario, study, format, out);
    enum status status = write_side_by_side(study, format, out);
    if (status != STATUS_OK) {
        return status;
    }
    status = write_interferers(study, format, out);
    if (status != STATUS_OK) {
        return status;
    }
    status = write_network(scenario, format, out, fault);
    if (status != STATUS_OK) {
        return status;
    }
    write_words(study, format, out);
    status = write_bands(scenario, &scenario->stations[0], format, out, fault);
    if (status == STATUS_OK) {
        status = write_motion(study, format, out);
    }
    write_motion_words(study, format, out);
    write_assumptions(scenario, study, format, out);
    return status;
}

static enum exit_status run(struct invocation *invocation)
{
    const struct scenario *scenario = &invocation->profile.scenario;
    enum format format = invocation->format;
    struct place_study study;
    struct fault fault = {0};
    struct text out = {0};
    enum status status = place_study_make(scenario, &study, &fault);
    if (status == STATUS_OK && (format == FORMAT_JSON || format == FORMAT_CSV)) {
        status = write_stations(&study, format, &out);
    } else if (status == STATUS_OK) {
        status = write_page(scenario, &study, format, &out, &fault);
    }
    return invocation_finish(invocation, invocation->profile_path, status, &fault, &out);
}

const struct command command_place = {
    .name = "place",
    .operands = "[PROFILE]",
    .summary = "stations at a place: field, level, margin, distance",
    .takes_profile = 1,
    .notes = "Example:\nguardspan place profiles/shared-tower.ini --set place.building=traditional",
    .run = run,
};
