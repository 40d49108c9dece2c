/* From carriers' SNRs to how they are spread: a carrier is split among the three nearest bins
 * (gain_spread.c). Idea: the weights of a bin's carriers are sums of how many they are, of how far
 * they are off it and of the squares of that, and the three sums fit side by side into one word, so
 * that a carrier costs one addition; what comes before it and after it is done for many at once.
 *
 * Worked number: 3.14 dB is 0.4 bins above bin 931: 0.84 of it go there, 0.28 to the next one and
 * -0.12 to the one before. */
#include "physics/ofdm/gain_spread.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/many.h"
#include "base/units.h"
#include "base/wide.h"

#define BLOCK 256
_Static_assert(WIDE <= GAIN_SPREAD_MORE, "loops go so far behind the last bin");

void gain_spread_clear(struct gain_spread *spread)
{
    spread->first = GAIN_SPREAD_BINS;
    spread->last = -1;
}

#define LANES 8
typedef float lanes __attribute__((vector_size(4 * LANES)));
typedef int32_t whole __attribute__((vector_size(4 * LANES)));

/* Of the carriers that have a bin for their nearest how many they are, and the sums of how far they
 * are off it and of the squares of that: all that the three weights ask for. A carrier is one word
 * of all three, so that one addition gathers it: in its upper half how far it is off and a half
 * more, in parts of 2^-14, as fine as the bins' numbers are in single precision; in its lower half
 * 1 and the square, which weighs no more than the curve bends from bin to bin, in parts of 2^-12.
 */
#define OFF_SHIFT 32
#define COUNT_SHIFT 21
#define OFF_PART 16384.0f
#define SQUARE_PART 4096.0f
#define TOGETHER_MOST (7 * BLOCK) /* carriers whose sums have room in a word */

/* Carriers of a block: the nearest bin of each, and its word. */
struct placed {
    int32_t bins[BLOCK];
    uint64_t words[BLOCK];
};

/* clang has another name for it; either way lower halves come first, as in a word. */
#if defined(__clang__)
#define PAIRED(a, b, ...) __builtin_shufflevector(a, b, __VA_ARGS__)
#else
#define PAIRED(a, b, ...) __builtin_shuffle(a, b, (whole){__VA_ARGS__})
#endif

TWINS static void place_in_lanes(const float *logs, struct placed *placed)
{
    const float bins_each = (float)(10.0 * 0.301029995663981195 / GAIN_SPREAD_STEP_DB);
    const float lowest = (float)(-GAIN_SPREAD_LOW_DB / GAIN_SPREAD_STEP_DB);
    const lanes first = (lanes){0.0f} + 1.0f, last = (lanes){0.0f} + (GAIN_SPREAD_BINS - 2);
    for (int i = 0; i < BLOCK; i += LANES) {
        lanes at;
        memcpy(&at, logs + i, sizeof at);
        at = bins_each * at + lowest;
        whole within = at > first;
        at = (lanes)(((whole)at & within) | ((whole)first & ~within));
        within = at < last;
        at = (lanes)(((whole)at & within) | ((whole)last & ~within));
        whole bins = __builtin_convertvector(at + 0.5f, whole);
        at -= __builtin_convertvector(bins, lanes);
        whole off = __builtin_convertvector(OFF_PART * (at + 0.5f) + 0.5f, whole);
        whole low = __builtin_convertvector(SQUARE_PART * (at * at) + 0.5f, whole);
        low += 1 << COUNT_SHIFT;
        whole some = PAIRED(low, off, 0, 8, 1, 9, 2, 10, 3, 11);
        whole others = PAIRED(low, off, 4, 12, 5, 13, 6, 14, 7, 15);
        memcpy(placed->bins + i, &bins, sizeof bins);
        memcpy(placed->words + i, &some, sizeof some);
        memcpy(placed->words + i + LANES / 2, &others, sizeof others);
    }
}

static void place(const float *snrs, int count, struct placed *placed)
{
    float logs[BLOCK];
    many_log2(snrs, logs, count);
    memset(logs + count, 0, (size_t)(BLOCK - count) * sizeof logs[0]);
    place_in_lanes(logs, placed);
}

