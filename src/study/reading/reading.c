/* Turns what was read of a page into figures and verdicts, PLP by PLP, and holds the receiver's own
 * errors against them. */
#include "study/reading/reading.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- What is known of one PLP. ---- */

/* An enhanced layer lies on the same cells as a core: of neither is the SNR the whole story. */
static bool is_layered(const struct page *page, int plp)
{
    for (size_t i = 0; i < page->entry_count; i++) {
        const struct page_entry *entry = &page->entries[i];
        bool enhanced = strcmp(entry->key, "plp.layer") == 0 && entry->number > 0.0;
        if (enhanced || strcmp(entry->key, "plp.injection_db") == 0) {
            const struct page_entry *own = page_find(page, "plp.layer", plp);
            return own && isfinite(own->number);
        }
    }
    return false;
}

static unsigned knowledge_of(const struct page *page, const struct page_settled *settled, int plp)
{
    static const struct {
        const char *setting;
        unsigned knows;
    } rows[] = {{"fft", KNOWS_FFT},
                {"guard", KNOWS_GUARD},
                {"constellation", KNOWS_CONSTELLATION},
                {"rate", KNOWS_RATE}};
    unsigned known = page_says(settled, "site.rf_channel") ? KNOWS_CHANNEL : 0;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        known |= page_says_choice(settled, rows[i].setting) ? rows[i].knows : 0;
    }
    int plps[PAGE_PLP_MAX + 1];
    const struct page_entry *count = page_find(page, "page.plp_count", -1);
    bool alone = page_plps(page, plps) <= 1 && !(count && count->number > 1.0);
    bool share = page_find(page, "plp.cells", plp) || page_find(page, "plp.share_percent", plp);
    return known | (alone || share ? KNOWS_SHARE : 0) | (is_layered(page, plp) ? 0 : KNOWS_LAYER);
}

/* A part of the frame's cells: rates and counts in proportion. Blocks fill the cells evenly. Where
 * the system has no PLPs what a page calls cells is none. */
static void take_share(const struct page *page, struct reading_pipe *pipe)
{
    struct facts *facts = &pipe->verdict.facts;
    const struct page_entry *cells = page_find(page, "plp.cells", pipe->plp);
    const struct page_entry *percent = page_find(page, "plp.share_percent", pipe->plp);
    double share = cells     ? cells->number / facts->cells_per_frame
                   : percent ? percent->number / 100.0
                             : 1.0;
    if (pipe->verdict.reception.system->plp_figures && share <= 1.0) {
        facts->plp_share = share;
        facts->plp_cells *= share;
        facts->plp_mbps *= share;
        facts->net_mbps *= share;
        facts->interleaver_ms /= share;
    }
}

/* Nothing can be computed: only what stands there is told. */
static void tell_choices_alone(struct reading_pipe *pipe)
{
    const struct page_settled *settled = &pipe->settled;
    struct verdict *verdict = &pipe->verdict;
    bool told = settled->generation != GENERATION_COUNT;
    const struct system *system =
        system_of(&settled->scenario, told ? settled->generation : GENERATION_SECOND);
    *verdict = (struct verdict){.conditions = {.snr_db = NAN}};
    verdict->facts = facts_none();
    const struct system *chosen =
        system->choices ? system : system_of(&settled->scenario, GENERATION_SECOND);
    chosen->choices(&settled->scenario, &verdict->facts);
    if (told) {
        verdict->reception.system = system;
    }
    known_blank(&pipe->settled, 0, verdict);
}

static void name_pipe(struct reading_pipe *pipe, bool joined)
{
    struct facts *facts = &pipe->verdict.facts;
    facts->plp[0] = facts->subframe[0] = '\0';
    if (pipe->plp >= 0) {
        text_format(facts->plp, sizeof facts->plp, "PLP %d", pipe->plp);
    }
    if (pipe->subframe >= 0) {
        text_format(facts->subframe, sizeof facts->subframe, "subframe %d", pipe->subframe);
    }
    facts->layer = joined ? facts->layer : NULL;
}

