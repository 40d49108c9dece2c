/* A frame of subframes, PLPs and layers as rectangles; and how two services' rates trade for each
 * other in each way of dividing a channel. */
#include "present/picture/pictures_divide.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "standard/atsc3/frame.h"
#include "study/divide/divide.h"
#include "system/system.h"

/* ---- The frame. ---- */

#define SHOWN_PLPS (PICTURE_SERIES_MAX - 1) /* of more PLPs the others share one outline each */
#define INSET 0.15                          /* of a layer within its core */

static bool add_outline(struct picture *out, enum role role, const char *label, double x0,
                        double x1, double y0, double y1)
{
    struct series *outline = picture_add_series(out, SERIES_LINE, role, label, 5);
    if (outline == NULL) {
        return false;
    }
    const double x[] = {x0, x1, x1, x0, x0}, y[] = {y0, y0, y1, y1, y0};
    for (size_t i = 0; i < 5; i++) {
        outline->x[i] = x[i];
        outline->y[i] = y[i];
    }
    return true;
}

/* From which share on a core PLP stands: those before it in its subframe lie below. */
static double share_below(const struct transmission *transmission, const struct frame *frame,
                          int plp)
{
    double below = 0.0;
    for (int i = 0; i < transmission_plps(transmission); i++) {
        const struct slot *slot = &frame->slots[i];
        if (slot->core == i && slot->subframe == frame->slots[plp].subframe &&
            slot->start < frame->slots[plp].start) {
            below += (double)slot->cells / (double)frame->pools[slot->subframe].cells;
        }
    }
    return below;
}

static void margin_label(const struct pipes *pipes, int plp, char *label, size_t size, size_t used)
{
    if (pipes != NULL && plp < pipes->count && pipes->verdicts[plp].known) {
        text_format(label + used, size - used, ", %+.1f dB",
                    as_shown(pipes->verdicts[plp].margin_db, 1));
    }
}

static bool add_plp(const struct transmission *transmission, const struct frame *frame, int plp,
                    const struct pipes *pipes, struct picture *out)
{
    const struct plp *of = &transmission->plps[plp];
    const struct slot *slot = &frame->slots[plp];
    const struct pool *pool = &frame->pools[slot->subframe];
    bool over = slot->core != plp;
    double height = (double)slot->cells / (double)pool->cells;
    double below = share_below(transmission, frame, slot->core);
    double inset = over ? INSET * height : 0.0, side = over ? INSET * pool->duration_ms / 4.0 : 0.0;
    char label[64];
    size_t used =
        text_format(label, sizeof label, "%s: %s %s, %.2f Mbit/s", of->name[0] ? of->name : "PLP 0",
                    constellation_name(of->code.constellation), code_rate_name(of->code.rate_15ths),
                    plp_carried(transmission, frame, plp).net_mbps);
    margin_label(pipes, plp, label, sizeof label, used);
    return add_outline(out,
                       over      ? ROLE_WARN
                       : plp % 2 ? ROLE_PINNED
                                 : ROLE_SECOND,
                       label, pool->start_ms + side, pool->start_ms + pool->duration_ms - side,
                       100.0 * (below + inset), 100.0 * (below + height - inset));
}

/* Pipes of a frame that has no subframes lie one above the other. */
static bool frame_of_pipes(const struct picture_case *shown, struct picture *out)
{
    const struct system *system = system_of(shown->scenario, GENERATION_SECOND);
    int count = system->pipes(shown->scenario);
    struct facts *facts = malloc((size_t)count * sizeof *facts);
    bool made = facts != NULL && system->space->carry(shown->scenario, facts, NULL) == STATUS_OK;
    double below = 0.0;
    for (int i = 0; made && i < count && i < SHOWN_PLPS; i++) {
        double height = facts[i].plp_cells / facts[i].cells_per_frame;
        char label[64];
        size_t used = text_format(label, sizeof label, "%s: %s %s, %.2f Mbit/s", facts[i].plp,
                                  facts[i].constellation, facts[i].rate, facts[i].net_mbps);
        margin_label(shown->pipes, i, label, sizeof label, used);
        made = add_outline(out, i % 2 ? ROLE_PINNED : ROLE_SECOND, label, 0.0, facts[i].frame_ms,
                           100.0 * below, 100.0 * (below + height));
        below += height;
        out->x = (struct axis){.label = "time", .unit = "ms", .high = facts[i].frame_ms};
    }
    text_format(out->title, sizeof out->title, "The frame and its PLPs");
    text_format(out->note, sizeof out->note, "Height: share of the frame's cells.");
    out->y = (struct axis){.label = "share of the cells", .unit = "%", .high = 105.0};
    free(facts);
    return made;
}

