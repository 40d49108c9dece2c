/* Divisions with layers: one service is the core, one or more others lie over it, and the rest
 * stand beside in time. For each geometry, core, set above and injection level: codes with most
 * bits that are received (the core's by the services above too, as they have to take it away
 * first), then cells of the group >= what the core needs, and >= what those above need together,
 * and the taker has what is left where it is: in the core, above it, or beside. Every term is best
 * where its bits are most, so the best codes are the best of all. */
#include <math.h>

#include "study/divide/space.h"
#include "system/space/atsc3.h"

struct layered {
    double rate_mbps; /* of the taker; negative: none yet */
    struct divide_choice choice;
    unsigned above; /* services over the core, a bit each */
    long group, cells[SERVICES_MAX];
};

static bool is_above(unsigned above, int service)
{
    return (above >> service) & 1u;
}

static int core_code(struct divide_space *space, const struct divide_geometry *geometry, int core,
                     unsigned above, int level)
{
    for (int c = 0; c < space->code_count; c++) {
        bool works = divide_works(space, geometry, core, c, ROLE_CORE, level);
        for (int s = 0; s < space->count && works; s++) {
            works = !is_above(above, s) || divide_works(space, geometry, s, c, ROLE_CORE, level);
        }
        if (works) {
            return c;
        }
    }
    return -1;
}

/* Parts the cells; false where something does not fit. */
static bool part_cells(const struct divide_space *space, const struct divide_geometry *geometry,
                       struct layered *layered)
{
    int core = layered->choice.core, taker = space->taker;
    long all = geometry->cells[DIVISION_LAYERS], beside = 0, over = 0;
    for (int s = 0; s < space->count; s++) {
        long cells =
            divide_cells(space, geometry, s, layered->choice.code[s], geometry->duration_ms);
        layered->cells[s] = cells;
        beside += s != core && !is_above(layered->above, s) ? cells : 0;
        over += is_above(layered->above, s) ? cells : 0;
    }
    bool taker_beside = taker != core && !is_above(layered->above, taker);
    long least = layered->cells[core] > over ? layered->cells[core] : over;
    layered->group = taker_beside ? least : all - beside;
    if (layered->group < least || all - beside < least) { /* and the least is some */
        return false;
    }
    if (taker_beside) {
        layered->cells[taker] += all - beside - layered->group;
    } else if (taker != core) {
        layered->cells[taker] += layered->group - over;
    }
    layered->cells[core] = layered->group;
    return layered->cells[taker] > 0;
}

/* The codes of one geometry that services have alone and above, by level; -1: none. */
struct codes {
    int alone[SERVICES_MAX], above[INJECTION_LEVELS][SERVICES_MAX];
};

static bool fill_codes(struct divide_space *space, const struct divide_geometry *geometry,
                       struct codes *codes)
{
    for (int s = 0; s < space->count; s++) {
        codes->alone[s] = divide_bears(space, geometry, s)
                              ? divide_best_code(space, geometry, s, ROLE_ALONE, 0)
                              : -1;
        if (codes->alone[s] < 0) { /* layers ask for more */
            return false;
        }
    }
    for (int level = 0; level < INJECTION_LEVELS; level++) {
        for (int s = 0; s < space->count; s++) {
            codes->above[level][s] = divide_best_code(space, geometry, s, ROLE_ABOVE, level);
        }
    }
    return true;
}

static bool takes_level(const struct divide_space *space, int level)
{
    bool (*takes)(int level) = space->limits_of_space->takes_level;
    return takes == NULL || takes(level);
}

static void try_layers(struct divide_space *space, size_t g, const struct codes *codes,
                       struct layered *trial, struct layered *best)
{
    const struct divide_geometry *geometry = &space->geometries[g];
    struct divide_choice *choice = &trial->choice;
    for (int s = 0; s < space->count; s++) {
        bool over = is_above(trial->above, s);
        choice->geometry[s] = g;
        choice->role[s] = s == choice->core ? ROLE_CORE : over ? ROLE_ABOVE : ROLE_ALONE;
        choice->code[s] = over ? codes->above[choice->level][s] : codes->alone[s];
        if (choice->code[s] < 0) {
            return;
        }
    }
    choice->code[choice->core] =
        core_code(space, geometry, choice->core, trial->above, choice->level);
    if (choice->code[choice->core] < 0 || !part_cells(space, geometry, trial)) {
        return;
    }
    trial->rate_mbps = (double)trial->cells[space->taker] *
                       space->codes[choice->code[space->taker]].bits / geometry->duration_ms / 1e3;
    if (trial->rate_mbps > best->rate_mbps) {
        *best = *trial;
    }
}

static void build(const struct divide_space *space, const struct layered *best,
                  struct transmission *transmission)
{
    divide_template(space, DIVISION_LAYERS, transmission);
    transmission->signalling.l1_detail_bits = divide_detail_bits(space, DIVISION_LAYERS);
    atsc3_space_waveform(&space->geometries[best->choice.geometry[0]].own,
                         &transmission->subframes[0].waveform);
    for (int s = 0; s < space->count; s++) {
        struct plp *plp = &transmission->plps[s];
        atsc3_space_code(&space->codes[best->choice.code[s]].own, &plp->code);
        plp->cells = (int)best->cells[s];
        if (is_above(best->above, s)) {
            plp->layer = LAYER_ENHANCED;
            plp->injection_db = injection_db(best->choice.level);
            text_format(plp->over, sizeof plp->over, "%s",
                        transmission->plps[best->choice.core].name);
        }
    }
}

bool divide_in_layers(struct divide_space *space, struct division *division)
{
    struct layered best = {.rate_mbps = -1.0};
    for (size_t g = 0; divide_next(space, DIVISION_LAYERS, g); g++) {
        struct codes codes;
        if (space->geometries[g].cells[DIVISION_LAYERS] <= 0 ||
            !fill_codes(space, &space->geometries[g], &codes)) {
            continue;
        }
        for (int core = 0; core < space->count; core++) {
            for (unsigned above = 1; above < 1u << space->count; above++) {
                for (int level = 0; level < INJECTION_LEVELS && !is_above(above, core); level++) {
                    if (!takes_level(space, level)) {
                        continue;
                    }
                    struct layered trial = {.above = above,
                                            .choice = {.core = core, .level = level}};
                    try_layers(space, g, &codes, &trial, &best);
                }
            }
        }
    }
    if (best.rate_mbps < 0.0) {
        return false;
    }
    build(space, &best, &division->transmission);
    divide_keep_waveform(space, best.choice.geometry[0], division);
    return divide_tell(space, &best.choice, division);
}
