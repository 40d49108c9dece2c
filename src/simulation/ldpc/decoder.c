/* The decoder around its kernels: which one runs, its memory, when it stops. */
#include "simulation/ldpc/decoder.h"

#include <stdlib.h>
#include <string.h>

#include "simulation/ldpc/kernel.h"
#include "simulation/ldpc/prepare.h"

/* The min-sum rule's offset and largest message, in steps: chosen by measurement at rates 9/15 to
 * 13/15, where anything from 36 to 63 needs the same SNR. What decides is rare:
 * - Two messages must outweigh a channel value, for a parity bit of the accumulator has no more:
 *   with LIMIT no larger than LDPC_CHANNEL_LIMIT a frame in 4000 kept a wrong parity bit for ever.
 * - A sum stops at 127, and messages that came last have then no share in it. Where one message
 *   turns from LIMIT to -LIMIT, another check must still see the bit right: 127 - 2 LIMIT - LIMIT
 *   is 0 or more. With 63 one frame in 200 000 at rate 13/15, stuck with five wrong bits, came
 *   apart within two iterations. */
enum { OFFSET = 2, LIMIT = 42 };

struct ldpc_decoder {
    const struct ldpc_kernel *kernel;
    struct ldpc_work work;
    void *elements; /* N, prepared input */
    size_t message_bytes;
};

static const struct ldpc_kernel *const kernels[LDPC_ALGORITHM_COUNT][SIMD_KIND_COUNT] = {
    [LDPC_MIN_SUM][SIMD_PLAIN] = &ldpc_min_sum_plain,
    [LDPC_SUM_PRODUCT][SIMD_PLAIN] = &ldpc_sum_product_plain,
    [LDPC_BOX_PLUS][SIMD_PLAIN] = &ldpc_box_plus_plain,
#if defined(__x86_64__)
    [LDPC_MIN_SUM][SIMD_AVX2] = &ldpc_min_sum_avx2,
    [LDPC_MIN_SUM][SIMD_AVX512] = &ldpc_min_sum_avx512,
    [LDPC_SUM_PRODUCT][SIMD_AVX2] = &ldpc_sum_product_avx2,
    [LDPC_SUM_PRODUCT][SIMD_AVX512] = &ldpc_sum_product_avx512,
    [LDPC_BOX_PLUS][SIMD_AVX2] = &ldpc_box_plus_avx2,
    [LDPC_BOX_PLUS][SIMD_AVX512] = &ldpc_box_plus_avx512,
#elif defined(__aarch64__)
    [LDPC_MIN_SUM][SIMD_NEON] = &ldpc_min_sum_neon,
    [LDPC_SUM_PRODUCT][SIMD_NEON] = &ldpc_sum_product_neon,
    [LDPC_BOX_PLUS][SIMD_NEON] = &ldpc_box_plus_plain, /* the compilers' vectors are NEON's */
#endif
};

/* Registers are loaded whole and aligned. */
static void *allocate_aligned(size_t bytes)
{
    size_t whole = (bytes + 63) / 64 * 64;
    void *memory = aligned_alloc(64, whole);
    if (memory) {
        memset(memory, 0, whole);
    }
    return memory;
}

static bool allocate(struct ldpc_decoder *decoder)
{
    const struct ldpc_kernel *kernel = decoder->kernel;
    const struct ldpc_code *code = decoder->work.code;
    size_t posterior_bytes = (size_t)code->bits * kernel->element_bytes;
    decoder->message_bytes = (size_t)(code->edge_count * LDPC_LANES) * kernel->element_bytes;
    if (kernel->layout.vectors > 0) {
        struct ldpc_schedule *schedule = &decoder->work.schedule;
        if (ldpc_schedule_build(schedule, code, kernel->layout) != STATUS_OK) {
            return false;
        }
        int slots = (code->block_columns + schedule->spare_columns) * kernel->layout.vectors;
        int registers = code->edge_count * kernel->layout.vectors;
        posterior_bytes = (size_t)slots * (size_t)kernel->layout.slot_bytes;
        decoder->message_bytes = (size_t)registers * kernel->register_bytes;
    }
    decoder->work.posterior = allocate_aligned(posterior_bytes);
    decoder->work.messages = allocate_aligned(decoder->message_bytes);
    decoder->elements = calloc((size_t)code->bits, kernel->element_bytes);
    return decoder->work.posterior && decoder->work.messages && decoder->elements;
}

const char *ldpc_algorithm_name(enum ldpc_algorithm algorithm)
{
    static const char *const names[LDPC_ALGORITHM_COUNT] = {[LDPC_SUM_PRODUCT] = "sum-product",
                                                            [LDPC_BOX_PLUS] = "box-plus",
                                                            [LDPC_MIN_SUM] = "min-sum"};
    return (unsigned)algorithm < LDPC_ALGORITHM_COUNT ? names[algorithm] : "?";
}

struct ldpc_decoder *ldpc_decoder_create_with(const struct ldpc_code *code,
                                              enum ldpc_algorithm algorithm, enum simd_kind kind)
{
    const struct ldpc_kernel *kernel = kernels[algorithm][kind];
    if (!kernel || !simd_is_available(kind)) {
        return NULL;
    }
    struct ldpc_decoder *decoder = calloc(1, sizeof *decoder);
    if (!decoder) {
        return NULL;
    }
    decoder->kernel = kernel;
    decoder->work.code = code;
    decoder->work.offset = OFFSET;
    decoder->work.limit = LIMIT;
    if (!allocate(decoder)) {
        ldpc_decoder_free(decoder);
        return NULL;
    }
    return decoder;
}

struct ldpc_decoder *ldpc_decoder_create(const struct ldpc_code *code,
                                         enum ldpc_algorithm algorithm)
{
    return ldpc_decoder_create_with(code, algorithm, simd_best());
}

void ldpc_decoder_free(struct ldpc_decoder *decoder)
{
    if (decoder) {
        ldpc_schedule_free(&decoder->work.schedule);
        free(decoder->work.posterior);
        free(decoder->work.messages);
        free(decoder->elements);
        free(decoder);
    }
}

static struct ldpc_outcome decode(struct ldpc_decoder *decoder, const void *elements,
                                  int max_iterations, bool early_stop, uint8_t *bits)
{
    const struct ldpc_kernel *kernel = decoder->kernel;
    struct ldpc_work *work = &decoder->work;
    struct ldpc_outcome outcome = {0};
    kernel->load(work, elements);
    memset(work->messages, 0, decoder->message_bytes);
    do {
        kernel->iterate(work);
        outcome.iterations++;
        if (early_stop || outcome.iterations >= max_iterations) {
            outcome.converged = kernel->check(work);
        }
    } while (outcome.iterations < max_iterations && !(early_stop && outcome.converged));
    kernel->store(work, bits);
    return outcome;
}

struct ldpc_outcome ldpc_decode_steps(struct ldpc_decoder *decoder, const int8_t *steps,
                                      int max_iterations, bool early_stop, uint8_t *bits)
{
    return decode(decoder, steps, max_iterations, early_stop, bits);
}

struct ldpc_outcome ldpc_decode(struct ldpc_decoder *decoder, const float *llr, int max_iterations,
                                bool early_stop, uint8_t *bits)
{
    decoder->kernel->prepare(llr, decoder->elements, decoder->work.code->bits);
    return decode(decoder, decoder->elements, max_iterations, early_stop, bits);
}
