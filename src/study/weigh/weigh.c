/* The space of all legal modes from its factors. A mode's figures are products or sums of what its
 * geometry and its code give:
 *     net rate     = cell rate (geometry) x payload bits a cell (code)
 *     1/SNR needed = 10^(-ideal/10) (code) / loss (geometry) - 10^(BN/10) (code)
 *     Doppler      = limits (waveform) at the Rayleigh need (code) of the SNR needed
 * after physics/information/receiver_snr.c, physics/ofdm/doppler.c and gain_spread.c, which tests
 * hold against this. */
#include "study/weigh/weigh.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/units.h"
#include "physics/air/noise.h"
#include "physics/information/information.h"
#include "physics/information/required_snr.h"
#include "physics/ofdm/doppler.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/grid.h"
#include "standard/atsc3/signalling.h"
#include "study/weigh/frontier.h"
#include "system/atsc3.h"
#include "system/atsc3_plps.h"

static const char *const snr_kind_names[SNR_KIND_COUNT] = {
    [SNR_RECEIVER] = "receiver", [SNR_IDEAL] = "ideal", [SNR_RAYLEIGH] = "rayleigh"};

const char *snr_kind_name(enum snr_kind kind)
{
    return (unsigned)kind < SNR_KIND_COUNT ? snr_kind_names[kind] : "?";
}

int snr_kind_from_name(const char *name)
{
    for (int i = 0; i < SNR_KIND_COUNT; i++) {
        if (strcasecmp(name, snr_kind_names[i]) == 0) {
            return i;
        }
    }
    return -1;
}

static bool fill_geometry(const struct transmission *mode, int which,
                          struct weigh_geometry *geometry)
{
    struct frame frame;
    if (transmission_check(mode, NULL) != STATUS_OK ||
        frame_build(mode, &frame, NULL) != STATUS_OK) {
        return false;
    }
    geometry->waveform = mode->subframes[0].waveform;
    atsc3_describe_plp(mode, &frame, 0, &geometry->facts);
    geometry->cells = frame.cells;
    geometry->cell_rate_hz = frame.cell_rate_hz;
    geometry->grid = frame_grid(mode, &frame, 0);
    geometry->snr_loss_db = receiver_loss_db(&geometry->grid);
    geometry->snr_loss_ratio = ratio_from_db(geometry->snr_loss_db);
    geometry->which = which;
    return true;
}

static void fill_limits(struct weigh_space *space)
{
    for (size_t g = 0; g < space->geometry_count; g++) {
        const struct weigh_geometry *geometry = &space->geometries[g];
        if (g == 0 || geometry->which != geometry[-1].which) {
            doppler_limits_make(&geometry->grid, &space->limits[geometry->which]);
        }
    }
}

static void fill_geometries(struct weigh_space *space)
{
    struct transmission mode = space->scenario.transmission;
    int waveform = 0;
    mode.plps[0].code.length = LENGTH_64800;
    mode.plps[0].code.constellation = QPSK;    /* goes with every interleaver */
    if (mode.signalling.l1_detail_bits == 0) { /* the code does not change it */
        mode.signalling.l1_detail_bits = signalling_detail_bits(&mode);
    }
    mode.plps[0].interleaver = INTERLEAVER_NONE; /* all cells: see used_share */
    for (int fft = 0; fft < FFT_COUNT; fft++) {
        for (int guard = 0; guard < GUARD_COUNT; guard++) {
            for (int pilots = 0; pilots < PILOTS_COUNT; pilots++) {
                if (!pilots_are_allowed((enum fft_size)fft, (enum guard)guard,
                                        (enum pilots)pilots)) {
                    continue;
                }
                mode.subframes[0].waveform.fft = (enum fft_size)fft;
                mode.subframes[0].waveform.guard = (enum guard)guard;
                mode.subframes[0].waveform.pilots = (enum pilots)pilots;
                for (int i = 0; i < (BOOST_MAX + 1) * (REDUCTION_MAX + 1); i++) {
                    mode.subframes[0].waveform.boost = i / (REDUCTION_MAX + 1);
                    mode.subframes[0].waveform.reduction = i % (REDUCTION_MAX + 1);
                    space->geometry_count +=
                        fill_geometry(&mode, waveform, &space->geometries[space->geometry_count]);
                }
                waveform++;
            }
        }
    }
}

