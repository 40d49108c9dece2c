/* A subframe each, with a waveform of its own. The first one's waveform is the preamble's too, so
 * each service is tried as the first with each geometry. The others but the taker then take the
 * fewest milliseconds that hold what they ask for, each for itself, and the taker fills what is
 * left with whole symbols of the geometry that carries most in them: all in all, the best there is.
 * What a service asks for is counted for a frame of the asked length, which is never exceeded. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "study/divide/space.h"
#include "system/space/atsc3.h"

#define SYMBOLS_MAX 2048
#define BOOTSTRAP_MS 2.0
#define LEAST_PATTERNS 4

struct part {
    int code; /* -1: none */
    int symbols;
    double ms;
};

struct parting {
    double rate_mbps; /* of the taker; negative: none yet */
    int first;
    size_t geometry[SERVICES_MAX];
    struct part parts[SERVICES_MAX];
};

static int boundaries(const struct divide_space *space)
{
    return 1 + space->base->subframes[0].first_boundary;
}

static int least_symbols(const struct divide_geometry *geometry)
{
    return LEAST_PATTERNS * geometry->own.grid.dy;
}

static long cells_in(const struct divide_space *space, const struct divide_geometry *geometry,
                     int symbols, bool first)
{
    int ends = boundaries(space);
    return (first ? geometry->preamble_payload : 0) +
           (long)(symbols - ends) * geometry->counts.data + (long)ends * geometry->counts.boundary;
}

/* The shortest subframe that holds what the service asks for. */
static struct part shortest(const struct divide_space *space,
                            const struct divide_geometry *geometry, int service, int code,
                            bool first)
{
    long wanted = divide_cells(space, geometry, service, code, space->base->frame_ms);
    int symbols = least_symbols(geometry);
    long short_of = wanted - cells_in(space, geometry, symbols, first);
    if (short_of > 0) {
        symbols += (int)((short_of + geometry->counts.data - 1) / geometry->counts.data);
    }
    return (struct part){symbols <= SYMBOLS_MAX ? code : -1, symbols,
                         symbols * geometry->symbol_ms};
}

/* As many whole symbols as fit. */
static struct part longest(const struct divide_space *space, const struct divide_geometry *geometry,
                           int code, double ms)
{
    (void)space;
    double fit = floor(ms / geometry->symbol_ms + 1e-9);
    int symbols = fit > SYMBOLS_MAX ? SYMBOLS_MAX : (int)fit;
    return (struct part){symbols >= least_symbols(geometry) ? code : -1, symbols,
                         symbols * geometry->symbol_ms};
}

static double rate_of(const struct divide_space *space, const struct divide_geometry *geometry,
                      const struct part *part, bool first, double frame_ms)
{
    return (double)cells_in(space, geometry, part->symbols, first) * space->codes[part->code].bits /
           frame_ms / 1e3;
}

/* What a service can do with each geometry, whoever is first. */
struct options {
    int *codes;      /* by geometry; -1: it is not received */
    size_t shortest; /* not first; with its part */
    struct part part;
};

static void fill_options(struct divide_space *space, int service, struct options *options)
{
    options->part = (struct part){.code = -1, .ms = INFINITY};
    for (size_t g = 0; g < space->geometry_count; g++) {
        const struct divide_geometry *geometry = &space->geometries[g];
        options->codes[g] = divide_bears(space, geometry, service)
                                ? divide_best_code(space, geometry, service, ROLE_ALONE, 0)
                                : -1;
        if (options->codes[g] < 0) {
            continue;
        }
        struct part part = shortest(space, geometry, service, options->codes[g], false);
        if (part.code >= 0 && part.ms < options->part.ms) {
            options->part = part;
            options->shortest = g;
        }
    }
}

static double frame_ms_of(const struct divide_space *space, double used_ms)
{
    return space->base->alignment == ALIGNED_TO_TIME ? space->base->frame_ms : used_ms;
}

/* The taker, not first, in what is left. */
static void try_taker(const struct divide_space *space, const struct options *taker, double used_ms,
                      struct parting *trial, struct parting *best)
{
    double left_ms = space->base->frame_ms - used_ms;
    for (size_t g = 0; g < space->geometry_count; g++) {
        if (taker->codes[g] < 0) {
            continue;
        }
        const struct divide_geometry *geometry = &space->geometries[g];
        struct part part = longest(space, geometry, taker->codes[g], left_ms);
        if (part.code < 0) {
            continue;
        }
        double rate = rate_of(space, geometry, &part, false, frame_ms_of(space, used_ms + part.ms));
        if (rate > best->rate_mbps &&
            cells_in(space, geometry, part.symbols, false) >=
                divide_cells(space, geometry, space->taker, part.code, space->base->frame_ms)) {
            trial->rate_mbps = rate;
            trial->geometry[space->taker] = g;
            trial->parts[space->taker] = part;
            *best = *trial;
        }
    }
}

