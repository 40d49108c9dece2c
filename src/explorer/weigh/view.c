/* The weighing view: limits, the modes within them, moves from the present mode, the frontier. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "explorer/frame/screen.h"
#include "explorer/weigh/state.h"
#include "present/picture/rate.h"

/* ---- Limits. ---- */

static const struct {
    const char *label;
    double first, step, low, high; /* where stepping begins, and its bounds */
    int decimals;
} limits[LIMIT_COUNT] = {
    [LIMIT_ECHO] = {"Echo us >=", 100.0, 10.0, 0.0, 2000.0, 1},
    [LIMIT_SPEED] = {"Speed >=", 100.0, 10.0, 0.0, 10000.0, 0},
    [LIMIT_RATE] = {"Mbit/s >=", 20.0, 1.0, 0.0, 100.0, 1},
    [LIMIT_SNR] = {"SNR dB <=", 20.0, 1.0, -20.0, 60.0, 1},
    [LIMIT_MARGIN] = {"Margin >=", 1.0, 1.0, -60.0, 60.0, 1},
};

static const char *const orders[] = {"net_mbps", "receiver_snr_db", "echo_us", "speed_kmh",
                                     "margin_db"};
#define ORDER_COUNT ((int)(sizeof orders / sizeof orders[0]))

static const struct {
    const char *name;
    unsigned fixed;
} keeps[] = {
    {"-", 0},
    {"FFT", FACTOR_FFT},
    {"guard", FACTOR_GUARD},
    {"FFT+GI", FACTOR_FFT | FACTOR_GUARD},
    {"constel.", FACTOR_CONSTELLATION},
    {"code", FACTOR_CONSTELLATION | FACTOR_RATE | FACTOR_LENGTH},
};
#define KEEP_COUNT ((int)(sizeof keeps / sizeof keeps[0]))

const char *weigh_limit_label(int row)
{
    return row < LIMIT_COUNT ? limits[row].label : row == WEIGH_ROW_ORDER ? "Order" : "Keep";
}

void weigh_limit_value(const struct weigh_state *state, int row, char *buffer, size_t size)
{
    static const char *const order_words[] = {"rate", "SNR", "echo", "speed", "margin"};
    if (row == WEIGH_ROW_ORDER) {
        text_format(buffer, size, "%s", order_words[state->order]);
    } else if (row == WEIGH_ROW_KEEP) {
        text_format(buffer, size, "%s", keeps[state->keep].name);
    } else if (isnan(state->wish.limits[row])) {
        text_format(buffer, size, "-");
    } else {
        text_format(buffer, size, "%.*f", limits[row].decimals, state->wish.limits[row]);
    }
}

/* ---- Opening and closing. ---- */

static void *open_weigh(struct explorer *explorer)
{
    struct weigh_state *state = calloc(1, sizeof *state);
    if (state) {
        state->wish = weigh_wish_none();
        state->wish.most = 200;
        state->revision = explorer->revision - 1;
        state->snr_low_db = state->snr_high_db = NAN;
    }
    return state;
}

static void close_weigh(void *opaque)
{
    struct weigh_state *state = opaque;
    weigh_job_drop(state);
    weigh_space_free(&state->space);
    weigh_list_free(&state->list);
    picture_free(&state->picture);
    free(state);
}

/* ---- What is shown follows the scenario and the wish. ---- */

int weigh_row_count(const struct weigh_state *state)
{
    return !state->known       ? 0
           : state->show_moves ? (state->has_moves ? MOVE_COUNT : 0)
                               : (int)state->list.count;
}

long weigh_row_mode(const struct weigh_state *state, int row)
{
    if (row < 0 || row >= weigh_row_count(state)) {
        return -1;
    }
    if (state->show_moves) {
        return state->moves[row].exists ? (long)state->moves[row].mode : -1;
    }
    return (long)state->list.rows[row].mode;
}

static void make_space(struct explorer *explorer, struct weigh_state *state)
{
    const struct scenario *scenario = &explorer->profile.scenario;
    if (state->known && weigh_space_serves(&state->space, scenario)) {
        weigh_space_adopt(&state->space, scenario);
    } else {
        weigh_space_free(&state->space);
        state->known =
            weigh_space_make(scenario, SNR_RECEIVER, &state->space, &state->fault) == STATUS_OK;
    }
    state->revision = explorer->revision;
    state->listed = false;
    long from = state->known ? weigh_find(&state->space, &scenario->mode) : -1;
    state->has_moves = from >= 0;
    if (from >= 0) {
        state->from = (uint32_t)from;
        moves_make(&state->space, state->from, state->moves);
    }
}

