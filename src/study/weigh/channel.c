/* Margins of all modes in the profile's own channel. What a channel does to the carriers follows
 * from FFT, guard interval, pilots and the band; a code then reads the same carriers by its own
 * curve of information, and other choices (the pilots' boost) move but what the receiver needs. So
 * one look at the channel for each such waveform (405 of A/322, 119 of DVB-T2) serves all codes,
 * and gives each mode the very margin that its own verdict has. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "physics/ofdm/echo.h"
#include "physics/ofdm/gain_nodes.h"
#include "study/verdict/positions.h"
#include "study/weigh/weigh.h"

/* Effective SNR at half, 90 %, 99 % and the asked share of the positions. */
struct effective {
    float half, most, nearly_all, asked;
};

/* Which position stands in the middle, and the quick estimates at the places asked for. */
struct order {
    int position;
    struct effective quick;
};

/* A position through a few carriers. */
struct seen {
    bool solved; /* else the rays cancel each other */
    struct gain_spread spread;
};

/* Bands that a space may tell apart: system/space/space.h. */
#define BANDS_MAX 16

struct looking {
    struct weigh_space *space;
    struct ofdm_work *work;
    struct gain_spread *spread; /* of the last look */
    int raster_count;
    struct gain_raster *rasters;    /* of each curve */
    int raster_at[SPACE_CODES_MAX]; /* of each code */
    struct effective *effective;    /* by look and code */
    bool moves, positions;
    /* With positions. */
    struct channel *drawn;       /* by position */
    struct seen *seen;           /* by position */
    struct gain_nodes *nodes;    /* of all positions */
    struct gain_ladder *ladders; /* of each curve */
    double *effective_db;        /* of rotated sets, by code and position */
    struct gain_stand *ranked;   /* the last such code's positions, best first */
    struct gain_stand *near;     /* positions near the middle */
    struct gain_rung rungs[SPACE_CODES_MAX];
    struct order orders[SPACE_CODES_MAX];
    struct plain {
        int carriers; /* 0: not seen yet */
        struct order orders[SPACE_CODES_MAX];
        struct effective effective[SPACE_CODES_MAX];
    } plain[BANDS_MAX];    /* the last one seen of each band */
    struct traits *traits; /* by look; at rest only */
};

/* ofdm_echo_traits of a look. */
#define TRAITS_MOST 120
struct traits {
    size_t count; /* 0: not seen, or too many */
    double all[TRAITS_MOST];
};

/* Each curve once. */
static int raster_of(const struct looking *l, const struct weigh_code *code)
{
    int i = 0;
    while (i < l->raster_count && !gain_raster_is_of(&l->rasters[i], &code->own.curve)) {
        i++;
    }
    return i;
}

static void fill_rasters(struct looking *l)
{
    for (int c = 0; c < l->space->code_count; c++) {
        const struct weigh_code *code = &l->space->codes[c];
        l->raster_at[c] = raster_of(l, code);
        if (l->raster_at[c] == l->raster_count) {
            gain_ladder_make(&code->own.curve, &l->ladders[l->raster_count]);
            gain_raster_make(&code->own.curve, &l->rasters[l->raster_count++]);
        }
        l->rungs[c] = gain_rung_make(&code->own.curve, code->own.facts.ideal_snr_db);
    }
}

static double span_of(const struct looking *l, const struct space_geometry *geometry, size_t code)
{
    const struct weigh_space *space = l->space;
    return space->choices->span_ms(&space->scenario, geometry, &space->codes[code].own);
}

static double effective_db(const struct looking *l, const struct gain_spread *spread, size_t code)
{
    return gain_spread_effective_db(spread, &l->rasters[l->raster_at[code]],
                                    l->space->codes[code].own.facts.ideal_snr_db);
}

