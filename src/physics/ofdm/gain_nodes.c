/* Idea. Curves of information bend over several decibels, so carriers need not be told apart by
 * tenths: each bin of a spread is shared out among the six nodes around it, whole decibels, by
 * Lagrange's weights, which keep polynomials of the fifth degree. With the curve at half decibels
 * the mean information of all positions at one shift is one pass over the nodes, positions side by
 * side; where among four neighbouring shifts a code's literal end lies, the cubic through them
 * tells.
 *
 * The weights err by h^6 / 720 (0.5 x 1.5 x 2.5)^2 of the sixth derivative, for QPSK 2e-5 bit where
 * all carriers stand half-way between two nodes, and the cubic by (h / 2)^4 x 3 / 128 of the fourth
 * one, 1e-5 bit: with 0.15 bit for each decibel, 2e-4 dB. Sets of more points bend less.
 *
 * The literal end (gain_spread.h) is where a code's mean information is that of its threshold +
 * 4.5 dB. A spread that must be lowered by x dB to come there has an effective SNR x dB above it;
 * one that is below it ranks by its mean information, which is less work than the SNR of that.
 * Information is told by what it lacks of all, in single precision: near all of it little is left.
 *
 * Mean information rises with the shift: at one where k positions carry more than the literal end,
 * these are the best k. So who stands at a place is between two shifts, found by counting, and only
 * those that stand there too need be told apart. */
#include "physics/ofdm/gain_nodes.h"

#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/twins.h"

#define REACH 6
#define BEFORE 2 /* of these nodes are below */
#define BINS_EACH 10
#define ROWS (GAIN_SPREAD_BINS / BINS_EACH + 1)

#define LANES 8 /* compilers compare more one by one */
typedef float lanes __attribute__((vector_size(4 * LANES)));
typedef int32_t whole __attribute__((vector_size(4 * LANES)));
#define TWICE (2 * LANES)
typedef float twice __attribute__((vector_size(4 * TWICE)));
#define SOME 4               /* registers of them */
#define BLOCK (SOME * TWICE) /* positions gone through together */

#define LOWEST (-GAIN_LADDER_SHIFT) /* half decibels */
#define HIGHEST 1
#define SHIFTS (HIGHEST - LOWEST + 1)
#define FIRST (LOWEST + 1) /* of the stretches: no SNR that there is comes so far down */
#define NONE (-1e30f)
#define ROUNDING 1e-5f
#define FEW 6
#define ROUNDS_MAX 20

/* Nodes in which a block has something. */
struct range {
    int first, last;
};

struct gain_nodes {
    int positions, blocks, stride;
    float *memory;        /* owned: what shares, means and keys point to */
    float *shares;        /* by node, then position */
    float *none;          /* by position: 0, or NONE where it has no carriers */
    struct range *ranges; /* by block, owned */
    /* Of the curve asked last; NULL: none was. */
    const struct gain_ladder *ladder;
    float *means; /* information by shift, then position */
    bool made[SHIFTS];
    /* Of the stretch asked last: where in it each position is, the better the less. */
    float *keys;
    int stretch;
    float bits;             /* NAN: none was */
    struct gain_stand *few; /* owned, as `which` is */
    int *which;
    float *lack_db; /* by place: where the last code was found, a guess for the next; owned */
};

void gain_nodes_free(struct gain_nodes *nodes)
{
    if (nodes != NULL) {
        free(nodes->memory);
        free(nodes->ranges);
        free(nodes->few);
        free(nodes->which);
        free(nodes->lack_db);
    }
    free(nodes);
}

static void share_room(struct gain_nodes *nodes)
{
    ptrdiff_t row = nodes->stride;
    nodes->shares = nodes->memory;
    nodes->means = nodes->shares + GAIN_NODES_MOST * row;
    nodes->keys = nodes->means + SHIFTS * row;
    nodes->none = nodes->keys + row;
    for (int b = 0; b < nodes->blocks; b++) {
        nodes->ranges[b] = (struct range){GAIN_NODES_MOST, -1};
    }
}

static float *shares_at(const struct gain_nodes *nodes, int node, int position)
{
    return nodes->shares + (ptrdiff_t)node * nodes->stride + position;
}

void gain_nodes_clear(struct gain_nodes *nodes)
{
    for (int b = 0; b < nodes->blocks; b++) {
        struct range *range = &nodes->ranges[b];
        for (int i = range->first; i <= range->last; i++) {
            memset(shares_at(nodes, i, b * BLOCK), 0, BLOCK * sizeof(float));
        }
        *range = (struct range){GAIN_NODES_MOST, -1};
        for (int i = b * BLOCK; i < (b + 1) * BLOCK; i++) {
            nodes->none[i] = NONE;
        }
    }
    nodes->ladder = NULL;
}

