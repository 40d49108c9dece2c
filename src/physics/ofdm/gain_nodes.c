/* Idea. Curves of information bend over several decibels, so carriers need not be told apart by
 * tenths: each bin of a spread is shared out among the six nodes around it, whole decibels, by
 * Lagrange's weights, which keep polynomials of the fifth degree. With the curve at half decibels a
 * spread's mean information at eight neighbouring shifts is one pass of eight sums side by side;
 * where among them a code's literal end lies, the cubic through the four around it tells.
 *
 * The weights err by h^6 / 720 (0.5 x 1.5 x 2.5)^2 of the sixth derivative, for QPSK 2e-5 bit where
 * all carriers stand half-way between two nodes, and the cubic by (h / 2)^4 x 3 / 128 of the fourth
 * one, 1e-5 bit: with 0.15 bit for each decibel, 2e-4 dB. Sets of more points bend less.
 *
 * The literal end (gain_spread.h) is where a code's mean information is that of its threshold +
 * 4.5 dB. A spread that must be lowered by x dB to come there has an effective SNR x dB above it;
 * one that is below it ranks by its mean information, which is less work than the SNR of that. */
#include "physics/ofdm/gain_nodes.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#include "base/twins.h"

#define REACH 6
#define BEFORE 2 /* of these nodes are below */
#define BINS_EACH 10
#define ROWS (GAIN_SPREAD_BINS / BINS_EACH + 1)
#define TOGETHER 4 /* nodes, so that no addition waits for the one before */
#define LANES GAIN_NODES_SHIFTS
typedef float lanes __attribute__((vector_size(4 * LANES)));

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
static const float weights[BINS_EACH][LANES] = {AT(0.0), AT(0.1), AT(0.2), AT(0.3), AT(0.4),
                                                AT(0.5), AT(0.6), AT(0.7), AT(0.8), AT(0.9)};

/* The bins of `rows` decibels on nodes. */
TWINS static void add_rows(const float (*shares)[BINS_EACH], int rows, float *nodes)
{
    for (int row = 0; row < rows; row++) {
        lanes sum, at;
        memcpy(&sum, nodes + row, sizeof sum);
        for (int tenth = 0; tenth < BINS_EACH; tenth++) {
            memcpy(&at, weights[tenth], sizeof at);
            sum += shares[row][tenth] * at;
        }
        memcpy(nodes + row, &sum, sizeof sum);
    }
}

void gain_nodes_make(const struct gain_spread *spread, struct gain_nodes *nodes)
{
    float shares[ROWS][BINS_EACH];
    int first = spread->first / BINS_EACH, last = spread->last / BINS_EACH;
    int rows = last - first + 1;
    memset(nodes->shares, 0, sizeof nodes->shares);
    memset(shares, 0, (size_t)rows * sizeof shares[0]);
    nodes->ladder = NULL;
    nodes->first = first;
    nodes->count = (rows + REACH - 1 + TOGETHER - 1) / TOGETHER * TOGETHER;
    for (int i = spread->first; i <= spread->last; i++) {
        shares[i / BINS_EACH - first][i % BINS_EACH] = (float)spread->shares[i];
    }
    add_rows((const float(*)[BINS_EACH])shares, rows, nodes->shares + first);
}

/* ---- Curve and code. ---- */

static double ladder_db(int i)
{
    return GAIN_SPREAD_LOW_DB - BEFORE + 0.5 * (i - GAIN_LADDER_SHIFT);
}

void gain_ladder_make(const struct information_curve *curve, struct gain_ladder *ladder)
{
    int count = (int)(sizeof ladder->bits / sizeof ladder->bits[0]);
    for (int i = 0; i < count; i++) {
        ladder->bits[i] = (float)information_curve_bits(curve, ladder_db(i));
    }
}

struct gain_rung gain_rung_make(const struct information_curve *curve, double ideal_db)
{
    double literal_db = ideal_db + GAIN_LITERAL_DB;
    return (struct gain_rung){literal_db, (float)information_curve_bits(curve, literal_db)};
}

/* ---- Mean information at eight shifts, from `shift` half decibels on. ---- */

TWINS static void climb_in_lanes(const struct gain_nodes *nodes, const float *bits, float *means)
{
    lanes sums[TOGETHER] = {{0.0f}}, at;
    const float *shares = nodes->shares + nodes->first;
    for (int i = 0; i < nodes->count; i += TOGETHER) {
        for (int k = 0; k < TOGETHER; k++) {
            memcpy(&at, bits + 2 * (ptrdiff_t)(i + k), sizeof at);
            sums[k] += shares[i + k] * at;
        }
    }
    at = (sums[0] + sums[1]) + (sums[2] + sums[3]);
    memcpy(means, &at, sizeof at);
}

/* From `shift` on; what is found stays for the next code of the ladder. */
static void climb(struct gain_nodes *nodes, const struct gain_ladder *ladder, int shift)
{
    if (nodes->ladder != ladder || nodes->shift != shift) {
        nodes->ladder = ladder;
        nodes->shift = shift;
        climb_in_lanes(nodes,
                       ladder->bits + 2 * (ptrdiff_t)nodes->first + shift + GAIN_LADDER_SHIFT,
                       nodes->means);
    }
}