/* Where carriers stand next to each other they hardly differ, and each addition would wait for the
 * one before: those that follow each other here are from all over the block. */
#define APART (BLOCK / 4)

static void add_block(const float *snrs, int count, uint64_t *at)
{
    struct placed placed;
    place(snrs, count, &placed);
    memset(placed.words + count, 0, (size_t)(BLOCK - count) * sizeof placed.words[0]);
    for (int i = 0; i < APART; i++) {
        for (int k = 0; k < BLOCK; k += APART) {
            at[placed.bins[i + k]] += placed.words[i + k];
        }
    }
}

#define ENDS 4 /* registers of them, so that no comparison waits for the one before */

/* The weakest and the strongest, in any order and some more than once. */
TWINS static void find_ends(const float *snrs, int count, float (*weakest)[LANES],
                            float (*strongest)[LANES])
{
    lanes low[ENDS], high[ENDS], at;
    for (int k = 0; k < ENDS; k++) {
        memcpy(&low[k], snrs, sizeof low[k]);
        high[k] = low[k];
    }
    for (int i = 0; i < count; i += ENDS * LANES) {
        for (int k = 0; k < ENDS; k++) {
            int from = i + k * LANES; /* the last of them may count twice */
            memcpy(&at, snrs + (from + LANES <= count ? from : count - LANES), sizeof at);
            whole less = at<low[k], more = at> high[k];
            low[k] = (lanes)(((whole)at & less) | ((whole)low[k] & ~less));
            high[k] = (lanes)(((whole)at & more) | ((whole)high[k] & ~more));
        }
    }
    memcpy(weakest, low, sizeof low);
    memcpy(strongest, high, sizeof high);
}

/* The bin nearest to one, but for rounding. */
static int bin_of(float snr)
{
    double at = (db_from_ratio((double)snr) - GAIN_SPREAD_LOW_DB) / GAIN_SPREAD_STEP_DB;
    return at > 1.0 ? at < GAIN_SPREAD_BINS - 2 ? (int)lround(at) : GAIN_SPREAD_BINS - 2 : 1;
}

/* The bins that they come to, and one more to either side. */
static void find_range(const float *snrs, int count, int *first, int *last)
{
    float low[ENDS][LANES], high[ENDS][LANES], weakest = INFINITY, strongest = 0.0f;
    find_ends(snrs, count, low, high);
    for (int i = 0; i < ENDS * LANES; i++) {
        float here = low[i / LANES][i % LANES], there = high[i / LANES][i % LANES];
        weakest = here < weakest ? here : weakest;
        strongest = there > strongest ? there : strongest;
    }
    *first = bin_of(weakest);
    *last = bin_of(strongest);
    *first = *first > 2 ? *first - 1 : 1;
    *last = *last < GAIN_SPREAD_BINS - 3 ? *last + 1 : GAIN_SPREAD_BINS - 2;
}

typedef uint64_t word_lanes __attribute__((vector_size(8 * WIDE)));

/* Whole numbers below 2^52 as doubles: with the exponent of 2^52 they are so much above it. */
INLINED void read_whole(const word_lanes *from, wide *numbers)
{
    const word_lanes all = *from | (uint64_t)0x4330000000000000;
    memcpy(numbers, &all, sizeof all);
    *numbers -= 4503599627370496.0;
}

/* What bins leave on themselves and for the one above and below, an empty one on either side. */
#define ROOM (GAIN_SPREAD_BINS + 3 * WIDE)
struct left {
    double here[ROOM], above[ROOM], below[ROOM];
};

INLINED void share_out(const uint64_t *at, struct left *left, int i)
{
    word_lanes words, part;
    wide count, squares, offs, share;
    memcpy(&words, at, sizeof words);
    part = words >> COUNT_SHIFT & ((1u << (OFF_SHIFT - COUNT_SHIFT)) - 1);
    read_whole(&part, &count);
    part = words & ((1u << COUNT_SHIFT) - 1);
    read_whole(&part, &squares);
    part = words >> OFF_SHIFT;
    read_whole(&part, &offs);
    squares *= 1.0 / (double)SQUARE_PART;
    offs = offs * (1.0 / (double)OFF_PART) - 0.5 * count;
    share = 0.5 * (squares - offs);
    memcpy(left->below + i, &share, sizeof share);
    share = count - squares;
    memcpy(left->here + i, &share, sizeof share);
    share = 0.5 * (squares + offs);
    memcpy(left->above + i, &share, sizeof share);
}

