/* Pictures of stations at a place: field and margin against distance, Doppler against a reflector's
 * speed. */
#include "present/picture/pictures_place.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "physics/air/motion.h"
#include "study/place/line.h"
#include "study/place/plan.h"

#define POINTS 160
#define LINES_MOST 6 /* with a digit each; the picture holds 12 series */

/* What is drawn: a value along the distance, and that of the station where it is. */
struct drawn {
    enum status (*along)(const struct scenario *scenario, const struct place_station *station,
                         const double *distance_km, size_t count, double *values);
    double (*here)(const struct place_station *station);
};

static enum status fields_along(const struct scenario *scenario,
                                const struct place_station *station, const double *distance_km,
                                size_t count, double *values)
{
    for (size_t i = 0; i < count; i++) {
        values[i] = place_field_at_dbuvm(scenario, station, distance_km[i]);
    }
    return STATUS_OK;
}

static double field_here(const struct place_station *station)
{
    return station->link.field_dbuvm;
}

static double margin_here(const struct place_station *station)
{
    return station->verdict.margin_db;
}

static const struct drawn fields = {fields_along, field_here};
static const struct drawn margins = {place_margins_at_db, margin_here};

static enum role role_of(const struct place_station *station)
{
    return role_of_generation(station->link.tower.generation);
}

/* From a third of the nearest station to beyond the farthest reach, in decades' fractions. */
static struct axis distance_axis(const struct place_study *study)
{
    double low = INFINITY, high = 0.0;
    for (int i = 0; i < study->count; i++) {
        const struct place_station *row = &study->stations[i];
        low = fmin(low, row->link.tower.distance_km / 3.0);
        high = fmax(high, row->link.tower.distance_km * 1.5);
        if (row->reach == REACH_FOUND) {
            low = fmin(low, row->reach_km / 1.5);
            high = fmax(high, row->reach_km * 1.3);
        }
    }
    return (struct axis){.label = "distance",
                         .unit = "km",
                         .low = fmax(low, DISTANCE_MIN_KM),
                         .high = fmin(high, DISTANCE_MAX_KM),
                         .logarithmic = true};
}

/* Widens the y axis to what the line has. */
static bool add_along(const struct scenario *scenario, const struct place_station *row,
                      const struct drawn *drawn, enum role role, const char *label,
                      struct picture *out)
{
    struct series *line = picture_add_series(out, SERIES_LINE, role, label, POINTS);
    if (!line) {
        return false;
    }
    double ratio = log(out->x.high / out->x.low);
    for (int k = 0; k < POINTS; k++) {
        line->x[k] = out->x.low * exp(ratio * k / (POINTS - 1));
    }
    if (drawn->along(scenario, row, line->x, POINTS, line->y) != STATUS_OK) {
        return false;
    }
    for (int k = 0; k < POINTS; k++) {
        if (!isfinite(line->y[k])) {
            line->y[k] = NAN;
            continue;
        }
        out->y.low = fmin(out->y.low, line->y[k]);
        out->y.high = fmax(out->y.high, line->y[k]);
    }
    return true;
}

static bool add_station(const struct scenario *scenario, const struct place_study *study, int i,
                        const struct drawn *drawn, struct picture *out)
{
    const struct place_station *row = &study->stations[i];
    bool with_digit = study->count <= LINES_MOST;
    if (!add_along(scenario, row, drawn, role_of(row), with_digit ? "" : row->link.tower.name,
                   out)) {
        return false;
    }
    if (!with_digit) {
        return true;
    }
    struct series *digit =
        picture_add_series(out, SERIES_POINTS, role_of(row), row->link.tower.name, 1);
    if (!digit) {
        return false;
    }
    double here = drawn->here(row);
    digit->glyph = (char)('1' + i);
    digit->x[0] = row->link.tower.distance_km;
    digit->y[0] = isfinite(here) ? here : NAN;
    return true;
}

static bool draw_stations(const struct scenario *scenario, const struct place_study *study,
                          const struct drawn *drawn, struct picture *out)
{
    out->x = distance_axis(study);
    for (int i = 0; i < study->count; i++) {
        if (!add_station(scenario, study, i, drawn, out)) {
            return false;
        }
    }
    double room = 0.05 * (out->y.high - out->y.low) + 1.0;
    out->y.low -= room;
    out->y.high += room;
    return true;
}

bool picture_place_field(const struct scenario *scenario, const struct place_study *study,
                         struct picture *out)
{
    *out = (struct picture){0};
    text_format(out->title, sizeof out->title, "Field strength against distance");
    text_format(out->note, sizeof out->note,
                "Median outdoors over even ground; no terrain, no houses. A digit stands where the "
                "station is.");
    out->y = (struct axis){.label = "field", .unit = "dBuV/m", .low = INFINITY, .high = -INFINITY};
    if (study->count > 0 && draw_stations(scenario, study, &fields, out)) {
        return true;
    }
    picture_free(out);
    return false;
}

