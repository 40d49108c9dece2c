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
 * names, and these besides: ONE_LOOP, where loops had better not be taken apart by degrees;
 * SIGNS_AT_ONCE, how many edges' signs had better be multiplied at once;
 * VEC_SETTLE(vec), which has it in a register; vec_splat, vec_signed_like(size, sign): -size where
 * sign < 0; and for `sizes`, a register of bytes without sign: sizes_of(q), |q| of two registers,
 * at most SURE, sizes_part(all, i), those of the one or the other as words; sizes_smaller,
 * sizes_larger, sizes_plus, sizes_minus (wrapping), sizes_more, sizes_less (saturating),
 * sizes_choose(size, least, other, own): own where size equals least, sizes_soft(x) and
 * sizes_soft_sum(a, b): f of x and of a + b, from softness.h. */
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

/* Loops that are not taken apart serve all degrees. */
#if defined(ONE_LOOP) || defined(LOOPS_ONCE)
#define UNROLLED
#define EACH_DEGREE(loop)
#else
#define UNROLLED _Pragma("GCC unroll 32")
#define EACH_DEGREE(loop) EACH_OWN_DEGREE(loop)
#endif

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

INLINE void hear(struct heard *heard, int i, sizes size, const vec q[2])
{
    sizes larger = sizes_larger(heard->least, size);
    heard->least = sizes_smaller(heard->least, size);
    heard->rest = box_plus(heard->rest, sizes_larger(heard->second, larger));
    heard->second = sizes_smaller(heard->second, larger);
    heard->signs[0] = vec_xor(heard->signs[0], q[0]);
    heard->signs[1] = vec_xor(heard->signs[1], q[1]);
    if (i % SIGNS_AT_ONCE == 0) { /* compilers would put it off and keep every q until then */
        VEC_SETTLE(heard->signs[0]);
        VEC_SETTLE(heard->signs[1]);
    }
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

/* What two registers of a block row ask of a check and hear from it, edge by edge. Kept in memory:
 * there are too many for registers. */
struct asked {
    vec to_check[2];
    sizes size;
};

INLINE struct heard heard_nothing(void)
{
    const sizes sure = sizes_splat(SURE);
    return (struct heard){sure, sure, sure, {vec_splat(0), vec_splat(0)}};
}

/* Edge i of two registers, whose places and messages lie one after the other. */
INLINE struct asked ask(const unsigned char *posterior, const struct ldpc_place *places,
                        const unsigned char *messages, const int degree, int i)
{
    struct asked asked;
    for (int k = 0; k < 2; k++) {
        int edge = k * degree + i;
        asked.to_check[k] = vec_sub(place_read(posterior, places[edge]),
                                    slot_read(messages + (size_t)edge * sizeof(vec)));
    }
    asked.size = sizes_of(asked.to_check);
    return asked;
}

INLINE void tell(const struct heard *heard, const struct said *said, const struct asked *asked,
                 unsigned char *posterior, const struct ldpc_place *places, unsigned char *messages,
                 const int degree, int i)
{
    sizes told = sizes_choose(asked->size, heard->second, said->to_others, said->to_second);
    told = sizes_choose(asked->size, heard->least, told, said->to_least);
    for (int k = 0; k < 2; k++) {
        int edge = k * degree + i;
        vec q = asked->to_check[k];
        vec message = vec_signed_like(sizes_part(told, k), vec_xor(q, heard->signs[k]));
        place_write(posterior, places[edge], vec_add(q, message));
        memcpy(messages + (size_t)edge * sizeof(vec), &message, sizeof message);
    }
}

/* Two registers are told while the next two are heard: a boxed sum waits for the one before it, and
 * telling for none. They are never in one slot, as a block row's edges lead into different
 * columns. */
INLINE void update_degree(const struct ldpc_work *work, const struct ldpc_place *places,
                          unsigned char *messages, const int degree)
{
    unsigned char *const posterior = work->posterior; /* no store can change it here */
    struct asked memory[DEGREE_MAX], *asked = memory;
    __asm__("" : "+r"(asked)); /* or compilers move all of it from place to place each time */
    struct heard heard = heard_nothing();
    UNROLLED
    for (int i = 0; i < degree; i++) {
        asked[i] = ask(posterior, places, messages, degree, i);
        hear(&heard, i, asked[i].size, asked[i].to_check);
    }
    for (int vector = 2; vector < VECTORS; vector += 2) {
        const struct ldpc_place *next_places = places + 2 * degree;
        unsigned char *next_messages = messages + (size_t)(2 * degree) * sizeof(vec);
        struct said said = answer(&heard);
        struct heard before = heard;
        heard = heard_nothing();
        UNROLLED
        for (int i = 0; i < degree; i++) {
            struct asked next = ask(posterior, next_places, next_messages, degree, i);
            hear(&heard, i, next.size, next.to_check);
            tell(&before, &said, &asked[i], posterior, places, messages, degree, i);
            asked[i] = next;
        }
        places = next_places;
        messages = next_messages;
    }
    struct said said = answer(&heard);
    UNROLLED
    for (int i = 0; i < degree; i++) {
        tell(&heard, &said, &asked[i], posterior, places, messages, degree, i);
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
        EACH_DEGREE(OWN_LOOP)
    default:
        update_degree(work, places, messages, degree);
    }
#undef OWN_LOOP
}
