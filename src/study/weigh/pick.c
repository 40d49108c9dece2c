/* Choosing from the space: limits, fixed settings, folding, order, and which limit is in the way.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "scenario/field.h"
#include "study/weigh/weigh.h"

int weigh_factor_of_key(const struct scenario *scenario, const char *key)
{
    const struct system_space *row = system_of(scenario, GENERATION_SECOND)->space;
    for (int c = 0; c < row->choice_count; c++) {
        if (strcmp(row->choices[c].key, key) == 0) {
            return 1 << c;
        }
    }
    const struct field *field = field_named(key), *first = field_named(row->choices[0].key);
    bool stays = field && (strcmp(field->section, first->section) == 0 ||
                           strcmp(field->section, "site") == 0);
    return stays ? 0 : -1;
}

struct weigh_wish weigh_wish_none(void)
{
    struct weigh_wish wish = {.most = 20};
    for (int i = 0; i < LIMIT_COUNT; i++) {
        wish.limits[i] = NAN;
    }
    return wish;
}

bool weigh_wants_margins(const struct weigh_wish *wish)
{
    static const char *const made[] = {"margin_db", "margin_90_db", "margin_99_db",
                                       "positions_share"};
    bool wanted = !isnan(wish->limits[LIMIT_MARGIN]);
    for (size_t i = 0; wish->order != NULL && i < sizeof made / sizeof made[0]; i++) {
        wanted = wanted || strcmp(wish->order->name, made[i]) == 0;
    }
    return wanted;
}

/* ---- Limits. ---- */

/* The figure that a limit bounds, turned so that more is better. */
static double quality(const struct weigh_space *space, enum weigh_limit limit, size_t i)
{
    const struct weighed *mode = &space->modes[i];
    switch (limit) {
    case LIMIT_ECHO:
        return weigh_echo_us(space, i);
    case LIMIT_SPEED:
        return mode->speed_kmh;
    case LIMIT_RATE:
        return mode->net_mbps;
    case LIMIT_SNR:
        return -mode->snr_db;
    case LIMIT_MARGIN:
        return weigh_margin_db(space, i);
    case LIMIT_COUNT:
        break;
    }
    return NAN;
}

static double sign_of(enum weigh_limit limit)
{
    return limit == LIMIT_SNR ? -1.0 : 1.0;
}

/* One bit for each limit that the mode misses. */
static unsigned missed_limits(const struct weigh_space *space, const struct weigh_wish *wish,
                              size_t i)
{
    unsigned missed = 0;
    for (int limit = 0; limit < LIMIT_COUNT; limit++) {
        double wanted = wish->limits[limit];
        if (!isnan(wanted) && !(quality(space, (enum weigh_limit)limit, i) >=
                                sign_of((enum weigh_limit)limit) * wanted)) {
            missed |= 1u << limit;
        }
    }
    return missed;
}

static bool keeps_fixed(const struct weigh_space *space, unsigned fixed, size_t i)
{
    if (fixed == 0) {
        return true;
    }
    for (int c = 0; c < space->choices->choice_count; c++) {
        if ((fixed >> c & 1u) && weigh_number(space, i, c) != space->wanted[c]) {
            return false;
        }
    }
    return true;
}

bool weigh_keeps(const struct weigh_space *space, const struct weigh_wish *wish, size_t i)
{
    return keeps_fixed(space, wish->fixed, i) && missed_limits(space, wish, i) == 0;
}

static void count_misses(const struct weigh_space *space, const struct weigh_wish *wish, size_t i,
                         unsigned missed, struct weigh_list *list)
{
    for (int limit = 0; limit < LIMIT_COUNT; limit++) {
        struct weigh_relaxation *relaxation = &list->relaxations[limit];
        unsigned own = 1u << limit;
        if (isnan(wish->limits[limit])) {
            continue;
        }
        relaxation->excluded += (missed & own) != 0;
        relaxation->alone += missed == own;
        if ((missed & ~own) == 0) {
            double value = quality(space, (enum weigh_limit)limit, i);
            double best = sign_of((enum weigh_limit)limit) * relaxation->attainable;
            if (isnan(best) || value > best) {
                relaxation->attainable = sign_of((enum weigh_limit)limit) * value;
            }
        }
    }
}

/* ---- Order. ---- */

struct candidate {
    double key; /* more is better */
    const struct weigh_space *space;
    uint32_t mode, folded;
};

/* Better first: by key, then the frontier, then rate, SNR, echo, speed; last by place, so that an
 * order is always the same. */
