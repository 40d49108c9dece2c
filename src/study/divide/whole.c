/* Divisions of one subframe without layers: one PLP for all, or a PLP each.
 *
 * One PLP: for each geometry the code with most bits that every service can receive. A PLP each:
 * each service's own best code; what they ask for takes so many cells, and the taker has the
 * others. More bits a cell never hurt, so the best code of each is the best of all. */
#include <math.h>
#include <stdlib.h>

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

static double asked_mbps(const struct divide_space *space, int service)
{
    double asked = space->scenario->services[service].rate_mbps;
    return isnan(asked) ? 0.0 : asked;
}

/* One pipe for all, or one each, as what is sent; false without memory. */
static bool build(struct divide_space *space, const struct divide_choice *choice, int pipes,
                  const long *cells, struct division *division)
{
    struct space_pipe made[SERVICES_MAX];
    struct scenario *sent = malloc(sizeof *sent);
    if (sent == NULL) {
        space->no_memory = true;
        return false;
    }
    for (int s = 0; s < pipes; s++) {
        made[s] =
            (struct space_pipe){.name = pipes == 1 ? "all" : space->scenario->services[s].name,
                                .code = &space->codes[choice->code[s]].own,
                                .cells = cells != NULL ? cells[s] : 0};
    }
    *sent = space->plain;
    space_put(space->row, space->geometries[choice->geometry[0]].own.numbers, NULL, sent);
    space->row->put_pipes(made, pipes, sent);
    division->transmission = sent->transmission;
    division->dvbt2 = sent->dvbt2;
    divide_keep_waveform(space, choice->geometry[0], division);
    free(sent);
    return true;
}

/* ---- One. ---- */

/* The code that carries most of those that all can receive; -1: none. */
static int code_for_all(struct divide_space *space, const struct divide_geometry *geometry)
{
    int best = -1;
    double most_mbps = -1.0;
    for (int c = 0; c < space->code_count; c++) {
        double rate = divide_mbps(space, geometry, geometry->cells[DIVISION_ONE], c);
        bool works = rate > most_mbps;
        for (int s = 0; s < space->count && works; s++) {
            works = divide_works(space, geometry, s, c, ROLE_ALONE, 0);
        }
        if (works) {
            best = c;
            most_mbps = rate;
            if (!space->codes[c].own.whole_blocks) {
                break; /* more bits a cell never hurt */
            }
        }
    }
    return best;
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
        double rate =
            code < 0 ? 0.0 : divide_mbps(space, geometry, geometry->cells[DIVISION_ONE], code);
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
    return build(space, &best, 1, NULL, division) && divide_tell(space, &best, division);
}

/* ---- Time. ---- */

/* The code with which a service's rate takes the fewest cells; -1: none is received. More bits a
 * cell take fewer, but for whole blocks, of which a smaller one may fit better. */
static int least_code(struct divide_space *space, const struct divide_geometry *geometry,
                      int service)
{
    int best = divide_best_code(space, geometry, service, ROLE_ALONE, 0);
    if (best < 0 || !space->codes[best].own.whole_blocks) {
        return best;
    }
    long least = divide_cells(space, geometry, service, best, geometry->duration_ms);
    for (int c = best + 1; c < space->code_count; c++) {
        long cells = divide_cells(space, geometry, service, c, geometry->duration_ms);
        if (cells < least && divide_works(space, geometry, service, c, ROLE_ALONE, 0)) {
            least = cells;
            best = c;
        }
    }
    return best;
}

/* The code with which the taker carries most in so many cells. */
static int most_code(struct divide_space *space, const struct divide_geometry *geometry, long cells)
{
    int best = divide_best_code(space, geometry, space->taker, ROLE_ALONE, 0);
    for (int c = best; best >= 0 && space->codes[best].own.whole_blocks && c < space->code_count;
         c++) {
        if (divide_mbps(space, geometry, cells, c) > divide_mbps(space, geometry, cells, best) &&
            divide_works(space, geometry, space->taker, c, ROLE_ALONE, 0)) {
            best = c;
        }
    }
    return best;
}

/* Codes and cells for each; the taker's is what is left. False where that is too little. */
static bool part_cells(struct divide_space *space, const struct divide_geometry *geometry,
                       struct divide_choice *choice, long cells[SERVICES_MAX])
{
    long left = geometry->cells[DIVISION_TIME];
    int taker = space->taker;
    for (int s = 0; s < space->count; s++) {
        if (s == taker) {
            continue;
        }
        choice->code[s] = least_code(space, geometry, s);
        if (choice->code[s] < 0) {
            return false;
        }
        cells[s] = divide_cells(space, geometry, s, choice->code[s], geometry->duration_ms);
        left -= cells[s];
    }
    choice->code[taker] = left > 0 ? most_code(space, geometry, left) : -1;
    if (choice->code[taker] < 0) {
        return false;
    }
    cells[taker] = left;
    return left >= divide_cells(space, geometry, taker, choice->code[taker], geometry->duration_ms);
}

bool divide_in_time(struct divide_space *space, struct division *division)
{
    double most_mbps = 0.0;
    struct divide_choice best = {.core = -1};
    long best_cells[SERVICES_MAX] = {0};
    for (size_t g = 0; divide_next(space, DIVISION_TIME, g); g++) {
        const struct divide_geometry *geometry = &space->geometries[g];
        struct divide_choice choice = {.core = -1};
        long cells[SERVICES_MAX] = {0};
        for (int s = 0; s < space->count; s++) {
            choice.geometry[s] = g;
        }
        if (!bears_all(space, geometry) || !part_cells(space, geometry, &choice, cells)) {
            continue;
        }
        double rate = divide_mbps(space, geometry, cells[space->taker], choice.code[space->taker]);
        if (rate > most_mbps) {
            most_mbps = rate;
            best = choice;
            for (int s = 0; s < space->count; s++) {
                best_cells[s] = cells[s];
            }
        }
    }
    if (most_mbps == 0.0) {
        return false;
    }
    return build(space, &best, space->count, best_cells, division) &&
           divide_tell(space, &best, division);
}
