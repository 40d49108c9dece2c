/* Searches the space for the best mode that keeps each move's promise, and names what changes. */
#include "study/weigh/moves.h"
#include "base/units.h"

#include <math.h>
#include <stdlib.h>

static const struct {
    const char *name, *absent;
} words[MOVE_COUNT] = {
    [MOVE_MORE_BITS] = {"same robustness, more bits",
                        "no legal mode carries more and is as robust in SNR, echo and speed"},
    [MOVE_MORE_ROBUST] =
        {"same bits, more robust",
         "no legal mode needs less SNR and carries as much at this echo and speed"},
    [MOVE_LONGER_GUARD] = {"one more step of guard interval",
                           "there is no longer guard interval with this FFT size"},
    [MOVE_LONGER_ECHOES] = {"longer echoes at the same SNR and speed",
                            "no mode with a longer guard interval needs no more SNR at this speed"},
    [MOVE_FASTER] = {"one step of FFT size shorter",
                     "there is no shorter FFT size with this guard interval"},
};

static bool is_as_robust(const struct weigh_space *space, size_t i, uint32_t from)
{
    const struct weighed *mode = &space->modes[i], *now = &space->modes[from];
    return mode->snr_db <= now->snr_db && mode->speed_kmh >= now->speed_kmh &&
           weigh_echo_us(space, i) >= weigh_echo_us(space, from);
}

static int changes(const struct weigh_space *space, size_t a, size_t b)
{
    int count = 0;
    for (int c = 0; c < space->choices->choice_count; c++) {
        count += weigh_number(space, a, c) != weigh_number(space, b, c);
    }
    return count;
}

/* More bits; among equals less SNR, and then the one that changes least. */
static bool carries_more(const struct weigh_space *space, uint32_t from, size_t i, size_t than)
{
    const struct weighed *a = &space->modes[i], *b = &space->modes[than];
    if (a->net_mbps != b->net_mbps || a->snr_db != b->snr_db) {
        return a->net_mbps > b->net_mbps || (a->net_mbps == b->net_mbps && a->snr_db < b->snr_db);
    }
    return changes(space, from, i) < changes(space, from, than);
}

static bool needs_less(const struct weigh_space *space, uint32_t from, size_t i, size_t than)
{
    const struct weighed *a = &space->modes[i], *b = &space->modes[than];
    if (a->net_mbps != b->net_mbps || a->snr_db != b->snr_db) {
        return a->snr_db < b->snr_db || (a->snr_db == b->snr_db && a->net_mbps > b->net_mbps);
    }
    return changes(space, from, i) < changes(space, from, than);
}

static const char outside[] = "the mode that this leads to breaks a limit or what is to be kept";

static bool is_wished(const struct weigh_space *space, const struct weigh_wish *wish, size_t i)
{
    return !wish || weigh_keeps(space, wish, i);
}

static void take(struct move *move, uint32_t mode)
{
    move->exists = true;
    move->mode = mode;
}

/* The three moves that look at every mode. */
static void search(const struct weigh_space *space, const struct weigh_wish *wish, uint32_t from,
                   struct move *moves)
{
    const struct weighed *now = &space->modes[from];
    uint32_t bits = from, robust = from, echo = UINT32_MAX;
    for (uint32_t i = 0; i < space->count; i++) {
        const struct weighed *mode = &space->modes[i];
        if (!is_wished(space, wish, i)) {
            continue;
        }
        if (is_as_robust(space, i, from)) {
            bits = carries_more(space, from, i, bits) ? i : bits;
            if (weigh_echo_us(space, i) > weigh_echo_us(space, from) &&
                (echo == UINT32_MAX || carries_more(space, from, i, echo))) {
                echo = i;
            }
        }
        if (mode->net_mbps >= now->net_mbps && mode->speed_kmh >= now->speed_kmh &&
            weigh_echo_us(space, i) >= weigh_echo_us(space, from)) {
            robust = needs_less(space, from, i, robust) ? i : robust;
        }
    }
    if (space->modes[bits].net_mbps > now->net_mbps) {
        take(&moves[MOVE_MORE_BITS], bits);
    }
    if (space->modes[robust].snr_db < now->snr_db) {
        take(&moves[MOVE_MORE_ROBUST], robust);
    }
    if (echo != UINT32_MAX) {
        take(&moves[MOVE_LONGER_ECHOES], echo);
    }
}