/* Adds what WIDE bins get from themselves and those beside them, the first of them the one at i. */
INLINED void gather(const struct left *left, int i, double *shares)
{
    wide sum, more;
    memcpy(&sum, shares, sizeof sum);
    memcpy(&more, left->above + i - 1, sizeof more);
    sum += more;
    memcpy(&more, left->here + i, sizeof more);
    sum += more;
    memcpy(&more, left->below + i + 1, sizeof more);
    sum += more;
    memcpy(shares, &sum, sizeof sum);
}

/* Bins from `first` to `last`, which those beside them get something of. Nothing waits for what was
 * stored just before. */
TWINS static void share_all_out(const uint64_t *at, int first, int last, double *shares)
{
    struct left left;
    const wide none = {0.0};
    int count = (last - first + WIDE) / WIDE * WIDE;
    for (int i = 0; i <= WIDE + count; i += WIDE + count) {
        memcpy(left.here + i, &none, sizeof none);
        memcpy(left.above + i, &none, sizeof none);
        memcpy(left.below + i, &none, sizeof none);
    }
    for (int i = 0; i < count; i += WIDE) {
        share_out(at + first + i, &left, WIDE + i);
    }
    for (int i = -1; i <= last + 1 - first; i += WIDE) {
        gather(&left, WIDE + i, shares + first + i);
    }
}

/* Room for bins from `first` to `last` too. */
static void widen(struct gain_spread *spread, int first, int last)
{
    bool empty = spread->last < 0;
    int set_first = empty ? last + 1 : spread->first, set_last = empty ? last : spread->last;
    for (int i = first; i < set_first; i++) {
        spread->shares[i] = 0.0;
    }
    for (int i = set_last + 1; i <= last + WIDE; i++) {
        spread->shares[i] = 0.0;
    }
    spread->first = first < spread->first ? first : spread->first;
    spread->last = last > spread->last ? last : spread->last;
}

static void add_together(struct gain_spread *spread, const float *snrs, int count, int first,
                         int last)
{
    uint64_t at[GAIN_SPREAD_BINS + WIDE];
    memset(at + first, 0, (size_t)(last - first + 1 + WIDE) * sizeof at[0]);
    for (int i = 0; i < count; i += BLOCK) {
        add_block(snrs + i, count - i < BLOCK ? count - i : BLOCK, at);
    }
    share_all_out(at, first, last, spread->shares);
}

void gain_spread_add(struct gain_spread *spread, const float *snrs, int count)
{
    int first = 1, last = GAIN_SPREAD_BINS - 2;
    if (count >= LANES) {
        find_range(snrs, count, &first, &last);
    }
    widen(spread, first - 1, last + 1);
    for (int i = 0; i < count; i += TOGETHER_MOST) {
        int here = count - i < TOGETHER_MOST ? count - i : TOGETHER_MOST;
        add_together(spread, snrs + i, here, first, last);
    }
}

/* Eight sums, so that no addition waits for the one before. */
TWINS static double sum_of(const float *values, int count)
{
    lanes sums = {0.0f}, at;
    double sum = 0.0;
    int i = 0;
    for (; i + LANES <= count; i += LANES) {
        memcpy(&at, values + i, sizeof at);
        sums += at;
    }
    for (int k = 0; k < LANES; k++) {
        sum += (double)sums[k];
    }
    for (; i < count; i++) {
        sum += (double)values[i];
    }
    return sum;
}

TWINS static void add_one(const float *values, int count, float *more)
{
    for (int i = 0; i < count; i++) {
        more[i] = 1.0f + values[i];
    }
}

double gain_capacity(const float *snrs, int count)
{
    double sum = 0.0;
    float more[BLOCK], logs[BLOCK];
    for (int first = 0; first < count; first += BLOCK) {
        int here = count - first < BLOCK ? count - first : BLOCK;
        add_one(snrs + first, here, more);
        many_log2(more, logs, here);
        sum += sum_of(logs, here);
    }
    return sum / count;
}
