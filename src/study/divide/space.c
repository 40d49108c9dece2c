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
#include "physics/information/information.h"
#include "physics/information/layers.h"
#include "physics/information/required_snr.h"
#include "standard/atsc3/grid.h"
#include "standard/atsc3/signalling.h"

static const enum constellation backstops[2] = {QAM256, QAM4096}; /* one of each kind */

/* ---- Codes. ---- */

static int compare_codes(const void *left, const void *right)
{
    const struct divide_code *a = left, *b = right;
    return a->bits > b->bits                 ? -1
           : a->bits < b->bits               ? 1
           : a->alone_db[0] < b->alone_db[0] ? -1
                                             : a->alone_db[0] > b->alone_db[0];
}

static void fill_code(const struct code *code, struct divide_code *filled)
{
    filled->code = *code;
    filled->bits =
        (double)(payload_bits(code) - PACKET_HEADER_BITS) / (double)code_block_cells(code);
    filled->backstop =
        receiver_backstop_db(code->constellation) != receiver_backstop_db(backstops[0]);
    filled->alone_db[SERVICE_IN_NOISE] =
        ideal_snr_db(code->length, code->constellation, code->rate_15ths, FADING_AWGN);
    filled->alone_db[SERVICE_IN_RAYLEIGH] =
        ideal_snr_db(code->length, code->constellation, code->rate_15ths, FADING_RAYLEIGH);
}

