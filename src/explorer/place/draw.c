/* The place view on the grid: a column for each station, and the picture below. */
#include "explorer/place/draw.h"

#include <string.h>

#include "explorer/desk/words.h"
#include "explorer/frame/screen.h"
#include "explorer/frame/values.h"

static enum role role_of(int row, const struct place_station *known, enum generation generation)
{
    struct value value;
    return place_row_value(row, 0, &value) ? ROLE_TITLE
           : row == place_row_of_margin() && known
               ? (known->verdict.margin_db >= 0.0 ? ROLE_GOOD : ROLE_BAD)
               : role_of_generation(generation);
}

/* What lies behind the `line`-th row of the table; the margin, which all ends in, stays in sight.
 */
static int row_at(const struct place_state *state, const struct rect *table, int line)
{
    int row = state->rows.first + line - 1, margin = place_row_of_margin();
    bool last = line == table->rows - 1, hidden = margin > row || margin < state->rows.first;
    return last && hidden && state->rows.count > state->rows.rows ? margin : row;
}

void place_click_row(struct place_state *state, const struct place_layout *layout, int line)
{
    int row = line > 0 ? row_at(state, &layout->table, line) : -1;
    if (row >= 0 && row < state->rows.count) {
        state->rows.at = row;
    }
}

static int column_of(const struct place_state *state, const struct rect *table, int station)
{
    return table->column + PLACE_LABEL_COLUMNS + 1 +
           (station - state->stations.first) * state->station_columns;
}

/* Settings are those on the desk; what follows from them may still be under way. */
static void draw_station(const struct place_state *state, const struct scenario *scenario,
                         struct grid *grid, struct rect table, int which)
{
    const struct place_answer *answer = place_answer(state);
    const struct place_station *known = answer ? &answer->study.stations[which] : NULL;
    enum generation generation = scenario->stations[which].generation;
    int column = column_of(state, &table, which), width = state->station_columns - 1;
    bool here = which == state->stations.at;
    enum role name_role = here ? ROLE_SELECTED : role_of_generation(generation);
    const char *name = scenario->stations[which].name;
    if ((int)text_columns(name) > width) {
        screen_fit(grid, table.row, column, width, name_role, name);
    } else {
        screen_right(grid, table.row, column, width, name_role, name);
    }
    for (int i = 1; i < table.rows && row_at(state, &table, i) < state->rows.count; i++) {
        char text[FIELD_TEXT_BYTES];
        int row = row_at(state, &table, i);
        if (place_row_is_shared(row)) {
            continue;
        }
        place_row_text(row, scenario, which, known, text, sizeof text);
        enum role role =
            here && row == state->rows.at ? ROLE_SELECTED : role_of(row, known, generation);
        if ((int)text_columns(text) > width) {
            screen_fit(grid, table.row + i, column, width, role, text);
        } else {
            screen_right(grid, table.row + i, column, width, role, text);
        }
    }
}

/* One value for all stations. */
static void draw_shared(const struct place_state *state, const struct scenario *scenario,
                        struct grid *grid, struct rect table, int line, int row)
{
    char text[FIELD_TEXT_BYTES];
    place_row_text(row, scenario, 0, NULL, text, sizeof text);
    screen_right(grid, table.row + line, column_of(state, &table, state->stations.first),
                 state->station_columns - 1, row == state->rows.at ? ROLE_SELECTED : ROLE_TITLE,
                 text);
}

static void draw_table(const struct place_state *state, const struct scenario *scenario,
                       struct grid *grid, struct rect table)
{
    const struct cursor *stations = &state->stations;
    int last = stations->first;
    for (; last < stations->count && last - stations->first < stations->rows; last++) {
        draw_station(state, scenario, grid, table, last);
    }
    for (int i = 1; i < table.rows && row_at(state, &table, i) < state->rows.count; i++) {
        char label[48];
        int row = row_at(state, &table, i);
        place_row_label(row, label, sizeof label);
        screen_mark(grid, table.row + i, table.column, row == state->rows.at);
        screen_fit(grid, table.row + i, table.column + 1, PLACE_LABEL_COLUMNS - 1, ROLE_PLAIN,
                   label);
        if (place_row_is_shared(row)) {
            draw_shared(state, scenario, grid, table, i, row);
        }
    }
    values_draw_more(grid, (struct rect){table.row, table.column, 1, PLACE_LABEL_COLUMNS},
                     state->rows.first, state->rows.count - state->rows.first - state->rows.rows);
    if (stations->rows < stations->count) {
        grid_printf(grid, table.row, table.column + 1, PLACE_LABEL_COLUMNS - 1, ROLE_DIM,
                    "%d-%d of %d", stations->first + 1, last, stations->count);
    }
}

/* What stands in place of the table where there is none; NULL: there is one. */
static const char *no_table(const struct desk *desk, const struct place_state *state)
{
    const struct place_answer *answer = place_answer(state);
    return desk->profile.scenario.station_count == 0
               ? "No stations: a adds one. Two to eight stand side by side. For each it is worked "
                 "out what field, level and noise there are at the place, what others take, what "
                 "is to spare and how far it reaches, with pictures of it and a map."
           : !state->errand.pending && !answer ? "out of memory"
           : answer && !answer->known          ? answer->fault.wrong
                                               : NULL;
}

