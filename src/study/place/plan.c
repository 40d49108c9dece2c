/* Which generation decodes where.
 *
 * What a signal needs does not change with the place, but in a network, whose rays do: so a station
 * decodes at a place where its SNR there is not below the needed one that was found at the
 * profile's place. What a network loses to its own rays is asked anew, at one position, in the
 * middle of each square of BLOCK x BLOCK places where it could decode at all, and between the
 * middles it is laid: a picture, not a verdict. A first look at one place of each square, as far as
 * each station reaches or MOST_KM, shows what the map must hold beside the stations and the place.
 */
#include "study/place/plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/units.h"
#include "study/place/map.h"
#include "study/place/network.h"
#include "study/place/place.h"

#define BLOCK 4 /* of the map, and of a first look at it */
#define BLOCK_ROWS (PLAN_ROWS / BLOCK)
#define BLOCK_COLUMNS (PLAN_COLUMNS / BLOCK)
#define NEARLY_DB 6.0 /* short of decoding a network is asked too: places between lie on both */
#define LOSS_MOST_DB 60.0
#define MOST_KM 150.0
#define EDGE_KM 1.0

struct planning {
    struct scenario *moved; /* the place wherever it is asked for */
    struct place_station *work;
    struct map_point at[STATIONS_MAX];
    double needed_db[STATIONS_MAX]; /* by a station at any place; of a network's in noise */
    bool in_network[STATIONS_MAX];
    /* What a network loses to its rays in the middles of squares; NAN: not asked. */
    double lost_db[STATIONS_MAX][BLOCK_ROWS][BLOCK_COLUMNS];
};

/* ---- Where the stations stand. ---- */

/* The bearings of those of which nobody says one: a direction for each distance. */
static bool assume_bearings(struct scenario *moved)
{
    static const double directions_deg[STATIONS_MAX] = {270.0, 90.0,  0.0,   180.0,
                                                        315.0, 135.0, 225.0, 45.0};
    int sites = 0;
    bool assumed = false;
    for (int i = 0; i < moved->station_count; i++) {
        struct station *station = &moved->stations[i];
        if (!isnan(station->bearing_deg)) {
            continue;
        }
        for (int k = 0; k < i && isnan(station->bearing_deg); k++) {
            if (moved->stations[k].distance_km == station->distance_km) {
                station->bearing_deg = moved->stations[k].bearing_deg; /* of the same tower */
            }
        }
        if (isnan(station->bearing_deg)) {
            station->bearing_deg = directions_deg[sites++];
        }
        assumed = true;
    }
    return assumed;
}

struct span {
    double low, high;
};

static void widen(struct span *span, double middle, double radius)
{
    span->low = fmin(span->low, middle - radius);
    span->high = fmax(span->high, middle + radius);
}

/* Squares, and as many of them as there are: the narrower side is widened. */
static void lay_out(struct plan *plan, const struct span *east, const struct span *north)
{
    double wide = east->high - east->low, high = north->high - north->low;
    plan->step_km = fmax(fmax(wide / PLAN_COLUMNS, high / PLAN_ROWS), 2.0 * DISTANCE_MIN_KM);
    plan->west_km = 0.5 * (east->low + east->high - plan->step_km * PLAN_COLUMNS);
    plan->south_km = 0.5 * (north->low + north->high - plan->step_km * PLAN_ROWS);
}

/* ---- What they need. ---- */

static double radius_of(const struct place_station *station)
{
    double km = station->reach == REACH_FOUND    ? station->reach_km
                : station->reach == REACH_BEYOND ? MOST_KM
                                                 : 0.0;
    return EDGE_KM + fmin(km, MOST_KM);
}