/* A mode that cannot be, for a reason that only its frame shows. */
static enum status refuse_mode(struct reading_pipe *pipe, const struct fault *fault)
{
    pipe->settled.legal = false;
    return page_add_line(&pipe->settled.contradictions, "%s: %s", fault->place, fault->wrong);
}

static enum status make_verdict(const struct page *page, struct reading_pipe *pipe,
                                struct fault *fault)
{
    const struct page_settled *settled = &pipe->settled;
    bool told = settled->generation != GENERATION_COUNT;
    enum status status = STATUS_OK;
    if (settled->legal) {
        status = verdict_make(&settled->scenario, told ? settled->generation : GENERATION_SECOND,
                              &pipe->verdict, fault);
        if (status == STATUS_ILLEGAL) {
            status = refuse_mode(pipe, fault);
        }
    }
    if (!settled->legal) {
        tell_choices_alone(pipe);
    } else if (page_has_one_mode(settled) && status == STATUS_OK) {
        known_blank(settled, pipe->known | ~(unsigned)(KNOWS_CHANNEL | KNOWS_NOTHING_MORE),
                    &pipe->verdict);
    } else if (status == STATUS_OK) {
        take_share(page, pipe);
        known_blank(settled, pipe->known, &pipe->verdict);
        if (!told) {
            pipe->verdict.reception.system = NULL;
        }
    }
    return status;
}

static enum status make_pipe(const struct page *page, int plp, const struct scenario *base,
                             struct reading_pipe *pipe, struct fault *fault)
{
    pipe->plp = plp;
    enum status status = page_settle(page, plp, base, &pipe->settled);
    if (status != STATUS_OK) {
        return fault_of_status(fault, status);
    }
    pipe->subframe = reading_subframe_of(page, plp);
    pipe->known = knowledge_of(page, &pipe->settled, plp);
    status = make_verdict(page, pipe, fault);
    if (status == STATUS_OK) {
        if (pipe->settled.legal && !page_has_one_mode(&pipe->settled)) {
            known_span(&pipe->settled, pipe->known, pipe->verdict.conditions.snr_db, &pipe->span);
        }
    }
    return status;
}

/* ---- Among all modes. ---- */

static void look_among_modes(const struct weigh_space *space, const struct reading_pipe *pipe,
                             struct reading *reading)
{
    long from = weigh_find(space, &pipe->settled.scenario);
    if (from < 0) {
        return;
    }
    const struct weighed *now = &space->modes[from];
    double echo_us = weigh_echo_us(space, (size_t)from), snr_db = pipe->verdict.conditions.snr_db;
    reading->weighed = true;
    reading->on_frontier = now->frontier;
    reading->better_mbps = reading->fastest_mbps = now->net_mbps;
    reading->possible_mbps = NAN;
    for (size_t i = 0; i < space->count; i++) {
        const struct weighed *mode = &space->modes[i];
        bool robust = mode->speed_kmh >= now->speed_kmh && weigh_echo_us(space, i) >= echo_us;
        if (mode->snr_db <= now->snr_db) {
            reading->fastest_mbps = fmax(reading->fastest_mbps, mode->net_mbps);
            reading->better_mbps =
                robust ? fmax(reading->better_mbps, mode->net_mbps) : reading->better_mbps;
        }
        if (robust && mode->snr_db <= snr_db) {
            reading->possible_mbps = fmax(reading->possible_mbps, mode->net_mbps);
        }
    }
}

static void look_for_rates(const struct weigh_space *space, double snr_db, double rate_mbps,
                           struct reading_other *other)
{
    other->best_mbps = other->same_rate_db = NAN;
    for (size_t i = 0; i < space->count; i++) {
        const struct weighed *mode = &space->modes[i];
        if (mode->snr_db <= snr_db) {
            other->best_mbps = fmax(other->best_mbps, mode->net_mbps);
        }
        if (mode->net_mbps >= rate_mbps) {
            other->same_rate_db = fmin(other->same_rate_db, mode->snr_db);
        }
    }
}

/* The space of the chosen PLP's scenario; STATUS_ILLEGAL where its frame has room for no mode. */
static enum status need_space(const struct scenario *scenario, struct weigh_space *space,
                              struct fault *fault)
{
    if (weigh_space_serves(space, scenario)) {
        return STATUS_OK;
    }
    weigh_space_free(space);
    return weigh_space_make(scenario, SNR_RECEIVER, space, fault);
}

