/* Limits and choices of the weighing view, and the list that follows from them. */
#include "explorer/weigh/state.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "base/units.h"
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

enum keep { KEEP_NOTHING, KEEP_FFT, KEEP_GUARD, KEEP_BOTH, KEEP_CONSTELLATION, KEEP_CODE };
static const char *const keep_names[] = {
    [KEEP_NOTHING] = "nothing",
    [KEEP_FFT] = "FFT",
    [KEEP_GUARD] = "guard",
    [KEEP_BOTH] = "FFT+GI",
    [KEEP_CONSTELLATION] = "constel.",
    [KEEP_CODE] = "code",
};
#define KEEP_COUNT ((int)(sizeof keep_names / sizeof keep_names[0]))

/* As bits of a wish. */
static unsigned fixed_by(const struct system_space *row, enum keep keep)
{
    unsigned fft = 1u << row->fft, guard = 1u << row->guard, code = 0;
    for (int c = 0; c < row->choice_count; c++) {
        code |= row->choices[c].of_code && !row->choices[c].folds ? 1u << c : 0;
    }
    const unsigned fixed[] = {
        [KEEP_NOTHING] = 0,
        [KEEP_FFT] = fft,
        [KEEP_GUARD] = guard,
        [KEEP_BOTH] = fft | guard,
        [KEEP_CONSTELLATION] = 1u << row->constellation,
        [KEEP_CODE] = code,
    };
    return fixed[keep];
}

const char *weigh_limit_label(const struct weigh_state *state, int row)
{
    return row == LIMIT_ECHO && state->echo_in_km ? "Echo km >="
           : row < LIMIT_COUNT                    ? limits[row].label
           : row == WEIGH_ROW_ORDER               ? "Order"
                                                  : "Keep";
}

/* A length stands for the time that light takes. */
static double shown(const struct weigh_state *state, int row)
{
    double value = state->wish.limits[row];
    return row == LIMIT_ECHO && state->echo_in_km ? km_from_us(value) : value;
}

void weigh_limit_value(const struct weigh_state *state, int row, char *buffer, size_t size)
{
    static const char *const order_words[] = {"rate", "SNR", "echo", "speed", "margin"};
    if (row == WEIGH_ROW_ORDER) {
        text_format(buffer, size, "%s", order_words[state->order]);
    } else if (row == WEIGH_ROW_KEEP) {
        text_format(buffer, size, "%s", keep_names[state->keep]);
    } else if (isnan(state->wish.limits[row])) {
        text_format(buffer, size, "none");
    } else {
        text_format(buffer, size, "%.*f", limits[row].decimals, shown(state, row));
    }
}

void weigh_limit_range(const struct weigh_state *state, int row, char *buffer, size_t size)
{
    if (row == LIMIT_ECHO) {
        text_format(buffer, size, "from %g to %g us, or as \"30km\" (%s now)", limits[row].low,
                    limits[row].high, state->echo_in_km ? "km" : "us");
    } else {
        text_format(buffer, size, "from %g to %g", limits[row].low, limits[row].high);
    }
}

bool weigh_type_limit(struct weigh_state *state, const char *text)
{
    static const char *const units[] = {"us", "km"};
    char number[64];
    size_t length = strcspn(text, "uk ");
    const char *unit = text + length + strspn(text + length, " ");
    bool km = state->echo_in_km;
    double value;
    text_format(number, sizeof number, "%.*s", (int)length, text);
    if (unit[0] && state->limits.at == LIMIT_ECHO) {
        km = strcmp(unit, units[1]) == 0;
    }
    if (!number_read_double(number, &value) ||
        (unit[0] && (state->limits.at != LIMIT_ECHO || strcmp(unit, units[km]) != 0)) ||
        !weigh_set_limit(state, km && state->limits.at == LIMIT_ECHO ? us_from_km(value) : value)) {
        return false;
    }
    state->echo_in_km = km;
    return true;
}

bool weigh_set_limit(struct weigh_state *state, double value)
{
    int row = state->limits.at;
    if (value < limits[row].low || value > limits[row].high) {
        return false;
    }
    state->wish.limits[row] = value;
    state->listed = false;
    return true;
}

static void turn(int *choice, int by, int count)
{
    *choice = (*choice + by + count) % count;
}

