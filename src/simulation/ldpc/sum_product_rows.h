/* The sum-product update of block rows, exact to about 1e-5 of a message's size, without a
 * hyperbolic tangent.
 *
 * Idea: of two independent bits with likelihood ratios e^-|a| = ra and e^-|b| = rb (each at most 1)
 * the sum has (ra + rb) / (1 + ra rb); its sign is the product of signs. Kept as a fraction n / d,
 * one more bit costs two multiply-adds and no division, and nothing ever cancels:
 *     n' = n + r d        d' = d + r n        starting from 0 / 1, the bit that is surely 0.
 * A check needs, for each of its bits, the sum of all others: fractions from the first bit on and
 * fractions from the last bit on, joined in the middle,
 *     n = nf db + df nb   d = df db + nf nb,
 * and the message's size is ln(d / n). This equals 2 atanh of the product of tanh(|q| / 2)
 * (R. Gallager, "Low-density parity-check codes", 1963; F. Kschischang, B. Frey and H.-A. Loeliger,
 * IEEE Trans. Inf. Theory 47, 2001), without its loss of digits at large ratios.
 *
 * Validity: sizes are limited to SIZE_LIMIT, so that products of two e^-size are no denormals; d
 * grows by at most 2 a bit, 2^86 for the standard's largest check.
 *
 * Worked number: |q| = 2 and 3: n / d = (0.135335 + 0.049787) / (1 + 0.006738) = 0.183883, size
 * 1.69345 = 2 atanh(tanh 1 tanh 1.5).
 *
 * Included by each kernel's source file after its family's words (simulation/simd/words.h), KERNEL,
 * VECTORS and LANES. */
#include <math.h>
#include <stdbool.h>

#include "simulation/ldpc/kernel.h"

#define SIZE_LIMIT 40.0F
#define FAR 1e4F /* a sure bit */

/* 2^f for -1/2 <= f <= 1/2, relative error 2.6e-6 (own minimax fit). e^-x = 2^(k + f), k + f = -x
 * log2 e; adding EXP_ROUNDER leaves k in the low bits. */
#define LOG2_E 1.44269504F
#define EXP_ROUNDER 12582912.0F
#define EXP_0 0.9999992614469312F
#define EXP_1 0.6931218147429865F
#define EXP_2 0.24024744824991615F
#define EXP_3 0.05591786030632624F
#define EXP_4 0.009570102014633387F

/* A float's bits, less those of 1, are 2^23 log2 x with a straight line inside each octave; what
 * that lacks for 1 <= m < 2, ln m - (m - 1) ln 2, has absolute error 8.7e-6 (own minimax fit). */
#define LOG_ONE 0x3F800000
#define LOG_MANTISSA 0x7FFFFF
#define LOG_SCALE 8.2629582881927490e-8F /* ln 2 / 2^23 */
#define LOG_0 (-1.2479172267759802F)
#define LOG_1 2.8361577130924407F
#define LOG_2 (-2.4612219657608567F)
#define LOG_3 1.130626071066368F
#define LOG_4 (-0.2887399125139489F)
#define LOG_5 0.031104012078541524F

typedef float element;

enum { SLOT_BYTES = sizeof(vec), ROTATION_BYTES = sizeof(uint32_t) };

/* From element k on: what turns a register by k. */
#define TURN(k) VEC_PICK((k) % LANES)
static const _Alignas(64) uint32_t turning[] = {
    TURN(0),  TURN(1),  TURN(2),  TURN(3),  TURN(4),  TURN(5),  TURN(6),  TURN(7),
    TURN(8),  TURN(9),  TURN(10), TURN(11), TURN(12), TURN(13), TURN(14), TURN(15),
    TURN(16), TURN(17), TURN(18), TURN(19), TURN(20), TURN(21), TURN(22), TURN(23),
    TURN(24), TURN(25), TURN(26), TURN(27), TURN(28), TURN(29), TURN(30), TURN(31),
};

static inline bool is_negative(element value)
{
    return signbit(value) != 0;
}

static inline vec slot_read(const unsigned char *slot)
{
    return vec_load(slot);
}

static inline vec slot_read_turned(const unsigned char *slot, unsigned rotation)
{
    return vec_picked(vec_load(slot), (const unsigned char *)turning + rotation);
}

static inline void slot_write(unsigned char *slot, vec value)
{
    vec_store(slot, value);
}

static inline vec vec_add(vec a, vec b)
{
    return a + b;
}

static inline vec vec_sub(vec a, vec b)
{
    return a - b;
}

static inline bool vec_any_negative(vec value, int skip)
{
    return (vec_signs(value) & ((1U << LANES) - 1)) >> skip;
}

#include "simulation/ldpc/layers.h"

