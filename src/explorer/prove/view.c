/* The proving view: the present mode simulated beside the interface, its error-rate curve growing
 * until it is told to stop. */
#include <string.h>

#include "explorer/frame/view.h"
#include "explorer/prove/draw.h"
#include "explorer/prove/job.h"
#include "present/picture/proof.h"

/* ---- Opening and closing. ---- */

static void open_prove(const struct desk *desk, void *opaque)
{
    (void)desk;
    struct prove_state *state = opaque;
    state->choice = proof_choice_default();
}

static void leave_prove(void *opaque)
{
    prove_stop(opaque);
}

static void close_prove(void *opaque)
{
    struct prove_state *state = opaque;
    prove_stop(state);
    picture_free(&state->picture);
}

/* ---- What is shown follows the scenario and the choices. ---- */

static void clear(const struct desk *desk, struct prove_state *state)
{
    prove_stop(state);
    state->phase = PROVE_READY;
    state->sweep = (struct proof_sweep){.choice = state->choice};
    if (state->choice.channel != CHANNEL_CARRIERS && /* with echoes the worker plans */
        proof_sweep_plan(&desk->profile.scenario, &state->choice, &state->sweep, &state->fault) !=
            STATUS_OK) {
        state->phase = PROVE_FAILED;
    }
}

/* With echoes everything may count; in plain noise only what the description names. */
static void follow(const struct desk *desk, struct prove_state *state)
{
    char what[sizeof state->what];
    proof_describe(&desk->profile.scenario, &state->choice, what, sizeof what);
    bool moved = state->choice.channel == CHANNEL_CARRIERS && state->revision != desk->revision;
    if (moved || strcmp(what, state->what) != 0) {
        memcpy(state->what, what, sizeof what);
        clear(desk, state);
    }
    state->revision = desk->revision;
}

static void update_prove(struct desk *desk, void *opaque, struct rect area)
{
    struct prove_state *state = opaque;
    cursor_fit(&state->rows, PROVE_ROW_COUNT, prove_layout(area).choices.rows);
    prove_end(state);
    follow(desk, state);
    prove_look(state);
    picture_free(&state->picture);
    picture_proof_make(&desk->profile.scenario, &state->sweep, &state->picture);
}

/* ---- Keys. ---- */

static void start_or_stop(const struct call *call)
{
    struct prove_state *state = call->owner;
    if (state->work) {
        prove_ask_stop(state);
    } else if (state->phase == PROVE_DONE) {
        desk_say(call->desk, TONE_QUIET, "All rounds are done; Delete clears the curve.");
    } else {
        follow(call->desk, state);
        prove_begin(call->desk, state);
    }
}

static void change(const struct call *call)
{
    prove_turn(call->desk, call->owner, call->key == PRESS_RIGHT ? 1 : -1);
}

static void select_row(const struct call *call)
{
    struct prove_state *state = call->owner;
    cursor_key(&state->rows, call->key);
}

static void clear_curve(const struct call *call)
{
    clear(call->desk, call->owner);
}

static const struct key keys[] = {
    {"Enter", "start, stop", "start the simulation; stop it; go on with it", "Space Enter",
     start_or_stop},
    {"←→", "change", "change the selected choice; the curve begins anew", "Right Left", change},
    {"↑↓", "choice", "select channel, generation or decoder", KEYS_OF_A_LIST, select_row},
    {"Delete", NULL, "clear the curve", "Delete Backspace", clear_curve},
    {"mouse", NULL, "a click selects, the wheel changes; a click on the status starts or stops", "",
     NULL},
    {0},
};

static void mouse(struct desk *desk, void *opaque, const struct event *event, struct rect area)
{
    struct prove_state *state = opaque;
    struct prove_layout layout = prove_layout(area);
    int wheel = event_wheel(event);
    if (rect_holds(layout.status, event->row, event->column) && wheel == 0) {
        start_or_stop(&(struct call){.desk = desk, .owner = state});
    } else if (rect_holds(layout.choices, event->row, event->column)) {
        cursor_click(&state->rows, event->row - layout.choices.row);
        if (wheel != 0) {
            prove_turn(desk, state, -wheel);
        }
    }
}

/* ---- For the frame and export. ---- */

static bool busy_prove(const void *opaque)
{
    const struct prove_state *state = opaque;
    return state->work != NULL;
}

static bool picture_prove(const struct desk *desk, const void *opaque, struct picture *out)
{
    (void)desk;
    const struct prove_state *state = opaque;
    return state->picture.series_count > 0 && picture_copy(&state->picture, out);
}

const struct view view_prove = {
    .name = "prove",
    .title = "Prove the required SNR by simulation",
    .key = 'c',
    .about = "The present mode's own code, interleaver and constellation, simulated beside this "
             "screen. In rounds of growing effort the curve reaches further down; the bars are "
             "exact 95 % intervals, a v is the upper end where none was wrong yet. A fit of the "
             "points tells the SNR; its standard error comes from the number of errors counted, "
             "and it is extrapolated while no point reaches down to the rate. Another mode "
             "begins a new curve, and leaving this view stops the run. Each point is what "
             "guardspan simulate counts with seed 1.",
    .keys = keys,
    .state_size = sizeof(struct prove_state),
    .open = open_prove,
    .close = close_prove,
    .update = update_prove,
    .draw = prove_draw,
    .mouse = mouse,
    .busy = busy_prove,
    .leave = leave_prove,
    .words = prove_words,
    .explain = prove_explain,
    .picture = picture_prove,
};
