/* Frame error rate of an LDPC code alone, +-1 signalling in Gaussian noise: what the decoders'
 * losses and floors are measured with.
 *
 *     ldpc_fer LENGTH RATE_15THS sum-product|box-plus|min-sum ES_N0_DB FRAMES
 *              [ERRORS [ITERATIONS [SEED]]]
 *
 * Stops at FRAMES, or earlier at ERRORS frame errors; of these it tells how many ended in a wrong
 * word and how many have so few wrong bits that BCH would correct them. Every frame has its own
 * random stream. The min-sum decoder's quantised input is drawn from its exact distribution, which
 * is ten times as fast as drawing normal numbers: long runs for error floors need it. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "base/random.h"
#include "simulation/ldpc/bch.h"
#include "simulation/ldpc/decoder.h"
#include "simulation/ldpc/encoder.h"
#include "standard/atsc3/ldpc.h"

enum { SLOTS = 65536, VALUES = 2 * LDPC_CHANNEL_LIMIT + 1 };

/* Steps of a received +1 by 16 random bits; where those do not decide, by the rest of the
 * distribution. */
struct source {
    int8_t steps[SLOTS];
    int decided;         /* slots of `steps` in use */
    double rest[VALUES]; /* cumulated */
};

/* Probability that a normal number of this mean and deviation, in steps, rounds to `value`. */
static double probability(int value, double mean, double deviation)
{
    double low = value == -LDPC_CHANNEL_LIMIT ? -INFINITY : value - 0.5;
    double high = value == LDPC_CHANNEL_LIMIT ? INFINITY : value + 0.5;
    double root = deviation * sqrt(2.0);
    return 0.5 * (erfc((low - mean) / root) - erfc((high - mean) / root));
}

static void source_fill(struct source *source, double variance)
{
    double mean = 2.0 / variance * (double)LDPC_STEPS, sum = 0;
    double deviation = mean * sqrt(variance);
    source->decided = 0;
    for (int i = 0; i < VALUES; i++) {
        double slots = SLOTS * probability(i - LDPC_CHANNEL_LIMIT, mean, deviation);
        for (int j = 0; j < (int)slots; j++) {
            source->steps[source->decided++] = (int8_t)(i - LDPC_CHANNEL_LIMIT);
        }
        sum += slots - floor(slots);
        source->rest[i] = sum;
    }
}

static int8_t source_rest(const struct source *source, struct random *random)
{
    double place = random_uniform(random) * source->rest[VALUES - 1];
    int i = 0;
    while (i < VALUES - 1 && source->rest[i] <= place) {
        i++;
    }
    return (int8_t)(i - LDPC_CHANNEL_LIMIT);
}

static void draw_steps(const struct source *source, struct random *random, const uint8_t *word,
                       int count, int8_t *steps)
{
    for (int i = 0; i < count; i += 4) {
        uint64_t bits = random_bits(random);
        for (int k = 0; k < 4; k++) {
            int slot = (int)(bits >> (16 * k) & 0xFFFF);
            int step = slot < source->decided ? source->steps[slot] : source_rest(source, random);
            steps[i + k] = (int8_t)(word[i + k] ? -step : step);
        }
    }
}

static void draw_ratios(double variance, struct random *random, const uint8_t *word, int count,
                        float *llr)
{
    double deviation = sqrt(variance);
    for (int i = 0; i < count; i++) {
        double received = (word[i] ? -1 : 1) + deviation * random_normal(random);
        llr[i] = (float)(2 * received / variance);
    }
}

struct bench {
    struct ldpc_code code;
    struct ldpc_decoder *decoder;
    uint8_t *word, *bits;
    int8_t *steps;
    float *llr;
    struct source *source;
};

struct counts {
    long frames, errors, wrong_words, within_outer, bit_errors, iterations;
};

