/* The space of a division: geometries and codes with what follows from each alone, so that a choice
 * of both costs a comparison.
 *
 * Needed SNR: a receiver needs -10 log10(10^-((ideal + loss)/10) - 10^(BN/10)), loss by geometry,
 * BN by constellation (ATSC A/327 Annex B). So a service of S dB is received where
 *     ideal <= -10 log10(10^(-S/10) + 10^(BN/10)) - loss,
 * whose first part is the service's alone. Layers turn what the code needs alone into `ideal`
 * (physics/information/layers.h). */
#include "study/divide/space.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "physics/information/layers.h"
#include "system/system.h"

/* ---- Codes. ---- */

static int compare_codes(const void *left, const void *right)
{
    const struct divide_code *a = left, *b = right;
    return a->bits != b->bits
               ? (a->bits < b->bits) - (a->bits > b->bits)
               : (a->alone_db[0] > b->alone_db[0]) - (a->alone_db[0] < b->alone_db[0]);
}

static void fill_codes(struct divide_space *space, const struct divide_limits *limits)
{
    struct space_code codes[SPACE_CODES_MAX];
    int count = space->row->codes(&space->plain, codes);
    for (int c = 0; c < count; c++) {
        if (limits->takes_code == NULL || limits->takes_code(&codes[c])) {
            struct divide_code *filled = &space->codes[space->code_count++];
            filled->own = codes[c];
            filled->bits = codes[c].net_bits;
            filled->alone_db[SERVICE_IN_NOISE] = codes[c].facts.ideal_snr_db;
            filled->alone_db[SERVICE_IN_RAYLEIGH] = codes[c].facts.ideal_rayleigh_snr_db;
        }
    }
    qsort(space->codes, (size_t)space->code_count, sizeof space->codes[0], compare_codes);
}

/* ---- Geometries. ---- */

/* How long the stages take, measured with three services. */
static const double stage_ends[STAGE_COUNT] = {[STAGE_GEOMETRIES] = 0.25,
                                               [STAGE_KINDS + DIVISION_ONE] = 0.27,
                                               [STAGE_KINDS + DIVISION_TIME] = 0.3,
                                               [STAGE_KINDS + DIVISION_SUBFRAMES] = 0.5,
                                               [STAGE_KINDS + DIVISION_LAYERS] = 1.0};

static bool divide_goes_on(struct divide_space *space, enum divide_stage stage, double share)
{
    const struct divide_limits *limits = space->limits_of_space;
    double from = stage > 0 ? stage_ends[stage - 1] : 0.0;
    if (limits->goes_on != NULL && !space->stopped) {
        space->stopped =
            !limits->goes_on(limits->watcher, from + share * (stage_ends[stage] - from));
    }
    return !space->stopped;
}

#define GEOMETRIES_BETWEEN 32 /* two looks at the watcher */

bool divide_next(struct divide_space *space, enum division_kind kind, size_t g)
{
    return g < space->geometry_count &&
           (g % GEOMETRIES_BETWEEN != 0 ||
            divide_goes_on(space, (enum divide_stage)(STAGE_KINDS + (int)kind),
                           (double)g / (double)space->geometry_count));
}

static bool takes_geometry(const struct divide_space *space, const struct space_geometry *geometry)
{
    const struct divide_limits *limits = space->limits_of_space;
    bool found = limits->only == NULL;
    for (int i = 0; i < limits->only_count && !found; i++) {
        found = true;
        for (int c = 0; c < space->row->choice_count && found; c++) {
            found = space->row->choices[c].of_code || limits->only[i][c] == geometry->numbers[c];
        }
    }
    return found && (limits->takes_geometry == NULL || limits->takes_geometry(geometry));
}