struct gain_nodes *gain_nodes_new(int positions)
{
    struct gain_nodes *nodes = calloc(1, sizeof *nodes);
    if (nodes == NULL) {
        return NULL;
    }
    nodes->positions = positions;
    nodes->blocks = (positions + BLOCK - 1) / BLOCK;
    nodes->stride = nodes->blocks * BLOCK + TWICE; /* not a power of two: rows would share places
                                                      of the cache */
    size_t count = (size_t)positions;
    nodes->memory =
        calloc((GAIN_NODES_MOST + SHIFTS + 2) * (size_t)nodes->stride, sizeof *nodes->memory);
    nodes->ranges = malloc((size_t)nodes->blocks * sizeof *nodes->ranges);
    nodes->few = malloc(count * sizeof *nodes->few);
    nodes->which = malloc((size_t)nodes->stride * sizeof *nodes->which);
    nodes->lack_db = calloc(count, sizeof *nodes->lack_db);
    if (!nodes->memory || !nodes->ranges || !nodes->few || !nodes->which || !nodes->lack_db) {
        gain_nodes_free(nodes);
        return NULL;
    }
    share_room(nodes);
    gain_nodes_clear(nodes);
    return nodes;
}

/* ---- From bins to nodes. ---- */

/* Lagrange's weights of the nodes -2 .. 3 at t. */
#define AT(t)                                                                   \
    {                                                                           \
        (float)(((t) + 1) * (t) * ((t)-1) * ((t)-2) * ((t)-3) / -120),          \
            (float)(((t) + 2) * (t) * ((t)-1) * ((t)-2) * ((t)-3) / 24),        \
            (float)(((t) + 2) * ((t) + 1) * ((t)-1) * ((t)-2) * ((t)-3) / -12), \
            (float)(((t) + 2) * ((t) + 1) * (t) * ((t)-2) * ((t)-3) / 12),      \
            (float)(((t) + 2) * ((t) + 1) * (t) * ((t)-1) * ((t)-3) / -24),     \
            (float)(((t) + 2) * ((t) + 1) * (t) * ((t)-1) * ((t)-2) / 120)      \
    }
static const float weights[BINS_EACH][REACH] = {AT(0.0), AT(0.1), AT(0.2), AT(0.3), AT(0.4),
                                                AT(0.5), AT(0.6), AT(0.7), AT(0.8), AT(0.9)};

/* Shares by how far their bins are above a node, a row of `stride` each, then by node; the first
 * nodes of a row are empty. */
#define ROOM (ROWS + 2 * (REACH - 1) + TWICE)
struct bins {
    int stride;
    float shares[BINS_EACH * ROOM];
};

/* What the bins leave on `count` nodes. */
TWINS static void add_bins(const struct bins *bins, int count, float *nodes)
{
    for (int i = 0; i < count; i += TWICE) {
        twice sums[2] = {{0.0f}, {0.0f}}, at; /* so that no addition waits for the one before */
        for (int tenth = 0; tenth < BINS_EACH; tenth++) {
            const float *row = bins->shares + (ptrdiff_t)tenth * bins->stride + REACH - 1 + i;
            for (int k = 0; k < REACH; k++) {
                memcpy(&at, row - k, sizeof at);
                sums[k % 2] += weights[tenth][k] * at;
            }
        }
        sums[0] += sums[1];
        memcpy(nodes + i, sums, sizeof sums[0]);
    }
}

static void take_bins(const struct gain_spread *spread, int count, struct bins *bins)
{
    int tenth = spread->first % BINS_EACH, node = REACH - 1;
    bins->stride = count + TWICE + REACH - 1;
    memset(bins->shares, 0, (size_t)(BINS_EACH * bins->stride) * sizeof(float));
    for (int i = spread->first; i <= spread->last; i++) {
        bins->shares[tenth * bins->stride + node] = (float)spread->shares[i];
        tenth = tenth + 1 < BINS_EACH ? tenth + 1 : 0;
        node += tenth == 0;
    }
}