static bool frame_of_tree(const struct picture_case *shown, struct picture *out)
{
    const struct transmission *transmission = &shown->scenario->transmission;
    struct frame *frame = malloc(sizeof *frame);
    bool made = frame != NULL && frame_build(transmission, frame, NULL) == STATUS_OK;
    for (int i = 0; made && i < transmission_plps(transmission) && i < SHOWN_PLPS; i++) {
        made = add_plp(transmission, frame, i, shown->pipes, out);
    }
    if (made) {
        picture_add_band(out, ROLE_DIM, "bootstrap and preamble", 0.0, frame->pools[0].start_ms);
        for (int i = 1; i < transmission_subframes(transmission); i++) {
            picture_add_mark(out, ROLE_DIM, transmission->subframes[i].name, true,
                             frame->pools[i].start_ms);
        }
        text_format(out->title, sizeof out->title, "The frame: subframes, PLPs and layers");
        text_format(out->note, sizeof out->note,
                    "Height: share of the subframe's cells. A layer over a core is drawn within "
                    "it; both have all of its cells.%s",
                    shown->pipes != NULL && shown->pipes->count > 0 &&
                            shown->pipes->verdicts[0].known
                        ? " dB: the margin here."
                        : "");
        out->x =
            (struct axis){.label = "time", .unit = "ms", .low = 0.0, .high = frame->duration_ms};
        out->y =
            (struct axis){.label = "share of the cells", .unit = "%", .low = 0.0, .high = 105.0};
    }
    free(frame);
    return made;
}

bool pictures_frame(const struct picture_case *shown, struct picture *out)
{
    return system_of(shown->scenario, GENERATION_SECOND)->space->subframes
               ? frame_of_tree(shown, out)
               : frame_of_pipes(shown, out);
}

/* ---- Two services. ---- */

#define STEPS 16

static int extreme_service(const struct scenario *scenario, double sign)
{
    int best = 0;
    for (int s = 1; s < scenario->service_count; s++) {
        if (sign * scenario->services[s].snr_db > sign * scenario->services[best].snr_db) {
            best = s;
        }
    }
    return best;
}

struct trade {
    struct scenario scenario; /* the fast one has the rest */
    int robust, fast;
    struct divide_space *space; /* of the waveforms of the best divisions */
    struct divisions divisions; /* of it */
    uint8_t waveforms[DIVISION_KIND_COUNT * SERVICES_MAX][SPACE_CHOICES_MAX];
    struct divide_limits limits;
};

/* The waveforms of the best divisions: enough to show how rates trade. */
static void keep_waveforms(const struct divisions *divisions, struct trade *trade)
{
    trade->limits =
        (struct divide_limits){.only = (const uint8_t(*)[SPACE_CHOICES_MAX])trade->waveforms};
    for (int i = 0; i < divisions->count; i++) {
        const struct division *of = &divisions->best[i];
        for (int k = 0; k < of->waveform_count; k++) {
            memcpy(trade->waveforms[trade->limits.only_count++], of->waveforms[k],
                   sizeof of->waveforms[k]);
        }
    }
}

static bool fill_trade(struct trade *trade, double most_mbps, struct picture *out)
{
    static const enum role roles[DIVISION_KIND_COUNT] = {ROLE_DIM, ROLE_FIRST, ROLE_PINNED,
                                                         ROLE_SECOND};
    struct series *of[DIVISION_KIND_COUNT];
    for (int kind = 0; kind < DIVISION_KIND_COUNT; kind++) {
        of[kind] = picture_add_series(out, SERIES_LINE, roles[kind],
                                      division_kind_name((enum division_kind)kind), STEPS);
        if (of[kind] == NULL) {
            return false;
        }
    }
    for (size_t i = 0; i < STEPS; i++) {
        double rate = most_mbps * (double)(i + 1) / STEPS;
        trade->scenario.services[trade->robust].rate_mbps = rate;
        for (int kind = 0; kind < DIVISION_KIND_COUNT; kind++) {
            of[kind]->x[i] = rate;
            of[kind]->y[i] = NAN;
        }
        enum status status = divide_solve(trade->space, &trade->divisions, NULL);
        for (int k = 0; status == STATUS_OK && k < trade->divisions.count; k++) {
            const struct division *division = &trade->divisions.best[k];
            of[division->kind]->y[i] = division->services[trade->fast].net_mbps;
        }
        if (status == STATUS_NO_MEMORY) {
            return false;
        }
    }
    return true;
}