static void add_geometry(struct divide_space *space, const struct space_geometry *own)
{
    struct divide_geometry *geometry = &space->geometries[space->geometry_count];
    *geometry = (struct divide_geometry){.own = *own};
    geometry->cells[DIVISION_TIME] =
        space->row->cells_for(&space->plain, own, space->count, &geometry->duration_ms);
    geometry->cells[DIVISION_ONE] =
        space->row->cells_for(&space->plain, own, 1, &geometry->duration_ms);
    if (space->row->subframes) {
        divide_fill_tree(space, geometry);
    }
    double *loss_db = space->loss_db[own->which];
    if (loss_db[1] == 0.0) {
        doppler_limits_make(&own->grid, &space->limits[own->which]);
        loss_db[0] = own->loss_db;
    }
    loss_db[0] = fmin(loss_db[0], own->loss_db);
    loss_db[1] = fmax(loss_db[1], own->loss_db);
    space->geometry_count++;
}

/* What motion allows is worked out where a geometry is taken. */
static enum status fill_geometries(struct divide_space *space)
{
    size_t most = space->row->geometries_most;
    struct space_geometry *all = malloc(most * sizeof *all);
    space->geometries = malloc(most * sizeof *space->geometries);
    if (all == NULL || space->geometries == NULL) {
        free(all);
        return STATUS_NO_MEMORY;
    }
    size_t count = space->row->geometries(&space->plain, all);
    for (size_t g = 0;
         g < count && (g % GEOMETRIES_BETWEEN != 0 ||
                       divide_goes_on(space, STAGE_GEOMETRIES, (double)g / (double)count));
         g++) {
        if (takes_geometry(space, &all[g])) {
            add_geometry(space, &all[g]);
        }
    }
    free(all);
    return STATUS_OK;
}

/* ---- Services. ---- */

static void fill_usable(struct divide_space *space)
{
    for (int s = 0; s < space->count; s++) {
        for (int c = 0; c < space->code_count; c++) {
            double noise = ratio_from_db(-space->scenario->services[s].snr_db) +
                           ratio_from_db(space->codes[c].own.backstop_db);
            space->usable_db[s][c] = -db_from_ratio(noise);
        }
    }
}

static bool some_fade(const struct divide_space *space)
{
    for (int s = 0; s < space->count; s++) {
        if (space->scenario->services[s].channel == SERVICE_IN_RAYLEIGH) {
            return true;
        }
    }
    return false;
}

static void fill_ideal(struct divide_space *space, int c, int level, bool fades)
{
    const struct divide_code *code = &space->codes[c];
    double injection = injection_db(level);
    for (int channel = 0; channel < (fades ? SERVICE_CHANNEL_COUNT : 1); channel++) {
        double alone_db = code->alone_db[channel];
        space->ideal_db[ROLE_ALONE][level][channel][c] = alone_db;
        space->ideal_db[ROLE_ABOVE][level][channel][c] =
            layered_enhanced_snr_db(alone_db, injection);
        space->ideal_db[ROLE_CORE][level][channel][c] = layered_core_snr_db(alone_db, injection);
    }
    if (fades) { /* the layer above fades with the core, so no closed form holds: core_fading_db */
        space->ideal_db[ROLE_CORE][level][SERVICE_IN_RAYLEIGH][c] = NAN;
    }
}

/* What a core needs in fading, made where it is asked: few pairs of code and level are. */
static double core_fading_db(struct divide_space *space, int c, int level)
{
    double *ideal_db = &space->ideal_db[ROLE_CORE][level][SERVICE_IN_RAYLEIGH][c];
    if (isnan(*ideal_db)) {
        const struct divide_code *code = &space->codes[c];
        struct information_curve alone = code->own.curve;
        struct information_curve core = layered_core_curve(alone, injection_db(level));
        *ideal_db = information_curve_rayleigh_snr_db(
            &core, information_curve_rayleigh(&alone, code->alone_db[SERVICE_IN_RAYLEIGH]));
    }
    return *ideal_db;
}