/* Channel ratios are taken up to this, so that no infinity enters the sums. */
#define RATIO_LIMIT 1e4F

static void prepare(const float *llr, void *elements, int count)
{
    float *limited = elements;
    for (int i = 0; i < count; i++) {
        float value = llr[i] == llr[i] ? llr[i] : 0.0F; /* NaN */
        value = value < RATIO_LIMIT ? value : RATIO_LIMIT;
        limited[i] = value > -RATIO_LIMIT ? value : -RATIO_LIMIT;
    }
}

/* Registers that are worked on at once, to fill the pipelines: a divisor of VECTORS. */
enum { AT_ONCE = 3 };

static inline __attribute__((always_inline)) vec exp_minus(vec size)
{
    const vec rounder = vec_splat(EXP_ROUNDER), scale = vec_splat(-LOG2_E);
    vec rounded = vec_fused(size, scale, rounder);
    vec rest = vec_fused(size, scale, rounder - rounded);
    vec square = rest * rest;
    vec middle = vec_fused(rest, vec_splat(EXP_3), vec_splat(EXP_2));
    vec first = vec_fused(rest, vec_splat(EXP_1), vec_splat(EXP_0));
    middle = vec_fused(square, vec_splat(EXP_4), middle);
    return bits_plus(vec_fused(square, middle, first), bits_up(rounded, 23));
}

static inline __attribute__((always_inline)) vec log_of(vec value)
{
    vec line = bits_above(value, LOG_ONE);
    vec rest = vec_or(vec_and(value, bits_splat(LOG_MANTISSA)), vec_splat(1.0F));
    vec square = rest * rest;
    vec sum = vec_fused(rest, vec_splat(LOG_5), vec_splat(LOG_4));
    vec middle = vec_fused(rest, vec_splat(LOG_3), vec_splat(LOG_2));
    vec first = vec_fused(rest, vec_splat(LOG_1), vec_splat(LOG_0));
    sum = vec_fused(square, vec_fused(square, sum, middle), first);
    return vec_fused(line, vec_splat(LOG_SCALE), sum);
}

/* A fraction n / d of each of the registers that are worked on at once. */
struct fractions {
    vec n[AT_ONCE], d[AT_ONCE];
};

static inline __attribute__((always_inline)) void fractions_add(struct fractions *all,
                                                                const vec *ratios)
{
    for (int v = 0; v < AT_ONCE; v++) {
        vec before = all->n[v];
        all->n[v] = vec_fused(ratios[v], all->d[v], before);
        all->d[v] = vec_fused(ratios[v], before, all->d[v]);
    }
}

static inline __attribute__((always_inline)) void fractions_clear(struct fractions *all)
{
    for (int v = 0; v < AT_ONCE; v++) {
        all->n[v] = vec_splat(0.0F);
        all->d[v] = vec_splat(1.0F);
    }
}

static void update_vectors(const struct ldpc_work *work, const struct ldpc_place *places,
                           unsigned char *messages, int degree)
{
    unsigned char *const posterior = work->posterior; /* no store can change it here */
    vec to_check[DEGREE_MAX][AT_ONCE], ratios[DEGREE_MAX][AT_ONCE], signs[AT_ONCE];
    struct fractions before[DEGREE_MAX], sum;
    const vec limit = vec_splat(SIZE_LIMIT);
    fractions_clear(&sum);
    for (int v = 0; v < AT_ONCE; v++) {
        signs[v] = vec_splat(0.0F);
    }
    for (int i = 0; i < degree; i++) {
        before[i] = sum;
        for (int v = 0; v < AT_ONCE; v++) {
            struct ldpc_place place = places[v * degree + i];
            vec now = place_read(posterior, place);
            vec q = now - slot_read(messages + (size_t)(v * degree + i) * sizeof(vec));
            to_check[i][v] = q;
            ratios[i][v] = exp_minus(vec_size_within(q, limit));
            signs[v] = vec_xor(signs[v], vec_sign(q));
        }
        fractions_add(&sum, ratios[i]);
    }
    fractions_clear(&sum);
    for (int i = degree - 1; i >= 0; i--) {
        for (int v = 0; v < AT_ONCE; v++) {
            vec q = to_check[i][v], nf = before[i].n[v], df = before[i].d[v];
            vec n = vec_fused(nf, sum.d[v], df * sum.n[v]);
            vec d = vec_fused(df, sum.d[v], nf * sum.n[v]);
            vec message = vec_xor(log_of(d / n), vec_xor(signs[v], vec_sign(q)));
            struct ldpc_place place = places[v * degree + i];
            place_write(posterior, place, q + message);
            slot_write(messages + (size_t)(v * degree + i) * sizeof(vec), message);
        }
        fractions_add(&sum, ratios[i]);
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