bool picture_place_margin(const struct scenario *scenario, const struct place_study *study,
                          struct picture *out)
{
    *out = (struct picture){0};
    text_format(out->title, sizeof out->title, "Margin against distance");
    text_format(
        out->note, sizeof out->note,
        "For %g %% of the locations over even ground; no terrain, no houses. A digit stands "
        "where the station is.",
        scenario->place.location_percent);
    out->y = (struct axis){.label = "margin", .unit = "dB", .low = -10.0, .high = 10.0};
    picture_add_mark(out, ROLE_WARN, "decodes from here on", false, 0.0);
    if (study->count > 0 && draw_stations(scenario, study, &margins, out)) {
        out->y.low = fmax(out->y.low, -40.0);
        return true;
    }
    picture_free(out);
    return false;
}

/* ---- One station by both methods that know times. ---- */

static const struct {
    enum field_method method;
    double time_percent;
    const char *label;
    enum role role;
} ways[] = {{METHOD_P1546, 50.0, "P.1546, 50 % of the time", ROLE_PLAIN},
            {METHOD_FCC, 50.0, "47 CFR 73.699, 50 %", ROLE_PINNED},
            {METHOD_FCC, 90.0, "47 CFR 73.699, 90 %", ROLE_DIM}};
#define WAYS (sizeof ways / sizeof ways[0])

/* The station by each way; its distances are all that the picture must hold. */
static bool make_ways(const struct scenario *scenario, int which, struct scenario *asked,
                      struct place_study *study)
{
    *asked = *scenario;
    study->count = WAYS;
    for (size_t i = 0; i < WAYS; i++) {
        asked->place.method = ways[i].method;
        asked->place.time_percent = ways[i].time_percent;
        struct place_station *station = &study->stations[i];
        enum status status =
            i == 0 ? place_station_make(asked, &scenario->stations[which], station, NULL)
                   : place_station_make_again(asked, &study->stations[0], station, NULL);
        if (status != STATUS_OK) {
            return false;
        }
    }
    return true;
}

static bool draw_ways(const struct scenario *scenario, int which, const struct drawn *drawn,
                      struct picture *out)
{
    struct scenario *asked = malloc(sizeof *asked);
    struct place_study *study = malloc(sizeof *study);
    bool made = asked && study && make_ways(scenario, which, asked, study);
    if (made) {
        out->x = distance_axis(study);
    }
    for (size_t i = 0; i < WAYS && made; i++) {
        asked->place.method = ways[i].method;
        asked->place.time_percent = ways[i].time_percent;
        made = add_along(asked, &study->stations[i], drawn, ways[i].role, ways[i].label, out);
    }
    double room = 0.05 * (out->y.high - out->y.low) + 1.0;
    out->y.low -= room;
    out->y.high += room;
    if (made && drawn == &fields) {
        char label[64];
        text_format(label, sizeof label, "needed: %.1f dBuV/m",
                    study->stations[0].needed_field_dbuvm);
        picture_add_mark(out, ROLE_WARN, label, false, study->stations[0].needed_field_dbuvm);
    }
    if (made) {
        text_format(out->note, sizeof out->note,
                    "P.1546 knows at most 50 %% of the time, here %s. Expect either to err by some "
                    "%.0f dB.",
                    study->stations[0].link.tower.terrain.count > 0 ? "over the terrain"
                                                                    : "over even ground",
                    study->stations[0].link.error_db);
    }
    free(asked);
    free(study);
    return made;
}

bool picture_place_ways_field(const struct scenario *scenario, int which, struct picture *out)
{
    *out = (struct picture){0};
    if (scenario->station_count == 0) {
        return false;
    }
    text_format(out->title, sizeof out->title, "Field of %s by both methods",
                scenario->stations[which].name);
    out->y = (struct axis){.label = "field", .unit = "dBuV/m", .low = INFINITY, .high = -INFINITY};
    bool made = draw_ways(scenario, which, &fields, out);
    if (!made) {
        picture_free(out);
    }
    return made;
}

bool picture_place_ways_margin(const struct scenario *scenario, int which, struct picture *out)
{
    *out = (struct picture){0};
    if (scenario->station_count == 0) {
        return false;
    }
    text_format(out->title, sizeof out->title, "Margin of %s by both methods",
                scenario->stations[which].name);
    out->y = (struct axis){.label = "margin", .unit = "dB", .low = -10.0, .high = 10.0};
    picture_add_mark(out, ROLE_WARN, "decodes from here on", false, 0.0);
    bool made = draw_ways(scenario, which, &margins, out);
    if (!made) {
        picture_free(out);
    }
    out->y.low = fmax(out->y.low, -40.0);
    return made;
}