static void fill_code(const struct weigh_space *space, struct weigh_code *code)
{
    enum interleaver wanted = space->scenario.transmission.plps[0].interleaver;
    double bits = constellation_bits(code->constellation);
    double payload = payload_bits(
        &(const struct code){.length = code->length,
                             .rate_15ths = code->rate_15ths,
                             .outer = space->scenario.transmission.plps[0].code.outer});
    code->interleaver = interleaver_is_allowed(code->constellation, wanted) ? wanted : CTI_1024;
    code->facts = facts_none();
    atsc3_describe_code(&(const struct code){.length = code->length,
                                             .rate_15ths = code->rate_15ths,
                                             .constellation = code->constellation},
                        &code->facts);
    code->ideal_inverse = ratio_from_db(-code->facts.ideal_snr_db);
    code->backstop = ratio_from_db(receiver_backstop_db(code->constellation));
    code->block_cells = code_length_bits(code->length) / constellation_bits(code->constellation);
    code->plp_bits = bits / code_length_bits(code->length) * payload;
    code->net_bits = bits / code_length_bits(code->length) * (payload - PACKET_HEADER_BITS);
}

static void fill_codes(struct weigh_space *space)
{
    struct gain_raster raster;
    struct gain_spread rayleigh;
    size_t count = 0;
    gain_spread_rayleigh(&rayleigh);
    for (int length = 0; length < LENGTH_COUNT; length++) {
        for (int constellation = 0; constellation < CONSTELLATION_COUNT; constellation++) {
            for (int rate = RATE_MIN_15THS; rate <= RATE_MAX_15THS; rate++) {
                if (!constellation_is_allowed((enum code_length)length,
                                              (enum constellation)constellation)) {
                    continue;
                }
                struct weigh_code *code = &space->codes[count++];
                code->length = (enum code_length)length;
                code->constellation = (enum constellation)constellation;
                code->rate_15ths = rate;
                fill_code(space, code);
                struct information_curve curve =
                    information_curve_of(code->constellation, code->rate_15ths);
                gain_raster_make(&curve, &raster);
                gain_rayleigh_needs_make(&rayleigh, &raster, code->facts.ideal_snr_db,
                                         &code->rayleigh_needs);
            }
        }
    }
}

/* One over the SNR that a receiver needs; 0 or less where its own noise forbids the mode. */
static double needed_inverse(const struct weigh_geometry *geometry, const struct weigh_code *code)
{
    return code->ideal_inverse / geometry->snr_loss_ratio - code->backstop;
}

static double receiver_db(double inverse)
{
    return inverse > 0.0 ? -db_from_ratio(inverse) : INFINITY;
}

/* Of the frame's cells: a hybrid interleaver takes whole code blocks only. */
static double used_share(const struct weigh_geometry *geometry, const struct weigh_code *code)
{
    if (interleaver_kind(code->interleaver) != INTERLEAVES_BLOCKS) {
        return 1.0;
    }
    long blocks = geometry->cells / code->block_cells;
    return (double)(blocks * code->block_cells) / (double)geometry->cells;
}

static void fill_modes(struct weigh_space *space)
{
    for (size_t g = 0; g < space->geometry_count; g++) {
        const struct weigh_geometry *geometry = &space->geometries[g];
        const struct doppler_limits *limits = &space->limits[geometry->which];
        for (size_t c = 0; c < WEIGH_CODES; c++) {
            const struct weigh_code *code = &space->codes[c];
            double needed_db = receiver_db(needed_inverse(geometry, code));
            struct weighed *mode = &space->modes[space->count++];
            mode->geometry = (uint16_t)g;
            mode->code = (uint8_t)c;
            mode->net_mbps =
                geometry->cell_rate_hz * used_share(geometry, code) * code->net_bits / 1e6;
            mode->snr_db = space->snr_kind == SNR_IDEAL      ? code->facts.ideal_snr_db
                           : space->snr_kind == SNR_RAYLEIGH ? code->facts.ideal_rayleigh_snr_db
                                                             : needed_db;
            struct doppler_need need = gain_rayleigh_need(&code->rayleigh_needs, needed_db);
            mode->speed_kmh = kmh_from_doppler(doppler_limit_hz(limits, &need), space->center_hz);
        }
    }
}

static enum status mark_frontier(struct weigh_space *space)
{
    struct frontier_point *points = malloc(space->count * sizeof *points);
    bool *on_frontier = calloc(space->count, sizeof *on_frontier);
    enum status status = points && on_frontier ? STATUS_OK : STATUS_NO_MEMORY;
    for (size_t i = 0; i < space->count && status == STATUS_OK; i++) {
        const struct weighed *mode = &space->modes[i];
        points[i] = (struct frontier_point){mode->net_mbps, mode->snr_db, weigh_echo_us(space, i),
                                            mode->speed_kmh};
    }
    if (status == STATUS_OK) {
        status = frontier_mark(points, space->count, on_frontier);
    }
    for (size_t i = 0; i < space->count && status == STATUS_OK; i++) {
        space->modes[i].frontier = on_frontier[i];
    }
    free(points);
    free(on_frontier);
    return status;
}