static int compare(const void *left, const void *right)
{
    const struct candidate *a = left, *b = right;
    if (a->key != b->key) {
        return a->key > b->key ? -1 : 1;
    }
    const struct weighed *x = &a->space->modes[a->mode], *y = &b->space->modes[b->mode];
    const double pairs[][2] = {
        {x->frontier, y->frontier},
        {x->net_mbps, y->net_mbps},
        {-x->snr_db, -y->snr_db},
        {weigh_echo_us(a->space, a->mode), weigh_echo_us(b->space, b->mode)},
        {x->speed_kmh, y->speed_kmh},
    };
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
        if (pairs[i][0] != pairs[i][1]) {
            return pairs[i][0] > pairs[i][1] ? -1 : 1;
        }
    }
    return a->mode < b->mode ? -1 : a->mode > b->mode;
}

const struct figure *weigh_order(const struct weigh_wish *wish)
{
    bool by_margin = !isnan(wish->limits[LIMIT_MARGIN]);
    return wish->order ? wish->order
                       : figure_find(&generation_figures, by_margin ? "margin_db" : "net_mbps");
}

/* The number in a word: 256 of "256QAM"; 0 where there is none. */
static double number_in(const char *word)
{
    return word ? strtod(word + strcspn(word, "0123456789"), NULL) : NAN;
}

static double order_key(const struct weigh_space *space, const struct figure *order, size_t i)
{
    if (strcmp(order->name, "net_mbps") == 0) {
        return space->modes[i].net_mbps;
    }
    double value;
    if (strcmp(order->name, "margin_db") == 0) {
        value = quality(space, LIMIT_MARGIN, i);
    } else {
        struct verdict verdict;
        weigh_report(space, i, &verdict);
        value = order->kind == FIGURE_WORD ? number_in(figure_word(order, &verdict))
                                           : figure_number(order, &verdict);
    }
    if (isnan(value)) {
        return -INFINITY;
    }
    return order->better < 0 ? -value : value;
}

/* Modes that differ only in choices that fold share one. */
static size_t fold_of(const struct weigh_space *space, size_t i)
{
    const struct weighed *mode = &space->modes[i];
    size_t which = (size_t)space->geometries[mode->geometry].which;
    return which * SPACE_CODES_MAX + (size_t)space->codes[mode->code].own.fold;
}

#define FOLD_COUNT ((size_t)SPACE_WAVEFORMS_MAX * SPACE_CODES_MAX)

/* Keeps the better of a fold's candidates; appends where the fold is new or there is no folding. */
static void add_candidate(struct candidate *candidates, size_t *count, uint32_t *folds,
                          struct candidate candidate)
{
    size_t fold = fold_of(candidate.space, candidate.mode);
    if (!folds || folds[fold] == UINT32_MAX) {
        if (folds) {
            folds[fold] = (uint32_t)*count;
        }
        candidates[(*count)++] = candidate;
        return;
    }
    struct candidate *kept = &candidates[folds[fold]];
    candidate.folded = kept->folded + 1;
    if (compare(&candidate, kept) < 0) {
        *kept = candidate;
    } else {
        kept->folded++;
    }
}

static void collect(const struct weigh_space *space, const struct weigh_wish *wish,
                    struct weigh_list *list, struct candidate *candidates, size_t *count,
                    uint32_t *folds)
{
    const struct figure *order = weigh_order(wish);
    for (size_t i = 0; i < space->count; i++) {
        if (!keeps_fixed(space, wish->fixed, i)) {
            continue;
        }
        unsigned missed = missed_limits(space, wish, i);
        list->considered++;
        count_misses(space, wish, i, missed, list);
        if (missed == 0) {
            list->matching++;
            add_candidate(candidates, count, folds,
                          (struct candidate){order_key(space, order, i), space, (uint32_t)i, 0});
        }
    }
}

/* Moves the `most` best to the front, in order. */
static void put_best_first(struct candidate *candidates, size_t count, size_t most)
{
    size_t low = 0, high = count;
    while (most < count && high - low > 64) { /* quickselect until the cut is near `most` */
        struct candidate pivot = candidates[low + (high - low) / 2];
        size_t i = low, j = high - 1;
        for (;;) {
            while (compare(&candidates[i], &pivot) < 0) {
                i++;
            }
            while (compare(&candidates[j], &pivot) > 0) {
                j--;
            }
            if (i >= j) {
                break;
            }
            struct candidate other = candidates[i];
            candidates[i++] = candidates[j];
            candidates[j--] = other;
        }
        size_t cut = j + 1; /* within, for the pivot was neither the first nor the last */
        if (most <= cut) {
            high = cut;
        } else {
            low = cut;
        }
    }
    qsort(candidates, most < count ? high : count, sizeof candidates[0], compare);
}

