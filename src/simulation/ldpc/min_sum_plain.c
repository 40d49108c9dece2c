/* Offset min-sum in fixed point, in plain C: the rule that every vector kernel repeats bit for bit.
 *
 * Idea: a check tells each of its bits what the others say: the product of their signs, and about
 * the smallest of their sizes. The true size is smaller than the smallest by up to ln 2 for each
 * near-tie, so an offset is taken off (J. Chen et al., "Reduced-complexity decoding of LDPC codes",
 * IEEE Trans. Commun. 53, 2005), here a larger one where the two smallest sizes are close, which
 * gains 0.04 dB at rate 10/15 for a few instructions a check. Layered schedule: each block row at
 * once works on a-posteriori values that earlier block rows of the same iteration have improved (D.
 * Hocevar, "A reduced complexity decoder architecture via layered decoding of LDPC codes", SiPS
 * 2004).
 *
 * For every edge of a check, all in steps of 1 / LDPC_STEPS with saturation at -128 and 127:
 *     q = posterior - message           what the bit says without this check
 *     least, second                     the two smallest |q|, at most limit + offset
 *     said = (signs of the others) * max(0, size), size = second - offset where |q| = least,
 *                                       else min(least - offset, second - 2 offset)
 *     posterior = q + said
 *     message = posterior - q           the part of it that the saturated sum took up
 * Keeping all that was said instead would take out of the next sum what never went in: sums of many
 * sure bits would fall far below what is known of them, and words that had all but converged came
 * apart in one iteration, one in a thousand at rate 13/15. A q of 0 counts as positive. Where two
 * edges of a check's block row lead into the same block column, the second adds what it would have
 * changed (posterior - old posterior) instead.
 *
 * Worked number: q = 8, -3, 20, offset 2: messages -1, 6, -1; with q = 4, -3, 20: 0, 2, 0. */
#include "simulation/ldpc/kernel.h"
#include "simulation/ldpc/prepare.h"

#include <stdlib.h>
#include <string.h>

/* Surer than any message. */
#define SURE 127

typedef int8_t lanes[LDPC_LANES];

static inline int8_t saturate(int16_t value)
{
    return (int8_t)(value < -128 ? -128 : value > 127 ? 127 : value);
}

/* In two's complement the smaller of x and -x as unsigned numbers, for -128 too. */
static inline uint8_t size_of(int8_t value)
{
    uint8_t same = (uint8_t)value, minus = (uint8_t)-value;
    return same < minus ? same : minus;
}

static void load(struct ldpc_work *work, const void *elements)
{
    memcpy(work->posterior, elements, (size_t)work->code->bits);
}

/* A block column as the checks of one edge see it, and back. */
static void turn_in(lanes seen, const struct ldpc_work *work, struct ldpc_edge edge)
{
    const unsigned char *column = work->posterior + edge.column * LDPC_LANES;
    int ahead = LDPC_LANES - edge.shift;
    memcpy(seen, column + edge.shift, (size_t)ahead);
    memcpy(seen + ahead, column, edge.shift);
}

static void turn_out(const struct ldpc_work *work, struct ldpc_edge edge, const lanes seen)
{
    unsigned char *column = work->posterior + edge.column * LDPC_LANES;
    int ahead = LDPC_LANES - edge.shift;
    memcpy(column + edge.shift, seen, (size_t)ahead);
    memcpy(column, seen + ahead, edge.shift);
}

static int8_t *message_of(const struct ldpc_work *work, int edge)
{
    return (int8_t *)work->messages + edge * LDPC_LANES;
}

/* q of every edge and lane of a block row; then the two smallest sizes and the exclusive or, whose
 * sign is the product of signs. Nothing in the loops over lanes keeps a compiler from using vector
 * instructions. */
struct row_state {
    lanes q[DEGREE_MAX], before[DEGREE_MAX], signs;
    uint8_t least[LDPC_LANES], second[LDPC_LANES];
};

static void gather_edge(struct row_state *restrict state, int i, const int8_t *restrict message)
{
    for (int lane = 0; lane < LDPC_LANES; lane++) {
        int8_t q = saturate((int16_t)(state->before[i][lane] - message[lane]));
        uint8_t least = state->least[lane], second = state->second[lane], size = size_of(q);
        uint8_t larger = size > least ? size : least;
        state->q[i][lane] = q;
        state->second[lane] = larger < second ? larger : second;
        state->least[lane] = size < least ? size : least;
        state->signs[lane] ^= q;
    }
}