/* What needs one PLP that is known: where its mode stands, and the other generation. */
static enum status look_around(struct weigh_space *space, struct reading *reading,
                               struct fault *fault)
{
    const struct reading_pipe *pipe = reading_chosen(reading);
    const struct page_settled *settled = &pipe->settled;
    bool only = page_has_one_mode(settled);
    bool whole = (pipe->known & KNOWS_CODE) == KNOWS_CODE && (pipe->known & KNOWS_FFT) &&
                 (pipe->known & KNOWS_GUARD);
    reading->other = (struct reading_other){.best_mbps = NAN, .same_rate_db = NAN};
    if (!settled->legal || settled->generation == GENERATION_COUNT) {
        return STATUS_OK;
    }
    enum status status = report_make(&settled->scenario, &reading->report, fault);
    reading->other.known = status == STATUS_OK;
    bool own = system_of(&settled->scenario, settled->generation)->space; /* else the other has */
    if (status == STATUS_OK && (only || whole)) {
        status = need_space(&settled->scenario, space, fault);
        if (status == STATUS_OK && own) {
            look_among_modes(space, pipe, reading);
        } else if (status == STATUS_OK) {
            look_for_rates(space, pipe->verdict.conditions.snr_db, pipe->verdict.facts.net_mbps,
                           &reading->other);
        }
    }
    return status == STATUS_ILLEGAL ? STATUS_OK : status;
}

/* ---- The receiver's own errors. ---- */

#define SPARE_DB 1.0 /* a margin that noise alone does not eat up */

/* The worst that the page counts of one kind for this very PLP; NULL: it counts nothing. */
static const struct page_entry *worst_of(const struct page *page, const char *key, int plp)
{
    const struct page_entry *worst = NULL;
    for (size_t i = 0; i < page->entry_count; i++) {
        const struct page_entry *entry = &page->entries[i];
        bool here = entry->plp == plp && strcmp(entry->key, key) == 0;
        worst = here && (!worst || entry->number > worst->number) ? entry : worst;
    }
    return worst;
}

/* One kind of error that receivers show. */
struct seen {
    const struct page_entry *entry;
    const char *words; /* "%s errors ...": around the value */
    double harmless;   /* up to so many nothing is lost */
};

/* Any lock that is missing is one too many. */
static const struct page_entry *lock_of(const struct page *page, int plp)
{
    const struct page_entry *lock = NULL;
    for (size_t i = 0; i < page->entry_count; i++) {
        const struct page_entry *entry = &page->entries[i];
        if (strcmp(entry->key, "page.lock") == 0 && entry->plp == plp &&
            (!lock || entry->number == 0.0)) {
            lock = entry;
        }
    }
    return lock;
}

/* What the receiver shows of this PLP, or (-1) of none in particular. */
static void write_seen(const struct page *page, int plp, const struct system *system,
                       struct text *seen, bool *bad)
{
    double inner = system ? system->harmless_inner : 0.0;
    const struct seen kinds[] = {
        {worst_of(page, "page.errors", plp), "%s errors that could not be repaired", 0.0},
        {worst_of(page, "page.error_rate_inner", plp), "an error rate of %s after the inner code",
         inner},
        {worst_of(page, "page.error_rate_after", plp), "an error rate of %s after the code",
         system ? system->harmless_after : 0.0}};
    const struct page_entry *lock = lock_of(page, plp);
    const char *join = "";
    *bad = lock && lock->number == 0.0;
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        *bad = *bad || (kinds[i].entry && kinds[i].entry->number > kinds[i].harmless);
    }
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        const struct page_entry *entry = kinds[i].entry;
        if (entry && (entry->number > kinds[i].harmless) == *bad) {
            const char *value = strstr(kinds[i].words, "%s");
            text_printf(seen, "%s%.*s%s%s", join, (int)(value - kinds[i].words), kinds[i].words,
                        entry->value, value + 2);
            join = " and ";
        }
    }
    if (lock && lock->number == 0.0) {
        text_printf(seen, "%sno lock", join);
    }
}