static void fill_ideals(struct divide_space *space)
{
    bool fades = some_fade(space);
    for (int level = 0; level < INJECTION_LEVELS; level++) {
        for (int c = 0; c < space->code_count; c++) {
            fill_ideal(space, c, level, fades);
        }
    }
}

double divide_needed_db(const struct divide_space *space, const struct divide_geometry *geometry,
                        int code, enum role role, int level, enum service_channel channel)
{
    double ideal_db = space->ideal_db[role][level][channel][code];
    double noise = ratio_from_db(-(ideal_db + geometry->own.loss_db)) -
                   ratio_from_db(space->codes[code].own.backstop_db);
    return -db_from_ratio(noise);
}

bool divide_bears(const struct divide_space *space, const struct divide_geometry *geometry,
                  int service)
{
    double echo_us = space->scenario->services[service].echo_us;
    return geometry->own.grid.guard_us >= echo_us &&
           geometry->own.grid.useful_us / geometry->own.grid.dx >= echo_us;
}

/* ---- Motion. ---- */

static void make_needs(const struct divide_space *space, int code, enum role role, int level,
                       struct gain_rayleigh_needs *needs)
{
    struct information_curve curve = space->codes[code].own.curve;
    struct gain_spread rayleigh;
    struct gain_raster raster;
    curve = role == ROLE_CORE    ? layered_core_curve(curve, injection_db(level))
            : role == ROLE_ABOVE ? layered_enhanced_curve(curve, injection_db(level))
                                 : curve;
    gain_spread_rayleigh(&rayleigh);
    gain_raster_make(&curve, &raster);
    gain_rayleigh_needs_make(&rayleigh, &raster,
                             space->ideal_db[role][level][SERVICE_IN_NOISE][code], needs);
}

static bool is_fast_with(struct divide_space *space, int which, double loss_db, int service,
                         int code, enum role role, int level)
{
    struct gain_rayleigh_needs **needs = &space->needs[role][level][code];
    double ideal_db = space->ideal_db[role][level][SERVICE_IN_NOISE][code];
    double backstop_db = space->codes[code].own.backstop_db;
    double noise = ratio_from_db(-(ideal_db + loss_db)) - ratio_from_db(backstop_db);
    double doppler_hz =
        doppler_from_kmh(space->scenario->services[service].speed_kmh, space->center_hz);
    if (!(noise > 0.0) || space->limits[which].pilot_hz < doppler_hz) {
        return false;
    }
    if (*needs == NULL) {
        *needs = malloc(sizeof **needs);
        if (*needs == NULL) {
            space->no_memory = true;
            return false;
        }
        make_needs(space, code, role, level, *needs);
    }
    struct doppler_need need = gain_rayleigh_need(*needs, -db_from_ratio(noise));
    return doppler_limit_hz(&space->limits[which], &need) >= doppler_hz;
}

enum pace { PACE_UNKNOWN, PACE_ENOUGH, PACE_TOO_SLOW, PACE_DEPENDS };

static bool is_fast_enough(struct divide_space *space, const struct divide_geometry *geometry,
                           int service, int code, enum role role, int level)
{
    int which = geometry->own.which;
    if (space->scenario->services[service].speed_kmh == 0.0) {
        return true;
    }
    uint8_t *pace = &space->pace[which][service][role][level][code];
    if (*pace == PACE_UNKNOWN) {
        const double *loss_db = space->loss_db[which];
        bool with_most = is_fast_with(space, which, loss_db[1], service, code, role, level);
        bool with_least =
            with_most || is_fast_with(space, which, loss_db[0], service, code, role, level);
        *pace = with_most ? PACE_ENOUGH : with_least ? PACE_DEPENDS : PACE_TOO_SLOW;
    }
    return *pace == PACE_DEPENDS
               ? is_fast_with(space, which, geometry->own.loss_db, service, code, role, level)
               : *pace == PACE_ENOUGH;
}