static enum status look(struct looking *l, const struct space_geometry *geometry, double span_ms,
                        const struct channel *channel, int carriers_most,
                        struct gain_spread *spread)
{
    const struct ofdm_reception reception = {
        .grid = geometry->grid, .span_ms = span_ms, .carriers_most = carriers_most};
    double snr_db = l->space->conditions.snr_db;
    return ofdm_echo_spread(&reception, channel, snr_db, l->work, spread);
}

/* ---- One position. ---- */

static enum status fill_single(struct looking *l, const struct space_geometry *geometry,
                               double span_ms, size_t from, size_t to, struct effective *effective)
{
    enum status status = look(l, geometry, span_ms, &l->space->conditions.channel, 0, l->spread);
    for (size_t c = from; c < to && status == STATUS_OK; c++) {
        float db = (float)effective_db(l, l->spread, c);
        effective[c] = (struct effective){db, db, db, db};
    }
    return status;
}

/* ---- Many positions: as study/verdict/positions.c has them. What a code needs is taken off all
 * alike, so its effective SNRs are put in order instead of its margins: by estimates, which the
 * exact ones settle where several are so near to the middle that it could be any of them. ---- */

static enum status look_at_all(struct looking *l, const struct space_geometry *geometry,
                               double span_ms)
{
    const struct conditions *conditions = &l->space->conditions;
    gain_nodes_clear(l->nodes);
    for (int p = 0; p < conditions->positions; p++) {
        struct seen *seen = &l->seen[p];
        enum status status =
            look(l, geometry, span_ms, &l->drawn[p], OFDM_QUICK_CARRIERS, &seen->spread);
        if (status != STATUS_OK && status != STATUS_NO_SOLUTION) {
            return status;
        }
        seen->solved = status == STATUS_OK;
        if (seen->solved) {
            gain_nodes_put(l->nodes, p, &seen->spread);
        }
    }
    return STATUS_OK;
}

/* ---- Rotated sets: no estimates, all exactly. ---- */

/* What several codes of one curve make of all positions. */
static void ask_exactly(const struct looking *l, const size_t *codes, int count)
{
    const struct gain_raster *raster = &l->rasters[l->raster_at[codes[0]]];
    double ideal_db[SPACE_CODES_MAX], db[SPACE_CODES_MAX];
    size_t positions = (size_t)l->space->conditions.positions;
    for (int i = 0; i < count; i++) {
        ideal_db[i] = l->space->codes[codes[i]].own.facts.ideal_snr_db;
    }
    for (size_t p = 0; p < positions; p++) {
        if (l->seen[p].solved) {
            gain_spread_effective_many(&l->seen[p].spread, raster, count, ideal_db, db);
        }
        for (int i = 0; i < count; i++) {
            l->effective_db[codes[i] * positions + p] = l->seen[p].solved ? db[i] : -INFINITY;
        }
    }
}

static bool is_rotated(const struct looking *l, size_t code)
{
    return l->rasters[l->raster_at[code]].curve.apart != NULL;
}

static void ask_rotated(const struct looking *l, int raster, size_t from, size_t to)
{
    size_t codes[SPACE_CODES_MAX];
    int count = 0;
    for (size_t c = from; c < to; c++) {
        if (l->raster_at[c] == raster && is_rotated(l, c)) {
            codes[count++] = c;
        }
    }
    if (count > 0) {
        ask_exactly(l, codes, count);
    }
}

static struct order order_exactly(struct looking *l, size_t code)
{
    const struct conditions *conditions = &l->space->conditions;
    int count = conditions->positions, middle = positions_place(count, 50.0);
    for (int i = 0; i < count; i++) {
        struct gain_stand *stand = &l->ranked[i];
        stand->rank = l->effective_db[code * (size_t)count + (size_t)stand->position];
    }
    gain_stands_order(l->ranked, count);
    return (struct order){
        l->ranked[middle].position,
        {(float)l->ranked[middle].rank, (float)l->ranked[positions_place(count, 90.0)].rank,
         (float)l->ranked[positions_place(count, 99.0)].rank,
         (float)l->ranked[positions_place(count, conditions->position_percent)].rank}};
}

