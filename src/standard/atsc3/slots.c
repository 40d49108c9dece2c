/* Where PLPs lie in their subframe's list of data cells.
 *
 * Sizes: in cells as said, or a share of the list rounded down; those that say neither part what
 * the others leave, equally. With a hybrid interleaver a PLP has whole code blocks. An enhanced PLP
 * uses cells of its core: all of them, or an equal part where several lie over one core.
 * Places: at the start that is said, else after the PLP before it in the same subframe. A dispersed
 * PLP has subslices of ceil(size/n) cells, `interval` apart from start to start (ATSC A/322:2024-04
 * section 7.2.6.3); an interval that is not said spreads them evenly over what PLPs in one piece
 * leave behind them, and PLPs dispersed alike then stand one behind the other in every interval.
 * Rates: code blocks a frame times their payload over the frame's whole duration.
 * Worked number: start 100, 10 cells, 3 subslices 50 apart: 100-103, 150-153, 200-201. */
#include "standard/atsc3/slots.h"

#include <math.h>

struct laying {
    const struct transmission *transmission;
    struct frame *frame;
    struct fault *fault;
    bool *placed;
};

static enum interleaver interleaver_of(const struct laying *l, int i)
{
    return l->transmission->plps[l->frame->slots[i].core].interleaver;
}

static enum status refuse(const struct laying *l, int i, const char *key, const char *allowed,
                          const char *wrong)
{
    char place[PLACE_BYTES];
    plp_place(l->transmission, i, key, place);
    return fault_set(l->fault, STATUS_ILLEGAL, place, allowed, "%s", wrong);
}

/* ---- Sizes. ---- */

static bool shares_list(const struct laying *l, int i, int with)
{
    const struct slot *a = &l->frame->slots[i], *b = &l->frame->slots[with];
    bool core = a->core == i;
    return core == (b->core == with) && (core ? a->subframe == b->subframe : a->core == b->core);
}

/* How many cells the PLPs that share a list with PLP i may part. */
static long list_cells(const struct laying *l, int i)
{
    const struct slot *slot = &l->frame->slots[i];
    return slot->core == i ? l->frame->pools[slot->subframe].cells
                           : l->frame->slots[slot->core].cells;
}

static bool is_said(const struct plp *plp)
{
    return plp->cells > 0 || !isnan(plp->share_percent);
}

static long whole_blocks(const struct laying *l, int i, long cells)
{
    long block = code_block_cells(&l->transmission->plps[i].code);
    return interleaver_kind(interleaver_of(l, i)) == INTERLEAVES_BLOCKS ? cells / block * block
                                                                        : cells;
}

static enum status check_size(const struct laying *l, int i)
{
    const struct plp *plp = &l->transmission->plps[i];
    long cells = l->frame->slots[i].cells, block = code_block_cells(&plp->code);
    char allowed[96], wrong[96];
    if (cells < 1) {
        text_format(allowed, sizeof allowed,
                    "room for a code block of %ld cells, or less for others", block);
        return refuse(l, i, plp->cells > 0 ? "cells" : "share_percent", allowed,
                      "nothing is left for it");
    }
    if (plp->cells > 0 && cells != plp->cells) {
        text_format(allowed, sizeof allowed, "a multiple of %ld with %s", block,
                    interleaver_name(interleaver_of(l, i)));
        text_format(wrong, sizeof wrong, "%d cells are not whole code blocks", plp->cells);
        return refuse(l, i, "cells", allowed, wrong);
    }
    return STATUS_OK;
}

/* Sizes of core PLPs, or then of those above them. */
static enum status find_sizes(const struct laying *l, enum layer layer)
{
    int count = transmission_plps(l->transmission);
    enum status status = STATUS_OK;
    for (int i = 0; i < count && status == STATUS_OK; i++) {
        const struct plp *plp = &l->transmission->plps[i];
        long cells = plp->cells, left = 0;
        int sharing = 0;
        if (plp->layer != layer) {
            continue;
        }
        if (cells == 0 && is_said(plp)) {
            cells = (long)floor(plp->share_percent / 100.0 *
                                    (double)l->frame->pools[l->frame->slots[i].subframe].cells +
                                1e-9);
        } else if (cells == 0) {
            left = list_cells(l, i);
            for (int k = 0; k < count; k++) {
                const struct plp *other = &l->transmission->plps[k];
                if (!shares_list(l, i, k)) {
                    continue;
                }
                bool done = is_said(other) || k < i;
                double share =
                    other->cells > 0 ? other->cells
                    : is_said(other)
                        ? floor(other->share_percent / 100.0 *
                                    (double)l->frame->pools[l->frame->slots[k].subframe].cells +
                                1e-9)
                        : (double)l->frame->slots[k].cells;
                left -= done ? (long)share : 0;
                sharing += !done;
            }
            cells = left > 0 && sharing > 0 ? left / sharing : 0;
        }
        if (plp->cells == 0 && plp->layer == LAYER_CORE) { /* so that subslices are alike */
            cells -= cells % (plp->subslices > 1 ? plp->subslices : 1);
        }
        l->frame->slots[i].cells = whole_blocks(l, i, cells);
        status = check_size(l, i);
    }
    return status;
}

