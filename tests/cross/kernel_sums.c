/* Prints checksums of what the best kernels of a processor make of the same words and cells, to be
 * compared between processor families (tests/support/check-aarch64). Exits with 1 where a
 * decoder differs from plain C. */
#include <stdio.h>
#include <stdlib.h>

#include "base/random.h"
#include "simulation/ldpc/decoder.h"
#include "simulation/ldpc/encoder.h"
#include "simulation/modem/modem.h"
#include "simulation/modem/noise.h"
#include "standard/atsc3/ldpc.h"

enum { BITS = 64800, CELLS = 1024 };

/* FNV-1a, from `sum` on. */
static uint64_t add_to_sum(uint64_t sum, const void *data, size_t size)
{
    const unsigned char *bytes = data;
    for (size_t i = 0; i < size; i++) {
        sum = (sum ^ bytes[i]) * 1099511628211U;
    }
    return sum;
}

/* A random word with about normal noise, without functions of a mathematical library. */
static void make_ratios(const struct ldpc_code *code, uint64_t seed, float *llr)
{
    static uint8_t word[BITS];
    struct random random = random_seeded(seed, 1);
    for (int i = 0; i < code->information_bits; i++) {
        word[i] = random_bits(&random) & 1;
    }
    ldpc_encode(code, word);
    for (int i = 0; i < code->bits; i++) {
        double noise = -2;
        for (int k = 0; k < 4; k++) {
            noise += random_uniform(&random);
        }
        llr[i] = (float)(2 * ((word[i] ? -1 : 1) + 1.6 * noise));
    }
}

/* After one, four and seven iterations. */
static uint64_t decode(struct ldpc_decoder *decoder, const struct ldpc_code *code, const float *llr)
{
    static uint8_t bits[BITS];
    uint64_t sum = 14695981039346656037U;
    for (int iterations = 1; iterations <= 7; iterations += 3) {
        struct ldpc_outcome outcome = ldpc_decode(decoder, llr, iterations, true, bits);
        sum = add_to_sum(sum, bits, (size_t)code->bits);
        sum = add_to_sum(sum, &outcome.iterations, sizeof outcome.iterations);
    }
    return sum;
}

static const char *const decoder_names[LDPC_ALGORITHM_COUNT] = {
    [LDPC_SUM_PRODUCT] = "sum-product", [LDPC_BOX_PLUS] = "box-plus", [LDPC_MIN_SUM] = "min-sum"};

static int decode_code(enum code_length length, int rate_15ths)
{
    static float llr[BITS];
    struct ldpc_code code;
    int failed = 0;
    if (ldpc_code_build(&code, length, rate_15ths) != STATUS_OK) {
        return 1;
    }
    make_ratios(&code, (uint64_t)(100 * (int)length + rate_15ths), llr);
    for (int algorithm = 0; algorithm < LDPC_ALGORITHM_COUNT; algorithm++) {
        struct ldpc_decoder *best = ldpc_decoder_create(&code, (enum ldpc_algorithm)algorithm);
        struct ldpc_decoder *plain =
            ldpc_decoder_create_with(&code, (enum ldpc_algorithm)algorithm, SIMD_PLAIN);
        if (!best || !plain) {
            exit(1);
        }
        uint64_t sum = decode(best, &code, llr);
        failed |= sum != decode(plain, &code, llr);
        printf("%d bits %d/15 %s %016llx\n", code.bits, rate_15ths, decoder_names[algorithm],
               (unsigned long long)sum);
        ldpc_decoder_free(best);
        ldpc_decoder_free(plain);
    }
    ldpc_code_free(&code);
    return failed;
}

static void demap_all(void)
{
    static struct modem modem;
    static float re[CELLS], im[CELLS], gain[CELLS], twice[CELLS], planes[12 * CELLS];
    const struct kernels *kernels = kernels_best();
    struct random random = random_seeded(3, 3);
    struct noise noise = noise_seeded(&random);
    kernels->normal(&noise, re, CELLS);
    kernels->normal(&noise, im, CELLS);
    kernels->exponential(&noise, gain, CELLS);
    uint64_t sum =
        add_to_sum(add_to_sum(add_to_sum(0, re, sizeof re), im, sizeof im), gain, sizeof gain);
    printf("noise %016llx\n", (unsigned long long)sum);
    for (int i = 0; i < CELLS; i++) {
        gain[i] *= 50.0f;
    }
    for (int i = 0; i < CELLS; i++) {
        twice[i] = 2.0f * gain[CELLS - 1 - i];
    }
    for (int c = QPSK; c < CONSTELLATION_COUNT; c++) {
        for (int method = 0; method < DEMAP_COUNT; method++) {
            modem_build(&modem, (enum constellation)c, 9);
            kernels->demap(&modem.demapper, (enum demapper_method)method,
                           (struct received){re, im, gain, CELLS},
                           (struct bit_planes){planes, CELLS});
            sum = add_to_sum(0, planes, sizeof(float) * CELLS * (size_t)modem.bits);
            printf("demapper %d %d %016llx\n", c, method, (unsigned long long)sum);
            if (c <= QAM256) { /* the parts with noise of their own */
                kernels->demap_apart(modem_points(&modem), (enum demapper_method)method,
                                     (struct received_apart){re, gain, im, twice, CELLS},
                                     (struct bit_planes){planes, CELLS});
                sum = add_to_sum(0, planes, sizeof(float) * CELLS * (size_t)modem.bits);
                printf("apart %d %d %016llx\n", c, method, (unsigned long long)sum);
            }
        }
    }
}

int main(void)
{
    int failed = 0;
    for (int number = 0; number < 2 * RATE_COUNT; number++) {
        failed |= decode_code(number < RATE_COUNT ? LENGTH_64800 : LENGTH_16200,
                              RATE_MIN_15THS + number % RATE_COUNT);
    }
    demap_all();
    fprintf(stderr, "%s\n", simd_name(simd_best()));
    return failed;
}