/* ---- All others. ---- */

/* The position in the middle. Of those that estimates cannot tell from it the exact ones say which
 * it is. */
static int find_middle(const struct looking *l, size_t code, const struct gain_stand *middle)
{
    const struct gain_raster *raster = &l->rasters[l->raster_at[code]];
    const struct gain_rung *rung = &l->rungs[code];
    int place = 0, count = gain_nodes_near(l->nodes, rung, middle, l->near);
    while (l->near[place].position != middle->position) {
        place++;
    }
    double bits = count > 1 ? information_curve_bits(&raster->curve, rung->literal_db) : NAN;
    for (int i = 0; i < count && count > 1; i++) {
        struct gain_stand *stand = &l->near[i];
        stand->rank = gain_spread_rank(&l->seen[stand->position].spread, raster, bits, stand->rank);
    }
    gain_stands_order(l->near, count);
    return l->near[place].position;
}

static float estimate_db(const struct looking *l, size_t code, double rank)
{
    const struct gain_raster *raster = &l->rasters[l->raster_at[code]];
    return (float)(isfinite(rank) ? gain_rank_effective_db(&l->rungs[code], raster, rank) : rank);
}

static struct order estimate_order(struct looking *l, size_t code)
{
    const struct conditions *conditions = &l->space->conditions;
    const double percents[] = {50.0, 90.0, 99.0, conditions->position_percent};
    float db[4];
    int position = 0;
    for (int i = 0; i < 4; i++) {
        if (i == 3 && percents[i] == percents[0]) {
            db[i] = db[0];
            break;
        }
        struct gain_stand stand =
            gain_nodes_stand(l->nodes, &l->ladders[l->raster_at[code]], &l->rungs[code],
                             positions_place(conditions->positions, percents[i]));
        db[i] = estimate_db(l, code, stand.rank);
        position = i == 0 ? find_middle(l, code, &stand) : position;
    }
    return (struct order){position, {db[0], db[1], db[2], db[3]}};
}

static enum status rank(struct looking *l, const struct space_geometry *geometry, double span_ms,
                        size_t from, size_t to, struct order *orders)
{
    enum status status = look_at_all(l, geometry, span_ms);
    for (int r = 0; r < l->raster_count && status == STATUS_OK; r++) {
        ask_rotated(l, r, from, to);
        for (size_t c = from; c < to; c++) { /* all codes of a curve, one after the other */
            if (l->raster_at[c] == r) {
                orders[c] = is_rotated(l, c) ? order_exactly(l, c) : estimate_order(l, c);
            }
        }
    }
    return status;
}

static void move_to(const struct order *order, float half_db, struct effective *effective)
{
    float more_db = isfinite(order->quick.half) ? half_db - order->quick.half : 0.0f;
    *effective =
        (struct effective){half_db, order->quick.most + more_db, order->quick.nearly_all + more_db,
                           order->quick.asked + more_db};
}

/* The middle of each code in full; codes with the same middle share the look. */
static enum status fill_middles(struct looking *l, const struct space_geometry *geometry,
                                double span_ms, size_t from, size_t to, const struct order *orders,
                                struct effective *effective)
{
    bool filled[SPACE_CODES_MAX] = {false};
    for (size_t c = from; c < to; c++) {
        if (filled[c]) {
            continue;
        }
        const struct channel *drawn = &l->drawn[orders[c].position];
        enum status status = look(l, geometry, span_ms, drawn, 0, l->spread);
        if (status != STATUS_OK && status != STATUS_NO_SOLUTION) {
            return status;
        }
        for (size_t k = c; k < to; k++) {
            if (orders[k].position == orders[c].position) {
                bool known = status == STATUS_OK;
                move_to(&orders[k], known ? (float)effective_db(l, l->spread, k) : -INFINITY,
                        &effective[k]);
                filled[k] = true;
            }
        }
    }
    return STATUS_OK;
}