/* What is shown of `plp` against the margin of the pipe; `who` and `of` name that one. */
static enum status remark(const struct page *page, struct reading_pipe *pipe, int plp,
                          const char *who, const char *of, struct page_lines *remarks)
{
    const struct verdict *verdict = &pipe->verdict;
    double margin_db = verdict->margin_noise_db;
    struct text seen = {0};
    bool bad = false;
    write_seen(page, plp, verdict->reception.system, &seen, &bad);
    enum status status = seen.failed ? STATUS_NO_MEMORY : STATUS_OK;
    if (seen.length > 0 && verdict->known && bad && margin_db >= SPARE_DB) {
        pipe->not_noise = true;
        status = page_add_line(remarks,
                               "%sthe receiver shows %s, yet noise alone would leave %s%.1f dB to "
                               "spare: echoes, motion or bursts of noise do it, or the count is "
                               "old",
                               who, text_string(&seen), of, margin_db);
    } else if (seen.length > 0 && verdict->known && !bad && margin_db <= -SPARE_DB) {
        status =
            page_add_line(remarks,
                          "%sthe receiver shows %s, yet %s%.1f dB are missing: its own need is "
                          "lower than the one assumed here, or the SNR shown is not of the "
                          "whole signal",
                          who, text_string(&seen), of, -margin_db);
    }
    text_free(&seen);
    return status;
}

/* The PLP that fails first, as far as is known. */
static struct reading_pipe *weakest(const struct reading *reading)
{
    struct reading_pipe *weakest = &reading->pipes[0];
    for (int i = 1; i < reading->pipe_count; i++) {
        struct reading_pipe *pipe = &reading->pipes[i];
        bool less = !weakest->verdict.known ||
                    pipe->verdict.margin_noise_db < weakest->verdict.margin_noise_db;
        weakest = pipe->verdict.known && less ? pipe : weakest;
    }
    return weakest;
}

/* Each PLP's own, then what is said of none in particular, which is held against the weakest. */
static enum status remark_all(const struct page *page, struct reading *reading)
{
    enum status status = STATUS_OK;
    if (reading->pipe_count == 1) {
        return remark(page, &reading->pipes[0], -1, "", "", &reading->remarks);
    }
    for (int i = 0; i < reading->pipe_count && status == STATUS_OK; i++) {
        char who[24];
        text_format(who, sizeof who, "PLP %d: ", reading->pipes[i].plp);
        status =
            remark(page, &reading->pipes[i], reading->pipes[i].plp, who, "", &reading->remarks);
    }
    if (status == STATUS_OK) {
        char of[40];
        struct reading_pipe *pipe = weakest(reading);
        text_format(of, sizeof of, "even to PLP %d ", pipe->plp);
        status = remark(page, pipe, -1, "not saying of which PLP, ", of, &reading->remarks);
    }
    return status;
}

/* What the page does not say although rates or margins ask for it. */
static enum status tell_missing_sizes(struct reading *reading)
{
    enum status status = STATUS_OK;
    for (int i = 0; i < reading->pipe_count && status == STATUS_OK; i++) {
        struct reading_pipe *pipe = &reading->pipes[i];
        bool mode = pipe->settled.legal && (pipe->known & KNOWS_CODE) == KNOWS_CODE;
        if (mode && !(pipe->known & KNOWS_SHARE)) {
            status = page_add_line(&pipe->settled.missing,
                                   "the part of the frame that each PLP has (without it no rate "
                                   "follows): not on the page");
        }
        if (status == STATUS_OK && mode && !(pipe->known & KNOWS_LAYER)) {
            status = page_add_line(&pipe->settled.missing, "injection level: not on the page");
        }
    }
    return status;
}

/* ---- All of it. ---- */

/* The needed SNR, where the page tells enough for it. */
static double needed_db(const struct reading_pipe *pipe)
{
    return pipe->settled.legal ? pipe->verdict.facts.required_snr_db : NAN;
}

