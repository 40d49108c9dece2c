/* Margins of all modes in the profile's own channel. What a channel does to the carriers follows
 * from FFT, guard interval, pilots and carrier reduction; a code then reads the same carriers by
 * its own curve of information, and the boost moves but what the receiver needs. So one look at the
 * channel for each of 405 waveforms serves all codes, and gives each mode the very margin that its
 * own verdict has. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "physics/information/information.h"
#include "physics/ofdm/echo.h"
#include "study/verdict/positions.h"
#include "study/weigh/weigh.h"

/* Effective SNR at half, 90 %, 99 % and the asked share of the positions. */
struct effective {
    float half, most, nearly_all, asked;
};

struct ranked {
    float db;
    int position;
};

/* Which position stands in the middle, and the quick estimates at the places asked for. */
struct order {
    int position;
    struct effective quick;
};

#define LOOKS ((REDUCTION_MAX + 1) * WEIGH_WAVEFORMS)
#define CURVES (CONSTELLATION_COUNT * RATE_COUNT)

struct looking {
    struct weigh_space *space;
    struct ofdm_work *work;
    struct gain_spread *spread;
    struct gain_raster *rasters; /* by constellation and rate */
    struct effective *effective; /* by look and code */
    bool moves, positions;
    /* With positions. */
    struct channel *drawn;
    struct ranked *ranked; /* by code, best first */
    struct order orders[WEIGH_CODES];
    struct plain {
        int carriers; /* 0: not seen yet */
        struct order orders[WEIGH_CODES];
        struct effective effective[WEIGH_CODES];
    } plain[REDUCTION_MAX + 1]; /* the last one seen of each reduction */
};

static size_t look_of(const struct weigh_geometry *geometry)
{
    size_t which = (size_t)geometry->which, reduction = (size_t)geometry->waveform.reduction;
    return which * (REDUCTION_MAX + 1) + reduction;
}

/* The first geometry of each look, whatever its boost; -1 where there is none. */
static void find_geometries(const struct weigh_space *space, long first[LOOKS])
{
    for (int i = 0; i < LOOKS; i++) {
        first[i] = -1;
    }
    for (size_t g = space->geometry_count; g-- > 0;) {
        first[look_of(&space->geometries[g])] = (long)g;
    }
}

static struct gain_raster *raster_of(const struct looking *l, const struct weigh_code *code)
{
    return &l->rasters[(int)code->constellation * RATE_COUNT + code->rate_15ths - RATE_MIN_15THS];
}

static void fill_rasters(struct looking *l)
{
    for (size_t c = 0; c < WEIGH_CODES; c++) {
        const struct weigh_code *code = &l->space->codes[c];
        struct gain_raster *raster = raster_of(l, code);
        if (raster->curve.microbits == NULL) {
            struct information_curve curve =
                information_curve_of(code->constellation, code->rate_15ths);
            gain_raster_make(&curve, raster);
        }
    }
}

static double span_of(const struct looking *l, const struct weigh_geometry *geometry, size_t code)
{
    return interleaver_span_ms(l->space->codes[code].interleaver, geometry->cell_rate_hz);
}

static double effective_db(const struct looking *l, const struct weigh_code *code)
{
    return gain_spread_effective_db(l->spread, raster_of(l, code), code->facts.ideal_snr_db);
}

static enum status look(struct looking *l, const struct weigh_geometry *geometry, double span_ms,
                        const struct channel *channel, int carriers_most)
{
    const struct ofdm_reception reception = {
        .grid = geometry->grid, .span_ms = span_ms, .carriers_most = carriers_most};
    double snr_db = l->space->conditions.snr_db;
    return ofdm_echo_spread(&reception, channel, snr_db, l->work, l->spread);
}

/* ---- One position. ---- */

static enum status fill_single(struct looking *l, const struct weigh_geometry *geometry,
                               double span_ms, size_t from, size_t to, struct effective *effective)
{
    enum status status = look(l, geometry, span_ms, &l->space->conditions.channel, 0);
    for (size_t c = from; c < to && status == STATUS_OK; c++) {
        float db = (float)effective_db(l, &l->space->codes[c]);
        effective[c] = (struct effective){db, db, db, db};
    }
    return status;
}

/* ---- Many positions: as study/verdict/positions.c has them. What a code needs is taken off all
 * alike, so its effective SNRs are put in order instead of its margins. ---- */

static int best_first(const void *a, const void *b)
{
    const struct ranked *x = a, *y = b;
    if (x->db != y->db) {
        return x->db < y->db ? 1 : -1;
    }
    return (x->position > y->position) - (x->position < y->position);
}

static enum status look_at_all(struct looking *l, const struct weigh_geometry *geometry,
                               double span_ms, size_t from, size_t to)
{
    const struct conditions *conditions = &l->space->conditions;
    for (int p = 0; p < conditions->positions; p++) {
        channel_draw(&conditions->channel, (uint64_t)p, l->drawn);
        enum status status = look(l, geometry, span_ms, l->drawn, OFDM_QUICK_CARRIERS);
        if (status != STATUS_OK && status != STATUS_NO_SOLUTION) {
            return status;
        }
        for (size_t c = from; c < to; c++) {
            float db =
                status == STATUS_OK ? (float)effective_db(l, &l->space->codes[c]) : -INFINITY;
            l->ranked[c * (size_t)conditions->positions + (size_t)p] = (struct ranked){db, p};
        }
    }
    return STATUS_OK;
}