static void gather_row(const struct ldpc_work *work, int start, int degree, struct row_state *state)
{
    memset(state->least, work->limit + work->offset, sizeof state->least);
    memset(state->second, work->limit + work->offset, sizeof state->second);
    memset(state->signs, 0, sizeof state->signs);
    for (int i = 0; i < degree; i++) {
        turn_in(state->before[i], work, work->code->edges[start + i]);
        if (start + i == work->code->open_edge) {
            state->before[i][0] = SURE; /* no bit of the first check: decides nothing */
        }
        gather_edge(state, i, message_of(work, start + i));
    }
}

static inline uint8_t less(uint8_t size, uint8_t offset)
{
    return (uint8_t)(size > offset ? size - offset : 0);
}

static void answer_edge(const struct row_state *restrict state, int i, uint8_t offset,
                        int8_t *restrict after, int8_t *restrict message)
{
    for (int lane = 0; lane < LDPC_LANES; lane++) {
        int8_t q = state->q[i][lane], sign = state->signs[lane] ^ q;
        uint8_t own = less(state->second[lane], offset), closer = less(own, offset);
        uint8_t other = less(state->least[lane], offset);
        other = other < closer ? other : closer;
        int8_t size = (int8_t)(size_of(q) == state->least[lane] ? own : other);
        int8_t sum = saturate((int16_t)(q + (sign < 0 ? (int8_t)-size : size)));
        after[lane] = sum;
        message[lane] = (int8_t)(sum - q);
    }
}

/* What the first of two edges into one column has left there, and what the second would change. */
static void add_twin(int8_t *restrict after, const int8_t *restrict now,
                     const int8_t *restrict before)
{
    for (int lane = 0; lane < LDPC_LANES; lane++) {
        after[lane] =
            saturate((int16_t)(now[lane] + saturate((int16_t)(after[lane] - before[lane]))));
    }
}

static void spread_row(const struct ldpc_work *work, int start, int degree,
                       const struct row_state *state)
{
    for (int i = 0; i < degree; i++) {
        struct ldpc_edge edge = work->code->edges[start + i];
        int8_t *message = message_of(work, start + i);
        lanes after, now;
        answer_edge(state, i, (uint8_t)work->offset, after, message);
        if (i > 0 && edge.column == work->code->edges[start + i - 1].column) {
            turn_in(now, work, edge);
            add_twin(after, now, state->before[i]);
        }
        if (start + i == work->code->open_edge) {
            turn_in(now, work, edge);
            after[0] = now[0];
            message[0] = 0;
        }
        turn_out(work, edge, after);
    }
}

static void iterate(struct ldpc_work *work)
{
    const struct ldpc_code *code = work->code;
    struct row_state state;
    for (int row = 0; row < code->block_rows; row++) {
        int start = code->row_start[row], degree = code->row_start[row + 1] - start;
        gather_row(work, start, degree, &state);
        spread_row(work, start, degree, &state);
    }
}

static bool row_holds(const struct ldpc_work *work, int start, int degree)
{
    lanes signs = {0}, seen;
    int8_t any = 0;
    for (int i = 0; i < degree; i++) {
        turn_in(seen, work, work->code->edges[start + i]);
        if (start + i == work->code->open_edge) {
            seen[0] = SURE;
        }
        for (int lane = 0; lane < LDPC_LANES; lane++) {
            signs[lane] ^= seen[lane];
        }
    }
    for (int lane = 0; lane < LDPC_LANES; lane++) {
        any |= signs[lane];
    }
    return any >= 0;
}

static bool check(const struct ldpc_work *work)
{
    const struct ldpc_code *code = work->code;
    for (int row = 0; row < code->block_rows; row++) {
        int start = code->row_start[row];
        if (!row_holds(work, start, code->row_start[row + 1] - start)) {
            return false;
        }
    }
    return true;
}

static void store(const struct ldpc_work *work, uint8_t *bits)
{
    const int8_t *posterior = (const int8_t *)work->posterior;
    for (int bit = 0; bit < work->code->bits; bit++) {
        bits[bit] = posterior[bit] < 0;
    }
}

static void prepare(const float *llr, void *elements, int count)
{
    quantise_steps(llr, elements, count);
}

const struct ldpc_kernel ldpc_min_sum_plain = {
    .element_bytes = 1,
    .register_bytes = 1,
    .prepare = prepare,
    .load = load,
    .iterate = iterate,
    .check = check,
    .store = store,
};
