/* From several PLPs of a page to the one transmission that carries them: subframes, layers over
 * cores, sizes. Then each PLP has a verdict in it, so that a layer counts the other as noise and a
 * rate goes by the PLP's own cells. Where the page does not tell enough, or tells what cannot be
 * sent together, each PLP stays as it was read alone. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "study/reading/reading.h"

/* What the page says of this very PLP. */
static const struct page_entry *own_entry(const struct page *page, const char *key, int plp)
{
    const struct page_entry *entry = page_find(page, key, plp);
    return entry && entry->plp == plp && isfinite(entry->number) ? entry : NULL;
}

/* It is said of the enhanced PLP, or of none in particular. */
static const struct page_entry *injection_of(const struct page *page, int plp)
{
    return page_find(page, "plp.injection_db", plp);
}

int reading_subframe_of(const struct page *page, int plp)
{
    for (size_t i = 0; i < page->entry_count; i++) {
        const struct page_entry *entry = &page->entries[i];
        bool names = strcmp(entry->key, "page.plp") == 0 && entry->number == plp;
        if (entry->subframe >= 0 && (names || entry->plp == plp)) {
            return entry->subframe;
        }
    }
    return -1;
}

/* The subframe of that number among those taken so far, or a new one; -1: there are too many. */
static int take_subframe(const struct reading_pipe *pipe, struct transmission *joined)
{
    char name[NAME_MAX_BYTES];
    text_format(name, sizeof name, "%d", pipe->subframe);
    int at = 0;
    while (at < joined->subframe_count && strcmp(joined->subframes[at].name, name) != 0) {
        at++;
    }
    if (at == SUBFRAMES_MAX) {
        return -1;
    }
    if (at == joined->subframe_count) {
        joined->subframes[at] = pipe->settled.scenario.transmission.subframes[0];
        text_format(joined->subframes[at].name, NAME_MAX_BYTES, "%s", name);
        joined->subframe_count++;
    }
    return at;
}

/* How long the subframe lasts, where the page counts its symbols. */
static void take_symbols(const struct page *page, const struct reading_pipe *pipe,
                         struct subframe *subframe)
{
    for (size_t i = 0; i < page->entry_count; i++) {
        const struct page_entry *entry = &page->entries[i];
        bool counts = strcmp(entry->key, "page.ofdm_symbols") == 0 ||
                      strcmp(entry->key, "second.data_symbols") == 0;
        if (counts && entry->subframe == pipe->subframe) {
            subframe->symbols = (int)entry->number;
        }
    }
}

/* An enhanced PLP lies over the last core PLP before it in its subframe. */
static void lay_over(struct transmission *joined, int at)
{
    struct plp *plp = &joined->plps[at];
    for (int i = at - 1; i >= 0; i--) {
        const struct plp *core = &joined->plps[i];
        if (core->layer == LAYER_CORE && strcmp(core->subframe, plp->subframe) == 0) {
            memcpy(plp->over, core->name, sizeof plp->over);
            plp->interleaver = core->interleaver;
            return;
        }
    }
}

static void take_plp(const struct page *page, const struct reading_pipe *pipe,
                     struct transmission *joined)
{
    int at = joined->plp_count++;
    struct plp *plp = &joined->plps[at];
    const struct page_entry *layer = own_entry(page, "plp.layer", pipe->plp),
                            *injection = injection_of(page, pipe->plp),
                            *cells = own_entry(page, "plp.cells", pipe->plp),
                            *share = own_entry(page, "plp.share_percent", pipe->plp);
    *plp = pipe->settled.scenario.transmission.plps[0];
    text_format(plp->name, sizeof plp->name, "%d", pipe->plp);
    plp->layer = layer && layer->number > 0.0 ? LAYER_ENHANCED : LAYER_CORE;
    plp->cells = cells ? (int)cells->number : plp->cells;
    plp->share_percent = share ? share->number : plp->share_percent;
    plp->injection_db = injection ? injection->number : plp->injection_db;
    if (pipe->subframe >= 0) {
        int subframe = take_subframe(pipe, joined);
        text_format(plp->subframe, sizeof plp->subframe, "%s",
                    subframe >= 0 ? joined->subframes[subframe].name : "?");
        if (subframe >= 0) {
            take_symbols(page, pipe, &joined->subframes[subframe]);
        }
    }
    if (plp->layer == LAYER_ENHANCED) {
        lay_over(joined, at);
    }
}

/* A PLP of DVB-T2, which has a part of the frame's cells, or so many code blocks of it. */
static void take_t2_plp(const struct page *page, const struct reading_pipe *pipe,
                        struct dvbt2 *joined)
{
    struct t2_plp *plp = &joined->plps[joined->plp_count++];
    const struct page_entry *cells = own_entry(page, "plp.cells", pipe->plp),
                            *share = own_entry(page, "plp.share_percent", pipe->plp),
                            *blocks = own_entry(page, "page.fec_blocks", pipe->plp);
    *plp = (struct t2_plp){.code = pipe->settled.scenario.dvbt2.code, .share_percent = NAN};
    text_format(plp->name, sizeof plp->name, "%d", pipe->plp);
    if (cells) {
        plp->cells = (int)cells->number;
    } else if (share) {
        plp->share_percent = share->number;
    } else if (blocks) {
        plp->cells = (int)blocks->number * (t2_length_bits(plp->code.length) /
                                            t2_constellation_bits(plp->code.constellation));
    }
}