void gain_nodes_put(struct gain_nodes *nodes, int position, const struct gain_spread *spread)
{
    struct bins bins;
    float own[ROWS + REACH - 1 + TWICE];
    struct range *range = &nodes->ranges[position / BLOCK];
    int first = spread->first / BINS_EACH;
    int count = spread->last / BINS_EACH - first + REACH;
    take_bins(spread, count, &bins);
    add_bins(&bins, count, own);
    for (int i = 0; i < count; i++) {
        *shares_at(nodes, first + i, position) = own[i];
    }
    nodes->none[position] = 0.0f;
    range->first = first < range->first ? first : range->first;
    range->last = first + count - 1 > range->last ? first + count - 1 : range->last;
}

/* ---- Curve and code. ---- */

#define RUNGS (2 * GAIN_NODES_MOST + 2 * GAIN_LADDER_SHIFT + 16)

static double ladder_db(int i)
{
    return GAIN_SPREAD_LOW_DB - BEFORE + 0.5 * (i - GAIN_LADDER_SHIFT);
}

static double full_bits(const struct information_curve *curve)
{
    return information_curve_bits(curve, ladder_db(RUNGS - 1));
}

void gain_ladder_make(const struct information_curve *curve, struct gain_ladder *ladder)
{
    double full = full_bits(curve);
    for (int i = 0; i < RUNGS; i++) {
        ladder->bits[i] = (float)(information_curve_bits(curve, ladder_db(i)) - full);
    }
}

struct gain_rung gain_rung_make(const struct information_curve *curve, double ideal_db)
{
    double literal_db = ideal_db + GAIN_LITERAL_DB;
    double bits = information_curve_bits(curve, literal_db);
    return (struct gain_rung){literal_db, bits, (float)(bits - full_bits(curve))};
}

/* ---- Mean information of all positions at one shift. ---- */

/* Of a block, from the nodes `first` to `last`; positions without carriers have less than nothing.
 */
TWINS static void mean_of_block(const float *shares, int stride, const float *bits, int first,
                                int last, const float *none, float *means)
{
    twice sums[SOME], at;
    memcpy(sums, none, sizeof sums);
    for (int i = first; i <= last; i++) {
        const float *from = shares + (ptrdiff_t)i * stride;
        float here = bits[2 * (ptrdiff_t)i];
        for (int k = 0; k < SOME; k++) {
            memcpy(&at, from + (ptrdiff_t)k * TWICE, sizeof at);
            sums[k] += here * at;
        }
    }
    memcpy(means, sums, sizeof sums);
}

static float *means_at(const struct gain_nodes *nodes, int shift)
{
    return nodes->means + (ptrdiff_t)(shift - LOWEST) * nodes->stride;
}

static const float *means_of(struct gain_nodes *nodes, int shift)
{
    float *means = means_at(nodes, shift);
    for (int b = 0; b < nodes->blocks && !nodes->made[shift - LOWEST]; b++) {
        const struct range *range = &nodes->ranges[b];
        mean_of_block(nodes->shares + (ptrdiff_t)b * BLOCK, nodes->stride,
                      nodes->ladder->bits + (shift - LOWEST), range->first, range->last,
                      nodes->none + (ptrdiff_t)b * BLOCK, means + (ptrdiff_t)b * BLOCK);
    }
    nodes->made[shift - LOWEST] = true;
    return means;
}

/* Takes up a curve. */
static void climb(struct gain_nodes *nodes, const struct gain_ladder *ladder)
{
    if (nodes->ladder != ladder) {
        nodes->ladder = ladder;
        nodes->bits = NAN;
        memset(nodes->made, 0, sizeof nodes->made);
    }
}

TWINS static int count_above(const float *values, int count, float least)
{
    whole sum = {0};
    for (int i = 0; i < count; i += LANES) {
        lanes at;
        memcpy(&at, values + i, sizeof at);
        sum -= at > least;
    }
    int all = 0;
    for (int i = 0; i < LANES; i++) {
        all += sum[i];
    }
    return all;
}

/* How many positions carry more than that. */
static int above(struct gain_nodes *nodes, int shift, float bits)
{
    return count_above(means_of(nodes, shift), nodes->blocks * BLOCK, bits);
}

/* ---- Stretches between two shifts, and the one of all whose literal end is above no shift. ----
 */

#define CHOSEN(where, a, b) ((lanes)(((where) & (whole)(a)) | (~(where) & (whole)(b))))

/* How far between the second and the third of four rows of means each position carries `bits`, 0 to
 * 1; INFINITY: it carries less at either, `before`: more. */