static enum status fill_list(const struct candidate *candidates, size_t count, size_t most,
                             struct weigh_list *list)
{
    size_t kept = most && most < count ? most : count;
    list->rows = malloc((kept + 1) * sizeof list->rows[0]);
    if (!list->rows) {
        return STATUS_NO_MEMORY;
    }
    list->count = kept;
    for (size_t i = 0; i < list->count; i++) {
        list->rows[i] = (struct weigh_row){candidates[i].mode, candidates[i].folded};
    }
    return STATUS_OK;
}

enum status weigh_pick(const struct weigh_space *space, const struct weigh_wish *wish,
                       struct weigh_list *list, struct fault *fault)
{
    *list = (struct weigh_list){0};
    for (int i = 0; i < LIMIT_COUNT; i++) {
        list->relaxations[i].attainable = NAN;
    }
    size_t room = wish->unfolded ? space->count : FOLD_COUNT;
    struct candidate *candidates = malloc(room * sizeof *candidates);
    uint32_t *folds = wish->unfolded ? NULL : malloc(FOLD_COUNT * sizeof *folds);
    enum status status = STATUS_NO_MEMORY;
    if (candidates && (folds || wish->unfolded)) {
        for (size_t i = 0; folds && i < FOLD_COUNT; i++) {
            folds[i] = UINT32_MAX;
        }
        size_t count = 0;
        collect(space, wish, list, candidates, &count, folds);
        put_best_first(candidates, count, wish->most ? wish->most : count);
        status = fill_list(candidates, count, wish->most, list);
    }
    free(candidates);
    free(folds);
    if (status != STATUS_OK) {
        fault_of_status(fault, status);
    }
    return status;
}

void weigh_list_free(struct weigh_list *list)
{
    free(list->rows);
    *list = (struct weigh_list){0};
}

/* ---- What is in the way. ---- */

int weigh_tightest_limit(const struct weigh_wish *wish, const struct weigh_list *list)
{
    int tightest = -1;
    for (int i = 0; i < LIMIT_COUNT; i++) {
        if (!isnan(wish->limits[i]) && (tightest < 0 || list->relaxations[i].excluded >
                                                            list->relaxations[tightest].excluded)) {
            tightest = i;
        }
    }
    return tightest;
}

static const struct {
    const char *name, *unit;
    int decimals;
} limit_words[LIMIT_COUNT] = {
    [LIMIT_ECHO] = {"echo", "us", 1},
    [LIMIT_SPEED] = {"speed", "km/h", 0},
    [LIMIT_RATE] = {"net rate", "Mbit/s", 2},
    [LIMIT_SNR] = {"required SNR", "dB", 1},
    [LIMIT_MARGIN] = {"margin with the profile's echoes", "dB", 1},
};

/* A value that may be asked for in its place, rounded to the side that still has modes. */
static double askable(int limit, double attainable)
{
    double scale = pow(10.0, limit_words[limit].decimals);
    return limit == LIMIT_SNR ? ceil(attainable * scale) / scale
                              : floor(attainable * scale) / scale;
}

void weigh_explain_empty(const struct weigh_space *space, const struct weigh_wish *wish,
                         const struct weigh_list *list, struct text *out)
{
    (void)space;
    int tightest = weigh_tightest_limit(wish, list);
    if (tightest < 0 || list->considered == 0) {
        text_append(out, "No legal mode has the fixed settings.");
        return;
    }
    text_printf(out,
                "No legal mode keeps all limits. The limit on %s excludes most: %zu of %zu modes.",
                limit_words[tightest].name, list->relaxations[tightest].excluded, list->considered);
    bool any = false;
    for (int i = 0; i < LIMIT_COUNT; i++) {
        double attainable = list->relaxations[i].attainable;
        if (isnan(wish->limits[i]) || !isfinite(attainable)) {
            continue;
        }
        int decimals = limit_words[i].decimals;
        double value = askable(i, attainable);
        text_printf(out, "%s relax the %s to %.*f %s, by %.*f %s", any ? ", or" : " To have some,",
                    limit_words[i].name, decimals, value, limit_words[i].unit, decimals,
                    fabs(value - wish->limits[i]), limit_words[i].unit);
        any = true;
    }
    if (any) {
        text_append(out, ".");
    } else {
        text_append(out, " Relaxing one of them alone is not enough.");
    }
}