static enum status prepare(struct planning *planning, struct plan *plan, struct fault *fault)
{
    struct scenario *moved = planning->moved;
    struct span east = {0.0, 0.0}, north = {0.0, 0.0};
    for (int i = 0; i < moved->station_count; i++) {
        const struct station *station = &moved->stations[i];
        enum status status = place_station_make(moved, station, planning->work, fault);
        if (status != STATUS_OK) {
            return status;
        }
        planning->at[i] = map_point_of(station);
        planning->in_network[i] = planning->work->link.member_count > 0;
        planning->needed_db[i] = planning->in_network[i] ? planning->work->needed_noise_db
                                                         : planning->work->needed_snr_db;
        widen(&east, planning->at[i].east_km, radius_of(planning->work));
        widen(&north, planning->at[i].north_km, radius_of(planning->work));
        struct plan_station *shown = &plan->stations[i];
        text_format(shown->name, sizeof shown->name, "%s", station->name);
        shown->generation = station->generation;
        shown->east_km = planning->at[i].east_km;
        shown->north_km = planning->at[i].north_km;
    }
    lay_out(plan, &east, &north);
    return STATUS_OK;
}

/* ---- At each place. ---- */

static struct map_point place_at(const struct plan *plan, double row, double column)
{
    return (struct map_point){plan->west_km + (column + 0.5) * plan->step_km,
                              plan->south_km + (row + 0.5) * plan->step_km};
}

/* What the network of a station loses to its rays here; NAN where it could not decode at all. */
static enum status find_loss(const struct planning *planning, int which, double *lost_db,
                             struct fault *fault)
{
    const struct scenario *moved = planning->moved;
    struct link link = link_make(moved, &moved->stations[which]);
    struct verdict *verdict = &planning->work->verdict;
    const struct system *system = system_of(moved, link.tower.generation);
    double snr_db = link.cn_db - link.location_db;
    *lost_db = NAN;
    if (!(snr_db >= planning->needed_db[which] - NEARLY_DB)) {
        return STATUS_OK;
    }
    enum status status = system->receive(moved, PIPE_MOST_ROBUST, &verdict->reception, fault);
    if (status == STATUS_OK) {
        status = conditions_at(moved, &link, &verdict->conditions, fault);
    }
    if (status == STATUS_OK) {
        status = verdict_solve(verdict, fault);
        *lost_db = fmin(verdict->margin_noise_db - link.interference_db - verdict->margin_db,
                        LOSS_MOST_DB);
    }
    return status;
}

/* A network's strongest station stands for it: the others have the same SNR. */
static bool stands_for_its_network(const struct scenario *moved, int which)
{
    for (int i = 0; i < which; i++) {
        if (network_joins(&moved->stations[i], &moved->stations[which])) {
            return false;
        }
    }
    return true;
}

static enum status find_losses(struct planning *planning, const struct plan *plan,
                               struct fault *fault)
{
    double half = 0.5 * (BLOCK - 1);
    enum status status = STATUS_OK;
    for (int i = 0; i < planning->moved->station_count; i++) {
        if (!planning->in_network[i] || !stands_for_its_network(planning->moved, i)) {
            continue;
        }
        for (int at = 0; at < BLOCK_ROWS * BLOCK_COLUMNS && status == STATUS_OK; at++) {
            int row = at / BLOCK_COLUMNS, column = at % BLOCK_COLUMNS;
            map_move_place(planning->moved, planning->at,
                           place_at(plan, row * BLOCK + half, column * BLOCK + half));
            status = find_loss(planning, i, &planning->lost_db[i][row][column], fault);
        }
    }
    return status;
}

/* Between the four nearest middles, of those that were asked; none: as much as can be. */
static double loss_at(const double lost_db[BLOCK_ROWS][BLOCK_COLUMNS], int row, int column)
{
    double half = 0.5 * (BLOCK - 1), sum = 0.0, weights = 0.0;
    double y = (row - half) / BLOCK, x = (column - half) / BLOCK;
    for (int i = 0; i < 4; i++) {
        int r = (int)floor(y) + i / 2, c = (int)floor(x) + i % 2;
        double weight = (1.0 - fabs(y - r)) * (1.0 - fabs(x - c));
        if (r >= 0 && r < BLOCK_ROWS && c >= 0 && c < BLOCK_COLUMNS && !isnan(lost_db[r][c])) {
            sum += weight * lost_db[r][c];
            weights += weight;
        }
    }
    return weights > 0.0 ? sum / weights : LOSS_MOST_DB;
}