/* Where every ray is useful through any window, and nothing moves, waveforms see the same channel:
 * the order of positions hangs on the occupied band alone, and the rest on the carriers too. */
static enum status fill_positions(struct looking *l, const struct space_geometry *geometry,
                                  double span_ms, size_t from, size_t to,
                                  struct effective *effective)
{
    const struct ofdm_grid *grid = &geometry->grid;
    struct plain *plain = &l->plain[geometry->band];
    if (!ofdm_window_is_plain(grid, &l->space->conditions.channel)) {
        enum status status = rank(l, geometry, span_ms, from, to, l->orders);
        return status == STATUS_OK
                   ? fill_middles(l, geometry, span_ms, from, to, l->orders, effective)
                   : status;
    }
    enum status status = STATUS_OK;
    if (plain->carriers == 0) {
        status = rank(l, geometry, span_ms, from, to, plain->orders);
    }
    if (status == STATUS_OK && plain->carriers != grid->carriers) {
        plain->carriers = grid->carriers;
        status = fill_middles(l, geometry, span_ms, from, to, plain->orders, plain->effective);
    }
    memcpy(effective, plain->effective, sizeof plain->effective);
    return status;
}

/* The look before it at rest that has the same answers; -1: there is none. */
static int look_alike(struct looking *l, const struct space_geometry *geometry)
{
    struct traits *own = &l->traits[geometry->look];
    own->count = ofdm_echo_traits(&geometry->grid, &l->space->conditions.channel, l->work, own->all,
                                  TRAITS_MOST);
    for (int i = 0; i < l->space->choices->looks && own->count > 0; i++) {
        const struct traits *other = &l->traits[i];
        bool same = i != geometry->look && other->count == own->count;
        for (size_t k = 0; k < own->count && same; k++) {
            same = own->all[k] == other->all[k];
        }
        if (same) {
            return i;
        }
    }
    return -1;
}

/* Codes see the same carriers, but where rays move and an interleaver is longer than the others'.
 */
static enum status fill_look(struct looking *l, const struct space_geometry *geometry)
{
    struct effective *effective = &l->effective[(size_t)geometry->look * SPACE_CODES_MAX];
    enum status status = STATUS_OK;
    int alike = l->moves ? -1 : look_alike(l, geometry);
    if (alike >= 0) {
        memcpy(effective, &l->effective[(size_t)alike * SPACE_CODES_MAX],
               SPACE_CODES_MAX * sizeof *effective);
        return STATUS_OK;
    }
    size_t count = (size_t)l->space->code_count;
    for (size_t from = 0, to; from < count && status == STATUS_OK; from = to) {
        double span_ms = span_of(l, geometry, from);
        for (to = from + 1; to < count; to++) {
            if (l->moves && span_of(l, geometry, to) != span_ms) {
                break;
            }
        }
        status = l->positions ? fill_positions(l, geometry, span_ms, from, to, effective)
                              : fill_single(l, geometry, span_ms, from, to, effective);
    }
    return status;
}

/* Geometries of one look stand side by side, but for those that differ in what does not count. */
static enum status fill_looks(struct looking *l, const struct weigh_progress *progress)
{
    const struct weigh_space *space = l->space;
    bool *seen = calloc((size_t)space->choices->looks, sizeof *seen);
    enum status status = seen != NULL ? STATUS_OK : STATUS_NO_MEMORY;
    fill_rasters(l);
    for (size_t g = 0; g < space->geometry_count && status == STATUS_OK; g++) {
        const struct space_geometry *geometry = &space->geometries[g];
        if (seen[geometry->look]) {
            continue;
        }
        seen[geometry->look] = true;
        if (progress && progress->keep_on &&
            !progress->keep_on(progress->owner, (double)g / (double)space->geometry_count)) {
            status = STATUS_STOPPED;
        } else {
            status = fill_look(l, geometry);
        }
    }
    free(seen);
    return status;
}

