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
#include "physics/ofdm/doppler.h"
#include "study/weigh/frontier.h"

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

static void fill_limits(struct weigh_space *space)
{
    for (size_t g = 0; g < space->geometry_count; g++) {
        const struct space_geometry *geometry = &space->geometries[g];
        if (g == 0 || geometry->which != geometry[-1].which) {
            doppler_limits_make(&geometry->grid, &space->limits[geometry->which]);
        }
    }
}

static void fill_codes(struct weigh_space *space)
{
    struct space_code made[SPACE_CODES_MAX];
    struct gain_raster raster = {0};
    struct gain_spread rayleigh;
    gain_spread_rayleigh(&rayleigh);
    space->code_count = space->choices->codes(&space->scenario, made);
    for (int c = 0; c < space->code_count; c++) {
        struct weigh_code *code = &space->codes[c];
        double ideal_db = made[c].facts.ideal_snr_db;
        code->own = made[c];
        code->ideal_inverse = ratio_from_db(-ideal_db);
        code->backstop = ratio_from_db(made[c].backstop_db);
        if (!gain_raster_is_of(&raster, &made[c].curve)) {
            gain_raster_make(&made[c].curve, &raster);
        }
        gain_rayleigh_needs_make(&rayleigh, &raster, ideal_db, &code->rayleigh_needs);
    }
}

/* One over the SNR that a receiver needs; 0 or less where its own noise forbids the mode. */
static double needed_inverse(const struct space_geometry *geometry, const struct weigh_code *code)
{
    return code->ideal_inverse / geometry->loss_ratio - code->backstop;
}

static double receiver_db(double inverse)
{
    return inverse > 0.0 ? -db_from_ratio(inverse) : INFINITY;
}

static void fill_modes(struct weigh_space *space)
{
    for (size_t g = 0; g < space->geometry_count; g++) {
        const struct space_geometry *geometry = &space->geometries[g];
        const struct doppler_limits *limits = &space->limits[geometry->which];
        for (int c = 0; c < space->code_count; c++) {
            const struct weigh_code *code = &space->codes[c];
            double needed_db = receiver_db(needed_inverse(geometry, code));
            double share = space_used_share(geometry, &code->own);
            struct weighed *mode = &space->modes[space->count];
            mode->geometry = (uint16_t)g;
            mode->code = (uint8_t)c;
            mode->frontier = false;
            mode->net_mbps =
                geometry->cell_rate_hz * share * code->own.net_bits * geometry->packing / 1e6;
            mode->snr_db = space->snr_kind == SNR_IDEAL      ? code->own.facts.ideal_snr_db
                           : space->snr_kind == SNR_RAYLEIGH ? code->own.facts.ideal_rayleigh_snr_db
                                                             : needed_db;
            struct doppler_need need = gain_rayleigh_need(&code->rayleigh_needs, needed_db);
            mode->speed_kmh = kmh_from_doppler(doppler_limit_hz(limits, &need), space->center_hz);
            space->count += share > 0.0;
        }
    }
}

/* Those that may be on the frontier. */
struct rivals {
    struct frontier_point *points;
    uint32_t *modes;
    uint32_t *before; /* of one waveform and code: the one found before it, or NO_RIVAL */
    bool *on_frontier;
    size_t count;
};
#define NO_RIVAL UINT32_MAX

/* Modes of one waveform and code differ in little, and most are beaten by the first of them: those
 * need not go through the sweep. */
static void find_rivals(const struct weigh_space *space, struct rivals *rivals)
{
    uint32_t last[SPACE_CODES_MAX];
    int which = -1;
    for (size_t i = 0; i < space->count; i++) {
        const struct weighed *mode = &space->modes[i];
        const struct frontier_point point = {mode->net_mbps, mode->snr_db, weigh_echo_us(space, i),
                                             mode->speed_kmh};
        if (space->geometries[mode->geometry].which != which) {
            which = space->geometries[mode->geometry].which;
            memset(last, 0xff, sizeof last);
        }
        uint32_t other = last[mode->code];
        while (other != NO_RIVAL && !frontier_beats(&rivals->points[other], &point)) {
            other = rivals->before[other];
        }
        if (other == NO_RIVAL) {
            uint32_t own = (uint32_t)rivals->count++;
            rivals->points[own] = point;
            rivals->modes[own] = (uint32_t)i;
            rivals->before[own] = last[mode->code];
            last[mode->code] = own;
        }
    }
}

