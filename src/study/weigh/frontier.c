/* The frontier of four qualities (Kung, Luccio and Preparata, "On finding the maxima of a set of
 * vectors", J. ACM 22, 1975, sweep one quality and keep a structure for the rest). Here the third,
 * the echo, has a dozen values, so that a staircase of the remaining two for each of them is
 * enough. */
#include "study/weigh/frontier.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

bool frontier_beats(const struct frontier_point *a, const struct frontier_point *b)
{
    bool as_good =
        a->rate >= b->rate && a->snr <= b->snr && a->echo >= b->echo && a->speed >= b->speed;
    return as_good &&
           (a->rate > b->rate || a->snr < b->snr || a->echo > b->echo || a->speed > b->speed);
}

/* ---- Ordering: least significant digit first, on the bits of the doubles. ---- */

#define DIGIT_BITS 16
#define DIGITS (1u << DIGIT_BITS)
#define PASSES (64 / DIGIT_BITS)

/* Unsigned numbers in the order of the doubles, largest first. */
static uint64_t sortable(double value)
{
    uint64_t bits;
    value += 0.0; /* one zero only */
    memcpy(&bits, &value, sizeof bits);
    uint64_t ascending = bits >> 63 ? ~bits : bits | (uint64_t)1 << 63;
    return ~ascending;
}

struct keyed {
    uint64_t key;
    uint32_t index;
};

static bool sort_pass(struct keyed *from, struct keyed *to, size_t count, int shift,
                      uint32_t *starts)
{
    memset(starts, 0, DIGITS * sizeof starts[0]);
    for (size_t i = 0; i < count; i++) {
        starts[from[i].key >> shift & (DIGITS - 1)]++;
    }
    if (starts[from[0].key >> shift & (DIGITS - 1)] == count) {
        return false; /* all alike */
    }
    uint32_t sum = 0;
    for (size_t digit = 0; digit < DIGITS; digit++) {
        uint32_t here = starts[digit];
        starts[digit] = sum;
        sum += here;
    }
    for (size_t i = 0; i < count; i++) {
        to[starts[from[i].key >> shift & (DIGITS - 1)]++] = from[i];
    }
    return true;
}

enum status order_by_largest(const double *values, size_t count, uint32_t *order)
{
    struct keyed *rows = malloc((2 * count + 1) * sizeof *rows);
    uint32_t *starts = malloc(DIGITS * sizeof *starts);
    if (!rows || !starts) {
        free(rows);
        free(starts);
        return STATUS_NO_MEMORY;
    }
    struct keyed *from = rows, *to = rows + count;
    for (size_t i = 0; i < count; i++) {
        from[i] = (struct keyed){sortable(values[i]), (uint32_t)i};
    }
    for (int pass = 0; pass < PASSES && count > 0; pass++) {
        if (sort_pass(from, to, count, pass * DIGIT_BITS, starts)) {
            struct keyed *other = from;
            from = to;
            to = other;
        }
    }
    for (size_t i = 0; i < count; i++) {
        order[i] = from[i].index;
    }
    free(rows);
    free(starts);
    return STATUS_OK;
}

/* ---- Staircases: SNR ascending, speed strictly ascending. ---- */

struct step {
    double snr, speed;
};

struct staircase {
    size_t count, capacity;
    struct step *steps;
};

