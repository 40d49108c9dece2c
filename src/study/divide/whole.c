/* Divisions of one subframe without layers: one PLP for all, or a PLP each.
 *
 * One PLP: for each geometry the code with most bits that every service can receive. A PLP each:
 * each service's own best code; what they ask for takes so many cells, and the taker has the
 * others. More bits a cell never hurt, so the best code of each is the best of all. */
#include <math.h>

#include "study/divide/space.h"

static bool bears_all(const struct divide_space *space, const struct divide_geometry *geometry)
{
    for (int s = 0; s < space->count; s++) {
        if (!divide_bears(space, geometry, s)) {
            return false;
        }
    }
    return true;
}

static double mbps(double cells, double bits, double frame_ms)
{
    return cells * bits / frame_ms / 1e3;
}

static double asked_mbps(const struct divide_space *space, int service)
{
    double asked = space->scenario->services[service].rate_mbps;
    return isnan(asked) ? 0.0 : asked;
}

/* ---- One. ---- */

static int code_for_all(struct divide_space *space, const struct divide_geometry *geometry)
{
    for (int c = 0; c < space->code_count; c++) {
        bool works = true;
        for (int s = 0; s < space->count && works; s++) {
            works = divide_works(space, geometry, s, c, ROLE_ALONE, 0);
        }
        if (works) {
            return c;
        }
    }
    return -1;
}

bool divide_in_one(struct divide_space *space, struct division *division)
{
    double best_mbps = 0.0, all_mbps = 0.0;
    struct divide_choice best = {.core = -1};
    for (int s = 0; s < space->count; s++) {
        all_mbps += asked_mbps(space, s);
    }
    for (size_t g = 0; divide_next(space, DIVISION_ONE, g); g++) {
        const struct divide_geometry *geometry = &space->geometries[g];
        int code = bears_all(space, geometry) ? code_for_all(space, geometry) : -1;
        double rate = code < 0 ? 0.0
                               : mbps((double)geometry->cells[DIVISION_ONE],
                                      space->codes[code].bits, geometry->duration_ms);
        if (rate > best_mbps && rate >= all_mbps) {
            best_mbps = rate;
            for (int s = 0; s < space->count; s++) {
                best.geometry[s] = g;
                best.code[s] = code;
            }
        }
    }
    if (best_mbps == 0.0) {
        return false;
    }
    divide_template(space, DIVISION_ONE, &division->transmission);
    division->transmission.signalling.l1_detail_bits = divide_detail_bits(space, DIVISION_ONE);
    division->transmission.subframes[0].waveform = space->geometries[best.geometry[0]].waveform;
    division->transmission.plps[0].code = space->codes[best.code[0]].code;
    return divide_tell(space, &best, division);
}

/* ---- Time. ---- */

/* Cells for each; the taker's is what is left. False where that is too little. */
static bool part_cells(const struct divide_space *space, const struct divide_geometry *geometry,
                       const int codes[SERVICES_MAX], long cells[SERVICES_MAX])
{
    long left = geometry->cells[DIVISION_TIME];
    for (int s = 0; s < space->count; s++) {
        cells[s] = divide_cells(space, s, codes[s], geometry->duration_ms);
        left -= s != space->taker ? cells[s] : 0;
    }
    bool suffices = left > 0 && left >= cells[space->taker];
    cells[space->taker] = left;
    return suffices;
}

bool divide_in_time(struct divide_space *space, struct division *division)
{
    double most_mbps = -1.0;
    struct divide_choice best = {.core = -1};
    long best_cells[SERVICES_MAX] = {0};
    for (size_t g = 0; divide_next(space, DIVISION_TIME, g); g++) {
        const struct divide_geometry *geometry = &space->geometries[g];
        struct divide_choice choice = {.core = -1};
        long cells[SERVICES_MAX];
        bool serves = bears_all(space, geometry) && geometry->cells[DIVISION_TIME] > 0;
        for (int s = 0; s < space->count && serves; s++) {
            choice.geometry[s] = g;
            choice.code[s] = divide_best_code(space, geometry, s, ROLE_ALONE, 0);
            serves = choice.code[s] >= 0;
        }
        if (!serves || !part_cells(space, geometry, choice.code, cells)) {
            continue;
        }
        double rate = mbps((double)cells[space->taker],
                           space->codes[choice.code[space->taker]].bits, geometry->duration_ms);
        if (rate > most_mbps) {
            most_mbps = rate;
            best = choice;
            for (int s = 0; s < space->count; s++) {
                best_cells[s] = cells[s];
            }
        }
    }
    if (most_mbps < 0.0) {
        return false;
    }
    struct transmission *transmission = &division->transmission;
    divide_template(space, DIVISION_TIME, transmission);
    transmission->signalling.l1_detail_bits = divide_detail_bits(space, DIVISION_TIME);
    transmission->subframes[0].waveform = space->geometries[best.geometry[0]].waveform;
    for (int s = 0; s < space->count; s++) {
        transmission->plps[s].code = space->codes[best.code[s]].code;
        transmission->plps[s].cells = (int)best_cells[s];
    }
    return divide_tell(space, &best, division);
}