/* What the robust service could have if the fast one wanted next to nothing. */
static double most_of_robust(struct trade *trade)
{
    struct service *robust = &trade->scenario.services[trade->robust];
    struct service *fast = &trade->scenario.services[trade->fast];
    double most_mbps = 0.0;
    robust->rate_mbps = NAN;
    fast->rate_mbps = 0.001;
    if (divide_solve(trade->space, &trade->divisions, NULL) == STATUS_OK) {
        most_mbps = trade->divisions.best[0].services[trade->robust].net_mbps;
    }
    fast->rate_mbps = NAN;
    return most_mbps;
}

static bool make_trade(const struct divisions *divisions, struct trade *trade, struct picture *out)
{
    struct service *services = trade->scenario.services;
    trade->robust = extreme_service(&trade->scenario, -1.0);
    trade->fast = extreme_service(&trade->scenario, 1.0);
    double asked_mbps = services[trade->robust].rate_mbps;
    if (trade->robust == trade->fast) {
        return false;
    }
    enum status status;
    keep_waveforms(divisions, trade);
    trade->space = divide_space_new(&trade->scenario, &trade->limits, &status, NULL);
    if (trade->space == NULL) {
        return false;
    }
    for (int s = 0; s < trade->scenario.service_count; s++) { /* a rest of others is no rate */
        services[s].rate_mbps = isnan(services[s].rate_mbps) ? 0.001 : services[s].rate_mbps;
    }
    double most_mbps = most_of_robust(trade);
    if (!(most_mbps > 0.0) || !fill_trade(trade, most_mbps, out)) {
        return false;
    }
    if (!isnan(asked_mbps)) {
        picture_add_mark(out, ROLE_DIM, "asked for", true, asked_mbps);
    }
    text_format(out->title, sizeof out->title, "Rates of %s and %s by division",
                services[trade->robust].name, services[trade->fast].name);
    text_format(out->note, sizeof out->note,
                "Over the waveforms of the best divisions, all codes and levels; other services as "
                "they ask.");
    text_format(out->x.label, sizeof out->x.label, "%s", services[trade->robust].name);
    text_format(out->y.label, sizeof out->y.label, "%s", services[trade->fast].name);
    text_format(out->x.unit, sizeof out->x.unit, "Mbit/s");
    text_format(out->y.unit, sizeof out->y.unit, "Mbit/s");
    double top_mbps = 0.0;
    for (size_t k = 0; k < out->series_count; k++) {
        for (size_t i = 0; i < out->series[k].count; i++) {
            top_mbps = fmax(top_mbps, out->series[k].y[i]); /* fmax leaves NAN out */
        }
    }
    out->x.low = out->y.low = 0.0;
    out->x.high = 1.05 * most_mbps;
    out->y.high = 1.05 * fmax(top_mbps, 1.0);
    return true;
}

bool picture_divisions(const struct scenario *scenario, const struct divisions *divisions,
                       struct picture *out)
{
    struct trade *trade = calloc(1, sizeof *trade);
    bool made = false;
    if (trade != NULL && scenario->service_count > 1 && divisions->count > 0) {
        trade->scenario = *scenario;
        made = make_trade(divisions, trade, out);
        divide_space_free(trade->space);
    }
    free(trade);
    return made;
}

bool pictures_divide(const struct picture_case *shown, struct picture *out)
{
    struct divisions *divisions = malloc(sizeof *divisions);
    bool made = divisions != NULL && divide_make(shown->scenario, divisions, NULL) == STATUS_OK &&
                picture_divisions(shown->scenario, divisions, out);
    free(divisions);
    return made;
}
