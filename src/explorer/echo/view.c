/* The echo editor: echoes at the left, how both generations bear them at the right. */
#include <stdlib.h>
#include <string.h>

#include "explorer/echo/state.h"
#include "explorer/frame/screen.h"
#include "present/picture/echo.h"

static void *open_echo(struct explorer *explorer)
{
    struct echo_state *state = calloc(1, sizeof *state);
    if (state) {
        state->selected = explorer->profile.scenario.echo_count > 0 ? 0 : ECHO_ROW_SNR;
        state->revision = explorer->revision - 1;
    }
    return state;
}

static void forget_pictures(struct echo_state *state)
{
    for (int i = 0; i < 2; i++) {
        picture_free(&state->pictures[i]);
        state->made[i] = false;
    }
}

static void close_echo(void *opaque)
{
    struct echo_state *state = opaque;
    echo_sweeps_clear(&state->sweeps);
    forget_pictures(state);
    free(state);
}

int echo_swept(const struct echo_state *state, const struct scenario *scenario)
{
    return scenario->echo_count == 0 ? -1 : state->selected == ECHO_ROW_SNR ? 0 : state->selected;
}

enum echo_picture echo_second_picture(const struct echo_state *state)
{
    return (enum echo_picture)((state->picture + 1) % ECHO_PICTURES);
}

const struct picture *echo_picture_of(const struct echo_state *state, enum echo_picture which)
{
    const struct picture *picture = which < ECHO_PICTURE_MARGINS ? &state->pictures[which]
                                    : which == ECHO_PICTURE_MARGINS
                                        ? &state->sweeps.done[SWEEP_MARGINS].picture
                                        : &state->sweeps.done[SWEEP_TOLERATED].picture;
    return picture->series_count > 0 ? picture : NULL;
}

/* ---- What is shown follows the scenario. ---- */

static void make_picture(const struct explorer *explorer, struct echo_state *state,
                         enum echo_picture which)
{
    const struct scenario *scenario = &explorer->profile.scenario;
    int swept = echo_swept(state, scenario);
    if (!state->known) {
        return;
    }
    if (which == ECHO_PICTURE_MARGINS && swept >= 0) {
        echo_sweeps_want(&state->sweeps, SWEEP_MARGINS, &state->study.input, state->revision,
                         swept);
    } else if (which == ECHO_PICTURE_TOLERATED) {
        echo_sweeps_want(&state->sweeps, SWEEP_TOLERATED, &state->study.input, state->revision, 0);
    } else if (which < ECHO_PICTURE_MARGINS && !state->made[which]) {
        state->made[which] = true;
        (which == ECHO_PICTURE_RAYS ? picture_echo_rays : picture_echo_carriers)(
            &state->study, &state->pictures[which]);
    }
}

static struct rect list_panel(struct rect area)
{
    struct main_layout layout = layout_main(area);
    if (layout.one_panel) {
        layout.settings.rows -= layout.settings.rows / 2;
    }
    return layout.settings;
}

static void update_echo(struct explorer *explorer, void *opaque)
{
    struct echo_state *state = opaque;
    const struct scenario *scenario = &explorer->profile.scenario;
    struct rect body = explorer_layout(explorer).body;
    if (state->selected >= scenario->echo_count) {
        state->selected = scenario->echo_count - 1; /* ECHO_ROW_SNR when none is left */
    }
    int shown = state->selected < 0 ? 0 : state->selected;
    state->first =
        screen_scroll(state->first, shown, scenario->echo_count, echo_list_rows(list_panel(body)));
    if (state->revision != explorer->revision) {
        state->fault = (struct fault){0};
        state->known = echo_study_make(scenario, &state->study, &state->fault) == STATUS_OK;
        forget_pictures(state);
        state->revision = explorer->revision;
    }
    struct main_layout layout = layout_main(body);
    if (layout.picture.rows > 0) {
        make_picture(explorer, state, state->picture);
    }
    if (layout.second_picture.columns > 0) {
        make_picture(explorer, state, echo_second_picture(state));
    }
    if (echo_sweeps_busy(&state->sweeps) && !job_is_running(&state->sweeps.job)) {
        /* Ended, and its picture is no longer on the screen: taken over all the same. */
        echo_sweeps_want(&state->sweeps, state->sweeps.running, &state->sweeps.input,
                         state->sweeps.running_revision, state->sweeps.running_echo);
    }
}

/* ---- Keys. ---- */