enum status weigh_space_make(const struct scenario *scenario, enum snr_kind snr_kind,
                             struct weigh_space *space, struct fault *fault)
{
    *space = (struct weigh_space){.scenario = *scenario, .snr_kind = snr_kind};
    if (!system_of(scenario, GENERATION_SECOND)->has_space) {
        return fault_set(fault, STATUS_ILLEGAL, "site.pair", "ATSC", "modes of %s are not weighed",
                         system_of(scenario, GENERATION_SECOND)->name);
    }
    scenario_keep_mode(&space->scenario);
    space->center_hz = scenario->site.center_mhz * 1e6;
    space->field_offset_dbuvm = planning_field_dbuvm(0.0, scenario->site.center_mhz);
    enum status status = conditions_make(scenario, GENERATION_SECOND, &space->conditions, fault);
    if (status != STATUS_OK) {
        return status;
    }
    space->geometries = malloc(WEIGH_GEOMETRIES * sizeof space->geometries[0]);
    space->modes = malloc(sizeof space->modes[0] * WEIGH_GEOMETRIES * WEIGH_CODES);
    if (!space->geometries || !space->modes) {
        weigh_space_free(space);
        return fault_set(fault, STATUS_NO_MEMORY, "", NULL, "out of memory");
    }
    fill_geometries(space);
    fill_limits(space);
    fill_codes(space);
    fill_modes(space);
    if (space->count == 0) {
        weigh_space_free(space);
        return fault_set(fault, STATUS_ILLEGAL, "mode.frame_ms", "a longer frame",
                         "no mode has room for data in it");
    }
    status = mark_frontier(space);
    if (status != STATUS_OK) {
        weigh_space_free(space);
        return fault_set(fault, status, "", NULL, "%s", status_message(status));
    }
    return STATUS_OK;
}

void weigh_space_free(struct weigh_space *space)
{
    free(space->geometries);
    free(space->modes);
    free(space->echo_margins);
    *space = (struct weigh_space){0};
}

bool weigh_space_serves(const struct weigh_space *space, const struct scenario *scenario)
{
    if (!space->modes) {
        return false;
    }
    struct scenario other = *scenario;
    scenario_keep_mode(&other);
    const struct transmission *a = &space->scenario.transmission;
    struct transmission *b = &other.transmission;
    int bandwidth_mhz = b->subframes[0].waveform.bandwidth_mhz;
    enum outer_code outer = b->plps[0].code.outer;
    b->subframes[0].waveform = a->subframes[0].waveform;
    b->subframes[0].waveform.bandwidth_mhz = bandwidth_mhz;
    b->plps[0].code = a->plps[0].code;
    b->plps[0].code.outer = outer;
    /* Both are copies of one, padding too; where that differs the space is made anew, no more.
     * NOLINTNEXTLINE(bugprone-suspicious-memory-comparison) */
    return memcmp(a, b, sizeof *a) == 0 &&
           space->scenario.site.center_mhz == scenario->site.center_mhz;
}