static struct counts run(struct bench *b, bool min_sum, double variance, long frames, long errors,
                         int iterations, uint64_t seed)
{
    struct counts counts = {0};
    while (counts.frames < frames && counts.errors < errors) {
        struct random random = random_seeded(seed, (uint64_t)counts.frames++);
        for (int i = 0; i < b->code.information_bits; i += 8) {
            uint64_t bits = random_bits(&random);
            for (int k = 0; k < 8; k++) {
                b->word[i + k] = bits >> k & 1;
            }
        }
        ldpc_encode(&b->code, b->word);
        struct ldpc_outcome outcome;
        if (min_sum) {
            draw_steps(b->source, &random, b->word, b->code.bits, b->steps);
            outcome = ldpc_decode_steps(b->decoder, b->steps, iterations, true, b->bits);
        } else {
            draw_ratios(variance, &random, b->word, b->code.bits, b->llr);
            outcome = ldpc_decode(b->decoder, b->llr, iterations, true, b->bits);
        }
        int wrong = 0;
        for (int i = 0; i < b->code.information_bits; i++) {
            wrong += b->word[i] != b->bits[i];
        }
        counts.errors += wrong > 0;
        counts.wrong_words += wrong > 0 && outcome.converged;
        counts.within_outer += wrong > 0 && wrong <= BCH_CORRECTABLE;
        counts.bit_errors += wrong;
        counts.iterations += outcome.iterations;
    }
    return counts;
}

int main(int count, char **arguments)
{
    if (count < 6) {
        fprintf(stderr, "usage: ldpc_fer LENGTH RATE_15THS sum-product|box-plus|min-sum ES_N0_DB "
                        "FRAMES [ERRORS [ITERATIONS [SEED]]]\n");
        return 2;
    }
    bool min_sum = strcmp(arguments[3], "min-sum") == 0;
    bool box_plus = strcmp(arguments[3], "box-plus") == 0;
    double es_n0_db = 0;
    int numbers[8] = {0, 0, 0, 0, 0, 0, 50, 1}; /* by place on the command line, from LENGTH on */
    bool read = number_read_double(arguments[4], &es_n0_db);
    for (int i = 0; i < 8 && i + 1 < count; i++) {
        read &= i == 2 || i == 3 || number_read_int(arguments[i + 1], &numbers[i]);
    }
    if (!read) {
        fprintf(stderr, "ldpc_fer: a number cannot be read\n");
        return 2;
    }
    double variance = pow(10.0, -es_n0_db / 10) / 2;
    long frames = numbers[4], errors = count > 6 ? numbers[5] : frames;
    int iterations = numbers[6];
    uint64_t seed = (uint64_t)numbers[7];
    struct bench b = {0};
    enum code_length length = numbers[0] == 64800 ? LENGTH_64800 : LENGTH_16200;
    if (ldpc_code_build(&b.code, length, numbers[1]) != STATUS_OK) {
        fprintf(stderr, "ldpc_fer: no such code\n");
        return 2;
    }
    b.decoder = ldpc_decoder_create(&b.code, min_sum    ? LDPC_MIN_SUM
                                             : box_plus ? LDPC_BOX_PLUS
                                                        : LDPC_SUM_PRODUCT);
    b.word = malloc((size_t)b.code.bits);
    b.bits = malloc((size_t)b.code.bits);
    b.steps = malloc((size_t)b.code.bits);
    b.llr = malloc((size_t)b.code.bits * sizeof *b.llr);
    b.source = malloc(sizeof *b.source);
    int status = 1;
    if (b.decoder && b.word && b.bits && b.steps && b.llr && b.source) {
        source_fill(b.source, variance);
        struct counts c = run(&b, min_sum, variance, frames, errors, iterations, seed);
        double information = (double)c.frames * b.code.information_bits;
        printf("%s %s/15 %s Es/N0 %s dB: frames %ld errors %ld (wrong words %ld, for BCH %ld) "
               "FER %.3g BER %.3g iterations %.2f\n",
               arguments[1], arguments[2], arguments[3], arguments[4], c.frames, c.errors,
               c.wrong_words, c.within_outer, (double)c.errors / (double)c.frames,
               (double)c.bit_errors / information, (double)c.iterations / (double)c.frames);
        status = 0;
    }
    ldpc_decoder_free(b.decoder);
    ldpc_code_free(&b.code);
    free(b.word);
    free(b.bits);
    free(b.steps);
    free(b.llr);
    free(b.source);
    return status;
}