static void make_picture(const struct explorer *explorer, struct weigh_state *state)
{
    const struct picture_rate shown = {
        .space = &state->space,
        .wish = &state->wish,
        .list = state->show_moves ? NULL : &state->list,
        .current = explorer->report_known ? &explorer->report : NULL,
        .pinned = explorer->pinned ? &explorer->pinned_report : NULL,
        .selected = weigh_row_mode(state, state->selected),
        .snr_low_db = state->snr_low_db,
        .snr_high_db = state->snr_high_db,
    };
    picture_free(&state->picture);
    if (picture_rate_make(&shown, &state->picture)) {
        state->picture.note[0] = '\0'; /* the rows are few; the help says it */
    }
}

static void make_list(struct weigh_state *state)
{
    struct weigh_wish wish = state->wish;
    if (!state->space.echo_margins) {
        wish.limits[LIMIT_MARGIN] = NAN; /* not yet known: the job is at it */
    }
    weigh_list_free(&state->list);
    wish.order = figure_find(FIGURE_SECOND, orders[state->order]);
    if (!isnan(wish.limits[LIMIT_MARGIN]) && state->order == ORDER_COUNT - 1) {
        wish.order = NULL; /* by the margin with the echoes */
    }
    weigh_pick(&state->space, &wish, &state->list, NULL);
    state->listed = true;
}

static void update_weigh(struct explorer *explorer, void *opaque)
{
    struct weigh_state *state = opaque;
    bool changed = state->revision != explorer->revision;
    weigh_job_end(explorer, state);
    if (changed) {
        make_space(explorer, state);
    }
    bool wants_margins =
        state->known && !isnan(state->wish.limits[LIMIT_MARGIN]) && !state->space.echo_margins;
    if (wants_margins && (changed || !state->margins)) {
        weigh_job_begin(explorer, state);
    }
    if (state->known && !state->listed) {
        make_list(state);
    }
    int count = weigh_row_count(state);
    state->selected = state->selected >= count ? count - 1 : state->selected;
    state->selected = state->selected < 0 ? 0 : state->selected;
    struct weigh_view_layout layout = weigh_view_layout(explorer_layout(explorer).body);
    state->first = screen_scroll(state->first, state->selected, count, layout.list.rows - 1);
    if (state->known && layout.picture.rows > 0) {
        make_picture(explorer, state);
    }
}

/* ---- Keys. ---- */

static void turn(int *choice, int by, int count)
{
    *choice = (*choice + by + count) % count;
}

/* The next guard interval's length, so that a step of the echo limit always changes something. */
static double step_echo(const struct weigh_space *space, double us, int direction)
{
    double next = NAN;
    for (size_t g = 0; g < space->geometry_count; g++) {
        double echo_us = floor(space->geometries[g].report.echo_us * 10.0) / 10.0;
        bool beyond = direction > 0 ? echo_us > us + 0.05 : echo_us < us - 0.05;
        bool nearer = isnan(next) || (direction > 0 ? echo_us < next : echo_us > next);
        next = beyond && nearer ? echo_us : next;
    }
    return isnan(next) ? us : next;
}

static void step_limit(struct weigh_state *state, int direction)
{
    if (state->limit == WEIGH_ROW_ORDER) {
        turn(&state->order, direction, ORDER_COUNT);
    } else if (state->limit == WEIGH_ROW_KEEP) {
        turn(&state->keep, direction, KEEP_COUNT);
        state->wish.fixed = keeps[state->keep].fixed;
    } else {
        double *value = &state->wish.limits[state->limit];
        double next = isnan(*value)                ? limits[state->limit].first
                      : state->limit == LIMIT_ECHO ? step_echo(&state->space, *value, direction)
                                                   : *value + direction * limits[state->limit].step;
        *value = fmin(fmax(next, limits[state->limit].low), limits[state->limit].high);
    }
    state->listed = false;
}

static void take_typed(struct explorer *explorer, struct weigh_state *state)
{
    double value;
    state->editing = false;
    if (!number_read_double(state->typed.text, &value) || value < limits[state->limit].low ||
        value > limits[state->limit].high) {
        explorer_say(explorer, ROLE_WARN, "A number from %g to %g is wanted.",
                     limits[state->limit].low, limits[state->limit].high);
        return;
    }
    state->wish.limits[state->limit] = value;
    state->listed = false;
}

static void move(struct weigh_state *state, int by)
{
    int *at = state->focus == WEIGH_LIMITS ? &state->limit : &state->selected;
    int last = (state->focus == WEIGH_LIMITS ? WEIGH_ROW_COUNT : weigh_row_count(state)) - 1;
    *at = *at + by > last ? last : *at + by;
    *at = *at < 0 ? 0 : *at;
}

