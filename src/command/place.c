/* guardspan place: stations at a place, side by side, from the tower to the margin. */
#include <math.h>
#include <string.h>

#include "command/commands.h"
#include "physics/air/motion.h"
#include "present/table/notes.h"
#include "present/table/table.h"
#include "study/place/place.h"

#define NOTE_SIZE 640

/* ---- JSON and CSV: one row a station. ---- */

static const struct table_column station_columns[] = {
    {"name", "Station", NULL, 0},
    {"generation", "Generation", NULL, 0},
    {"center_mhz", "Centre", "MHz", 3},
    {"method", "Method", NULL, 0},
    {"field_dbuvm", "Field", "dBuV/m", 1},
    {"level_dbm", "Level", "dBm", 1},
    {"noise_dbm", "Noise", "dBm", 1},
    {"cn_db", "C/N", "dB", 1},
    {"needed_snr_db", "Needed SNR", "dB", 1},
    {"margin_db", "Margin", "dB", 1},
    {"reach_km", "Reach", "km", 1},
};
#define STATION_COLUMNS (sizeof station_columns / sizeof station_columns[0])

static struct table station_table(const struct place_study *study)
{
    struct table table = table_start(station_columns, STATION_COLUMNS);
    for (int i = 0; i < study->count; i++) {
        const struct place_station *row = &study->stations[i];
        table_word(&table, row->link.tower.name);
        table_word(&table, generation_name(row->link.tower.generation));
        table_number(&table, row->link.center_mhz);
        table_word(&table, propagation_name(row->link.method));
        table_number(&table, row->link.field_dbuvm);
        table_number(&table, row->link.level_dbm);
        table_number(&table, row->link.noise_dbm);
        table_number(&table, row->link.cn_db);
        table_number(&table, row->needed_snr_db);
        table_number(&table, row->verdict.margin_db);
        table_number(&table, row->reach_km);
    }
    return table;
}

/* ---- Text and Markdown: one column a station. ---- */

struct quantity {
    const char *label, *unit;
    int decimals;
    size_t offset; /* of a double in struct place_station */
};
#define AT(field) offsetof(struct place_station, field)
static const struct quantity quantities[] = {
    {"Centre frequency", "MHz", 3, AT(link.center_mhz)},
    {"ERP, horizontal", "kW", 1, AT(link.tower.erp_kw)},
    {"ERP, vertical", "kW", 1, AT(link.tower.erp_vertical_kw)},
    {"Height above average terrain", "m", 0, AT(link.tower.height_m)},
    {"Distance", "km", 1, AT(link.tower.distance_km)},
    {"Radio horizon", "km", 1, AT(link.horizon_km)},
    {"Field outdoors, median", "dBuV/m", 1, AT(link.field_dbuvm)},
    {"Building entry loss", "dB", 1, AT(link.entry_loss_db)},
    {"Level at the receiver", "dBm", 1, AT(link.level_dbm)},
    {"Noise", "dBm", 1, AT(link.noise_dbm)},
    {"C/N", "dB", 1, AT(link.cn_db)},
    {"For the share of locations", "dB", 1, AT(link.location_db)},
    {"Needed SNR, noise alone", "dB", 1, AT(needed_noise_db)},
    {"Margin, noise alone", "dB", 1, AT(verdict.margin_noise_db)},
    {"Lost to echoes and motion", "dB", 1, AT(lost_db)},
    {"Margin, with echoes and motion", "dB", 1, AT(verdict.margin_db)},
    {"Needed SNR, with echoes and motion", "dB", 1, AT(needed_snr_db)},
    {"Net rate", "Mbit/s", 2, AT(net_mbps)},
    {"Doppler limit", "Hz", 1, AT(doppler_limit_hz)},
};
#define QUANTITY_COUNT (sizeof quantities / sizeof quantities[0])

static double quantity_value(const struct quantity *quantity, const struct place_station *station)
{
    double value;
    memcpy(&value, (const char *)station + quantity->offset, sizeof value);
    return value;
}

static void word_row(struct table *table, const char *label, const struct place_study *study,
                     void (*word)(const struct place_station *, char *, size_t))
{
    table_word(table, label);
    for (int i = 0; i < study->count; i++) {
        char buffer[64];
        word(&study->stations[i], buffer, sizeof buffer);
        table_word(table, buffer);
    }
    table_word(table, "");
}

static void system_word(const struct place_station *station, char *buffer, size_t size)
{
    text_format(buffer, size, "%s", station->verdict.reception.system->name);
}

static void channel_word(const struct place_station *station, char *buffer, size_t size)
{
    text_format(buffer, size, "%d", station->link.tower.rf_channel);
}

static void band_word(const struct place_station *station, char *buffer, size_t size)
{
    text_format(buffer, size, "%s", band_name(station->link.band));
}