/* ---- Places. ---- */

static long end_of(const struct slot *slot)
{
    long before = (long)(slot->subslices - 1) * slot->subslice_cells;
    return slot->start + (slot->subslices - 1) * slot->interval + slot->cells - before;
}

/* Behind the PLPs placed before it; behind their first subslice where both are dispersed alike. */
static long start_after(const struct laying *l, int i)
{
    const struct slot *slot = &l->frame->slots[i];
    long start = slot->core == i ? 0 : l->frame->slots[slot->core].start;
    for (int k = 0; k < transmission_plps(l->transmission); k++) {
        const struct slot *other = &l->frame->slots[k];
        if (l->placed[k] && shares_list(l, i, k)) {
            bool alike = other->subslices > 1 && other->subslices == slot->subslices &&
                         other->interval == slot->interval;
            long end = alike ? other->start + other->subslice_cells : end_of(other);
            start = end > start ? end : start;
        }
    }
    return start;
}

/* Behind all PLPs in one piece: what is left for those that are dealt out. */
static long end_of_pieces(const struct laying *l, int i)
{
    long end = 0;
    for (int k = 0; k < transmission_plps(l->transmission); k++) {
        const struct slot *other = &l->frame->slots[k];
        if (l->placed[k] && shares_list(l, i, k) && other->subslices == 1) {
            end = end_of(other) > end ? end_of(other) : end;
        }
    }
    return end;
}

/* Subslices of which the last is the shorter one, and none is empty. */
static void cut(const struct laying *l, int i)
{
    const struct plp *plp = &l->transmission->plps[i];
    struct slot *slot = &l->frame->slots[i];
    slot->subslices = plp->subslices < 1 ? 1 : plp->subslices;
    slot->subslice_cells = (slot->cells + slot->subslices - 1) / slot->subslices;
    slot->subslices = (int)((slot->cells + slot->subslice_cells - 1) / slot->subslice_cells);
    slot->interval =
        plp->subslice_interval > 0
            ? plp->subslice_interval
            : (l->frame->pools[slot->subframe].cells - end_of_pieces(l, i)) / slot->subslices;
}

static enum status check_place(const struct laying *l, int i)
{
    const struct slot *slot = &l->frame->slots[i];
    const struct plp *plp = &l->transmission->plps[i];
    long cells = l->frame->pools[slot->subframe].cells;
    char allowed[96], wrong[96];
    if (slot->subslices > 1 && slot->interval < slot->subslice_cells) {
        text_format(allowed, sizeof allowed, "at least %ld", slot->subslice_cells);
        return refuse(l, i, "subslice_interval", allowed, "subslices overlap");
    }
    if (end_of(slot) > cells) {
        const char *key = plp->start > 0        ? "start"
                          : slot->subslices > 1 ? "subslice_interval"
                          : plp->cells > 0      ? "cells"
                                                : "share_percent";
        text_format(allowed, sizeof allowed, "the subframe has %ld cells", cells);
        text_format(wrong, sizeof wrong, "its last cell would be number %ld", end_of(slot) - 1);
        return refuse(l, i, key, allowed, wrong);
    }
    if (slot->core != i) {
        const struct slot *core = &l->frame->slots[slot->core];
        if (core->subslices == 1 && (slot->start < core->start || end_of(slot) > end_of(core))) {
            text_format(allowed, sizeof allowed, "within its core's cells %ld to %ld", core->start,
                        end_of(core) - 1);
            return refuse(l, i, plp->start >= 0 ? "start" : "cells", allowed,
                          "it does not lie over its core");
        }
    }
    return STATUS_OK;
}

/* The subslice of `slot` that `k` counts, from its first cell to behind its last. */
static void piece(const struct slot *slot, int k, long *from, long *to)
{
    long left = slot->cells - (long)k * slot->subslice_cells;
    *from = slot->start + k * slot->interval;
    *to = *from + (left < slot->subslice_cells ? left : slot->subslice_cells);
}