/* ---- Where a code's literal end is. ---- */

#define STEPS 5               /* between the second and the last but one of eight shifts */
#define HIGHEST (2 - LANES)   /* from here on the eight end half a decibel above no shift */
#define NO_SHIFT (-(HIGHEST)) /* which of them is none */
#define LOWEST (-GAIN_LADDER_SHIFT)

/* For some spreads at once, four neighbouring shifts between whose second and third a code's
 * literal end is. */
#define SOME (8 * LANES)
struct between {
    float means[4][SOME];
    float parts[SOME]; /* how far between them, 0 to 1 */
    int shifts[SOME];  /* the second of the four */
    int which[SOME];   /* of the spreads */
};

TWINS static void find_parts(struct between *some, int count, float bits)
{
    for (int k = 0; k < count; k += LANES) {
        lanes v[4];
        memcpy(&v[0], some->means[0] + k, sizeof v[0]);
        memcpy(&v[1], some->means[1] + k, sizeof v[1]);
        memcpy(&v[2], some->means[2] + k, sizeof v[2]);
        memcpy(&v[3], some->means[3] + k, sizeof v[3]);
        lanes rise = v[2] - v[1], low = v[2] - 2.0f * v[1] + v[0];
        lanes high = v[3] - 2.0f * v[2] + v[1], part = (bits - v[1]) / rise;
        for (int i = 0; i < 4; i++) {
            lanes bend = (low * (2.0f - part) + high * (1.0f + part)) * (1.0f / 3.0f);
            part = (bits - v[1] + 0.5f * part * (1.0f - part) * bend) / rise;
        }
        memcpy(some->parts + k, &part, sizeof part);
    }
}

static int first_shift(double guess_db)
{
    double shift = floor(2.0 * guess_db) - 3.0;
    return shift < HIGHEST ? (shift > LOWEST ? (int)shift : LOWEST) : HIGHEST;
}

/* Climbs to where the literal end is: which of the shifts is the one before it; NO_SHIFT: it is
 * above the spread as it stands. */
static int find_end(struct gain_nodes *nodes, const struct gain_ladder *ladder,
                    const struct gain_rung *rung)
{
    float bits = rung->literal_bits;
    const float *means = nodes->means;
    int shift = nodes->ladder == ladder ? nodes->shift
                : isnan(nodes->lack_db) ? HIGHEST
                                        : first_shift(rung->literal_db + (double)nodes->lack_db);
    for (;;) {
        climb(nodes, ladder, shift);
        if (shift == HIGHEST && means[NO_SHIFT] <= bits) {
            return NO_SHIFT;
        }
        if (bits < means[1] && shift > LOWEST) {
            shift = shift - STEPS > LOWEST ? shift - STEPS : LOWEST;
        } else if (bits >= means[1 + STEPS] && shift < HIGHEST) {
            shift = shift + STEPS < HIGHEST ? shift + STEPS : HIGHEST;
        } else {
            break;
        }
    }
    int i = 1;
    while (i < STEPS && means[i + 1] <= bits) {
        i++;
    }
    return i;
}

static void keep_end(const struct gain_nodes *nodes, int which, int shift, int i,
                     struct between *some)
{
    for (int k = 0; k < 4; k++) {
        some->means[k][i] = nodes->means[shift - 1 + k];
    }
    some->shifts[i] = nodes->shift + shift;
    some->which[i] = which;
}

static void rank_some(struct gain_nodes *nodes, struct between *some, int count,
                      const struct gain_rung *rung, double *ranks)
{
    for (int i = count; i % LANES != 0; i++) {
        for (int k = 0; k < 4; k++) {
            some->means[k][i] = (float)k;
        }
    }
    find_parts(some, count, rung->literal_bits);
    for (int i = 0; i < count; i++) {
        double shift_db = 0.5 * (some->shifts[i] + (double)some->parts[i]);
        nodes[some->which[i]].lack_db = (float)(shift_db - rung->literal_db);
        ranks[some->which[i]] = -shift_db;
    }
}

void gain_nodes_ranks(struct gain_nodes *nodes, int count, const struct gain_ladder *ladder,
                      const struct gain_rung *rung, double *ranks)
{
    struct between some;
    int kept = 0;
    for (int i = 0; i < count; i++) {
        int shift = nodes[i].count > 0 ? find_end(&nodes[i], ladder, rung) : NO_SHIFT;
        if (nodes[i].count == 0) {
            ranks[i] = -INFINITY;
        } else if (shift == NO_SHIFT) {
            ranks[i] = (double)nodes[i].means[NO_SHIFT] - (double)rung->literal_bits;
        } else {
            keep_end(&nodes[i], i, shift, kept++, &some);
        }
        if (kept == SOME || (i == count - 1 && kept > 0)) {
            rank_some(nodes, &some, kept, rung, ranks);
            kept = 0;
        }
    }
}

double gain_rank_effective_db(const struct gain_rung *rung, const struct gain_raster *raster,
                              double rank)
{
    return rank > 0.0 ? rung->literal_db + rank
                      : gain_raster_snr_db(raster, rank + (double)rung->literal_bits);
}
