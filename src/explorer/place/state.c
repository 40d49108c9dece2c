/* A box for the worker holds what is asked; what is drawn is the answer in it. */
#include "explorer/place/state.h"

#include <stdlib.h>
#include <string.h>

#include "explorer/desk/same.h"
#include "present/picture/pictures_place.h"

#define PICTURE_ROWS 6 /* with the rule above it */
#define TALL_ROWS 24   /* from here on it is given two fifths */

struct place_layout place_layout(const struct scenario *scenario, struct rect area)
{
    struct place_layout layout = {.table = area};
    int most = place_row_count(scenario) + 1;
    int picture = area.rows < TALL_ROWS ? PICTURE_ROWS : area.rows * 2 / 5;
    layout.table.rows = area.rows - picture < most ? area.rows - picture : most;
    if (layout.table.rows < 6) { /* no room for a picture */
        layout.table.rows = area.rows < most ? area.rows : most;
    }
    int left = area.rows - layout.table.rows;
    layout.rule = (struct rect){area.row + layout.table.rows, area.column, left > 0, area.columns};
    layout.picture =
        (struct rect){layout.rule.row + 1, area.column, left > 0 ? left - 1 : 0, area.columns};
    return layout;
}

/* ---- The worker. ---- */

/* Those that show one station show the selected one. */
static void make_picture(struct place_answer *answer)
{
    const struct scenario *scenario = &answer->scenario;
    const char *name = answer->picture->name;
    if (strcmp(name, "reach") == 0) {
        picture_place_margin(scenario, &answer->study, &answer->drawn);
    } else if (strcmp(name, "field") == 0) {
        picture_place_field(scenario, &answer->study, &answer->drawn);
    } else if (strcmp(name, "reach-methods") == 0) {
        picture_place_ways_margin(scenario, answer->station, &answer->drawn);
    } else if (strcmp(name, "field-methods") == 0) {
        picture_place_ways_field(scenario, answer->station, &answer->drawn);
    } else {
        answer->report.rf.center_mhz = answer->study.stations[answer->station].link.center_mhz;
        struct picture_case shown = {.scenario = scenario, .report = &answer->report};
        picture_kind_make(answer->picture, &shown, &answer->drawn);
    }
}

static bool shows_one_station(const struct picture_kind *kind)
{
    return strcmp(kind->name, "motion") == 0 || strstr(kind->name, "-methods") != NULL;
}

static void work(struct job *job, void *box)
{
    struct place_answer *answer = box;
    enum status status =
        place_study_make_again(&answer->scenario, &answer->before, &answer->study, &answer->fault);
    answer->known = status == STATUS_OK;
    if (answer->known && !job_is_stopped(job)) {
        make_picture(answer);
    }
}

static void drop(void *box)
{
    struct place_answer *answer = box;
    picture_free(&answer->drawn);
}

void place_open(struct place_state *state)
{
    state->errand.work = work;
    state->errand.drop = drop;
}

/* ---- What is shown follows the scenario. ---- */

const struct place_answer *place_answer(const struct place_state *state)
{
    return state->errand.pending ? NULL : state->errand.done;
}

/* Where only stations have changed, those that have not are kept. */
static bool only_stations_differ(const struct scenario *one, const struct scenario *other)
{
    struct scenario same = *other;
    same.station_count = one->station_count;
    for (int i = 0; i < STATIONS_MAX; i++) {
        same.stations[i] = one->stations[i];
    }
    return scenarios_are_same(one, &same);
}

static void ask(const struct desk *desk, struct place_state *state)
{
    const struct place_answer *before = state->errand.done;
    struct place_answer *box = calloc(1, sizeof *box);
    if (box) {
        box->scenario = desk->profile.scenario;
        box->report = desk->report;
        box->station = state->stations.at;
        box->picture = state->gallery.kinds[state->gallery.at];
        if (before && before->known && only_stations_differ(&box->scenario, &before->scenario)) {
            box->before = before->study;
        }
    }
    state->revision = desk->revision;
    state->picture = state->gallery.at;
    state->station = state->stations.at;
    errand_want(&state->errand, box, 4.0);
}

/* Two stations of one name's beginning are told apart where the width allows. */
static int station_columns(const struct scenario *scenario, int room)
{
    int widest = PLACE_STATION_COLUMNS, count = scenario->station_count;
    for (int i = 0; i < count; i++) {
        int width = (int)text_columns(scenario->stations[i].name) + 1;
        widest = width > widest ? width : widest;
    }
    int share = count > 0 ? room / count : 0;
    return share < PLACE_STATION_COLUMNS ? PLACE_STATION_COLUMNS : share < widest ? share : widest;
}

void place_update(struct desk *desk, void *opaque, struct rect area)
{
    struct place_state *state = opaque;
    const struct scenario *scenario = &desk->profile.scenario;
    int room = area.columns - PLACE_LABEL_COLUMNS - 1;
    state->station_columns = station_columns(scenario, room);
    struct rect table = place_layout(scenario, area).table;
    /* Where not all rows are seen the last one is the margin's. */
    cursor_fit(&state->rows, place_row_count(scenario),
               table.rows - 1 < place_row_count(scenario) ? table.rows - 2 : table.rows - 1);
    cursor_fit(&state->stations, scenario->station_count, room / state->station_columns);
    if (state->revision != desk->revision || state->picture != state->gallery.at ||
        (state->station != state->stations.at &&
         shows_one_station(state->gallery.kinds[state->gallery.at]))) {
        ask(desk, state);
    }
    errand_look(&state->errand);
}
