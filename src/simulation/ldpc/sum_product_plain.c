/* The sum-product decoder in plain C, one check at a time; the rule is told in ldpc_sum_product.h.
 */
#include "simulation/ldpc/sum_product.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "simulation/ldpc/kernel.h"
#include "simulation/ldpc/prepare.h"

/* a b + c, rounded once where the processor can; elsewhere the double sum's second rounding differs
 * in about one of 10^8 cases, the only difference from the vector kernels. */
static inline float fused(float a, float b, float c)
{
#ifdef __FP_FAST_FMAF
    return fmaf(a, b, c);
#else
    return (float)((double)a * (double)b + (double)c);
#endif
}

static inline int32_t bits_of(float value)
{
    int32_t bits;
    memcpy(&bits, &value, sizeof bits);
    return bits;
}

static inline float from_bits(uint32_t bits)
{
    float value;
    memcpy(&value, &bits, sizeof value);
    return value;
}

static float exp_minus(float size)
{
    float limited = size < SIZE_LIMIT ? size : SIZE_LIMIT;
    float rounded = fused(limited, -LOG2_E, EXP_ROUNDER);
    float rest = fused(limited, -LOG2_E, EXP_ROUNDER - rounded);
    float square = rest * rest;
    float sum = fused(square, EXP_4, fused(rest, EXP_3, EXP_2));
    sum = fused(square, sum, fused(rest, EXP_1, EXP_0));
    return from_bits((uint32_t)bits_of(sum) + ((uint32_t)bits_of(rounded) << 23));
}

static float log_of(float value)
{
    float line = (float)(bits_of(value) - LOG_ONE);
    float rest = from_bits(((uint32_t)bits_of(value) & LOG_MANTISSA) | LOG_ONE);
    float square = rest * rest;
    float sum = fused(rest, LOG_5, LOG_4);
    sum = fused(square, sum, fused(rest, LOG_3, LOG_2));
    sum = fused(square, sum, fused(rest, LOG_1, LOG_0));
    return fused(line, LOG_SCALE, sum);
}

static void load(struct ldpc_work *work, const void *elements)
{
    memcpy(work->posterior, elements, (size_t)work->code->bits * sizeof(float));
}

static bool skips(const struct ldpc_code *code, int edge, int lane)
{
    return lane == 0 && edge == code->open_edge;
}

static float *posterior_of(const struct ldpc_work *work, int edge, int lane)
{
    struct ldpc_edge e = work->code->edges[edge];
    int bit = lane + e.shift;
    return (float *)(void *)work->posterior + e.column * LDPC_LANES +
           (bit < LDPC_LANES ? bit : bit - LDPC_LANES);
}

static float *message_of(const struct ldpc_work *work, int edge, int lane)
{
    return (float *)(void *)work->messages + edge * LDPC_LANES + lane;
}

/* Posterior values to be, by edge and lane of a block row; for the second edge into the same block
 * column what it gains instead. */
typedef float row_values[DEGREE_MAX][LDPC_LANES];

/* One check: new messages from forward and backward fractions. */
static void update_check(const struct ldpc_work *work, int start, int degree, int lane,
                         row_values values)
{
    float q[DEGREE_MAX], ratio[DEGREE_MAX], over[DEGREE_MAX], under[DEGREE_MAX];
    float n = 0.0F, d = 1.0F;
    bool odd = false;
    assert(degree > 0 && degree <= DEGREE_MAX);
    for (int i = 0; i < degree; i++) {
        bool sure = skips(work->code, start + i, lane);
        float before = n;
        q[i] =
            sure ? FAR : *posterior_of(work, start + i, lane) - *message_of(work, start + i, lane);
        ratio[i] = exp_minus(fabsf(q[i]));
        over[i] = n;
        under[i] = d;
        n = fused(ratio[i], d, n);
        d = fused(ratio[i], before, d);
        odd ^= signbit(q[i]) != 0;
    }
    n = 0.0F;
    d = 1.0F;
    for (int i = degree - 1; i >= 0; i--) {
        float before = n;
        float others_n = fused(over[i], d, under[i] * n);
        float others_d = fused(under[i], d, over[i] * n);
        float size = log_of(others_d / others_n);
        float message = odd != (signbit(q[i]) != 0) ? -size : size;
        values[i][lane] = q[i] + message;
        if (!skips(work->code, start + i, lane)) {
            *message_of(work, start + i, lane) = message;
        }
        n = fused(ratio[i], d, n);
        d = fused(ratio[i], before, d);
    }
}

static bool is_twin(const struct ldpc_code *code, int row, int edge)
{
    return edge > code->row_start[row] && code->edges[edge - 1].column == code->edges[edge].column;
}

static void iterate(struct ldpc_work *work)
{
    const struct ldpc_code *code = work->code;
    row_values values;
    for (int row = 0; row < code->block_rows; row++) {
        int start = code->row_start[row], degree = code->row_start[row + 1] - start;
        for (int lane = 0; lane < LDPC_LANES; lane++) {
            update_check(work, start, degree, lane, values);
        }
        /* Gains first: they need the posterior values as they were. */
        for (int i = 0; i < degree; i++) {
            for (int lane = 0; is_twin(code, row, start + i) && lane < LDPC_LANES; lane++) {
                values[i][lane] -= *posterior_of(work, start + i, lane);
            }
        }
        for (int i = 0; i < degree; i++) {
            bool twin = is_twin(code, row, start + i);
            for (int lane = 0; lane < LDPC_LANES; lane++) {
                if (!skips(code, start + i, lane)) {
                    float *posterior = posterior_of(work, start + i, lane);
                    *posterior = values[i][lane] + (twin ? *posterior : 0.0F);
                }
            }
        }
    }
}

static bool check(const struct ldpc_work *work)
{
    const struct ldpc_code *code = work->code;
    for (int row = 0; row < code->block_rows; row++) {
        for (int lane = 0; lane < LDPC_LANES; lane++) {
            bool odd = false;
            for (int edge = code->row_start[row]; edge < code->row_start[row + 1]; edge++) {
                odd ^= !skips(code, edge, lane) && signbit(*posterior_of(work, edge, lane));
            }
            if (odd) {
                return false;
            }
        }
    }
    return true;
}

static void store(const struct ldpc_work *work, uint8_t *bits)
{
    const float *posterior = (const float *)(const void *)work->posterior;
    for (int bit = 0; bit < work->code->bits; bit++) {
        bits[bit] = signbit(posterior[bit]) != 0;
    }
}

static void prepare(const float *llr, void *elements, int count)
{
    limit_ratios(llr, elements, count);
}

const struct ldpc_kernel ldpc_sum_product_plain = {
    .element_bytes = sizeof(float),
    .register_bytes = sizeof(float),
    .prepare = prepare,
    .load = load,
    .iterate = iterate,
    .check = check,
    .store = store,
};
