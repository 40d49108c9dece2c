/* The sum-product rule in fixed point, two bytes a value, nearly exact and two to three times
 * as fast.
 *
 * Idea: of two bits with log-likelihood ratios of sizes a and b the sum has the size
 *     a + b (boxed) = min(a, b) + f(a + b) - f(|a - b|),      f(x) = ln(1 + e^-x)
 * (J. Hagenauer, E. Offer and L. Papke, IEEE Trans. Inf. Theory 42, 1996). A check owes each of its
 * bits the boxed sum of all others. Where the bit left out is a sure one, leaving it out changes
 * hardly anything; so only the two least sure bits get sums of their own, and all others the sum of
 * all (after C. Jones et al., "Approximate-MIN* constraint node updating for LDPC code decoding",
 * MILCOM 2003, who treat one bit so). What that sum lacks is made good by a constant, LACKING. A
 * bit of a check then costs one boxed sum instead of three. f is a fourth power that begins as f
 * does, with ln 2 and the slope -1/2, and ends where f is 1/256: f(x) = ln 2 (1 - x / T)^4 for x <
 * T = 8 ln 2, else 0             error at most 0.018 In steps of 1 / STEPS, with STEPS such that
 * two products that keep the upper 16 of 32 bits come out in steps again: (8 (T - x))^2 / 2^16 = w,
 * w^2 / 2^16 = f.
 *
 * The schedule in layers, and what becomes of sums that saturate, are those of min_sum_plain.c: for
 * every edge, saturating at -32768 and 32767,
 *     q = posterior - message
 *     said = (signs of the others) * size
 *     posterior = q + said,  message = posterior - q
 * The limits stand to one another as there: two messages outweigh a channel value, and one turned
 * message leaves another in sight.
 *
 * Loss against the exact rule: 0.012 dB at most and 0.003 on average, on the same words of 71 pairs
 * of code, constellation and channel (tests/proof/counted.c, table in tests/published/accuracy.md).
 *
 * Worked number: sizes 738 and 1107 steps (2 and 3): T - x is 201 and 1677 steps for the sum and
 * the difference, f 0 and 115, so 623 steps, 1.688; exactly 1.693.
 *
 * Included by each kernel's source file with KERNEL, the layout and the functions that layers.h
 * names, and these besides: vec_splat, vec_size (-32768 becomes 32768 unsigned), vec_smaller,
 * vec_larger, vec_less (all unsigned; the last stops at 0), vec_plus and vec_minus (wrapping),
 * vec_up_3 (shifted left), vec_times (unsigned, the product's upper half), vec_signed_like(size,
 * sign): -size where sign < 0, vec_choose(q, least, other, own): own where |q| equals least. */
#include "simulation/ldpc/prepare.h"

typedef int16_t element;

#define FAR 32767

static inline bool is_negative(element value)
{
    return value < 0;
}

#include "simulation/ldpc/layers.h"

#define STEPS 369.0F
enum { CHANNEL_LIMIT = 8000, MESSAGE_LIMIT = 10800, SOFT_END = 2046, LACKING = 16 };

static void prepare(const float *llr, void *elements, int count)
{
    quantise_words(llr, elements, count, STEPS, CHANNEL_LIMIT);
}

#define INLINE static inline __attribute__((always_inline))

INLINE vec softness(vec x)
{
    vec rest = vec_up_3(vec_less(vec_splat(SOFT_END), x));
    vec square = vec_times(rest, rest);
    return vec_times(square, square);
}

INLINE vec box_plus(vec a, vec b)
{
    vec smaller = vec_smaller(a, b), difference = vec_minus(vec_larger(a, b), smaller);
    return vec_less(vec_plus(smaller, softness(vec_plus(a, b))), softness(difference));
}

/* Registers that are worked on at once, to fill the pipelines: a divisor of VECTORS. */
enum { AT_ONCE = 3 };

/* What a check hears of one register's bits: the two least sizes, the boxed sum of the others, and
 * the exclusive or of all q, whose sign is the product of signs. */
struct heard {
    vec least, second, rest, signs;
};

INLINE void hear(struct heard *heard, vec q)
{
    vec size = vec_size(q), larger = vec_larger(heard->least, size);
    heard->least = vec_smaller(heard->least, size);
    heard->rest = box_plus(heard->rest, vec_larger(heard->second, larger));
    heard->second = vec_smaller(heard->second, larger);
    heard->signs = vec_xor(heard->signs, q);
}

/* What it says to the least sure bit, the second, and all others, with the sign of all. */
struct said {
    vec to_least, to_second, to_others;
};

INLINE struct said answer(const struct heard *heard)
{
    vec without_second = box_plus(heard->rest, heard->least);
    vec all = vec_plus(box_plus(without_second, heard->second), vec_splat(LACKING));
    return (struct said){
        .to_least = vec_signed_like(box_plus(heard->rest, heard->second), heard->signs),
        .to_second = vec_signed_like(without_second, heard->signs),
        .to_others = vec_signed_like(all, heard->signs),
    };
}

static void update_vectors(const struct ldpc_work *work, const struct ldpc_place *places,
                           unsigned char *messages, int degree)
{
    unsigned char *const posterior = work->posterior; /* no store can change it here */
    const vec limit = vec_splat(MESSAGE_LIMIT);
    vec to_check[DEGREE_MAX][AT_ONCE];
    struct heard heard[AT_ONCE];
    struct said said[AT_ONCE];
    for (int v = 0; v < AT_ONCE; v++) {
        heard[v] = (struct heard){limit, limit, limit, vec_splat(0)};
    }
    for (int i = 0; i < degree; i++) {
        for (int v = 0; v < AT_ONCE; v++) {
            struct ldpc_place place = places[v * degree + i];
            vec now = slot_read_turned(posterior + (size_t)place.slot * 8, place.rotation);
            vec message = slot_read(messages + (size_t)(v * degree + i) * sizeof(vec));
            to_check[i][v] = vec_sub(now, message);
            hear(&heard[v], to_check[i][v]);
        }
    }
    for (int v = 0; v < AT_ONCE; v++) {
        said[v] = answer(&heard[v]);
    }
    for (int i = 0; i < degree; i++) {
        for (int v = 0; v < AT_ONCE; v++) {
            vec q = to_check[i][v];
            vec size = vec_choose(q, heard[v].second, said[v].to_others, said[v].to_second);
            size = vec_choose(q, heard[v].least, size, said[v].to_least);
            vec after = vec_add(q, vec_signed_like(size, q)), message = vec_minus(after, q);
            slot_write(posterior + (size_t)places[v * degree + i].slot * 8, after);
            memcpy(messages + (size_t)(v * degree + i) * sizeof(vec), &message, sizeof message);
        }
    }
}

static void update_row(const struct ldpc_work *work, const struct ldpc_place *places,
                       unsigned char *messages, int degree)
{
    for (int vector = 0; vector < VECTORS; vector += AT_ONCE) {
        update_vectors(work, places, messages, degree);
        places += AT_ONCE * degree;
        messages += (size_t)(AT_ONCE * degree) * sizeof(vec);
    }
}
