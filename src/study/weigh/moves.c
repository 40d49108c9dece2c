/* Searches the space for the best mode that keeps each move's promise, and names what changes. */
#include "study/weigh/moves.h"

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

/* More bits; among equals less SNR, and then the nearest. */
static bool carries_more(const struct weigh_space *space, size_t i, size_t than)
{
    const struct weighed *a = &space->modes[i], *b = &space->modes[than];
    return a->net_mbps > b->net_mbps || (a->net_mbps == b->net_mbps && a->snr_db < b->snr_db);
}

static bool needs_less(const struct weigh_space *space, size_t i, size_t than)
{
    const struct weighed *a = &space->modes[i], *b = &space->modes[than];
    return a->snr_db < b->snr_db || (a->snr_db == b->snr_db && a->net_mbps > b->net_mbps);
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
            bits = carries_more(space, i, bits) ? i : bits;
            if (weigh_echo_us(space, i) > weigh_echo_us(space, from) &&
                (echo == UINT32_MAX || carries_more(space, i, echo))) {
                echo = i;
            }
        }
        if (mode->net_mbps >= now->net_mbps && mode->speed_kmh >= now->speed_kmh &&
            weigh_echo_us(space, i) >= weigh_echo_us(space, from)) {
            robust = needs_less(space, i, robust) ? i : robust;
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

/* The mode after a change, made legal by its pilots alone. */
static void take_changed(const struct weigh_space *space, const struct weigh_wish *wish,
                         struct transmission mode, struct move *move)
{
    transmission_repair(&mode);
    long place = weigh_find(space, &mode);
    if (place >= 0 && is_wished(space, wish, (size_t)place)) {
        take(move, (uint32_t)place);
    } else if (place >= 0) {
        move->absent = outside;
    }
}

void moves_make(const struct weigh_space *space, const struct weigh_wish *wish, uint32_t from,
                struct move moves[MOVE_COUNT])
{
    for (int i = 0; i < MOVE_COUNT; i++) {
        moves[i] = (struct move){.name = words[i].name, .absent = words[i].absent};
    }
    search(space, wish, from, moves);
    struct transmission mode = weigh_mode(space, from);
    if (mode.subframes[0].waveform.guard + 1 < GUARD_COUNT &&
        guard_is_allowed(mode.subframes[0].waveform.fft, mode.subframes[0].waveform.guard + 1)) {
        struct transmission longer = mode;
        longer.subframes[0].waveform.guard++;
        take_changed(space, wish, longer, &moves[MOVE_LONGER_GUARD]);
    }
    if (mode.subframes[0].waveform.fft > FFT_8K &&
        guard_is_allowed(mode.subframes[0].waveform.fft - 1, mode.subframes[0].waveform.guard)) {
        struct transmission shorter = mode;
        shorter.subframes[0].waveform.fft--;
        take_changed(space, wish, shorter, &moves[MOVE_FASTER]);
    }
}

void moves_write_figures(const struct weigh_space *space, uint32_t from, uint32_t to,
                         struct text *out)
{
    const struct weighed *a = &space->modes[from], *b = &space->modes[to];
    text_printf(out, "%+.2f Mbit/s, %+.1f dB, %+.1f us, %+.0f km/h",
                b->net_mbps - a->net_mbps + 0.0, b->snr_db - a->snr_db + 0.0,
                weigh_echo_us(space, to) - weigh_echo_us(space, from) + 0.0,
                b->speed_kmh - a->speed_kmh + 0.0);
}

void moves_write_changes(const struct transmission *from, const struct transmission *to,
                         struct text *out)
{
    char numbers[3][2][16];
    const int values[3][2] = {
        {from->subframes[0].waveform.boost, to->subframes[0].waveform.boost},
        {from->subframes[0].waveform.reduction, to->subframes[0].waveform.reduction},
        {from->plps[0].code.rate_15ths, to->plps[0].code.rate_15ths}};
    for (int i = 0; i < 3; i++) {
        for (int side = 0; side < 2; side++) {
            text_format(numbers[i][side], sizeof numbers[i][side], "%d%s", values[i][side],
                        i == 2 ? "/15" : "");
        }
    }
    const struct {
        const char *what, *before, *after;
        bool same;
    } rows[] = {
        {"FFT", fft_name(from->subframes[0].waveform.fft), fft_name(to->subframes[0].waveform.fft),
         from->subframes[0].waveform.fft == to->subframes[0].waveform.fft},
        {"guard", guard_name(from->subframes[0].waveform.guard),
         guard_name(to->subframes[0].waveform.guard),
         from->subframes[0].waveform.guard == to->subframes[0].waveform.guard},
        {"pilots", pilots_name(from->subframes[0].waveform.pilots),
         pilots_name(to->subframes[0].waveform.pilots),
         from->subframes[0].waveform.pilots == to->subframes[0].waveform.pilots},
        {"boost", numbers[0][0], numbers[0][1],
         from->subframes[0].waveform.boost == to->subframes[0].waveform.boost},
        {"reduction", numbers[1][0], numbers[1][1],
         from->subframes[0].waveform.reduction == to->subframes[0].waveform.reduction},
        {"length", code_length_name(from->plps[0].code.length),
         code_length_name(to->plps[0].code.length),
         from->plps[0].code.length == to->plps[0].code.length},
        {"rate", numbers[2][0], numbers[2][1],
         from->plps[0].code.rate_15ths == to->plps[0].code.rate_15ths},
        {"constellation", constellation_name(from->plps[0].code.constellation),
         constellation_name(to->plps[0].code.constellation),
         from->plps[0].code.constellation == to->plps[0].code.constellation},
    };
    bool any = false;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (!rows[i].same) {
            text_printf(out, "%s%s %s to %s", any ? ", " : "", rows[i].what, rows[i].before,
                        rows[i].after);
            any = true;
        }
    }
    if (!any) {
        text_append(out, "nothing");
    }
}