static enum status write_side_by_side(const struct place_study *study, enum format format,
                                      struct text *out)
{
    struct table_column columns[STATIONS_MAX + 2] = {{"quantity", "Quantity", NULL, 0}};
    size_t count = 1;
    for (int i = 0; i < study->count; i++) {
        const char *name = study->stations[i].link.tower.name;
        columns[count++] = (struct table_column){name, name, NULL, 1};
    }
    columns[count++] = (struct table_column){"unit", "Unit", NULL, 0};
    struct table table = table_start(columns, count);
    word_row(&table, "System", study, system_word);
    word_row(&table, "Channel", study, channel_word);
    word_row(&table, "Band", study, band_word);
    for (size_t row = 0; row < QUANTITY_COUNT; row++) {
        table_word(&table, quantities[row].label);
        for (int i = 0; i < study->count; i++) {
            table_number_to(&table, quantity_value(&quantities[row], &study->stations[i]),
                            quantities[row].decimals);
        }
        table_word(&table, quantities[row].unit);
    }
    word_row(&table, "Reach", study, place_words_reach);
    enum status status = table_write(&table, format, out);
    table_free(&table);
    return status;
}

static enum status write_bands(const struct scenario *scenario, const struct station *station,
                               enum format format, struct text *out, struct fault *fault)
{
    static const struct table_column columns[] = {
        {"channel", "Channel", NULL, 0}, {"band", "Band", NULL, 0},
        {"field", "Field", "dBuV/m", 1}, {"level", "Level", "dBm", 1},
        {"noise", "Noise", "dBm", 1},    {"cn", "C/N", "dB", 1},
        {"margin", "Margin", "dB", 1},   {"reach", "Reach", NULL, 0},
    };
    struct place_station results[BAND_COUNT];
    enum status status = place_bands_make(scenario, station, results, fault);
    if (status != STATUS_OK) {
        return status;
    }
    struct table table = table_start(columns, sizeof columns / sizeof columns[0]);
    for (int band = 0; band < BAND_COUNT; band++) {
        const struct place_station *row = &results[band];
        char reach[48];
        place_words_reach(row, reach, sizeof reach);
        table_whole(&table, row->link.tower.rf_channel);
        table_word(&table, band_name(row->link.band));
        table_number(&table, row->link.field_dbuvm);
        table_number(&table, row->link.level_dbm);
        table_number(&table, row->link.noise_dbm);
        table_number(&table, row->link.cn_db);
        table_number(&table, row->verdict.margin_db);
        table_word(&table, reach);
    }
    char heading[160];
    text_format(heading, sizeof heading, "This antenna (%.1f dBd) were %s on channel 3, 10 or 24",
                scenario->receiver.antenna_dbd, station->name);
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
        table_number(&table, study->stations[i].doppler_limit_hz);
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
    text_format(note, sizeof note,
                "Field: method %s, antenna at %.1f m, even ground; no terrain, houses or trees are "
                "known, so expect errors of 10 dB and more. Troposcatter far beyond the horizon is "
                "not counted. Reach: where the margin is gone, all else equal.",
                field_method_name(scenario->place.method), scenario->place.receive_height_m);
    note_append(out, format, note);
    text_format(note, sizeof note,
                "Receiver: %.1f dBd towards the station and its stronger polarisation, line %.1f "
                "dB, noise figure %.1f dB, man-made noise %s (ITU-R P.372, from memory; carried on "
                "above 250 MHz).",
                scenario->receiver.antenna_dbd, scenario->receiver.line_loss_db,
                scenario->receiver.noise_figure_db,
                man_made_noise_name(scenario->receiver.man_made));
    note_append(out, format, note);
    text_format(note, sizeof note,
                "Margin: for %g %% of the locations (log-normal, 5.5 dB); building %s%s, a median "
                "(ITU-R P.2109, from memory; below 80 MHz its value there).",
                scenario->place.location_percent, building_name(scenario->place.building),
                isnan(scenario->place.entry_loss_db) ? "" : ", entry loss given");
    note_append(out, format, note);
    note_reflectors(format, out);
    note_append(
        out, format,
        study->has_echoes
            ? "Needed SNR: total power of all rays over noise at which each generation "
              "just decodes under the profile's echoes (see guardspan echo)."
            : "Needed SNR: 8-VSB threshold of visibility, OFDM what a receiver needs (model "
              "of ATSC A/327 Annex B); no echoes are given.");
    note_append(out, format,
                "A planning aid, not a measurement: local rules and a licensed engineer decide.");
    note_append(out, format, place_words_caution());
}

static enum status write_page(const struct scenario *scenario, const struct place_study *study,
                              enum format format, struct text *out, struct fault *fault)
{
    enum status status = write_side_by_side(study, format, out);
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
        struct table table = station_table(&study);
        status = table_write(&table, format, &out);
        table_free(&table);
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
    .notes = "Example: guardspan place profiles/shared-tower.ini --set place.building=traditional",
    .run = run,
};