static enum handled key_while_typing(struct explorer *explorer, struct weigh_state *state,
                                     uint32_t key)
{
    if (key == PRESS_ENTER || key == PRESS_UP || key == PRESS_DOWN || key == PRESS_TAB) {
        take_typed(explorer, state);
        move(state, key == PRESS_UP ? -1 : key == PRESS_DOWN ? 1 : 0);
    } else if (key == PRESS_ESCAPE) {
        state->editing = false;
    } else {
        field_key(&state->typed, key);
    }
    return HANDLED;
}

static enum handled key_in_limits(struct weigh_state *state, uint32_t key)
{
    if (key == PRESS_LEFT || key == PRESS_RIGHT) {
        step_limit(state, key == PRESS_RIGHT ? 1 : -1);
        return HANDLED;
    }
    bool digit = (key >= '0' && key <= '9') || key == '.';
    if ((digit || key == PRESS_ENTER) && state->limit < LIMIT_COUNT) {
        char text[2] = {digit ? (char)key : '\0', '\0'};
        field_set(&state->typed, text);
        state->editing = true;
        return HANDLED;
    }
    if ((key == PRESS_DELETE || key == PRESS_BACKSPACE) && state->limit < LIMIT_COUNT) {
        state->wish.limits[state->limit] = NAN;
        state->listed = false;
        return HANDLED;
    }
    return NOT_HANDLED;
}

/* The selected mode as a scenario. */
static bool scenario_of_selected(const struct explorer *explorer, const struct weigh_state *state,
                                 struct scenario *next)
{
    long place = weigh_row_mode(state, state->selected);
    *next = explorer->profile.scenario;
    if (place >= 0) {
        next->mode = weigh_mode(&state->space, (size_t)place);
    }
    return place >= 0;
}

static enum handled key_in_list(struct explorer *explorer, struct weigh_state *state, uint32_t key)
{
    struct scenario *next = malloc(sizeof *next);
    enum handled handled = NOT_HANDLED;
    if (next && key == PRESS_ENTER) {
        handled = HANDLED;
        if (scenario_of_selected(explorer, state, next) && explorer_change(explorer, next)) {
            explorer_say(explorer, ROLE_GOOD, "Taken over; u goes back.");
        }
    }
    free(next);
    return handled;
}

static void pin_selected(struct explorer *explorer, struct weigh_state *state)
{
    struct scenario *next = malloc(sizeof *next);
    if (next && scenario_of_selected(explorer, state, next)) {
        explorer_pin_scenario(explorer, next);
        explorer_say(explorer, ROLE_GOOD, "Pinned: the main view compares with it.");
    }
    free(next);
}

#define ALL_LOW_DB (-6.0)
#define ALL_HIGH_DB 40.0
#define ZOOM_LEAST_DB 2.0

/* Zooms around the selected mode, else around the middle; by 0 shifts by a quarter. */
static void zoom(struct weigh_state *state, double factor, double shift)
{
    bool whole = isnan(state->snr_low_db);
    double low = whole ? ALL_LOW_DB : state->snr_low_db;
    double high = whole ? ALL_HIGH_DB : state->snr_high_db;
    double width = (high - low) * factor, middle = (low + high) / 2.0 + shift * (high - low);
    long place = weigh_row_mode(state, state->selected);
    if (whole && factor < 1.0 && place >= 0 && isfinite(state->space.modes[place].snr_db)) {
        middle = state->space.modes[place].snr_db;
    }
    width = fmax(width, ZOOM_LEAST_DB);
    if (width >= ALL_HIGH_DB - ALL_LOW_DB) {
        state->snr_low_db = state->snr_high_db = NAN;
        return;
    }
    middle = fmin(fmax(middle, ALL_LOW_DB + width / 2.0), ALL_HIGH_DB - width / 2.0);
    state->snr_low_db = middle - width / 2.0;
    state->snr_high_db = middle + width / 2.0;
}

static enum handled key_of_both(struct explorer *explorer, struct weigh_state *state, uint32_t key)
{
    switch (key) {
    case PRESS_UP:
    case PRESS_DOWN:
        move(state, key == PRESS_DOWN ? 1 : -1);
        return HANDLED;
    case PRESS_PAGE_UP:
    case PRESS_PAGE_DOWN:
        move(state, key == PRESS_PAGE_DOWN ? 8 : -8);
        return HANDLED;
    case PRESS_HOME:
    case PRESS_END:
        move(state, key == PRESS_END ? 1000000 : -1000000);
        return HANDLED;
    case PRESS_TAB:
    case PRESS_BACK_TAB:
        state->focus = state->focus == WEIGH_LIMITS ? WEIGH_LIST : WEIGH_LIMITS;
        return HANDLED;
    case 'n':
        state->show_moves = !state->show_moves;
        state->selected = 0;
        return HANDLED;
    case 'f':
        state->wish.unfolded = !state->wish.unfolded;
        state->listed = false;
        return HANDLED;
    case 'p':
        pin_selected(explorer, state);
        return HANDLED;
    case '+':
    case '-':
        zoom(state, key == '+' ? 0.5 : 2.0, 0.0);
        return HANDLED;
    case '<':
    case '>':
        zoom(state, 1.0, key == '>' ? 0.25 : -0.25);
        return HANDLED;
    default:
        return NOT_HANDLED;
    }
}