static bool overlap(const struct slot *a, const struct slot *b)
{
    for (int i = 0, k = 0; i < a->subslices && k < b->subslices;) {
        long a_from, a_to, b_from, b_to;
        piece(a, i, &a_from, &a_to);
        piece(b, k, &b_from, &b_to);
        if (a_from < b_to && b_from < a_to) {
            return true;
        }
        if (a_to <= b_to) {
            i++;
        } else {
            k++;
        }
    }
    return false;
}

static enum status check_overlaps(const struct laying *l, int i)
{
    for (int k = 0; k < transmission_plps(l->transmission); k++) {
        const struct slot *slot = &l->frame->slots[i], *other = &l->frame->slots[k];
        if (l->placed[k] && shares_list(l, i, k) && overlap(slot, other)) {
            const struct plp *plp = &l->transmission->plps[i];
            char allowed[96];
            text_format(allowed, sizeof allowed, "cells that %s leaves",
                        l->transmission->plps[k].name);
            return refuse(l, i,
                          plp->start >= 0  ? "start"
                          : plp->cells > 0 ? "cells"
                                           : "share_percent",
                          allowed, "it overlaps another PLP");
        }
    }
    return STATUS_OK;
}

static bool is_dealt_out(const struct plp *plp)
{
    return plp->layer == LAYER_CORE && plp->subslices > 1;
}

/* First those in one piece, then those dealt out over what is left. */
static enum status find_places(const struct laying *l, enum layer layer, bool dealt_out)
{
    enum status status = STATUS_OK;
    for (int i = 0; i < transmission_plps(l->transmission) && status == STATUS_OK; i++) {
        const struct plp *plp = &l->transmission->plps[i];
        struct slot *slot = &l->frame->slots[i];
        if (plp->layer != layer || is_dealt_out(plp) != dealt_out) {
            continue;
        }
        if (slot->core != i) { /* it goes where its core goes, and starts where that starts */
            const struct slot *core = &l->frame->slots[slot->core];
            slot->subslices = 1;
            slot->subslice_cells = slot->cells;
            slot->interval = core->interval;
            if (core->subslices > 1 && slot->cells == core->cells) {
                slot->subslices = core->subslices;
                slot->subslice_cells = core->subslice_cells;
            }
        } else {
            cut(l, i);
        }
        slot->start = plp->start >= 0 ? plp->start : start_after(l, i);
        status = check_place(l, i);
        if (status == STATUS_OK) {
            status = check_overlaps(l, i);
        }
        l->placed[i] = true;
    }
    return status;
}

/* ---- Memory. ---- */

static enum status check_memory(const struct laying *l, int i)
{
    enum interleaver interleaver = interleaver_of(l, i);
    struct interleaving interleaving = plp_interleaving(l->transmission, l->frame, i);
    char allowed[96], wrong[96];
    if (l->frame->slots[i].core != i || interleaver_kind(interleaver) != INTERLEAVES_BLOCKS ||
        interleaving.memory_cells <= interleaving.memory_most) {
        return STATUS_OK;
    }
    text_format(allowed, sizeof allowed, "at most %ld cells: %s", interleaving.memory_most,
                interleaver_is_inter(interleaver) ? "fewer subframes, or fewer cells"
                                                  : "more blocks a subframe, or fewer cells");
    text_format(wrong, sizeof wrong, "%s needs a memory of %ld cells",
                interleaver_name(interleaver), interleaving.memory_cells);
    return refuse(l, i, "interleaver", allowed, wrong);
}

/* ---- All of it. ---- */

static void fill_rest(const struct laying *l)
{
    int count = transmission_plps(l->transmission);
    for (int i = 0; i < transmission_subframes(l->transmission); i++) {
        l->frame->pools[i].dummies = l->frame->pools[i].cells;
    }
    for (int i = 0; i < count; i++) {
        struct slot *slot = &l->frame->slots[i];
        struct pool *pool = &l->frame->pools[slot->subframe];
        pool->dummies -= slot->core == i ? slot->cells : 0;
        slot->blocks =
            (double)slot->cells / (double)code_block_cells(&l->transmission->plps[i].code);
        slot->cell_rate_hz = (double)slot->cells / l->frame->duration_ms * 1e3;
        slot->on_air_ms =
            pool->duration_ms * (double)(end_of(slot) - slot->start) / (double)pool->cells;
    }
}