/* The next guard interval's length, so that a step of the echo limit always changes something. */
static double step_echo(const struct weigh_space *space, double us, int direction)
{
    double next = NAN;
    for (size_t g = 0; g < space->geometry_count; g++) {
        double echo_us = floor(space->geometries[g].facts.echo_after_us * 10.0) / 10.0;
        bool beyond = direction > 0 ? echo_us > us + 0.05 : echo_us < us - 0.05;
        bool nearer = isnan(next) || (direction > 0 ? echo_us < next : echo_us > next);
        next = beyond && nearer ? echo_us : next;
    }
    return isnan(next) ? us : next;
}

void weigh_step_limit(struct weigh_state *state, int direction)
{
    if (state->limits.at == WEIGH_ROW_ORDER) {
        turn(&state->order, direction, ORDER_COUNT);
    } else if (state->limits.at == WEIGH_ROW_KEEP) {
        turn(&state->keep, direction, KEEP_COUNT);
    } else {
        double *value = &state->wish.limits[state->limits.at];
        double next = isnan(*value) ? limits[state->limits.at].first
                      : state->limits.at == LIMIT_ECHO
                          ? step_echo(&state->space, *value, direction)
                          : *value + direction * limits[state->limits.at].step;
        *value = fmin(fmax(next, limits[state->limits.at].low), limits[state->limits.at].high);
    }
    state->listed = false;
}

/* ---- The picture's part of the axis. ---- */

#define ALL_LOW_DB (-6.0)
#define ALL_HIGH_DB 40.0
#define ZOOM_LEAST_DB 2.0