TWINS static void find_parts(const float *means, int stride, int count, float bits, float before,
                             float *parts)
{
    const lanes none = {0.0f};
    for (int i = 0; i < count; i += LANES) {
        lanes v[4], part;
        for (int k = 0; k < 4; k++) {
            memcpy(&v[k], means + (ptrdiff_t)k * stride + i, sizeof v[k]);
        }
        lanes rise = v[2] - v[1], low = v[2] - 2.0f * v[1] + v[0];
        lanes high = v[3] - 2.0f * v[2] + v[1];
        part = (bits - v[1]) / rise;
        for (int k = 0; k < 4; k++) {
            lanes bend = (low * (2.0f - part) + high * (1.0f + part)) * (1.0f / 3.0f);
            part = (bits - v[1] + 0.5f * part * (1.0f - part) * bend) / rise;
        }
        part = CHOSEN(part > none, part, none);
        part = CHOSEN(part < none + 1.0f, part, none + 1.0f);
        part = CHOSEN(v[1] > bits, none + before, part);
        part = CHOSEN(v[2] > bits, part, none + INFINITY);
        memcpy(parts + i, &part, sizeof part);
    }
}

TWINS static void turn_round(const float *means, int count, float bits, float *keys)
{
    const lanes none = {0.0f};
    for (int i = 0; i < count; i += LANES) {
        lanes mean;
        memcpy(&mean, means + i, sizeof mean);
        mean = CHOSEN(mean > bits, none - INFINITY, none - mean);
        memcpy(keys + i, &mean, sizeof mean);
    }
}

/* Takes up a stretch, from that shift to the next; 0: none. */
static void enter(struct gain_nodes *nodes, int shift, float bits)
{
    int count = nodes->blocks * BLOCK;
    if (nodes->bits == bits && nodes->stretch == shift) {
        return;
    }
    nodes->stretch = shift;
    nodes->bits = bits;
    if (shift == 0) {
        turn_round(means_of(nodes, 0), count, bits, nodes->keys);
        return;
    }
    for (int i = -1; i <= 2; i++) {
        means_of(nodes, shift + i);
    }
    find_parts(means_at(nodes, shift - 1), nodes->stride, count, bits,
               shift > FIRST ? -INFINITY : 0.0f, nodes->keys);
}

static struct gain_stand stand_of(const struct gain_nodes *nodes, int position)
{
    float key = nodes->keys[position];
    double rank = nodes->stretch < 0 ? -0.5 * (nodes->stretch + (double)key)
                  : key < -NONE      ? -(double)key - (double)nodes->bits
                                     : -INFINITY;
    return (struct gain_stand){rank, position};
}

/* About where it would be. */
static float key_of(const struct gain_nodes *nodes, double rank)
{
    return (float)(nodes->stretch < 0 ? -2.0 * rank - nodes->stretch : -rank - (double)nodes->bits);
}

/* ---- Places. ---- */

static bool is_better(const struct gain_stand *a, const struct gain_stand *b)
{
    return a->rank > b->rank || (a->rank == b->rank && a->position < b->position);
}

void gain_stands_order(struct gain_stand *stands, int count)
{
    for (int i = 1; i < count; i++) {
        struct gain_stand moved = stands[i];
        int to = i;
        for (; to > 0 && is_better(&moved, &stands[to - 1]); to--) {
            stands[to] = stands[to - 1];
        }
        stands[to] = moved;
    }
}

/* Keys above one and up to another, and how many there are up to either. */
struct stretch {
    float from, to;
    int before, until;
};

static int up_to(const struct gain_nodes *nodes, float key)
{
    int count = nodes->blocks * BLOCK;
    return count - count_above(nodes->keys, count, key);
}

/* The least and the most of those that are within the stretch. */
TWINS static void find_ends(const float *keys, int count, float *least, float *most)
{
    lanes low = (lanes){0.0f} + INFINITY, high = (lanes){0.0f} - INFINITY;
    *least = INFINITY;
    *most = -INFINITY;
    for (int i = 0; i < count; i += LANES) {
        lanes at;
        memcpy(&at, keys + i, sizeof at);
        low = CHOSEN((at < low) & (at > -INFINITY), at, low);
        high = CHOSEN((at > high) & (at < INFINITY), at, high);
    }
    for (int i = 0; i < LANES; i++) {
        *least = low[i] < *least ? low[i] : *least;
        *most = high[i] > *most ? high[i] : *most;
    }
}

/* The keys around a place: few, but where many are equal. */
static struct stretch narrow(const struct gain_nodes *nodes, int place)
{
    struct stretch s;
    find_ends(nodes->keys, nodes->blocks * BLOCK, &s.from, &s.to);
    s.from = nextafterf(s.from, -INFINITY);
    s.before = up_to(nodes, s.from);
    s.until = up_to(nodes, s.to);
    for (int i = 0; s.until - s.before > FEW && i < ROUNDS_MAX; i++) {
        float part = (place - s.before + 0.5f) / (float)(s.until - s.before);
        float key = s.from + (i % 3 == 2 ? 0.5f : part) * (s.to - s.from);
        int count = up_to(nodes, key);
        if (count > place) {
            s.to = key;
            s.until = count;
        } else {
            s.from = key;
            s.before = count;
        }
    }
    return s;
}