/* The mode after a change, made legal by what hangs on it. STATUS_NO_MEMORY leaves no move. */
static void take_changed(const struct weigh_space *space, const struct weigh_wish *wish,
                         uint32_t from, int choice, int number, struct move *move)
{
    struct scenario *mode = malloc(sizeof *mode);
    if (mode == NULL) {
        return;
    }
    *mode = space->scenario;
    weigh_put(space, from, mode);
    field_put(space->fields[choice], mode, number);
    scenario_repair(mode);
    long place = weigh_find(space, mode);
    if (place >= 0 && is_wished(space, wish, (size_t)place)) {
        take(move, (uint32_t)place);
    } else if (place >= 0) {
        move->absent = outside;
    }
    free(mode);
}

/* The least guard interval above the mode's with its FFT size, by number; -1: none is longer. */
static int longer_guard(const struct weigh_space *space, const uint8_t *now)
{
    const struct system_space *row = space->choices;
    int longer = -1;
    for (size_t g = 0; g < space->geometry_count; g++) {
        const uint8_t *other = space->geometries[g].numbers;
        int guard = other[row->guard];
        if (other[row->fft] == now[row->fft] && guard > now[row->guard] &&
            (longer < 0 || guard < longer)) {
            longer = guard;
        }
    }
    return longer;
}

/* The next shorter FFT size goes with the mode's guard interval. */
static bool has_shorter(const struct weigh_space *space, const uint8_t *now)
{
    const struct system_space *row = space->choices;
    for (size_t g = 0; g < space->geometry_count; g++) {
        const uint8_t *other = space->geometries[g].numbers;
        if (other[row->fft] + 1 == now[row->fft] && other[row->guard] == now[row->guard]) {
            return true;
        }
    }
    return false;
}

void moves_make(const struct weigh_space *space, const struct weigh_wish *wish, uint32_t from,
                struct move moves[MOVE_COUNT])
{
    const struct system_space *row = space->choices;
    const uint8_t *now = space->geometries[space->modes[from].geometry].numbers;
    int longer = longer_guard(space, now);
    for (int i = 0; i < MOVE_COUNT; i++) {
        moves[i] = (struct move){.name = words[i].name, .absent = words[i].absent};
    }
    search(space, wish, from, moves);
    if (longer >= 0) {
        take_changed(space, wish, from, row->guard, longer, &moves[MOVE_LONGER_GUARD]);
    }
    if (has_shorter(space, now)) {
        take_changed(space, wish, from, row->fft, now[row->fft] - 1, &moves[MOVE_FASTER]);
    }
}

void moves_write_figures(const struct weigh_space *space, uint32_t from, uint32_t to,
                         struct text *out)
{
    const struct weighed *a = &space->modes[from], *b = &space->modes[to];
    text_printf(out, "%+.2f Mbit/s, %+.1f dB, %+.1f us, %+.0f km/h",
                as_shown(b->net_mbps - a->net_mbps, 2), as_shown(b->snr_db - a->snr_db, 1),
                as_shown(weigh_echo_us(space, to) - weigh_echo_us(space, from), 1),
                as_shown(b->speed_kmh - a->speed_kmh, 0));
}

void moves_write_changes(const struct weigh_space *space, uint32_t from, uint32_t to,
                         struct text *out)
{
    bool any = false;
    for (int c = 0; c < space->choices->choice_count; c++) {
        int before = weigh_number(space, from, c), after = weigh_number(space, to, c);
        char values[2][FIELD_TEXT_BYTES];
        if (before != after) {
            field_write(space->fields[c], before, values[0], sizeof values[0]);
            field_write(space->fields[c], after, values[1], sizeof values[1]);
            text_printf(out, "%s%s %s to %s", any ? ", " : "", space->choices->choices[c].word,
                        values[0], values[1]);
            any = true;
        }
    }
    if (!any) {
        text_append(out, "nothing");
    }
}