/* The one picture that asks for more than a station. */
static const char *nothing_drawn(const struct place_state *state)
{
    return strcmp(state->gallery.kinds[state->gallery.at]->name, "network") == 0
               ? "No two stations share a network: give two of them, on one channel and of one "
                 "generation, the same name in the row \"network\"."
               : "There is no memory for the picture.";
}

void place_draw(const struct desk *desk, const void *opaque, struct grid *grid, struct rect area)
{
    const struct place_state *state = opaque;
    const struct place_answer *shown = state->errand.done; /* an old picture rather than none */
    struct place_layout layout = place_layout(&desk->profile.scenario, area);
    if (no_table(desk, state)) {
        struct rect inner = {area.row + 1, area.column + 1, area.rows - 1, area.columns - 2};
        screen_text(grid, inner, ROLE_PLAIN, no_table(desk, state), 0);
        return;
    }
    draw_table(state, &desk->profile.scenario, grid, layout.table);
    if (layout.rule.rows > 0) {
        gallery_rule(&state->gallery, false, state->errand.pending ? ", computing" : "", grid,
                     layout.rule);
    }
    if (layout.picture.rows > 0 && shown && shown->known && shown->drawn.series_count == 0) {
        screen_text(grid, layout.picture, ROLE_DIM, nothing_drawn(state), 0);
    } else if (layout.picture.rows > 3 && shown && shown->drawn.series_count > 0) {
        picture_draw_grid(&shown->drawn, grid, layout.picture);
    }
}

/* ---- Words. ---- */

/* Of the verdict above the view, which what was measured decides, but not the table. */
static bool is_measured(const struct desk *desk)
{
    const struct verdicts *verdicts = desk_verdicts(desk);
    enum snr_source source =
        verdicts != NULL ? verdicts->of[GENERATION_FIRST].conditions.source : SNR_NONE;
    return source == SNR_MEASURED || source == SNR_LEVEL;
}

void place_words(const struct desk *desk, const void *opaque, struct text *out)
{
    const struct place_state *state = opaque;
    const struct place_answer *answer = place_answer(state);
    if (answer && !no_table(desk, state) && is_measured(desk)) {
        text_append(out, "Predicted; the verdict above is by what was measured. ");
    }
    if (!answer || no_table(desk, state)) {
        /* What stands in the table's place is not said twice. */
        text_append(out, no_table(desk, state) ? "" : "computing ...");
    } else if (state->stations.at > 0) {
        place_words_difference(&answer->study.stations[0],
                               &answer->study.stations[state->stations.at], out);
    } else {
        place_words_station(&answer->study.stations[0], out);
    }
}

/* A row in words: names and values may have been cut in the table. */
static void write_row(const struct place_state *state, const struct scenario *scenario, int row,
                      struct text *out)
{
    char label[48], text[FIELD_TEXT_BYTES];
    place_row_label(row, label, sizeof label);
    text_printf(out, "%s:", label + strspn(label, "+-= "));
    for (int i = 0; i < (place_row_is_shared(row) ? 1 : scenario->station_count); i++) {
        place_row_text(row, scenario, i, &place_answer(state)->study.stations[i], text,
                       sizeof text);
        text_printf(out, "%s%s%s %s", i ? ";" : "", place_row_is_shared(row) ? "" : " ",
                    place_row_is_shared(row) ? "" : scenario->stations[i].name,
                    text[0] ? text : "none");
    }
    text_append(out, ".\n");
}

void place_explain(const struct desk *desk, const void *opaque, struct text *out)
{
    const struct place_state *state = opaque;
    const struct scenario *scenario = &desk->profile.scenario;
    const struct place_answer *answer = place_answer(state);
    if (!answer || no_table(desk, state)) {
        text_append(out, no_table(desk, state) ? no_table(desk, state) : "computing ...");
        return;
    }
    const struct place_station *station = &answer->study.stations[state->stations.at];
    place_words_station(station, out);
    if (state->stations.at > 0) {
        text_append(out, "\n\n");
        place_words_difference(&answer->study.stations[0], station, out);
    }
    text_append(out, "\n\n");
    place_words_motion(station, out);
    struct place_station bands[BAND_COUNT];
    if (place_bands_make(scenario, &station->link.tower, bands, NULL) == STATUS_OK) {
        text_append(out, "\n\nThis antenna, were the station on");
        const char *join = "";
        for (int band = 0; band < BAND_COUNT; band++) {
            char margin[32];
            int channel = bands[band].link.tower.rf_channel;
            if (channel == 0) {
                continue; /* the plan has none in the band */
            }
            figure_text(figure_find(&place_figures, "margin_db"), &bands[band], margin,
                        sizeof margin);
            text_printf(out, "%s channel %d (%s): C/N %.1f dB, margin %s dB", join, channel,
                        band_name(bands[band].link.band), bands[band].link.cn_db, margin);
            join = ";";
        }
        text_append(out, ".");
    }
    text_printf(out,
                "\n\nMedians for %g %% of the locations, %s, no houses: expect an error of %.0f dB "
                "(standard deviation). A planning aid, not a measurement.\n\n%s\n",
                scenario->place.location_percent,
                station->link.tower.terrain.count > 0 ? "over the terrain of the station's file"
                                                      : "over even ground",
                station->link.error_db, place_words_caution());
    char name[FIELD_TEXT_BYTES];
    text_append(out, "\n");
    for (int row = 0; row < place_row_count(scenario); row++) {
        write_row(state, scenario, row, out);
    }
    text_append(out, "\n");
    place_row_name(state->rows.at, name, sizeof name);
    words_long(desk, name, out);
}