/* Whether any of LANES keys are there. */
INLINED bool any_within(const float *keys, float from, float to)
{
    lanes at;
    uint64_t parts[LANES / 2];
    memcpy(&at, keys, sizeof at);
    const whole within = (at > from) & (at <= to);
    memcpy(parts, &within, sizeof parts);
    return (parts[0] | parts[1] | parts[2] | parts[3]) != 0;
}

/* Which of `count` keys are above one and up to another. */
TWINS static int find_within(const float *keys, int count, float from, float to, int *which)
{
    int found = 0;
    for (int i = 0; i < count; i += LANES) {
        for (int k = i; k < i + LANES && any_within(keys + i, from, to); k++) {
            which[found] = k;
            found += keys[k] > from && keys[k] <= to;
        }
    }
    return found;
}

/* Those positions, in `stands`. */
static int take_within(struct gain_nodes *nodes, float from, float to, struct gain_stand *stands)
{
    int found = find_within(nodes->keys, nodes->blocks * BLOCK, from, to, nodes->which), count = 0;
    for (int i = 0; i < found && nodes->which[i] < nodes->positions; i++) {
        stands[count++] = stand_of(nodes, nodes->which[i]);
    }
    return count;
}

/* Who stands at a place within the stretch. */
static struct gain_stand find_place(struct gain_nodes *nodes, int place)
{
    struct stretch around = narrow(nodes, place);
    int count = take_within(nodes, around.from, around.to, nodes->few);
    gain_stands_order(nodes->few, count);
    return nodes->few[place - around.before];
}

/* The stretch in which somebody stands at that place. */
static int stretch_of(struct gain_nodes *nodes, const struct gain_rung *rung, int place)
{
    float bits = rung->lack;
    if (above(nodes, 0, bits) <= place) {
        return 0;
    }
    double guess = floor(2.0 * (rung->literal_db + (double)nodes->lack_db[place]));
    int shift = guess < -1.0 ? (guess > FIRST ? (int)guess : FIRST) : -1;
    while (shift < -1 && above(nodes, shift + 1, bits) <= place) {
        shift++;
    }
    while (shift > FIRST && above(nodes, shift, bits) > place) {
        shift--;
    }
    return shift;
}

struct gain_stand gain_nodes_stand(struct gain_nodes *nodes, const struct gain_ladder *ladder,
                                   const struct gain_rung *rung, int place)
{
    climb(nodes, ladder);
    enter(nodes, stretch_of(nodes, rung, place), rung->lack);
    struct gain_stand stand = find_place(nodes, place);
    if (nodes->stretch < 0) {
        nodes->lack_db[place] = (float)(-stand.rank - rung->literal_db);
    }
    return stand;
}

int gain_nodes_near(struct gain_nodes *nodes, const struct gain_rung *rung,
                    const struct gain_stand *one, struct gain_stand *near)
{
    bool bits = one->rank < -2.0 * GAIN_NODES_ERROR_BITS;
    double apart = 2.0 * (bits ? GAIN_NODES_ERROR_BITS : GAIN_NODES_ERROR_DB);
    double most = one->rank + apart, least = one->rank - apart;
    int count = 0;
    if (!isfinite(one->rank)) {
        near[count++] = *one;
        return count;
    }
    int from = most > 0.0 ? (int)floor(-2.0 * most) : 0;
    int to = least > 0.0 ? (int)ceil(-2.0 * least) : 1;
    for (int shift = from > FIRST ? from : FIRST; shift < to; shift++) {
        enter(nodes, shift, rung->lack);
        int found = take_within(nodes, key_of(nodes, most) - ROUNDING,
                                key_of(nodes, least) + ROUNDING, nodes->few);
        for (int i = 0; i < found; i++) {
            if (fabs(nodes->few[i].rank - one->rank) < apart) {
                near[count++] = nodes->few[i];
            }
        }
    }
    gain_stands_order(near, count);
    return count;
}

double gain_rank_effective_db(const struct gain_rung *rung, const struct gain_raster *raster,
                              double rank)
{
    return rank > 0.0 ? rung->literal_db + rank
                      : gain_raster_snr_db(raster, rank + rung->literal_bits);
}
