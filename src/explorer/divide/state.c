/* A worker divides the channel; what is shown is its last answer. */
#include "explorer/divide/state.h"

#include <stdlib.h>

#include "present/picture/pictures_divide.h"

/* ---- The worker. ---- */

static bool goes_on(void *opaque, double share)
{
    struct job *job = opaque;
    job_set_progress(job, share);
    return !job_is_stopped(job);
}

static void work(struct job *job, void *box)
{
    struct divide_answer *answer = box;
    const struct divide_limits limits = {.goes_on = goes_on, .watcher = job};
    answer->status =
        divide_make_limited(&answer->scenario, &limits, &answer->divisions, &answer->fault);
    if (answer->status != STATUS_OK || job_is_stopped(job)) {
        return;
    }
    if (picture_divisions(&answer->scenario, &answer->divisions, &answer->rates)) {
        answer->rates.note[0] = '\0'; /* the rows are few; the help says it */
    } else {
        picture_free(&answer->rates);
    }
}

static void drop(void *box)
{
    struct divide_answer *answer = box;
    picture_free(&answer->rates);
}

void divide_open(struct divide_state *state)
{
    state->errand.work = work;
    state->errand.drop = drop;
}

void divide_close(struct divide_state *state)
{
    errand_free(&state->errand);
    picture_free(&state->frame);
}

void divide_begin(const struct desk *desk, struct divide_state *state)
{
    bool any = desk->profile.scenario.service_count > 0;
    struct divide_answer *box = any ? calloc(1, sizeof *box) : NULL;
    if (box) {
        box->scenario = desk->profile.scenario;
    }
    state->revision = desk->revision;
    state->stopped = false;
    errand_want(&state->errand, box, 0.0);
}

void divide_stop(struct divide_state *state)
{
    errand_want(&state->errand, NULL, 0.0);
    state->stopped = true;
}

const struct divide_answer *divide_last(const struct divide_state *state)
{
    return state->errand.done;
}

const struct division *divide_selected(const struct divide_state *state)
{
    const struct divide_answer *answer = state->errand.pending ? NULL : divide_last(state);
    return answer && answer->status == STATUS_OK && state->division.at < answer->divisions.count
               ? &answer->divisions.best[state->division.at]
               : NULL;
}

/* ---- Where things stand. ---- */

#define SERVICE_ROWS 7  /* a head and the values of one */
#define SERVICE_LEAST 6 /* a head, four services and one more value */
#define TABLE_ROWS (1 + DIVISION_KIND_COUNT)
#define DETAIL_ROWS (1 + SERVICES_MAX)
#define PICTURE_LEAST 7

/* The next rows of the area, so many or those that are left. */
static struct rect take_rows(struct rect *area, int rows)
{
    struct rect taken = *area;
    taken.rows = rows < area->rows ? rows : area->rows;
    area->row += taken.rows;
    area->rows -= taken.rows;
    return taken;
}

struct divide_layout divide_layout(const struct divide_state *state, struct rect area)
{
    struct divide_layout layout = {0};
    struct main_layout main = layout_main(area);
    bool all = area.rows >= SERVICE_LEAST + TABLE_ROWS + 2;
    bool tall = area.rows >= SERVICE_ROWS + TABLE_ROWS + DETAIL_ROWS + PICTURE_LEAST + 3;
    bool pictured = !tall && state->in_table && state->page != PAGE_DETAILS;
    int services =
        area.rows >= SERVICE_ROWS + TABLE_ROWS + DETAIL_ROWS + 2 ? SERVICE_ROWS : SERVICE_LEAST;
    if (!pictured && (all || !state->in_table)) { /* else a picture needs the room, or the table */
        layout.list = take_rows(&area, all ? services : area.rows);
    }
    if (main.one_panel) {
        layout.values = layout.list;
        *(state->editor.inside ? &layout.list : &layout.values) = (struct rect){0};
    } else {
        layout.values = layout.list;
        layout.list.columns -= main.settings.columns + 1;
        layout.divider = layout.values;
        layout.divider.column += layout.list.columns;
        layout.divider.columns = 1;
        layout.values.column = layout.divider.column + 1;
        layout.values.columns = main.settings.columns;
    }
    layout.head = take_rows(&area, 1);
    layout.table = take_rows(&area, TABLE_ROWS);
    layout.rule = take_rows(&area, 1);
    if (tall) {
        layout.details = take_rows(&area, DETAIL_ROWS);
        layout.picture_rule = take_rows(&area, 1);
        layout.picture = area;
    } else {
        *(state->page == PAGE_DETAILS ? &layout.details : &layout.picture) = area;
    }
    return layout;
}

/* ---- What is shown follows the scenario. ---- */

void divide_follow(const struct desk *desk, struct divide_state *state)
{
    editor_begin(&state->editor);
    for (int i = 0; i < desk->profile.scenario.service_count; i++) {
        editor_add(&state->editor, section_find("service"), i, 0);
    }
}

static void keep_frame(const struct desk *desk, struct divide_state *state)
{
    const struct division *division = divide_selected(state);
    const struct divide_answer *answer = divide_last(state);
    if (!division) {
        state->framed = NULL;
        return;
    }
    if (state->framed == answer && state->framed_division == state->division.at) {
        return;
    }
    struct scenario *shown = malloc(sizeof *shown);
    picture_free(&state->frame);
    state->framed = answer;
    state->framed_division = state->division.at;
    if (shown) {
        const struct picture_case frame = {.scenario = shown, .report = &desk->report};
        *shown = answer->scenario;
        division_put(division, shown);
        if (picture_kind_make(picture_kind_find("frame"), &frame, &state->frame)) {
            state->frame.note[0] = '\0'; /* the rows are few; the help says it */
        }
    }
    free(shown);
}

const struct picture *divide_picture(const struct divide_state *state)
{
    const struct divide_answer *answer = divide_last(state);
    const struct picture *shown =
        state->page == PAGE_RATES ? (answer ? &answer->rates : NULL) : &state->frame;
    return shown && shown->series_count > 0 ? shown : NULL;
}

void divide_update(struct desk *desk, void *opaque, struct rect area)
{
    struct divide_state *state = opaque;
    if (state->revision != desk->revision) {
        divide_follow(desk, state);
        divide_begin(desk, state);
    }
    if (errand_look(&state->errand)) {
        state->framed = NULL;
    }
    struct divide_layout layout = divide_layout(state, area);
    const struct divide_answer *answer = divide_last(state);
    editor_fit(&state->editor, layout.list, layout.values);
    cursor_fit(&state->division,
               answer && answer->status == STATUS_OK ? answer->divisions.count : 0,
               layout.table.rows - 1);
    keep_frame(desk, state);
}