bool divide_works(struct divide_space *space, const struct divide_geometry *geometry, int service,
                  int code, enum role role, int level)
{
    enum service_channel channel = space->scenario->services[service].channel;
    double(*ideal_db)[SPACE_CODES_MAX] = space->ideal_db[role][level];
    double usable_db = space->usable_db[service][code] - geometry->own.loss_db;
    if (ideal_db[SERVICE_IN_NOISE][code] > usable_db) { /* fading asks for more */
        return false;
    }
    double asked_db = role == ROLE_CORE && channel == SERVICE_IN_RAYLEIGH
                          ? core_fading_db(space, code, level)
                          : ideal_db[channel][code];
    return asked_db <= usable_db && is_fast_enough(space, geometry, service, code, role, level);
}

int divide_best_code(struct divide_space *space, const struct divide_geometry *geometry,
                     int service, enum role role, int level)
{
    for (int c = 0; c < space->code_count; c++) {
        if (divide_works(space, geometry, service, c, role, level)) {
            return c;
        }
    }
    return -1;
}

long divide_cells(const struct divide_space *space, const struct divide_geometry *geometry,
                  int service, int code, double frame_ms)
{
    const struct space_code *own = &space->codes[code].own;
    double rate_mbps = space->scenario->services[service].rate_mbps;
    double cells = rate_mbps * 1e3 * frame_ms / (own->net_bits * geometry->own.packing);
    if (isnan(rate_mbps)) {
        return 0;
    }
    return own->whole_blocks
               ? (long)ceil(cells / (double)own->block_cells - 1e-9) * own->block_cells
               : (long)ceil(cells - 1e-9);
}

double divide_mbps(const struct divide_space *space, const struct divide_geometry *geometry,
                   long cells, int code)
{
    const struct space_code *own = &space->codes[code].own;
    cells = own->whole_blocks ? cells / own->block_cells * own->block_cells : cells;
    return (double)cells * own->net_bits * geometry->own.packing / geometry->duration_ms / 1e3;
}

/* ---- The whole. ---- */

struct divide_space *divide_space_new(const struct scenario *scenario,
                                      const struct divide_limits *limits, enum status *status,
                                      struct fault *fault)
{
    struct divide_space *space = calloc(1, sizeof *space);
    if (space == NULL) {
        *status = fault_of_status(fault, STATUS_NO_MEMORY);
        return NULL;
    }
    space->scenario = scenario;
    space->limits_of_space = limits;
    space->row = system_of(scenario, GENERATION_SECOND)->space;
    space->plain = *scenario;
    scenario_keep_mode(&space->plain);
    space->base = &space->plain.transmission;
    if (interleaver_kind(space->base->plps[0].interleaver) == INTERLEAVES_BLOCKS ||
        interleaver_is_extended(space->base->plps[0].interleaver)) {
        space->base->plps[0].interleaver = CTI_1024; /* whatever the codes */
    }
    space->count = scenario->service_count;
    space->center_hz = scenario->site.center_mhz * 1e6;
    fill_codes(space, limits);
    *status = fill_geometries(space);
    if (*status != STATUS_OK) {
        fault_set(fault, *status, "", NULL, "out of memory");
        divide_space_free(space);
        return NULL;
    }
    fill_usable(space);
    fill_ideals(space);
    *status = space->stopped ? fault_set(fault, STATUS_STOPPED, "", NULL, "stopped") : STATUS_OK;
    if (space->stopped) {
        divide_space_free(space);
        return NULL;
    }
    return space;
}

void divide_space_free(struct divide_space *space)
{
    if (space == NULL) {
        return;
    }
    for (int role = 0; role < ROLE_KINDS; role++) {
        for (int level = 0; level < INJECTION_LEVELS; level++) {
            for (int c = 0; c < SPACE_CODES_MAX; c++) {
                free(space->needs[role][level][c]);
            }
        }
    }
    free(space->geometries);
    free(space);
}
