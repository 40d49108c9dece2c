/* The sum-product rule in fixed point, nearly exact and about four times as fast.
 *
 * Idea: of two bits with log-likelihood ratios of sizes a and b the sum has the size
 *     a + b (boxed) = min(a, b) + f(a + b) - f(|a - b|),      f(x) = ln(1 + e^-x)
 * (J. Hagenauer, E. Offer and L. Papke, IEEE Trans. Inf. Theory 42, 1996). A check owes each of its
 * bits the boxed sum of all others. Where the bit left out is a sure one, leaving it out changes
 * hardly anything; so only the two least sure bits get sums of their own, and all others the sum of
 * all (after C. Jones et al., "Approximate-MIN* constraint node updating for LDPC code decoding",
 * MILCOM 2003, who treat one bit so). What that sum lacks is made good by half a step: a whole one
 * for every other check. A bit of a check then costs one boxed sum instead of three.
 *
 * What is known of a bit is a sum of many messages; it takes two bytes, in steps of 1 / STEPS, and
 * never saturates. Sizes within a check take one: there 255 steps, 14, are as sure as any, and two
 * such messages outweigh a channel value. So two registers' sizes are worked on as one, and f comes
 * from a table. Bytes for all, in steps of 1/4, would be faster by half and lose 0.05 dB.
 *
 * The schedule in layers is that of min_sum_plain.c: for every edge
 *     q = posterior - message
 *     message = (signs of the others) * size
 *     posterior = q + message
 *
 * Loss against the exact rule: 0.013 dB at most and 0.003 on average, on the same words of 76 pairs
 * of code, constellation and channel (tests/proof/counted.c, table in tests/published/accuracy.md).
 *
 * Worked number: sizes 36 and 54 steps (2 and 3): f of their sum 0, of their difference 6, so 30
 * steps, 1.67; exactly 1.693.
 *
 * Included by each kernel's source file with KERNEL, the layout and the functions that layers.h
 * names, and these besides: vec_splat, vec_signed_like(size, sign): -size where sign < 0; and for
 * `sizes`, a register of bytes without sign: sizes_of(q), |q| of two registers, at most SURE,
 * sizes_part(all, i), those of the one or the other as words; sizes_smaller, sizes_larger,
 * sizes_plus, sizes_minus (wrapping), sizes_more, sizes_less (saturating), sizes_choose(size,
 * least, other, own): own where size equals least, sizes_soft(x) and sizes_soft_sum(a, b): f of x
 * and of a + b, from softness.h. */
#include "simulation/ldpc/prepare.h"
#include "simulation/ldpc/softness.h"

typedef int16_t element;

#define FAR 32767

static inline bool is_negative(element value)
{
    return value < 0;
}

#include "simulation/ldpc/layers.h"

enum { SURE = 255, CHANNEL_LIMIT = 400 };

static void prepare(const float *llr, void *elements, int count)
{
    quantise_words(llr, elements, count, STEPS, CHANNEL_LIMIT);
}

#define INLINE static inline __attribute__((always_inline))

INLINE sizes box_plus(sizes a, sizes b)
{
    sizes smaller = sizes_smaller(a, b), difference = sizes_minus(sizes_larger(a, b), smaller);
    sizes more = sizes_plus(smaller, sizes_soft_sum(a, b));
    return sizes_less(more, sizes_soft(difference));
}

/* What a check hears of its bits, for two registers: the two least sizes, the boxed sum of the
 * others, and the exclusive or of all q, whose sign is the product of signs. */
struct heard {
    sizes least, second, rest;
    vec signs[2];
};

INLINE void hear(struct heard *heard, sizes size, const vec q[2])
{
    sizes larger = sizes_larger(heard->least, size);
    heard->least = sizes_smaller(heard->least, size);
    heard->rest = box_plus(heard->rest, sizes_larger(heard->second, larger));
    heard->second = sizes_smaller(heard->second, larger);
    heard->signs[0] = vec_xor(heard->signs[0], q[0]);
    heard->signs[1] = vec_xor(heard->signs[1], q[1]);
}

/* What it says to the least sure bit, the second, and all others. */
struct said {
    sizes to_least, to_second, to_others;
};

INLINE struct said answer(const struct heard *heard)
{
    const vec every_other[2] = {vec_splat(1), vec_splat(0)};
    sizes without_second = box_plus(heard->rest, heard->least);
    sizes all = box_plus(without_second, heard->second);
    return (struct said){
        .to_least = box_plus(heard->rest, heard->second),
        .to_second = without_second,
        .to_others = sizes_more(all, sizes_of(every_other)),
    };
}

/* Two registers of a block row, whose places and messages lie one after the other. */
INLINE void update_two(const struct ldpc_work *work, const struct ldpc_place *places,
                       unsigned char *messages, const int degree)
{
    unsigned char *const posterior = work->posterior; /* no store can change it here */
    const sizes sure = sizes_splat(SURE);
    vec to_check[DEGREE_MAX][2];
    sizes heard_sizes[DEGREE_MAX];
    struct heard heard = {sure, sure, sure, {vec_splat(0), vec_splat(0)}};
#pragma GCC unroll 32
    for (int i = 0; i < degree; i++) {
        for (int k = 0; k < 2; k++) {
            int edge = k * degree + i;
            vec now =
                slot_read_turned(posterior + (size_t)places[edge].slot * 8, places[edge].rotation);
            to_check[i][k] = vec_sub(now, slot_read(messages + (size_t)edge * sizeof(vec)));
        }
        heard_sizes[i] = sizes_of(to_check[i]);
        hear(&heard, heard_sizes[i], to_check[i]);
    }
    struct said said = answer(&heard);
#pragma GCC unroll 32
    for (int i = 0; i < degree; i++) {
        sizes size = heard_sizes[i];
        sizes told = sizes_choose(size, heard.second, said.to_others, said.to_second);
        told = sizes_choose(size, heard.least, told, said.to_least);
        for (int k = 0; k < 2; k++) {
            int edge = k * degree + i;
            vec q = to_check[i][k];
            vec message = vec_signed_like(sizes_part(told, k), vec_xor(q, heard.signs[k]));
            slot_write(posterior + (size_t)places[edge].slot * 8, vec_add(q, message));
            memcpy(messages + (size_t)edge * sizeof(vec), &message, sizeof message);
        }
    }
}

INLINE void update_degree(const struct ldpc_work *work, const struct ldpc_place *places,
                          unsigned char *messages, const int degree)
{
    for (int vector = 0; vector < VECTORS; vector += 2) {
        update_two(work, places, messages, degree);
        places += 2 * degree;
        messages += (size_t)(2 * degree) * sizeof(vec);
    }
}

static void update_row(const struct ldpc_work *work, const struct ldpc_place *places,
                       unsigned char *messages, int degree)
{
#define OWN_LOOP(d)                               \
    case d:                                       \
        update_degree(work, places, messages, d); \
        break;
    switch (degree) {
        EACH_OWN_DEGREE(OWN_LOOP)
    default:
        update_degree(work, places, messages, degree);
    }
#undef OWN_LOOP
}