static void step(struct explorer *explorer, struct echo_state *state, int direction, bool coarse)
{
    struct scenario next = explorer->profile.scenario;
    echo_edit_step(&next, state->selected, state->field, direction, coarse);
    explorer_change(explorer, &next);
}

static void add(struct explorer *explorer, struct echo_state *state)
{
    struct scenario next = explorer->profile.scenario;
    if (!echo_edit_add(&next)) {
        explorer_say(explorer, ROLE_WARN, "There is no room for more than %d echoes.", ECHOES_MAX);
    } else if (explorer_change(explorer, &next)) {
        state->selected = next.echo_count - 1;
        state->field = ECHO_DELAY;
    }
}

static void remove_selected(struct explorer *explorer, struct echo_state *state)
{
    struct scenario next = explorer->profile.scenario;
    if (state->selected == ECHO_ROW_SNR) {
        next.receiver.snr_db = scenario_default().receiver.snr_db; /* not known */
    } else {
        echo_edit_remove(&next, state->selected);
    }
    explorer_change(explorer, &next);
}

static void begin_typing(struct echo_state *state, const char *text)
{
    state->editing = true;
    field_set(&state->typed, text);
}

static void take_typed(struct explorer *explorer, struct echo_state *state)
{
    struct scenario next = explorer->profile.scenario;
    struct fault fault = {0};
    state->editing = false;
    if (echo_edit_set(&next, state->selected, state->field, state->typed.text, &fault) !=
        STATUS_OK) {
        explorer_say_fault(explorer, &fault);
        return;
    }
    explorer_change(explorer, &next);
}

static enum handled key_while_typing(struct explorer *explorer, struct echo_state *state,
                                     uint32_t key)
{
    if (key == PRESS_ENTER) {
        take_typed(explorer, state);
        return HANDLED;
    }
    if (key == PRESS_ESCAPE) {
        state->editing = false;
        return HANDLED;
    }
    if (field_key(&state->typed, key)) {
        return HANDLED;
    }
    state->editing = false;
    return NOT_HANDLED;
}

static void move(const struct explorer *explorer, struct echo_state *state, int rows)
{
    int last = explorer->profile.scenario.echo_count - 1;
    int to = state->selected + rows;
    state->selected = to < ECHO_ROW_SNR ? ECHO_ROW_SNR : to > last ? last : to;
}

static void turn_field(struct echo_state *state, int by)
{
    state->field =
        (enum echo_field)(((int)state->field + by + ECHO_FIELD_COUNT) % ECHO_FIELD_COUNT);
}

static void turn_picture(struct echo_state *state, int by)
{
    state->picture =
        (enum echo_picture)(((int)state->picture + by + ECHO_PICTURES) % ECHO_PICTURES);
}

static enum handled key_that_changes(struct explorer *explorer, struct echo_state *state,
                                     uint32_t key)
{
    switch (key) {
    case PRESS_LEFT:
    case PRESS_RIGHT:
        step(explorer, state, key == PRESS_RIGHT ? 1 : -1, false);
        return HANDLED;
    case PRESS_PAGE_UP:
    case PRESS_PAGE_DOWN:
        step(explorer, state, key == PRESS_PAGE_UP ? 1 : -1, true);
        return HANDLED;
    case 'a':
        add(explorer, state);
        return HANDLED;
    case PRESS_DELETE:
    case 'd':
        remove_selected(explorer, state);
        return HANDLED;
    case PRESS_ENTER:
        begin_typing(state, "");
        return HANDLED;
    default:
        if ((key >= '0' && key <= '9') || key == '-' || key == '.') {
            char text[2] = {(char)key, '\0'};
            begin_typing(state, text);
            return HANDLED;
        }
        return NOT_HANDLED;
    }
}

static enum handled key_that_moves(struct explorer *explorer, struct echo_state *state,
                                   uint32_t key)
{
    switch (key) {
    case PRESS_UP:
    case PRESS_DOWN:
        move(explorer, state, key == PRESS_DOWN ? 1 : -1);
        return HANDLED;
    case PRESS_HOME:
    case PRESS_END:
        move(explorer, state, key == PRESS_END ? ECHOES_MAX : -ECHOES_MAX);
        return HANDLED;
    case PRESS_TAB:
    case PRESS_BACK_TAB:
        turn_field(state, key == PRESS_TAB ? 1 : -1);
        return HANDLED;
    case 'n':
    case 'N':
        turn_picture(state, key == 'n' ? 1 : -1);
        return HANDLED;
    default:
        return NOT_HANDLED;
    }
}