bool pictures_place_ways_field(const struct picture_case *shown, struct picture *out)
{
    return picture_place_ways_field(shown->scenario, 0, out);
}

bool pictures_place_ways_margin(const struct picture_case *shown, struct picture *out)
{
    return picture_place_ways_margin(shown->scenario, 0, out);
}

static bool from_study(const struct picture_case *shown, struct picture *out,
                       bool (*draw)(const struct scenario *, const struct place_study *,
                                    struct picture *))
{
    struct place_study study;
    return place_study_make(shown->scenario, &study, NULL) == STATUS_OK &&
           draw(shown->scenario, &study, out);
}

bool pictures_place_field(const struct picture_case *shown, struct picture *out)
{
    return from_study(shown, out, picture_place_field);
}

bool pictures_place_margin(const struct picture_case *shown, struct picture *out)
{
    return from_study(shown, out, picture_place_margin);
}

#define DRAWN_LOWEST_DB (-30.0)

static bool add_line(const struct picture_case *shown, const struct network_line *line,
                     enum generation generation, struct picture *out)
{
    const struct curve *curve = &line->margin_db[generation];
    enum role role = role_of_generation(generation);
    struct series *series = picture_add_series(out, SERIES_LINE, role,
                                               picture_case_name(shown, generation), curve->count);
    struct series *worst = picture_add_series(out, SERIES_POINTS, role, "", 1);
    if (!series || !worst) {
        return false;
    }
    size_t at = line->worst[generation];
    worst->glyph = 'x';
    for (size_t i = 0; i < curve->count; i++) {
        series->x[i] = curve->x[i];
        series->y[i] = fmax(curve->y[i], DRAWN_LOWEST_DB);
        out->y.low = fmin(out->y.low, series->y[i] - 2.0);
        out->y.high = fmax(out->y.high, series->y[i] + 2.0);
    }
    worst->x[0] = curve->x[at];
    worst->y[0] = series->y[at];
    return true;
}

bool pictures_place_network(const struct picture_case *shown, struct picture *out)
{
    struct network_line line;
    if (network_line_make(shown->scenario, 0.0, LINE_POINTS_DRAWN, &line, NULL) != STATUS_OK) {
        return false;
    }
    text_format(out->title, sizeof out->title, "Margin from %s to %s", line.names[0],
                line.names[1]);
    text_format(out->note, sizeof out->note,
                "At half of %d positions a point; x: the worst. Guard interval %.1f us: paths may "
                "differ by "
                "%.1f km. Antenna alike all round.",
                LINE_POSITIONS, line.guard_us, km_from_us(line.guard_us));
    out->x = (struct axis){.label = "distance", .unit = "km", .high = line.length_km};
    out->y = (struct axis){.label = "margin", .unit = "dB", .low = -5.0, .high = 5.0};
    picture_add_mark(out, ROLE_WARN, "decodes from here on", false, 0.0);
    return add_line(shown, &line, GENERATION_FIRST, out) &&
           add_line(shown, &line, GENERATION_SECOND, out);
}

static bool add_area(const struct picture_case *shown, const struct plan *plan,
                     enum generation generation, struct picture *out)
{
    bool first = generation == GENERATION_FIRST, sent = false;
    for (int i = 0; i < plan->station_count; i++) {
        sent = sent || plan->stations[i].generation == generation;
    }
    char label[64];
    text_format(label, sizeof label, "%s, %.0f km2", picture_case_name(shown, generation),
                100.0 * round(plan->area_km2[generation] / 100.0));
    struct series *series = picture_add_series(out, SERIES_AREA, role_of_generation(generation),
                                               sent ? label : "", (size_t)PLAN_ROWS * PLAN_COLUMNS);
    if (!series) {
        return false;
    }
    series->glyph = first ? '\\' : '/'; /* as hatched on paper */
    series->tile_x = series->tile_y = plan->step_km;
    series->count = 0;
    for (int row = 0; row < PLAN_ROWS; row++) {
        for (int column = 0; column < PLAN_COLUMNS; column++) {
            if (plan->decodes[generation][row][column]) {
                series->x[series->count] = plan->west_km + (column + 0.5) * plan->step_km;
                series->y[series->count++] = plan->south_km + (row + 0.5) * plan->step_km;
            }
        }
    }
    return true;
}

