/* The proving view: the present mode simulated beside the interface, its error-rate curve growing
 * until it is told to stop. */
#include <stdlib.h>
#include <string.h>

#include "explorer/prove/state.h"
#include "present/picture/proof.h"

/* ---- Opening and closing. ---- */

static void *open_prove(struct explorer *explorer)
{
    struct prove_state *state = calloc(1, sizeof *state);
    if (state) {
        state->choice = proof_choice_default();
        state->revision = explorer->revision - 1;
    }
    return state;
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
    free(state);
}

/* ---- What is shown follows the scenario and the choices. ---- */

static void clear(const struct explorer *explorer, struct prove_state *state)
{
    prove_stop(state);
    state->phase = PROVE_READY;
    state->sweep = (struct proof_sweep){.choice = state->choice};
    if (state->choice.channel != CHANNEL_CARRIERS && /* with echoes the worker plans */
        proof_sweep_plan(&explorer->profile.scenario, &state->choice, &state->sweep,
                         &state->fault) != STATUS_OK) {
        state->phase = PROVE_FAILED;
    }
}

/* With echoes everything may count; in plain noise only what the description names. */
static void follow(const struct explorer *explorer, struct prove_state *state)
{
    char what[sizeof state->what];
    proof_describe(&explorer->profile.scenario, &state->choice, what, sizeof what);
    bool moved = state->choice.channel == CHANNEL_CARRIERS && state->revision != explorer->revision;
    if (moved || strcmp(what, state->what) != 0) {
        memcpy(state->what, what, sizeof what);
        clear(explorer, state);
    }
    state->revision = explorer->revision;
}

static void update_prove(struct explorer *explorer, void *opaque)
{
    struct prove_state *state = opaque;
    prove_end(state);
    follow(explorer, state);
    prove_look(state);
    picture_free(&state->picture);
    picture_proof_make(&explorer->profile.scenario, &state->sweep, &state->picture);
}

/* ---- Choices. ---- */

const char *prove_choice_label(enum prove_row row)
{
    static const char *const labels[PROVE_ROW_COUNT] = {[PROVE_CHANNEL] = "Channel",
                                                        [PROVE_GENERATION] = "Generation",
                                                        [PROVE_DECODER] = "Decoder"};
    return labels[row];
}

const char *prove_choice_value(const struct prove_state *state, enum prove_row row)
{
    bool first = state->choice.generation == GENERATION_FIRST;
    switch (row) {
    case PROVE_CHANNEL:
        return proof_channel_name(state->choice.channel);
    case PROVE_GENERATION:
        return first ? "first (8-VSB)" : "second (OFDM)";
    default:
        return first ? "Viterbi" : proof_decoder_name(state->choice.algorithm);
    }
}

/* The next value of a row that can be simulated. */
static void turn(struct prove_state *state, int by)
{
    struct proof_choice *choice = &state->choice;
    if (state->row == PROVE_GENERATION) {
        choice->generation = (enum generation)(GENERATION_COUNT - 1 - (int)choice->generation);
        if (proof_check(choice, NULL) != STATUS_OK) {
            choice->channel = CHANNEL_AWGN;
        }
    } else if (state->row == PROVE_DECODER) {
        choice->algorithm =
            (enum ldpc_algorithm)(LDPC_ALGORITHM_COUNT - 1 - (int)choice->algorithm);
    } else {
        do {
            choice->channel =
                (enum chain_channel)(((int)choice->channel + by + CHANNEL_COUNT) % CHANNEL_COUNT);
        } while (proof_check(choice, NULL) != STATUS_OK);
    }
}

static void start_or_stop(struct explorer *explorer, struct prove_state *state)
{
    if (state->work) {
        prove_ask_stop(state);
    } else if (state->phase == PROVE_DONE) {
        explorer_say(explorer, ROLE_DIM, "All rounds are done; Delete clears the curve.");
    } else {
        follow(explorer, state);
        prove_begin(explorer, state);
    }
}

static enum handled key(struct explorer *explorer, struct prove_state *state, uint32_t pressed)
{
    switch (pressed) {
    case PRESS_ENTER:
    case ' ':
        start_or_stop(explorer, state);
        return HANDLED;
    case PRESS_UP:
        state->row = state->row > 0 ? state->row - 1 : 0;
        return HANDLED;
    case PRESS_DOWN:
        state->row = state->row < PROVE_ROW_COUNT - 1 ? state->row + 1 : PROVE_ROW_COUNT - 1;
        return HANDLED;
    case PRESS_LEFT:
    case PRESS_RIGHT:
        turn(state, pressed == PRESS_RIGHT ? 1 : -1);
        return HANDLED;
    case PRESS_DELETE:
    case PRESS_BACKSPACE:
        clear(explorer, state);
        return HANDLED;
    default:
        return NOT_HANDLED;
    }
}

static enum handled mouse(struct explorer *explorer, struct prove_state *state,
                          const struct event *event, struct rect area)
{
    struct prove_layout layout = prove_layout(area);
    if (rect_holds(layout.status, event->row, event->column) && event->mouse == MOUSE_CLICK) {
        start_or_stop(explorer, state);
        return HANDLED;
    }
    if (!rect_holds(layout.choices, event->row, event->column)) {
        return NOT_HANDLED;
    }
    if (layout.choices.rows == PROVE_ROW_COUNT) { /* else only the selected one is shown */
        state->row = (enum prove_row)(event->row - layout.choices.row);
    }
    if (event->mouse != MOUSE_CLICK) {
        turn(state, event->mouse == MOUSE_WHEEL_UP ? 1 : -1);
    }
    return HANDLED;
}

static enum handled handle_prove(struct explorer *explorer, void *opaque, const struct event *event,
                                 struct rect area, struct effect *effect)
{
    (void)effect;
    switch (event->kind) {
    case EVENT_KEY:
        return key(explorer, opaque, event->key);
    case EVENT_MOUSE:
        return mouse(explorer, opaque, event, area);
    case EVENT_TICK:
        prove_end(opaque);
        return HANDLED;
    default:
        return NOT_HANDLED;
    }
}

static bool busy_prove(const void *opaque)
{
    const struct prove_state *state = opaque;
    return state->work != NULL;
}

static bool picture_prove(const struct explorer *explorer, const void *opaque, struct picture *out)
{
    (void)explorer;
    const struct prove_state *state = opaque;
    return state->picture.series_count > 0 && picture_copy(&state->picture, out);
}

static const struct key_hint hints[] = {
    {"Enter", "start, stop", "start the simulation; stop it; go on with it", PRESS_ENTER},
    {"←→", "change", "change the selected choice; the curve begins anew", 0},
    {"↑↓", "choice", "select channel, generation or decoder", 0},
    {"Delete", NULL, "clear the curve", PRESS_DELETE},
    {"mouse", NULL, "a click selects, the wheel changes; a click on the status starts or stops", 0},
    {NULL, NULL, NULL, 0},
};

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
    .hints = hints,
    .open = open_prove,
    .close = close_prove,
    .update = update_prove,
    .draw = prove_draw,
    .handle = handle_prove,
    .busy = busy_prove,
    .leave = leave_prove,
    .words = prove_words,
    .explain = prove_long_words,
    .picture = picture_prove,
};