static void fill_codes(struct divide_space *space, const struct divide_limits *limits)
{
    for (int length = 0; length < LENGTH_COUNT; length++) {
        for (int set = 0; set < CONSTELLATION_COUNT; set++) {
            for (int rate = RATE_MIN_15THS; rate <= RATE_MAX_15THS; rate++) {
                struct code code = {(enum code_length)length, rate, (enum constellation)set,
                                    space->base.plps[0].code.outer};
                if (constellation_is_allowed(code.length, code.constellation) &&
                    (limits->takes_code == NULL || limits->takes_code(&code))) {
                    fill_code(&code, &space->codes[space->code_count++]);
                }
            }
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

bool divide_goes_on(struct divide_space *space, enum divide_stage stage, double share)
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

int divide_detail_bits(const struct divide_space *space, enum division_kind kind)
{
    struct transmission transmission;
    int said = space->base.signalling.l1_detail_bits;
    divide_template(space, kind, &transmission);
    for (int i = 0; i < transmission.plp_count; i++) {
        transmission.plps[i].code.constellation = QPSK; /* takes a bit more to tell */
    }
    return said > 0 ? said : signalling_detail_bits(&transmission);
}

void divide_template(const struct divide_space *space, enum division_kind kind,
                     struct transmission *transmission)
{
    *transmission = space->base;
    transmission->plp_count = kind == DIVISION_ONE ? 1 : space->count;
    for (int i = 0; i < transmission->plp_count; i++) {
        struct plp *plp = &transmission->plps[i];
        *plp = space->base.plps[0];
        text_format(plp->name, sizeof plp->name, "%s",
                    kind == DIVISION_ONE ? "all" : space->scenario->services[i].name);
    }
    if (kind == DIVISION_SUBFRAMES) {
        transmission->subframe_count = space->count;
        for (int i = 0; i < space->count; i++) {
            struct subframe *subframe = &transmission->subframes[i];
            *subframe = space->base.subframes[0];
            text_format(subframe->name, sizeof subframe->name, "%s",
                        space->scenario->services[i].name);
            text_format(transmission->plps[i].subframe, NAME_MAX_BYTES, "%s", subframe->name);
        }
    }
}

/* The frame of one subframe that the kind has, with signalling for it. */
static void fill_frame(const struct divide_space *space, enum division_kind kind,
                       struct divide_geometry *geometry)
{
    struct transmission transmission = space->base;
    struct frame frame;
    transmission.subframes[0].waveform = geometry->waveform;
    transmission.signalling.l1_detail_bits = divide_detail_bits(space, kind);
    if (frame_build(&transmission, &frame, NULL) != STATUS_OK) {
        if (kind == DIVISION_SUBFRAMES) {
            geometry->preamble_payload = -1;
        }
        return;
    }
    geometry->cells[kind] = frame.cells;
    geometry->duration_ms = frame.duration_ms;
    geometry->counts = frame.pools[0].counts;
    if (kind == DIVISION_SUBFRAMES) {
        struct waveform preamble = signalling_preamble(&transmission);
        struct ofdm_grid grid = waveform_grid(&preamble);
        geometry->preamble_payload = frame.preamble_payload;
        geometry->preamble_ms = frame.preamble_symbols * grid.symbol_us / 1e3;
    }
}

static void add_geometry(struct divide_space *space, const struct waveform *waveform, int which)
{
    struct divide_geometry *geometry = &space->geometries[space->geometry_count];
    *geometry = (struct divide_geometry){.waveform = *waveform, .which = which};
    for (int kind = 0; kind < DIVISION_KIND_COUNT; kind++) {
        fill_frame(space, (enum division_kind)kind, geometry);
    }
    if (geometry->cells[DIVISION_ONE] <= 0) {
        return;
    }
    geometry->grid = waveform_grid(waveform);
    geometry->symbol_ms = geometry->grid.symbol_us / 1e3;
    geometry->loss_db = receiver_loss_db(&geometry->grid);
    double *loss_db = space->loss_db[which];
    loss_db[0] = loss_db[1] == 0.0 ? geometry->loss_db : fmin(loss_db[0], geometry->loss_db);
    loss_db[1] = fmax(loss_db[1], geometry->loss_db);
    space->geometry_count++;
}

static bool takes_waveform(const struct divide_limits *limits, const struct waveform *waveform)
{
    bool found = limits->only == NULL;
    for (int i = 0; i < limits->only_count && !found; i++) {
        const struct waveform *one = &limits->only[i];
        found = one->fft == waveform->fft && one->guard == waveform->guard &&
                one->pilots == waveform->pilots && one->boost == waveform->boost &&
                one->reduction == waveform->reduction;
    }
    return found && (limits->takes_waveform == NULL || limits->takes_waveform(waveform));
}

/* Boosts and reductions of a waveform; what motion allows is worked out where one is taken. */
static void fill_waveform(struct divide_space *space, const struct divide_limits *limits,
                          struct waveform *waveform, int which)
{
    size_t before = space->geometry_count;
    for (int k = 0; k < (BOOST_MAX + 1) * (REDUCTION_MAX + 1); k++) {
        waveform->boost = k / (REDUCTION_MAX + 1);
        waveform->reduction = k % (REDUCTION_MAX + 1);
        if (takes_waveform(limits, waveform)) {
            add_geometry(space, waveform, which);
        }
    }
    if (space->geometry_count > before) {
        struct waveform plain = *waveform;
        plain.boost = plain.reduction = 0;
        struct ofdm_grid grid = waveform_grid(&plain);
        doppler_limits_make(&grid, &space->limits[which]);
    }
}

static void fill_geometries(struct divide_space *space, const struct divide_limits *limits)
{
    int which = 0, all = FFT_COUNT * GUARD_COUNT * PILOTS_COUNT;
    struct waveform waveform = space->base.subframes[0].waveform;
    for (int i = 0; i < all && divide_goes_on(space, STAGE_GEOMETRIES, (double)i / all); i++) {
        waveform.fft = (enum fft_size)(i / (GUARD_COUNT * PILOTS_COUNT));
        waveform.guard = (enum guard)(i / PILOTS_COUNT % GUARD_COUNT);
        waveform.pilots = (enum pilots)(i % PILOTS_COUNT);
        if (!pilots_are_allowed(waveform.fft, waveform.guard, waveform.pilots)) {
            continue;
        }
        fill_waveform(space, limits, &waveform, which);
        which++;
    }
}

/* ---- Services. ---- */

static void fill_usable(struct divide_space *space)
{
    for (int s = 0; s < space->count; s++) {
        for (int b = 0; b < 2; b++) {
            double noise = ratio_from_db(-space->scenario->services[s].snr_db) +
                           ratio_from_db(receiver_backstop_db(backstops[b]));
            space->usable_db[s][b] = -db_from_ratio(noise);
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
        struct information_curve alone =
            information_curve_of(code->code.constellation, code->code.rate_15ths);
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
    return receiver_snr_from_ideal_db(&geometry->grid,
                                      receiver_backstop_db(space->codes[code].code.constellation),
                                      space->ideal_db[role][level][channel][code]);
}

bool divide_bears(const struct divide_space *space, const struct divide_geometry *geometry,
                  int service)
{
    double echo_us = space->scenario->services[service].echo_us;
    return geometry->grid.guard_us >= echo_us &&
           geometry->grid.useful_us / geometry->grid.dx >= echo_us;
}

/* ---- Motion. ---- */

static void make_needs(const struct divide_space *space, int code, enum role role, int level,
                       struct gain_rayleigh_needs *needs)
{
    const struct code *of = &space->codes[code].code;
    struct information_curve curve = information_curve_of(of->constellation, of->rate_15ths);
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
    double backstop_db = receiver_backstop_db(space->codes[code].code.constellation);
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
    int which = geometry->which;
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
               ? is_fast_with(space, which, geometry->loss_db, service, code, role, level)
               : *pace == PACE_ENOUGH;
}

bool divide_works(struct divide_space *space, const struct divide_geometry *geometry, int service,
                  int code, enum role role, int level)
{
    enum service_channel channel = space->scenario->services[service].channel;
    double(*ideal_db)[DIVIDE_CODES] = space->ideal_db[role][level];
    double usable_db = space->usable_db[service][space->codes[code].backstop] - geometry->loss_db;
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

long divide_cells(const struct divide_space *space, int service, int code, double frame_ms)
{
    double rate_mbps = space->scenario->services[service].rate_mbps;
    return isnan(rate_mbps)
               ? 0
               : (long)ceil(rate_mbps * 1e3 * frame_ms / space->codes[code].bits - 1e-9);
}

/* ---- The whole. ---- */

struct divide_space *divide_space_new(const struct scenario *scenario,
                                      const struct divide_limits *limits, enum status *status,
                                      struct fault *fault)
{
    struct divide_space *space = calloc(1, sizeof *space);
    struct scenario *plain = malloc(sizeof *plain);
    struct divide_geometry *geometries = malloc(DIVIDE_GEOMETRIES * sizeof *geometries);
    if (space == NULL || plain == NULL || geometries == NULL) {
        free(space);
        free(plain);
        free(geometries);
        *status = fault_set(fault, STATUS_NO_MEMORY, "", NULL, "out of memory");
        return NULL;
    }
    *plain = *scenario;
    scenario_keep_mode(plain);
    space->scenario = scenario;
    space->limits_of_space = limits;
    space->base = plain->transmission;
    if (interleaver_kind(space->base.plps[0].interleaver) == INTERLEAVES_BLOCKS ||
        interleaver_is_extended(space->base.plps[0].interleaver)) {
        space->base.plps[0].interleaver = CTI_1024; /* whatever the codes */
    }
    free(plain);
    space->geometries = geometries;
    space->count = scenario->service_count;
    space->center_hz = scenario->site.center_mhz * 1e6;
    fill_codes(space, limits);
    fill_geometries(space, limits);
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
            for (int c = 0; c < DIVIDE_CODES; c++) {
                free(space->needs[role][level][c]);
            }
        }
    }
    free(space->geometries);
    free(space);
}