static void try_taker_first(const struct divide_space *space, const struct options *taker, size_t g,
                            double used_ms, struct parting *trial, struct parting *best)
{
    const struct divide_geometry *geometry = &space->geometries[g];
    struct part part = longest(space, geometry, taker->codes[g], space->base->frame_ms - used_ms);
    if (part.code < 0) {
        return;
    }
    double rate = rate_of(space, geometry, &part, true, frame_ms_of(space, used_ms + part.ms));
    if (rate > best->rate_mbps &&
        cells_in(space, geometry, part.symbols, true) >=
            divide_cells(space, geometry, space->taker, part.code, space->base->frame_ms)) {
        trial->rate_mbps = rate;
        trial->geometry[space->taker] = g;
        trial->parts[space->taker] = part;
        *best = *trial;
    }
}

/* All with that service first, in that geometry. */
static void try_first(const struct divide_space *space, const struct options *options, int first,
                      size_t g, struct parting *best)
{
    const struct divide_geometry *geometry = &space->geometries[g];
    struct parting trial = {.first = first};
    double used_ms = BOOTSTRAP_MS + geometry->preamble_ms;
    if (options[first].codes[g] < 0 || geometry->preamble_payload < 0) {
        return;
    }
    for (int s = 0; s < space->count; s++) {
        if (s == space->taker) {
            continue;
        }
        trial.geometry[s] = s == first ? g : options[s].shortest;
        trial.parts[s] =
            s == first ? shortest(space, geometry, s, options[s].codes[g], true) : options[s].part;
        if (trial.parts[s].code < 0) {
            return;
        }
        used_ms += trial.parts[s].ms;
    }
    if (first == space->taker) {
        try_taker_first(space, &options[first], g, used_ms, &trial, best);
    } else {
        try_taker(space, &options[space->taker], used_ms, &trial, best);
    }
}

/* The first service's subframe and PLP stand first; services keep their PLPs' places. */
static void build(const struct divide_space *space, const struct parting *best,
                  struct transmission *transmission)
{
    divide_template(space, DIVISION_SUBFRAMES, transmission);
    transmission->signalling.l1_detail_bits = divide_detail_bits(space, DIVISION_SUBFRAMES);
    for (int s = 0; s < space->count; s++) {
        int at = s == best->first ? 0 : s < best->first ? s + 1 : s;
        struct subframe *subframe = &transmission->subframes[at];
        *subframe = space->base->subframes[0];
        text_format(subframe->name, sizeof subframe->name, "%s", transmission->plps[s].name);
        atsc3_space_waveform(&space->geometries[best->geometry[s]].own, &subframe->waveform);
        subframe->symbols = best->parts[s].symbols;
        atsc3_space_code(&space->codes[best->parts[s].code].own, &transmission->plps[s].code);
    }
}

static bool part_in_subframes(struct divide_space *space, struct options *options,
                              struct division *division)
{
    struct parting best = {.rate_mbps = -1.0};
    static const struct divide_choice nothing = {.core = -1};
    for (int s = 0; s < space->count; s++) {
        fill_options(space, s, &options[s]);
    }
    for (int first = 0; first < space->count; first++) {
        for (size_t g = 0; divide_next(space, DIVISION_SUBFRAMES, g); g++) {
            try_first(space, options, first, g, &best);
        }
    }
    if (best.rate_mbps < 0.0) {
        return false;
    }
    struct divide_choice choice = nothing;
    division->waveform_count = space->count;
    for (int s = 0; s < space->count; s++) {
        int at = s == best.first ? 0 : s < best.first ? s + 1 : s;
        choice.geometry[s] = best.geometry[s];
        choice.code[s] = best.parts[s].code;
        memcpy(division->waveforms[at], space->geometries[best.geometry[s]].own.numbers,
               sizeof division->waveforms[at]);
    }
    build(space, &best, &division->transmission);
    return divide_tell(space, &choice, division);
}

bool divide_in_subframes(struct divide_space *space, struct division *division)
{
    struct options options[SERVICES_MAX] = {0};
    int *codes = calloc(SERVICES_MAX * (space->geometry_count + 1), sizeof *codes);
    space->no_memory |= codes == NULL;
    for (int s = 0; s < SERVICES_MAX && codes != NULL; s++) {
        options[s].codes = codes + (size_t)s * space->geometry_count;
    }
    bool found = codes != NULL && part_in_subframes(space, options, division);
    free(codes);
    return found;
}