static enum handled mouse(struct weigh_state *state, const struct event *event, struct rect area)
{
    struct weigh_view_layout layout = weigh_view_layout(area);
    int wheel = event->mouse == MOUSE_WHEEL_UP ? -1 : event->mouse == MOUSE_WHEEL_DOWN ? 1 : 0;
    state->editing = false;
    if (rect_holds(layout.picture, event->row, event->column)) {
        zoom(state, wheel > 0 ? 2.0 : 0.5, 0.0);
        return HANDLED;
    }
    if (rect_holds(layout.limits, event->row, event->column)) {
        int row = event->row - layout.limits.row - 1;
        if (row < 0 || row >= WEIGH_ROW_COUNT) {
            return NOT_HANDLED;
        }
        state->focus = WEIGH_LIMITS;
        state->limit = row;
        if (wheel != 0) {
            step_limit(state, -wheel);
        }
        return HANDLED;
    }
    if (rect_holds(layout.list, event->row, event->column)) {
        int row = event->row - layout.list.row - 1 + state->first;
        state->focus = WEIGH_LIST;
        if (wheel != 0) {
            move(state, wheel);
        } else if (row >= state->first && row < weigh_row_count(state)) {
            state->selected = row;
        }
        return HANDLED;
    }
    return NOT_HANDLED;
}

static enum handled handle_weigh(struct explorer *explorer, void *opaque, const struct event *event,
                                 struct rect area, struct effect *effect)
{
    (void)effect;
    struct weigh_state *state = opaque;
    if (event->kind == EVENT_MOUSE) {
        return mouse(state, event, area);
    }
    if (event->kind != EVENT_KEY) {
        return NOT_HANDLED;
    }
    if (state->editing) {
        return key_while_typing(explorer, state, event->key);
    }
    enum handled handled = state->focus == WEIGH_LIMITS ? key_in_limits(state, event->key)
                                                        : key_in_list(explorer, state, event->key);
    return handled == HANDLED ? HANDLED : key_of_both(explorer, state, event->key);
}

static bool busy_weigh(const void *opaque)
{
    const struct weigh_state *state = opaque;
    return state->margins != NULL;
}

static bool typing_weigh(const void *opaque)
{
    const struct weigh_state *state = opaque;
    return state->editing;
}

static bool picture_weigh(const struct explorer *explorer, const void *opaque, struct picture *out)
{
    (void)explorer;
    const struct weigh_state *state = opaque;
    return state->picture.series_count > 0 && picture_copy(&state->picture, out);
}

/* It has the one picture. */
static bool show_weigh(void *opaque, const char *picture)
{
    (void)opaque;
    return strcmp(picture, "frontier") == 0;
}

static const struct key_hint hints[] = {
    {"Tab", "side", "go from the limits to the modes and back", PRESS_TAB},
    {"←→", "limit", "step the selected limit; Delete takes it off", 0},
    {"Enter", "take", "on a mode: take it over; on a limit: type it", PRESS_ENTER},
    {"n", "moves", "moves from the present mode, or the list", 'n'},
    {"p", "pin", "pin the selected mode to compare with", 'p'},
    {"f", "fold", "list each boost and reduction of a mode, or only the best", 'f'},
    {"+-", NULL, "zoom the picture; < and > shift it", 0},
    {"mouse", NULL, "a click selects, the wheel steps, scrolls or zooms", 0},
    {NULL, NULL, NULL, 0},
};

const struct view view_weigh = {
    .name = "weigh",
    .title = "Weigh all legal modes",
    .key = 'w',
    .about = "All 243 000 legal modes of the bandwidth, held against your limits. F marks the "
             "frontier: no other mode is as good in net rate, SNR, echo and speed and better in "
             "one. Margin is that with the profile's echoes. An s after the code rate is "
             "the short code.",
    .hints = hints,
    .open = open_weigh,
    .close = close_weigh,
    .update = update_weigh,
    .draw = weigh_draw,
    .handle = handle_weigh,
    .busy = busy_weigh,
    .words = weigh_words,
    .explain = weigh_long_words,
    .picture = picture_weigh,
    .show = show_weigh,
    .typing = typing_weigh,
};