/* ---- The mouse. ---- */

static enum handled mouse(struct explorer *explorer, struct echo_state *state,
                          const struct event *event, struct rect area)
{
    struct main_layout layout = layout_main(area);
    struct rect panel = list_panel(area);
    state->editing = false;
    if (rect_holds(layout.rule, event->row, event->column) ||
        rect_holds(layout.picture, event->row, event->column) ||
        rect_holds(layout.second_picture, event->row, event->column)) {
        turn_picture(state, event->mouse == MOUSE_WHEEL_UP ? -1 : 1);
        return HANDLED;
    }
    int row = event->row - panel.row - 2; /* -1: the SNR */
    int echo = row < 0 ? ECHO_ROW_SNR : row + state->first;
    if (!rect_holds(panel, event->row, event->column) || row < -1 ||
        echo >= explorer->profile.scenario.echo_count) {
        return NOT_HANDLED;
    }
    state->selected = echo;
    state->field = echo_field_at(panel, event->column);
    if (event->mouse != MOUSE_CLICK) {
        step(explorer, state, event->mouse == MOUSE_WHEEL_UP ? 1 : -1, false);
    }
    return HANDLED;
}

static enum handled handle_echo(struct explorer *explorer, void *opaque, const struct event *event,
                                struct rect area, struct effect *effect)
{
    (void)effect;
    struct echo_state *state = opaque;
    if (event->kind == EVENT_MOUSE) {
        return mouse(explorer, state, event, area);
    }
    if (event->kind != EVENT_KEY) {
        return NOT_HANDLED;
    }
    if (state->editing) {
        return key_while_typing(explorer, state, event->key);
    }
    enum handled handled = key_that_changes(explorer, state, event->key);
    return handled == HANDLED ? HANDLED : key_that_moves(explorer, state, event->key);
}

static bool busy_echo(const void *opaque)
{
    const struct echo_state *state = opaque;
    return echo_sweeps_busy(&state->sweeps);
}

static bool typing_echo(const void *opaque)
{
    const struct echo_state *state = opaque;
    return state->editing;
}

/* The explorer's caller frees what it gets: made anew, or a copy of a sweep. */
static bool picture_echo(const struct explorer *explorer, const void *opaque, struct picture *out)
{
    (void)explorer;
    const struct echo_state *state = opaque;
    const struct picture *shown = echo_picture_of(state, state->picture);
    return shown != NULL && picture_copy(shown, out);
}

static bool show_echo(void *opaque, const char *picture)
{
    static const char *const names[ECHO_PICTURES] = {[ECHO_PICTURE_RAYS] = "rays",
                                                     [ECHO_PICTURE_CARRIERS] = "carriers",
                                                     [ECHO_PICTURE_MARGINS] = "margin",
                                                     [ECHO_PICTURE_TOLERATED] = "tolerance"};
    struct echo_state *state = opaque;
    for (int i = 0; i < ECHO_PICTURES; i++) {
        if (strcmp(names[i], picture) == 0) {
            state->picture = (enum echo_picture)i;
            return true;
        }
    }
    return false;
}

static const struct key_hint hints[] = {
    {"←→", "slide", "slide the selected value; Page up and Page down in larger steps", 0},
    {"Tab", "value", "delay, level, phase, Doppler", PRESS_TAB},
    {"↑↓", "echo", "select an echo, or the SNR above them", 0},
    {"a", "add", "add an echo", 'a'},
    {"d", "remove", "remove the selected echo; on the SNR: it is not known", 'd'},
    {"n", "picture", "the next picture; N: the one before", 'n'},
    {"0-9 Enter", NULL, "type the value", 0},
    {"mouse", NULL, "a click selects a value, the wheel slides it", 0},
    {NULL, NULL, NULL, 0},
};

const struct view view_echo = {
    .name = "echo",
    .title = "Echoes, and how both generations bear them",
    .key = 'e',
    .about = "Each echo is told by its delay after the main signal (negative: ahead of it), its "
             "level and phase against it, and its Doppler shift. At the right both generations' "
             "accounts: from the SNR to what is left and what is needed, and whether they decode. "
             "Both follow as you slide a value.",
    .hints = hints,
    .open = open_echo,
    .close = close_echo,
    .update = update_echo,
    .draw = echo_draw,
    .handle = handle_echo,
    .busy = busy_echo,
    .words = echo_words,
    .explain = echo_explain,
    .picture = picture_echo,
    .show = show_echo,
    .typing = typing_echo,
};