static enum status rank(struct looking *l, const struct weigh_geometry *geometry, double span_ms,
                        size_t from, size_t to, struct order *orders)
{
    const struct conditions *conditions = &l->space->conditions;
    size_t count = (size_t)conditions->positions;
    enum status status = look_at_all(l, geometry, span_ms, from, to);
    for (size_t c = from; c < to && status == STATUS_OK; c++) {
        struct ranked *ranked = &l->ranked[c * count];
        qsort(ranked, count, sizeof *ranked, best_first);
        int middle = positions_place((int)count, 50.0);
        orders[c] =
            (struct order){ranked[middle].position,
                           {ranked[middle].db, ranked[positions_place((int)count, 90.0)].db,
                            ranked[positions_place((int)count, 99.0)].db,
                            ranked[positions_place((int)count, conditions->position_percent)].db}};
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
static enum status fill_middles(struct looking *l, const struct weigh_geometry *geometry,
                                double span_ms, size_t from, size_t to, const struct order *orders,
                                struct effective *effective)
{
    bool filled[WEIGH_CODES] = {false};
    for (size_t c = from; c < to; c++) {
        if (filled[c]) {
            continue;
        }
        channel_draw(&l->space->conditions.channel, (uint64_t)orders[c].position, l->drawn);
        enum status status = look(l, geometry, span_ms, l->drawn, 0);
        if (status != STATUS_OK && status != STATUS_NO_SOLUTION) {
            return status;
        }
        for (size_t k = c; k < to; k++) {
            if (orders[k].position == orders[c].position) {
                bool known = status == STATUS_OK;
                move_to(&orders[k], known ? (float)effective_db(l, &l->space->codes[k]) : -INFINITY,
                        &effective[k]);
                filled[k] = true;
            }
        }
    }
    return STATUS_OK;
}

/* Where every ray is useful through any window, and nothing moves, waveforms see the same channel:
 * the order of positions hangs on the occupied band alone, and the rest on the carriers too. */
static enum status fill_positions(struct looking *l, const struct weigh_geometry *geometry,
                                  double span_ms, size_t from, size_t to,
                                  struct effective *effective)
{
    const struct ofdm_grid *grid = &geometry->grid;
    struct plain *plain = &l->plain[geometry->waveform.reduction];
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

/* Codes see the same carriers, but where rays move and an interleaver is longer than the others'.
 */
static enum status fill_look(struct looking *l, int which, const struct weigh_geometry *geometry)
{
    struct effective *effective = &l->effective[(size_t)which * WEIGH_CODES];
    enum status status = STATUS_OK;
    for (size_t from = 0, to; from < WEIGH_CODES && status == STATUS_OK; from = to) {
        double span_ms = span_of(l, geometry, from);
        for (to = from + 1; to < WEIGH_CODES; to++) {
            if (l->moves && span_of(l, geometry, to) != span_ms) {
                break;
            }
        }
        status = l->positions ? fill_positions(l, geometry, span_ms, from, to, effective)
                              : fill_single(l, geometry, span_ms, from, to, effective);
    }
    return status;
}

static enum status fill_looks(struct looking *l, const struct weigh_progress *progress)
{
    long first[LOOKS];
    find_geometries(l->space, first);
    fill_rasters(l);
    for (int which = 0; which < LOOKS; which++) {
        if (progress && progress->keep_on &&
            !progress->keep_on(progress->owner, which / (double)LOOKS)) {
            return STATUS_STOPPED;
        }
        enum status status =
            first[which] < 0 ? STATUS_OK : fill_look(l, which, &l->space->geometries[first[which]]);
        if (status != STATUS_OK) {
            return status;
        }
    }
    return STATUS_OK;
}

static void fill_margins(const struct looking *l, struct weigh_margins *margins)
{
    const struct weigh_space *space = l->space;
    for (size_t i = 0; i < space->count; i++) {
        const struct weighed *mode = &space->modes[i];
        const struct weigh_geometry *geometry = &space->geometries[mode->geometry];
        const struct weigh_code *code = &space->codes[mode->code];
        double inverse = code->ideal_inverse / geometry->snr_loss_ratio - code->backstop;
        float needed_db = inverse > 0.0 ? (float)-db_from_ratio(inverse) : INFINITY;
        const struct effective *effective =
            &l->effective[look_of(geometry) * WEIGH_CODES + mode->code];
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
    free(l->ranked);
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
    l->rasters = calloc(CURVES, sizeof *l->rasters);
    l->effective = calloc((size_t)LOOKS * WEIGH_CODES, sizeof *l->effective);
    l->drawn = malloc(sizeof *l->drawn);
    l->ranked = calloc(WEIGH_CODES * (size_t)conditions->positions, sizeof *l->ranked);
    if (!l->work || !l->spread || !l->rasters || !l->effective || !l->drawn || !l->ranked) {
        looking_free(l);
        l = NULL;
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