static int most_robust(const struct reading *reading)
{
    int best = 0;
    for (int i = 1; i < reading->pipe_count; i++) {
        double here_db = needed_db(&reading->pipes[i]), best_db = needed_db(&reading->pipes[best]);
        best = here_db < best_db || (isnan(best_db) && !isnan(here_db)) ? i : best;
    }
    return best;
}

static enum status no_such_plp(const int *plps, int count, int plp, struct fault *fault)
{
    char there[240] = "the page names no PLP";
    size_t used = count > 0 ? text_format(there, sizeof there, "there are") : 0;
    for (int i = 0; i < count; i++) {
        used += text_format(there + used, sizeof there - used, " %d", plps[i]);
    }
    return fault_set(fault, STATUS_UNKNOWN_NAME, "--plp", there, "the page has no PLP %d", plp);
}

enum status reading_make(const struct page *page, int plp, const struct scenario *base,
                         struct weigh_space *space, struct reading *reading, struct fault *fault)
{
    int plps[PAGE_PLP_MAX + 1] = {-1};
    int count = page_plps(page, plps), chosen = -1;
    struct fault own = {0};
    fault = fault ? fault : &own; /* a mode that cannot be is told by it */
    *reading = (struct reading){.possible_mbps = NAN};
    for (int i = 0; i < count; i++) {
        chosen = plps[i] == plp ? i : chosen;
    }
    if (plp >= 0 && chosen < 0) {
        return no_such_plp(plps, count, plp, fault);
    }
    reading->pipe_count = count > 0 ? count : 1;
    reading->pipes = calloc((size_t)reading->pipe_count, sizeof reading->pipes[0]);
    if (!reading->pipes) {
        reading->pipe_count = 0;
        return fault_of_status(fault, STATUS_NO_MEMORY);
    }
    enum status status = STATUS_OK;
    for (int i = 0; i < reading->pipe_count && status == STATUS_OK; i++) {
        status = make_pipe(page, plps[i], base, &reading->pipes[i], fault);
    }
    if (status == STATUS_OK) {
        status = reading_join(page, reading, fault);
    }
    for (int i = 0; i < reading->pipe_count && status == STATUS_OK; i++) {
        name_pipe(&reading->pipes[i], reading->joined);
    }
    if (status == STATUS_OK) {
        status = remark_all(page, reading);
    }
    if (status == STATUS_OK) {
        status = tell_missing_sizes(reading);
    }
    reading->chosen = chosen >= 0 ? chosen : most_robust(reading);
    if (status == STATUS_OK) {
        status = look_around(space, reading, fault);
    }
    if (status != STATUS_OK) {
        reading_free(reading);
    }
    return status;
}

double reading_net_mbps(const struct reading *reading)
{
    double sum = 0.0;
    for (int i = 0; i < reading->pipe_count; i++) {
        sum += reading->pipes[i].verdict.facts.net_mbps;
    }
    return sum;
}

void reading_free(struct reading *reading)
{
    for (int i = 0; i < reading->pipe_count; i++) {
        page_settled_free(&reading->pipes[i].settled);
    }
    free(reading->pipes);
    free(reading->remarks.rows);
    *reading = (struct reading){0};
}

static bool holds_line(const struct page_lines *lines, const char *line)
{
    for (size_t i = 0; i < lines->count; i++) {
        if (strcmp(lines->rows[i], line) == 0) {
            return true;
        }
    }
    return false;
}

static enum status add_each_once(const struct page_lines *from, struct page_lines *lines)
{
    enum status status = STATUS_OK;
    for (size_t i = 0; i < from->count && status == STATUS_OK; i++) {
        if (!holds_line(lines, from->rows[i])) {
            status = page_add_line(lines, "%s", from->rows[i]);
        }
    }
    return status;
}

enum status reading_contradictions(const struct reading *reading, const struct page *page,
                                   struct page_lines *lines)
{
    *lines = (struct page_lines){0};
    enum status status = STATUS_OK;
    for (int i = 0; i < reading->pipe_count && status == STATUS_OK; i++) {
        status = add_each_once(&reading->pipes[i].settled.contradictions, lines);
    }
    if (status == STATUS_OK) {
        status = add_each_once(&page->wrong, lines);
    }
    return status == STATUS_OK ? add_each_once(&reading->remarks, lines) : status;
}