static enum status mark_frontier(struct weigh_space *space)
{
    struct rivals rivals = {.points = malloc(space->count * sizeof *rivals.points),
                            .modes = malloc(space->count * sizeof *rivals.modes),
                            .before = malloc(space->count * sizeof *rivals.before),
                            .on_frontier = calloc(space->count, sizeof *rivals.on_frontier)};
    enum status status = STATUS_NO_MEMORY;
    if (rivals.points && rivals.modes && rivals.before && rivals.on_frontier) {
        find_rivals(space, &rivals);
        status = frontier_mark(rivals.points, rivals.count, rivals.on_frontier);
    }
    for (size_t i = 0; i < rivals.count && status == STATUS_OK; i++) {
        space->modes[rivals.modes[i]].frontier = rivals.on_frontier[i];
    }
    free(rivals.points);
    free(rivals.modes);
    free(rivals.before);
    free(rivals.on_frontier);
    return status;
}

static void read_wanted(struct weigh_space *space)
{
    for (int i = 0; i < space->choices->choice_count; i++) {
        space->wanted[i] = (int)field_number(space->fields[i], &space->scenario);
    }
}

enum status weigh_space_make(const struct scenario *scenario, enum snr_kind snr_kind,
                             struct weigh_space *space, struct fault *fault)
{
    *space = (struct weigh_space){.scenario = *scenario, .snr_kind = snr_kind};
    space->choices = system_of(scenario, GENERATION_SECOND)->space;
    for (int i = 0; i < space->choices->choice_count; i++) {
        space->fields[i] = field_named(space->choices->choices[i].key);
    }
    scenario_keep_mode(&space->scenario);
    read_wanted(space);
    space->center_hz = scenario->site.center_mhz * 1e6;
    space->field_offset_dbuvm =
        planning_field_dbuvm(pair_plan(scenario->site.pair), 0.0, scenario->site.center_mhz,
                             scenario->site.bandwidth_mhz);
    enum status status = conditions_make(scenario, GENERATION_SECOND, &space->conditions, fault);
    if (status != STATUS_OK) {
        return status;
    }
    size_t most = space->choices->geometries_most;
    space->geometries = malloc(most * sizeof space->geometries[0]);
    space->modes = malloc((most * SPACE_CODES_MAX + 1) * sizeof space->modes[0]);
    if (!space->geometries || !space->modes) {
        weigh_space_free(space);
        return fault_of_status(fault, STATUS_NO_MEMORY);
    }
    space->geometry_count = space->choices->geometries(&space->scenario, space->geometries);
    fill_limits(space);
    fill_codes(space);
    fill_modes(space);
    if (space->count == 0) {
        const char *key = space->choices->frame_key;
        weigh_space_free(space);
        return fault_set(fault, STATUS_ILLEGAL, key, "a longer frame",
                         "no mode has room for data in it");
    }
    status = mark_frontier(space);
    if (status != STATUS_OK) {
        weigh_space_free(space);
        return fault_of_status(fault, status);
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
    for (int i = 0; i < space->choices->choice_count; i++) {
        field_put(space->fields[i], &other, field_number(space->fields[i], &space->scenario));
    }
    /* Both are copies of one, padding too; where that differs the space is made anew, no more.
     * NOLINTBEGIN(bugprone-suspicious-memory-comparison) */
    const struct scenario *a = &space->scenario, *b = &other;
    return a->site.pair == b->site.pair && a->site.center_mhz == b->site.center_mhz &&
           a->site.bandwidth_mhz == b->site.bandwidth_mhz &&
           memcmp(&a->transmission, &b->transmission, sizeof a->transmission) == 0 &&
           memcmp(&a->dvbt2, &b->dvbt2, sizeof a->dvbt2) == 0;
    /* NOLINTEND(bugprone-suspicious-memory-comparison) */
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
    read_wanted(space);
    if (status == STATUS_OK) {
        space->conditions = now;
    }
}

double weigh_margin_db(const struct weigh_space *space, size_t i)
{
    return space->echo_margins ? (double)space->echo_margins[i].half_db : NAN;
}

int weigh_number(const struct weigh_space *space, size_t i, int choice)
{
    const struct weighed *mode = &space->modes[i];
    return space->choices->choices[choice].of_code
               ? space->codes[mode->code].own.numbers[choice]
               : space->geometries[mode->geometry].numbers[choice];
}

void weigh_put(const struct weigh_space *space, size_t i, struct scenario *scenario)
{
    const struct system_space *row = space->choices;
    const struct space_geometry *geometry = &space->geometries[space->modes[i].geometry];
    const struct space_code *code = &space->codes[space->modes[i].code].own;
    scenario_take_signal(scenario, &space->scenario);
    space_put(row, geometry->numbers, code->numbers, scenario);
    row->settle(geometry, code, scenario);
}

void weigh_name(const struct weigh_space *space, size_t i, enum weigh_part part, bool whole,
                char *buffer, size_t size)
{
    const struct weighed *mode = &space->modes[i];
    const uint8_t *geometry = space->geometries[mode->geometry].numbers;
    const uint8_t *code = space->codes[mode->code].own.numbers;
    space_name(space->choices, part & PART_OF_GEOMETRY ? geometry : NULL,
               part & PART_OF_CODE ? code : NULL, whole, buffer, size);
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
    facts->rotation = code->rotation;
    facts->limit_snr_db = code->limit_snr_db;
    facts->ideal_snr_db = facts->ideal_exact_snr_db = code->ideal_snr_db;
    facts->ideal_source = code->ideal_source;
    facts->ideal_rayleigh_snr_db = code->ideal_rayleigh_snr_db;
}

void weigh_report(const struct weigh_space *space, size_t i, struct verdict *verdict)
{
    struct facts *facts = &verdict->facts;
    const struct weighed *weighed = &space->modes[i];
    const struct space_geometry *geometry = &space->geometries[weighed->geometry];
    const struct weigh_code *code = &space->codes[weighed->code];
    double inverse = needed_inverse(geometry, code);
    struct doppler_need need = gain_rayleigh_need(&code->rayleigh_needs, receiver_db(inverse));
    *facts = geometry->facts;
    add_code(&code->own.facts, facts);
    facts->plp_share = space_used_share(geometry, &code->own);
    facts->plp_cells = (double)geometry->cells * facts->plp_share;
    facts->plp_mbps = geometry->cell_rate_hz * facts->plp_share * code->own.plp_bits / 1e6;
    facts->net_mbps = weighed->net_mbps;
    facts->interleaver_ms = space->choices->span_ms(&space->scenario, geometry, &code->own);
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
    verdict->fare.facts = fare_facts_none(); /* margins are weighed without them */
    verdict->margin_90_db = (double)margins->most_db;
    verdict->margin_99_db = (double)margins->nearly_all_db;
    bool single = verdict->known && !channel_has_positions(&space->conditions.channel);
    verdict->positions_share = single ? verdict->works : NAN;
}

/* Numbers of the choices of a part; -1: there is none with them. */
static bool has_numbers(const struct weigh_space *space, const uint8_t *numbers, bool of_code,
                        const int *wanted)
{
    for (int c = 0; c < space->choices->choice_count; c++) {
        if (space->choices->choices[c].of_code == of_code && numbers[c] != wanted[c]) {
            return false;
        }
    }
    return true;
}

long weigh_find(const struct weigh_space *space, const struct scenario *scenario)
{
    int wanted[SPACE_CHOICES_MAX], c = 0;
    size_t g = 0;
    for (int i = 0; i < space->choices->choice_count; i++) {
        wanted[i] = (int)field_number(space->fields[i], scenario);
    }
    while (g < space->geometry_count &&
           !has_numbers(space, space->geometries[g].numbers, false, wanted)) {
        g++;
    }
    while (c < space->code_count &&
           !has_numbers(space, space->codes[c].own.numbers, true, wanted)) {
        c++;
    }
    /* Without modes that have no room it stands at the place that it would have among all. */
    size_t i = g * (size_t)space->code_count + (size_t)c + 1;
    i = i < space->count ? i : space->count;
    while (i > 0 && (space->modes[i - 1].geometry > g ||
                     (space->modes[i - 1].geometry == g && space->modes[i - 1].code > c))) {
        i--;
    }
    bool found = i > 0 && space->modes[i - 1].geometry == g && space->modes[i - 1].code == c;
    return found ? (long)i - 1 : -1;
}