/* A first look, not at the `whole` map, counts no losses. */
static void decide(const struct planning *planning, struct plan *plan, int row, int column,
                   bool whole)
{
    struct scenario *moved = planning->moved;
    map_move_place(moved, planning->at, place_at(plan, row, column));
    for (int i = 0; i < moved->station_count; i++) {
        bool *decodes = &plan->decodes[moved->stations[i].generation][row][column];
        if (*decodes || (planning->in_network[i] && !stands_for_its_network(moved, i))) {
            continue;
        }
        struct link link = link_make(moved, &moved->stations[i]);
        double lost_db =
            whole && planning->in_network[i] ? loss_at(planning->lost_db[i], row, column) : 0.0;
        *decodes = link.cn_db - link.location_db - lost_db >= planning->needed_db[i];
    }
}

static void fill(const struct planning *planning, struct plan *plan, bool whole)
{
    int step = whole ? 1 : BLOCK;
    for (int row = 0; row < PLAN_ROWS; row += step) {
        for (int column = 0; column < PLAN_COLUMNS; column += step) {
            decide(planning, plan, row, column, whole);
        }
    }
}

/* The stations, the place and all that decodes at a first look. */
static void draw_closer(const struct planning *planning, struct plan *plan)
{
    struct span east = {-EDGE_KM, EDGE_KM}, north = east;
    double around_km = BLOCK * plan->step_km;
    for (int i = 0; i < planning->moved->station_count; i++) {
        widen(&east, planning->at[i].east_km, around_km);
        widen(&north, planning->at[i].north_km, around_km);
    }
    for (int row = 0; row < PLAN_ROWS; row++) {
        for (int column = 0; column < PLAN_COLUMNS; column++) {
            if (plan->decodes[GENERATION_FIRST][row][column] ||
                plan->decodes[GENERATION_SECOND][row][column]) {
                struct map_point here = place_at(plan, row, column);
                widen(&east, here.east_km, around_km);
                widen(&north, here.north_km, around_km);
            }
        }
    }
    memset(plan->decodes, 0, sizeof plan->decodes);
    lay_out(plan, &east, &north);
}

static void measure(struct plan *plan)
{
    for (int g = 0; g < GENERATION_COUNT; g++) {
        for (int i = 0; i < PLAN_ROWS * PLAN_COLUMNS; i++) {
            plan->area_km2[g] += plan->decodes[g][i / PLAN_COLUMNS][i % PLAN_COLUMNS]
                                     ? plan->step_km * plan->step_km
                                     : 0.0;
        }
    }
}

enum status plan_make(const struct scenario *scenario, struct plan *plan, struct fault *fault)
{
    *plan = (struct plan){.station_count = scenario->station_count};
    if (scenario->station_count == 0) {
        return fault_set(fault, STATUS_ILLEGAL, "station", "one to eight [station NAME] sections",
                         "there is no station to draw");
    }
    struct planning planning = {.moved = malloc(sizeof *planning.moved),
                                .work = calloc(1, sizeof *planning.work)};
    enum status status = STATUS_NO_MEMORY;
    if (planning.moved != NULL && planning.work != NULL) {
        *planning.moved = *scenario;
        planning.moved->place.bearing_deg = NAN;
        planning.moved->receiver.positions = 1;
        plan->bearings_assumed = assume_bearings(planning.moved);
        plan->terrain_left_out = map_forget_terrain(planning.moved);
        status = prepare(&planning, plan, fault);
    }
    if (status == STATUS_OK) {
        fill(&planning, plan, false);
        draw_closer(&planning, plan);
        status = find_losses(&planning, plan, fault);
    }
    if (status == STATUS_OK) {
        fill(&planning, plan, true);
        measure(plan);
    }
    free(planning.moved);
    free(planning.work);
    return status;
}