/* How many steps have an SNR of at most `snr`. */
static size_t steps_within(const struct staircase *stairs, double snr)
{
    size_t low = 0, high = stairs->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (stairs->steps[middle].snr <= snr) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

static bool is_covered(const struct staircase *stairs, double snr, double speed)
{
    size_t within = steps_within(stairs, snr);
    return within > 0 && stairs->steps[within - 1].speed >= speed;
}

static bool insert(struct staircase *stairs, double snr, double speed)
{
    if (is_covered(stairs, snr, speed)) {
        return true;
    }
    if (stairs->count == stairs->capacity) {
        size_t capacity = stairs->capacity ? 2 * stairs->capacity : 64;
        struct step *steps = realloc(stairs->steps, capacity * sizeof *steps);
        if (!steps) {
            return false;
        }
        stairs->steps = steps;
        stairs->capacity = capacity;
    }
    size_t first = steps_within(stairs, snr);
    if (first > 0 && stairs->steps[first - 1].snr == snr) {
        first--; /* a slower step at the same SNR */
    }
    size_t last = first;
    while (last < stairs->count && stairs->steps[last].speed <= speed) {
        last++;
    }
    memmove(stairs->steps + first + 1, stairs->steps + last,
            (stairs->count - last) * sizeof stairs->steps[0]);
    stairs->steps[first] = (struct step){snr, speed};
    stairs->count = stairs->count - (last - first) + 1;
    return true;
}

/* ---- The sweep. ---- */

struct sweep {
    const struct frontier_point *points;
    double echoes[FRONTIER_ECHOES_MAX];           /* distinct, ascending */
    struct staircase stairs[FRONTIER_ECHOES_MAX]; /* of points with at least that echo */
    int echo_count;
};

static int echo_place(const struct sweep *sweep, double echo)
{
    int at = 0;
    while (at < sweep->echo_count && sweep->echoes[at] < echo) {
        at++;
    }
    return at;
}

static enum status collect_echoes(struct sweep *sweep, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const struct frontier_point *point = &sweep->points[i];
        if (isnan(point->rate) || isnan(point->snr) || isnan(point->echo) || isnan(point->speed)) {
            return STATUS_OUT_OF_RANGE;
        }
        int at = echo_place(sweep, point->echo);
        if (at < sweep->echo_count && sweep->echoes[at] == point->echo) {
            continue;
        }
        if (sweep->echo_count == FRONTIER_ECHOES_MAX) {
            return STATUS_OUT_OF_RANGE;
        }
        memmove(sweep->echoes + at + 1, sweep->echoes + at,
                (size_t)(sweep->echo_count - at) * sizeof sweep->echoes[0]);
        sweep->echoes[at] = point->echo;
        sweep->echo_count++;
    }
    return STATUS_OK;
}

/* Points order[from..to) have the same rate. */
static enum status mark_group(struct sweep *sweep, const uint32_t *order, size_t from, size_t to,
                              bool *on_frontier)
{
    for (size_t i = from; i < to; i++) {
        const struct frontier_point *point = &sweep->points[order[i]];
        bool beaten =
            is_covered(&sweep->stairs[echo_place(sweep, point->echo)], point->snr, point->speed);
        for (size_t other = from; other < to && !beaten; other++) {
            beaten = frontier_beats(&sweep->points[order[other]], point);
        }
        on_frontier[order[i]] = !beaten;
    }
    for (size_t i = from; i < to; i++) {
        const struct frontier_point *point = &sweep->points[order[i]];
        for (int at = echo_place(sweep, point->echo); at >= 0 && on_frontier[order[i]]; at--) {
            if (!insert(&sweep->stairs[at], point->snr, point->speed)) {
                return STATUS_NO_MEMORY;
            }
        }
    }
    return STATUS_OK;
}

enum status frontier_mark(const struct frontier_point *points, size_t count, bool *on_frontier)
{
    struct sweep *sweep = calloc(1, sizeof *sweep);
    uint32_t *order = malloc((count + 1) * sizeof *order);
    double *rates = calloc(count + 1, sizeof *rates);
    enum status status = sweep && order && rates ? STATUS_OK : STATUS_NO_MEMORY;
    if (status == STATUS_OK) {
        sweep->points = points;
        status = collect_echoes(sweep, count);
    }
    for (size_t i = 0; i < count && status == STATUS_OK; i++) {
        rates[i] = points[i].rate;
    }
    if (status == STATUS_OK) {
        status = order_by_largest(rates, count, order);
    }
    for (size_t from = 0; from < count && status == STATUS_OK;) {
        size_t to = from + 1;
        while (to < count && rates[order[to]] == rates[order[from]]) {
            to++;
        }
        status = mark_group(sweep, order, from, to, on_frontier);
        from = to;
    }
    for (int i = 0; sweep && i < FRONTIER_ECHOES_MAX; i++) {
        free(sweep->stairs[i].steps);
    }
    free(sweep);
    free(order);
    free(rates);
    return status;
}