static void fill_margins(const struct looking *l, struct weigh_margins *margins)
{
    const struct weigh_space *space = l->space;
    for (size_t i = 0; i < space->count; i++) {
        const struct weighed *mode = &space->modes[i];
        const struct space_geometry *geometry = &space->geometries[mode->geometry];
        const struct weigh_code *code = &space->codes[mode->code];
        double inverse = code->ideal_inverse / geometry->loss_ratio - code->backstop;
        float needed_db = inverse > 0.0 ? (float)-db_from_ratio(inverse) : INFINITY;
        const struct effective *effective =
            &l->effective[(size_t)geometry->look * SPACE_CODES_MAX + mode->code];
        margins[i] =
            (struct weigh_margins){effective->half - needed_db, effective->most - needed_db,
                                   effective->nearly_all - needed_db, effective->asked - needed_db};
    }
}

static void looking_free(struct looking *l)
{
    ofdm_work_free(l->work);
    free(l->spread);
    free(l->rasters);
    free(l->effective);
    free(l->drawn);
    free(l->traits);
    free(l->seen);
    gain_nodes_free(l->nodes);
    free(l->ladders);
    free(l->effective_db);
    free(l->ranked);
    free(l->near);
    free(l);
}

static struct looking *looking_new(struct weigh_space *space)
{
    const struct conditions *conditions = &space->conditions;
    struct looking *l = calloc(1, sizeof *l);
    if (l == NULL) {
        return NULL;
    }
    l->space = space;
    l->moves = channel_moves(&conditions->channel);
    l->positions = channel_has_positions(&conditions->channel) && conditions->positions > 1;
    l->work = ofdm_work_new();
    l->spread = malloc(sizeof *l->spread);
    l->rasters = malloc(SPACE_CODES_MAX * sizeof *l->rasters);
    l->effective = calloc((size_t)space->choices->looks * SPACE_CODES_MAX, sizeof *l->effective);
    l->traits = calloc((size_t)space->choices->looks, sizeof *l->traits);
    size_t positions = l->positions ? (size_t)conditions->positions : 1;
    l->drawn = malloc(positions * sizeof *l->drawn);
    l->nodes = gain_nodes_new((int)positions);
    l->seen = malloc(positions * sizeof *l->seen);
    l->ladders = malloc(SPACE_CODES_MAX * sizeof *l->ladders);
    l->effective_db = malloc(SPACE_CODES_MAX * positions * sizeof *l->effective_db);
    l->ranked = malloc(positions * sizeof *l->ranked);
    l->near = malloc(positions * sizeof *l->near);
    if (!l->work || !l->spread || !l->rasters || !l->effective || !l->drawn || !l->traits ||
        !l->seen || !l->nodes || !l->ladders || !l->effective_db || !l->ranked || !l->near) {
        looking_free(l);
        return NULL;
    }
    for (size_t p = 0; p < positions; p++) {
        channel_draw(&conditions->channel, (uint64_t)p, &l->drawn[p]);
        l->ranked[p] = (struct gain_stand){0.0, (int)p};
    }
    return l;
}

enum status weigh_echo_margins(struct weigh_space *space, const struct weigh_progress *progress,
                               struct fault *fault)
{
    if (isnan(space->conditions.snr_db)) {
        return fault_set(fault, STATUS_ILLEGAL, "receiver.snr_db",
                         "an SNR, a level (receiver.level_dbm) or a station",
                         "no margin can be told without an SNR");
    }
    struct looking *l = looking_new(space);
    struct weigh_margins *margins = malloc(space->count * sizeof *margins);
    enum status status = l && margins ? fill_looks(l, progress) : STATUS_NO_MEMORY;
    if (status == STATUS_OK) {
        fill_margins(l, margins);
        free(space->echo_margins);
        space->echo_margins = margins;
        margins = NULL;
    } else {
        fault_set(fault, status, "echo", NULL, "%s", status_message(status));
    }
    free(margins);
    if (l) {
        looking_free(l);
    }
    return status;
}