static bool add_spot(struct picture *out, enum role role, const char *label, char glyph,
                     double east_km, double north_km)
{
    struct series *series = picture_add_series(out, SERIES_POINTS, role, label, 1);
    if (series) {
        series->glyph = glyph;
        series->x[0] = east_km;
        series->y[0] = north_km;
    }
    return series != NULL;
}

static void note_plan(const struct scenario *scenario, const struct plan *plan, struct picture *out)
{
    text_format(
        out->note, sizeof out->note,
        "For %g %% of the locations over even ground, antenna alike all round; crossed: both. "
        "A planning aid.%s%s",
        scenario->place.location_percent,
        plan->bearings_assumed ? " Bearings that are not said are assumed." : "",
        plan->terrain_left_out ? " Terrain is known along one way only: left out." : "");
}

bool pictures_place_plan(const struct picture_case *shown, struct picture *out)
{
    struct plan *plan = malloc(sizeof *plan);
    bool made = plan && plan_make(shown->scenario, plan, NULL) == STATUS_OK;
    if (made) {
        text_format(out->title, sizeof out->title, "Where each generation decodes");
        note_plan(shown->scenario, plan, out);
        double east_km = plan->west_km + plan->step_km * PLAN_COLUMNS;
        double north_km = plan->south_km + plan->step_km * PLAN_ROWS;
        out->to_scale = true;
        out->x = (struct axis){
            .label = "east of the place", .unit = "km", .low = plan->west_km, .high = east_km};
        out->y =
            (struct axis){.label = "north", .unit = "km", .low = plan->south_km, .high = north_km};
        made = add_area(shown, plan, GENERATION_FIRST, out) &&
               add_area(shown, plan, GENERATION_SECOND, out);
    }
    for (int i = 0; made && i < plan->station_count; i++) {
        const struct plan_station *station = &plan->stations[i];
        made = add_spot(out, role_of_generation(station->generation), station->name,
                        (char)('1' + i), station->east_km, station->north_km);
    }
    made = made && add_spot(out, ROLE_TITLE, "the place", '+', 0.0, 0.0);
    free(plan);
    return made;
}

bool pictures_place_motion(const struct picture_case *shown, struct picture *out)
{
    double center_mhz = shown->report->rf.center_mhz;
    double first_hz = report_facts(shown->report, GENERATION_FIRST)->doppler_hz;
    double second_hz = report_facts(shown->report, GENERATION_SECOND)->doppler_hz;
    text_format(out->title, sizeof out->title, "Doppler off a moving reflector on %.0f MHz",
                center_mhz);
    text_format(out->note, sizeof out->note,
                "An echo is shifted by up to 2 v f / c: straight along the path. Above a limit a "
                "generation no longer follows.");
    out->x = (struct axis){
        .label = "speed", .unit = "km/h", .low = 1.0, .high = 1000.0, .logarithmic = true};
    out->y = (struct axis){
        .label = "Doppler",
        .unit = "Hz",
        .low = reflector_doppler_hz(1.0, center_mhz),
        .high = fmax(reflector_doppler_hz(1000.0, center_mhz), 1.5 * fmax(first_hz, second_hz)),
        .logarithmic = true};
    out->y.low = fmin(out->y.low, 0.5);
    char label[64];
    if (first_hz > 0.0) {
        text_format(label, sizeof label, "%s %.1f Hz: %.0f km/h",
                    picture_case_name(shown, GENERATION_FIRST), first_hz,
                    reflector_speed_kmh(first_hz, center_mhz));
        picture_add_mark(out, ROLE_FIRST, label, false, first_hz);
        out->y.low = fmin(out->y.low, first_hz / 2.0);
    }
    text_format(label, sizeof label, "%s %.1f Hz: %.0f km/h",
                picture_case_name(shown, GENERATION_SECOND), second_hz,
                reflector_speed_kmh(second_hz, center_mhz));
    picture_add_mark(out, ROLE_SECOND, label, false, second_hz);
    struct series *line = picture_add_series(out, SERIES_LINE, ROLE_PLAIN, "", POINTS);
    if (!line) {
        return false;
    }
    for (int k = 0; k < POINTS; k++) {
        line->x[k] = pow(1000.0, (double)k / (POINTS - 1));
        line->y[k] = reflector_doppler_hz(line->x[k], center_mhz);
    }
    static const char glyphs[] = "fhpca";
    for (size_t i = 0; i < reflector_count() && i + 1 < sizeof glyphs; i++) {
        const struct reflector_row *row = reflector_row(i);
        struct series *point = picture_add_series(out, SERIES_POINTS, ROLE_WARN, row->name, 1);
        if (!point) {
            return false;
        }
        point->glyph = glyphs[i];
        point->x[0] = row->speed_kmh;
        point->y[0] = reflector_doppler_hz(row->speed_kmh, center_mhz);
    }
    return true;
}