static enum status check_plps_of_subframes(const struct laying *l)
{
    for (int i = 0; i < l->transmission->subframe_count; i++) {
        bool has = false;
        for (int k = 0; k < transmission_plps(l->transmission) && !has; k++) {
            has = l->frame->slots[k].subframe == i;
        }
        if (!has) {
            char place[PLACE_BYTES], allowed[PLACE_BYTES + 32];
            text_format(place, sizeof place, "subframe %s", l->transmission->subframes[i].name);
            text_format(allowed, sizeof allowed, "a [plp NAME] with subframe = %s",
                        l->transmission->subframes[i].name);
            return fault_set(l->fault, STATUS_ILLEGAL, place, allowed, "carries no PLP");
        }
    }
    return STATUS_OK;
}

enum status slots_build(const struct transmission *transmission, struct frame *frame,
                        struct fault *fault)
{
    bool placed[PLPS_MAX] = {false};
    const struct laying l = {transmission, frame, fault, placed};
    int count = transmission_plps(transmission);
    for (int i = 0; i < count; i++) {
        frame->slots[i].subframe = plp_subframe(transmission, i);
        frame->slots[i].core = plp_core(transmission, i);
    }
    enum status status = check_plps_of_subframes(&l);
    for (int layer = 0; layer < LAYER_COUNT && status == STATUS_OK; layer++) {
        status = find_sizes(&l, (enum layer)layer);
        for (int dealt_out = 0; dealt_out < 2 && status == STATUS_OK; dealt_out++) {
            status = find_places(&l, (enum layer)layer, dealt_out);
        }
    }
    if (status == STATUS_OK) {
        fill_rest(&l);
    }
    for (int i = 0; i < count && status == STATUS_OK; i++) {
        status = check_memory(&l, i);
    }
    return status;
}

struct carried plp_carried(const struct transmission *transmission, const struct frame *frame,
                           int plp)
{
    double channels = transmission->bonding == BONDING_NONE ? 1.0 : 2.0;
    return code_carried(&transmission->plps[plp].code, channels * frame->slots[plp].cell_rate_hz);
}

/* ---- What time interleaving does. ---- */

/* A PLP's cells on their way through its interleaver. */
struct flow {
    enum interleaver interleaver;
    const struct slot *slot;
    long block; /* cells of a block of the code */
    double frame_ms;
};

static void interleave_not(const struct flow *flow, struct interleaving *result)
{
    result->latency_ms = (double)flow->block / flow->slot->cell_rate_hz * 1e3;
}

static void interleave_rows(const struct flow *flow, struct interleaving *result)
{
    double rate_hz = flow->slot->cell_rate_hz;
    result->span_ms = interleaver_span_ms(flow->interleaver, rate_hz);
    result->latency_ms = result->span_ms + (double)flow->block / rate_hz * 1e3;
    result->memory_cells = interleaver_memory_cells(flow->interleaver);
}

/* A block of an intra-subframe interleaver lasts as long as its cells are on air. */
static void interleave_blocks(const struct flow *flow, struct interleaving *result)
{
    long blocks = flow->slot->cells / flow->block;
    long most = hybrid_blocks_most(flow->interleaver, blocks);
    double share = (double)(most * flow->block) / (double)flow->slot->cells;
    result->span_ms = interleaver_is_inter(flow->interleaver)
                          ? interleaver_ti_blocks(flow->interleaver) * flow->frame_ms
                          : share * flow->slot->on_air_ms;
    result->latency_ms = 2.0 * result->span_ms; /* filled, then read */
    result->memory_cells = hybrid_memory_cells(flow->interleaver, blocks, flow->block);
}

struct interleaving plp_interleaving(const struct transmission *transmission,
                                     const struct frame *frame, int plp)
{
    static void (*const interleave[])(const struct flow *, struct interleaving *) = {
        [INTERLEAVES_NOT] = interleave_not,
        [INTERLEAVES_ROWS] = interleave_rows,
        [INTERLEAVES_BLOCKS] = interleave_blocks};
    const struct slot *slot = &frame->slots[plp];
    const struct plp *carrier = &transmission->plps[slot->core];
    const struct flow flow = {carrier->interleaver, &frame->slots[slot->core],
                              code_block_cells(&carrier->code), frame->duration_ms};
    struct interleaving result = {0};
    bool layered = false;
    for (int i = 0; i < transmission_plps(transmission); i++) {
        layered = layered || (i != slot->core && frame->slots[i].core == slot->core);
    }
    result.memory_most = hybrid_memory_most(carrier->code.constellation, layered);
    interleave[interleaver_kind(carrier->interleaver)](&flow, &result);
    result.start_up_ms = frame->duration_ms + result.latency_ms;
    return result;
}
