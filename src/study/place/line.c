/* Where along the line between two transmitters their network is received.
 *
 * With both bearings the transmitters stand where the profile has them, and so do all other
 * stations whose bearing is given; without, they stand on opposite sides of the place, and stations
 * of the network whose place is not known are left out. The antenna hears alike all round. Few
 * positions are drawn at each point: a picture, not a verdict. */
#include "study/place/line.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "study/place/map.h"
#include "study/place/network.h"
#include "study/verdict/verdict.h"

#define DELAY_STEP_US 10.0

/* The network's stations first, then all others; how many are of the network. */
static int sort_stations(const struct scenario *scenario, const struct station *first,
                         struct scenario *sorted)
{
    int count = 0, members = 0;
    for (int others = 0; others < 2; others++) {
        for (int i = 0; i < scenario->station_count; i++) {
            const struct station *station = &scenario->stations[i];
            bool member = station == first || network_joins(first, station);
            if (member != others) {
                sorted->stations[count++] = *station;
                members += member;
            }
        }
    }
    return members;
}

/* Two stations without both bearings stand to the left and right of the place. Members of which
 * nobody knows where they stand then are taken out. */
static void lay_out(struct scenario *sorted, int members, struct map_point at[STATIONS_MAX])
{
    bool known = !isnan(sorted->stations[0].bearing_deg + sorted->stations[1].bearing_deg);
    for (int i = 0; i < sorted->station_count; i++) {
        at[i] = known ? map_point_of(&sorted->stations[i]) : (struct map_point){NAN, NAN};
    }
    if (!known) {
        at[0] = (struct map_point){-sorted->stations[0].distance_km, 0.0};
        at[1] = (struct map_point){sorted->stations[1].distance_km, 0.0};
    }
    for (int i = members - 1; i >= 2; i--) {
        if (isnan(at[i].east_km)) {
            for (int k = i; k + 1 < sorted->station_count; k++) {
                sorted->stations[k] = sorted->stations[k + 1];
                at[k] = at[k + 1];
            }
            sorted->station_count--;
        }
    }
}

static const struct station *first_of_a_network(const struct scenario *scenario)
{
    for (int i = 0; i < scenario->station_count; i++) {
        if (network_ray(scenario, &scenario->stations[i], 0) != NULL) {
            return &scenario->stations[i];
        }
    }
    return NULL;
}

struct walk {
    struct scenario *moved; /* the network's transmitters first */
    int members;
    struct map_point at[STATIONS_MAX];
    struct verdict *verdict;
};

static enum status follow(const struct walk *walk, enum generation generation, size_t most,
                          struct network_line *line, struct fault *fault)
{
    struct curve *curve = &line->margin_db[generation];
    const struct map_point *from = &walk->at[0], *to = &walk->at[1];
    enum status status = STATUS_OK;
    double km;
    for (int i = 0; i < walk->members; i++) {
        walk->moved->stations[i].generation = generation;
    }
    curve_begin(curve, 0.0, line->length_km, LINE_POINTS, NULL, 0, most);
    while (status == STATUS_OK && curve_next(curve, &km)) {
        double share = km / line->length_km;
        map_move_place(
            walk->moved, walk->at,
            (struct map_point){from->east_km + share * (to->east_km - from->east_km),
                               from->north_km + share * (to->north_km - from->north_km)});
        status = verdict_make(walk->moved, generation, walk->verdict, fault);
        line->guard_us = status == STATUS_OK ? walk->verdict->facts.guard_us : NAN;
        curve_answer(curve, fmax(walk->verdict->margin_db, LINE_LOWEST_DB)); /* -INFINITY too */
    }
    line->worst[generation] = 0;
    for (size_t i = 0; i < curve->count; i++) {
        if (curve->y[i] < curve->y[line->worst[generation]]) {
            line->worst[generation] = i;
        }
    }
    return status;
}

enum status network_line_make(const struct scenario *scenario, double delay_us, size_t most,
                              struct network_line *line, struct fault *fault)
{
    const struct station *first = first_of_a_network(scenario);
    if (first == NULL) {
        fault_set(fault, STATUS_ILLEGAL, "station", "two stations with the same network",
                  "there is no single-frequency network");
        return STATUS_ILLEGAL;
    }
    struct scenario *moved = malloc(sizeof *moved);
    struct walk walk = {.moved = moved, .verdict = malloc(sizeof *walk.verdict)};
    if (moved == NULL || walk.verdict == NULL) {
        free(moved);
        free(walk.verdict);
        return STATUS_NO_MEMORY;
    }
    *moved = *scenario;
    map_forget_terrain(moved);
    walk.members = sort_stations(scenario, first, moved);
    int before = moved->station_count;
    lay_out(moved, walk.members, walk.at);
    walk.members -= before - moved->station_count;
    moved->stations[1].delay_us += delay_us;
    moved->receiver.snr_db = moved->receiver.level_dbm = NAN;
    moved->receiver.positions = LINE_POSITIONS;
    moved->place.bearing_deg = NAN;
    for (int i = 0; i < 2; i++) {
        text_format(line->names[i], NAME_MAX_BYTES, "%s", moved->stations[i].name);
    }
    line->length_km =
        hypot(walk.at[1].east_km - walk.at[0].east_km, walk.at[1].north_km - walk.at[0].north_km);
    enum status status = STATUS_OK;
    for (int g = 0; g < GENERATION_COUNT && status == STATUS_OK; g++) {
        status = follow(&walk, (enum generation)g, most, line, fault);
    }
    free(walk.verdict);
    free(moved);
    return status;
}

static void write_worst(const struct scenario *scenario, const struct network_line *line,
                        struct text *out)
{
    for (int g = 0; g < GENERATION_COUNT; g++) {
        const struct curve *curve = &line->margin_db[g];
        text_printf(out, "%s %s at %.1f km (%+.1f dB)", g > 0 ? "," : "",
                    system_of(scenario, (enum generation)g)->name, curve->x[line->worst[g]],
                    as_shown(curve->y[line->worst[g]], 1));
    }
}

enum status network_line_words(const struct scenario *scenario, struct text *out,
                               struct fault *fault)
{
    if (first_of_a_network(scenario) == NULL) {
        return STATUS_OK;
    }
    struct network_line line, later;
    enum status status = network_line_make(scenario, 0.0, LINE_POINTS_DRAWN, &line, fault);
    if (status == STATUS_OK) {
        status = network_line_make(scenario, DELAY_STEP_US, LINE_POINTS_DRAWN, &later, fault);
    }
    if (status != STATUS_OK) {
        return status;
    }
    text_printf(out, "Along the %.1f km from %s to %s the worst points are:", line.length_km,
                line.names[0], line.names[1]);
    write_worst(scenario, &line, out);
    text_printf(out, ". With %g us more static delay at %s:", DELAY_STEP_US, line.names[1]);
    write_worst(scenario, &later, out);
    text_printf(out,
                ". The guard interval bears %.1f us, a difference of %.1f km between two ways; "
                "transmitters no farther apart than that never leave it.",
                line.guard_us, km_from_us(line.guard_us));
    return STATUS_OK;
}