/* All PLPs, by what the pair's second system has for them. */
static void take_plps(const struct page *page, const struct reading *reading,
                      struct scenario *joined)
{
    bool dvb = joined->site.pair == PAIR_DVB;
    if (dvb) {
        joined->dvbt2.plp_count = 0;
    } else {
        joined->transmission.plp_count = joined->transmission.subframe_count = 0;
    }
    for (int i = 0; i < reading->pipe_count; i++) {
        if (dvb) {
            take_t2_plp(page, &reading->pipes[i], &joined->dvbt2);
        } else {
            take_plp(page, &reading->pipes[i], &joined->transmission);
        }
    }
}

/* The injection level must be on the page: it decides both layers' need. */
static bool can_join(const struct page *page, const struct reading *reading)
{
    bool layered = false, injected = false;
    if (page->pair == PAIR_DVB && reading->pipe_count > T2_PLPS_MAX) {
        return false;
    }
    for (int i = 0; i < reading->pipe_count; i++) {
        const struct reading_pipe *pipe = &reading->pipes[i];
        const struct page_entry *layer = own_entry(page, "plp.layer", pipe->plp);
        layered = layered || (layer && layer->number > 0.0);
        injected = injected || injection_of(page, pipe->plp);
        if (!pipe->settled.legal || pipe->settled.generation == GENERATION_COUNT ||
            page_has_one_mode(&pipe->settled) || (pipe->known & KNOWS_CODE) != KNOWS_CODE) {
            return false;
        }
    }
    return reading->pipe_count > 1 && layered == injected;
}

/* All PLPs' sizes are on the page, and so is how long each subframe lasts where there are several.
 */
static bool sizes_are_known(const struct page *page, const struct reading *reading,
                            const struct scenario *scenario)
{
    const struct transmission *joined = &scenario->transmission;
    bool known = true, dvb = scenario->site.pair == PAIR_DVB;
    for (int i = 0; i < reading->pipe_count; i++) {
        int plp = reading->pipes[i].plp;
        known = known &&
                (own_entry(page, "plp.cells", plp) || own_entry(page, "plp.share_percent", plp) ||
                 (dvb ? own_entry(page, "page.fec_blocks", plp) != NULL
                      : joined->plps[i].layer == LAYER_ENHANCED));
    }
    for (int i = 0; !dvb && joined->subframe_count > 1 && i < joined->subframe_count; i++) {
        known = known && joined->subframes[i].symbols > 0;
    }
    return known;
}

/* Sizes that do not go together give no rates. */
static void forget_shares(struct reading *reading)
{
    for (int i = 0; i < reading->pipe_count; i++) {
        struct reading_pipe *pipe = &reading->pipes[i];
        pipe->known &= ~(unsigned)KNOWS_SHARE;
        known_blank(&pipe->settled, pipe->known, &pipe->verdict);
    }
}

enum status reading_join(const struct page *page, struct reading *reading, struct fault *fault)
{
    enum status status = STATUS_OK;
    struct fault why = {0};
    if (!can_join(page, reading)) {
        return STATUS_OK;
    }
    struct scenario *joined = malloc(sizeof *joined);
    struct verdict *verdicts = calloc((size_t)reading->pipe_count, sizeof *verdicts);
    if (!joined || !verdicts) {
        free(joined);
        free(verdicts);
        return fault_of_status(fault, STATUS_NO_MEMORY);
    }
    *joined = reading->pipes[0].settled.scenario;
    take_plps(page, reading, joined);
    for (int i = 0; i < reading->pipe_count && status == STATUS_OK; i++) {
        joined->receiver = reading->pipes[i].settled.scenario.receiver;
        status = verdict_make_pipe(joined, GENERATION_SECOND, i, &verdicts[i], &why);
        if (status == STATUS_OK) {
            verdict_make_exact(joined, GENERATION_SECOND, i, &verdicts[i]);
        }
    }
    bool sizes = sizes_are_known(page, reading, joined);
    for (int i = 0; i < reading->pipe_count && status == STATUS_OK; i++) {
        struct reading_pipe *pipe = &reading->pipes[i];
        pipe->verdict = verdicts[i];
        pipe->known |= KNOWS_LAYER;
        pipe->known = sizes ? pipe->known | KNOWS_SHARE : pipe->known & ~(unsigned)KNOWS_SHARE;
        known_blank(&pipe->settled, pipe->known, &pipe->verdict);
    }
    if (status == STATUS_ILLEGAL) {
        status = page_add_line(&reading->remarks,
                               "the PLPs do not fit into one frame as the page has them, so none "
                               "of their rates follows: %s",
                               why.wrong);
        status = status == STATUS_OK ? STATUS_ILLEGAL : status;
        forget_shares(reading);
    }
    reading->joined = status == STATUS_OK;
    if (reading->joined) {
        reading->transmission = joined->transmission;
        reading->dvbt2 = joined->dvbt2;
    }
    free(joined);
    free(verdicts);
    return status == STATUS_NO_MEMORY ? fault_of_status(fault, status) : STATUS_OK;
}