static bool same(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

/* What margins follow from besides the mode. */
static bool is_same_place(const struct conditions *a, const struct conditions *b)
{
    const struct channel *p = &a->channel, *q = &b->channel;
    bool alike = same(a->snr_db, b->snr_db) && p->count == q->count &&
                 p->spread_hz == q->spread_hz && a->positions == b->positions &&
                 a->position_percent == b->position_percent;
    for (int i = 0; alike && i < p->count; i++) {
        const struct ray *x = &p->rays[i], *y = &q->rays[i];
        alike = x->delay_us == y->delay_us && x->gain == y->gain && x->phase == y->phase &&
                x->doppler_hz == y->doppler_hz && x->any_phase == y->any_phase &&
                x->draw == y->draw;
    }
    return alike;
}

void weigh_space_adopt(struct weigh_space *space, const struct scenario *scenario)
{
    struct conditions now;
    enum status status = conditions_make(scenario, GENERATION_SECOND, &now, NULL);
    if (status != STATUS_OK || !is_same_place(&space->conditions, &now)) {
        free(space->echo_margins);
        space->echo_margins = NULL;
    }
    space->scenario = *scenario;
    scenario_keep_mode(&space->scenario);
    if (status == STATUS_OK) {
        space->conditions = now;
    }
}

double weigh_margin_db(const struct weigh_space *space, size_t i)
{
    return space->echo_margins ? (double)space->echo_margins[i].half_db : NAN;
}

struct transmission weigh_mode(const struct weigh_space *space, size_t i)
{
    const struct weighed *weighed = &space->modes[i];
    const struct weigh_code *code = &space->codes[weighed->code];
    struct transmission mode = space->scenario.transmission;
    mode.subframes[0].waveform = space->geometries[weighed->geometry].waveform;
    mode.plps[0].code.length = code->length;
    mode.plps[0].code.rate_15ths = code->rate_15ths;
    mode.plps[0].code.constellation = code->constellation;
    mode.plps[0].interleaver = code->interleaver;
    if (interleaver_kind(code->interleaver) == INTERLEAVES_BLOCKS) {
        mode.plps[0].interleaver =
            hybrid_fitting(code->interleaver, code->constellation,
                           space->geometries[weighed->geometry].cells, code->block_cells);
    }
    return mode;
}

double weigh_echo_us(const struct weigh_space *space, size_t i)
{
    return space->geometries[space->modes[i].geometry].facts.echo_after_us;
}

/* What the code decides, over what the geometry does. */
static void add_code(const struct facts *code, struct facts *facts)
{
    facts->length = code->length;
    facts->rate = code->rate;
    facts->constellation = code->constellation;
    facts->limit_snr_db = code->limit_snr_db;
    facts->ideal_snr_db = facts->ideal_exact_snr_db = code->ideal_snr_db;
    facts->ideal_source = code->ideal_source;
    facts->ideal_rayleigh_snr_db = code->ideal_rayleigh_snr_db;
}

/* That its time interleaver spreads a code block over. */
static double span_ms(const struct weigh_space *space, size_t i)
{
    const struct weigh_geometry *geometry = &space->geometries[space->modes[i].geometry];
    const struct weigh_code *code = &space->codes[space->modes[i].code];
    if (interleaver_kind(code->interleaver) != INTERLEAVES_BLOCKS) {
        return interleaver_span_ms(code->interleaver, geometry->cell_rate_hz);
    }
    struct frame frame;
    struct transmission mode = weigh_mode(space, i);
    return frame_build(&mode, &frame, NULL) == STATUS_OK
               ? plp_interleaving(&mode, &frame, 0).span_ms
               : NAN;
}

void weigh_report(const struct weigh_space *space, size_t i, struct verdict *verdict)
{
    struct facts *facts = &verdict->facts;
    const struct weighed *weighed = &space->modes[i];
    const struct weigh_geometry *geometry = &space->geometries[weighed->geometry];
    const struct weigh_code *code = &space->codes[weighed->code];
    double inverse = needed_inverse(geometry, code);
    struct doppler_need need = gain_rayleigh_need(&code->rayleigh_needs, receiver_db(inverse));
    *facts = geometry->facts;
    add_code(&code->facts, facts);
    facts->plp_share = used_share(geometry, code);
    facts->plp_cells = (double)geometry->cells * facts->plp_share;
    facts->plp_mbps = geometry->cell_rate_hz * facts->plp_share * code->plp_bits / 1e6;
    facts->net_mbps = weighed->net_mbps;
    facts->interleaver_ms = span_ms(space, i);
    facts->required_snr_db = receiver_db(inverse);
    facts->doppler_ici_hz = doppler_interference_limit_hz(geometry->grid.useful_us, &need);
    facts->doppler_hz = doppler_limit_hz(&space->limits[geometry->which], &need);
    facts->speed_kmh = weighed->speed_kmh;
    facts->field_dbuvm = facts->required_snr_db + space->field_offset_dbuvm;
    verdict->reception.system = system_of(&space->scenario, GENERATION_SECOND);
    verdict->conditions.snr_db = space->conditions.snr_db;
    verdict->conditions.source = space->conditions.source;
    verdict->margin_noise_db =
        space->conditions.snr_db + space->conditions.interference_db - facts->required_snr_db;
    verdict->margin_db = weigh_margin_db(space, i);
    verdict->known = !isnan(verdict->margin_db);
    const struct weigh_margins none = {NAN, NAN, NAN, NAN};
    const struct weigh_margins *margins = verdict->known ? &space->echo_margins[i] : &none;
    verdict->works = margins->asked_db >= 0.0f;
    verdict->margin_90_db = (double)margins->most_db;
    verdict->margin_99_db = (double)margins->nearly_all_db;
    bool single = verdict->known && !channel_has_positions(&space->conditions.channel);
    verdict->positions_share = single ? verdict->works : NAN;
}

static bool is_same_waveform(const struct waveform *a, const struct waveform *b)
{
    return a->fft == b->fft && a->guard == b->guard && a->pilots == b->pilots &&
           a->boost == b->boost && a->reduction == b->reduction;
}

long weigh_find(const struct weigh_space *space, const struct transmission *mode)
{
    for (size_t g = 0; g < space->geometry_count; g++) {
        if (!is_same_waveform(&space->geometries[g].waveform, &mode->subframes[0].waveform)) {
            continue;
        }
        for (size_t c = 0; c < WEIGH_CODES; c++) {
            const struct weigh_code *code = &space->codes[c];
            if (code->length == mode->plps[0].code.length &&
                code->rate_15ths == mode->plps[0].code.rate_15ths &&
                code->constellation == mode->plps[0].code.constellation) {
                return (long)(g * WEIGH_CODES + c);
            }
        }
    }
    return -1;
}