void weigh_zoom(struct weigh_state *state, double factor, double shift)
{
    bool whole = isnan(state->snr_low_db);
    double low = whole ? ALL_LOW_DB : state->snr_low_db;
    double high = whole ? ALL_HIGH_DB : state->snr_high_db;
    double width = (high - low) * factor, middle = (low + high) / 2.0 + shift * (high - low);
    long place = weigh_row_mode(state, state->modes.at);
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

/* ---- Where things stand. ---- */

#define LIMITS_COLUMNS 19

struct weigh_view_layout weigh_view_layout(struct rect area)
{
    struct weigh_view_layout layout = {0};
    int picture = area.rows >= 16 ? area.rows / 2 : area.rows >= 12 ? area.rows - 8 : 0;
    int top = area.rows - picture - (picture > 0);
    int left = area.columns >= 60 ? LIMITS_COLUMNS : area.columns / 3;
    layout.limits = (struct rect){area.row, area.column, top, left};
    layout.divider = (struct rect){area.row, area.column + left, top, 1};
    layout.list = (struct rect){area.row, area.column + left + 1, top, area.columns - left - 1};
    layout.rule = (struct rect){area.row + top, area.column, picture > 0, area.columns};
    layout.picture =
        (struct rect){area.row + area.rows - picture, area.column, picture, area.columns};
    return layout;
}

/* ---- What is shown follows the scenario and the wish. ---- */

bool weigh_is_waiting(const struct weigh_state *state)
{
    struct weigh_wish wish = state->wish;
    wish.order = figure_find(&generation_figures, orders[state->order]);
    return state->known && weigh_wants_margins(&wish) && !state->space.echo_margins;
}

static int row_count(const struct weigh_state *state)
{
    return !state->known || weigh_is_waiting(state) ? 0
           : state->show_moves                      ? (state->has_moves ? MOVE_COUNT : 0)
                                                    : (int)state->list.count;
}

long weigh_row_mode(const struct weigh_state *state, int row)
{
    if (row < 0 || row >= row_count(state)) {
        return -1;
    }
    if (state->show_moves) {
        return state->moves[row].exists ? (long)state->moves[row].mode : -1;
    }
    return (long)state->list.rows[row].mode;
}

static void make_space(const struct desk *desk, struct weigh_state *state)
{
    const struct scenario *scenario = &desk->profile.scenario;
    if (state->known && weigh_space_serves(&state->space, scenario)) {
        weigh_space_adopt(&state->space, scenario);
    } else {
        weigh_space_free(&state->space);
        state->known =
            weigh_space_make(scenario, SNR_RECEIVER, &state->space, &state->fault) == STATUS_OK;
    }
    state->revision = desk->revision;
    state->listed = false;
    long from = state->known ? weigh_find(&state->space, scenario) : -1;
    state->has_moves = from >= 0;
    state->from = from >= 0 ? (uint32_t)from : 0;
}

#define PICTURE_MODES 200

static void make_picture(const struct desk *desk, struct weigh_state *state)
{
    struct weigh_list first = state->list; /* the best of it: more would hide the frontier */
    first.count = first.count < PICTURE_MODES ? first.count : PICTURE_MODES;
    const struct picture_rate shown = {
        .space = &state->space,
        .wish = &state->wish,
        .list = state->show_moves || weigh_is_waiting(state) ? NULL : &first,
        .current = desk->report_known ? &desk->report : NULL,
        .pinned = desk->pinned ? &desk->pinned_report : NULL,
        .selected = weigh_row_mode(state, state->modes.at),
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
    state->wish.fixed = fixed_by(state->space.choices, (enum keep)state->keep);
    weigh_list_free(&state->list);
    state->list = (struct weigh_list){0};
    if (!weigh_is_waiting(state)) {
        struct weigh_wish wish = state->wish;
        wish.order = figure_find(&generation_figures, orders[state->order]);
        weigh_pick(&state->space, &wish, &state->list, NULL);
        if (state->has_moves) {
            moves_make(&state->space, &wish, state->from, state->moves);
        }
    }
    state->listed = true;
}

/* ---- Modes by name. ---- */

void weigh_offer_modes(const struct scenario *scenario, struct offer *offer)
{
    const struct system_space *row = system_of(scenario, GENERATION_SECOND)->space;
    struct space_geometry *geometries = malloc(row->geometries_most * sizeof *geometries);
    struct space_code *codes = malloc(SPACE_CODES_MAX * sizeof *codes);
    struct scenario *plain = malloc(sizeof *plain);
    bool made = geometries != NULL && codes != NULL && plain != NULL;
    if (made) {
        *plain = *scenario;
        scenario_keep_mode(plain);
    }
    size_t count = made ? row->geometries(plain, geometries) : 0;
    int code_count = made ? row->codes(plain, codes) : 0;
    for (size_t g = 0; g < count; g++) {
        for (int c = 0;
             c < code_count && (g == 0 || geometries[g].which != geometries[g - 1].which); c++) {
            char name[64];
            space_name(row, geometries[g].numbers, codes[c].numbers, false, name, sizeof name);
            if (codes[c].fold == c) {
                offer_add(offer, name, "a mode, among all that are weighed", NULL);
            }
        }
    }
    offer->failed |= !made;
    free(geometries);
    free(codes);
    free(plain);
}

/* Selects the mode that was found, or says why the list lacks it. */
static void select_wanted(struct desk *desk, struct weigh_state *state)
{
    bool found = false;
    for (size_t i = 0; i < state->list.count && !found; i++) {
        char name[64];
        weigh_name(&state->space, state->list.rows[i].mode, PARTS_OF_MODE, false, name,
                   sizeof name);
        found = strcmp(name, state->wanted) == 0;
        state->modes.at = found ? (int)i : state->modes.at;
    }
    if (!found) {
        desk_say(desk, TONE_WARN, "%s is not listed: it breaks a limit or what is to be kept.",
                 state->wanted);
    }
    state->wanted[0] = '\0';
}

/* What the job has made is taken over; wanted anew, it is begun. */
static void follow_job(struct desk *desk, struct weigh_state *state, bool changed)
{
    struct fault fault;
    struct weigh_space made;
    if (weigh_job_end(&state->margins, &made, &fault)) {
        if (fault.status == STATUS_OK) {
            weigh_space_free(&state->space);
            state->space = made;
            weigh_space_adopt(&state->space, &desk->profile.scenario);
            state->listed = false;
        } else {
            desk_say_fault(desk, &fault);
            state->wish.limits[LIMIT_MARGIN] = NAN;
            state->order = state->order == ORDER_COUNT - 1 ? 0 : state->order;
            state->listed = false;
        }
    }
    if (changed) {
        errand_want(&state->margins, NULL, 0.0); /* what is under way is of another scenario */
        make_space(desk, state);
    }
    if (weigh_is_waiting(state) && (changed || !state->margins.pending)) {
        weigh_job_begin(&state->margins, &desk->profile.scenario);
    }
}

void weigh_update(struct desk *desk, void *opaque, struct rect area)
{
    struct weigh_state *state = opaque;
    struct weigh_view_layout layout = weigh_view_layout(area);
    follow_job(desk, state, state->revision != desk->revision);
    if (state->known && !state->listed) {
        make_list(state);
    }
    if (state->wanted[0] && state->known && !weigh_is_waiting(state)) {
        select_wanted(desk, state);
    }
    cursor_fit(&state->limits, WEIGH_ROW_COUNT, layout.limits.rows - 1);
    cursor_fit(&state->modes, row_count(state), layout.list.rows - 1);
    if (state->known && layout.picture.rows > 0) {
        make_picture(desk, state);
    }
}
