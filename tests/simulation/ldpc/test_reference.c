#include "support/near.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "simulation/ldpc/decoder.h"
#include "simulation/ldpc/encoder.h"
#include "standard/atsc3/ldpc.h"

/* The textbook's sum-product in double precision, check by check with tanh and atanh, as a witness
 * for the fast decoders: in the flooding schedule of the textbook, or in the layered one. It knows
 * nothing of lanes: its checks are plain lists of bits. */

#define LANES 360
enum { LARGEST = 96 };

struct checks {
    int bits, checks;
    int *start; /* of each check in `bit` and `message` */
    int *bit;
    double *message, *before, *posterior, *channel;
};

static struct checks checks_of(const struct ldpc_code *code)
{
    struct checks list = {.bits = code->bits, .checks = code->checks};
    size_t edges = (size_t)code->edge_count * LANES, bits = (size_t)code->bits;
    list.start = calloc((size_t)list.checks + 1, sizeof *list.start);
    list.bit = calloc(edges, sizeof *list.bit);
    list.message = calloc(edges, sizeof *list.message);
    list.before = calloc(bits, sizeof *list.before);
    list.posterior = calloc(bits, sizeof *list.posterior);
    list.channel = calloc(bits, sizeof *list.channel);
    assert_true(list.start && list.bit && list.message && list.before && list.posterior &&
                list.channel);
    int check = 0, edge = 0;
    for (int row = 0; row < code->block_rows; row++) {
        for (int lane = 0; lane < LANES; lane++) {
            for (int e = code->row_start[row]; e < code->row_start[row + 1]; e++) {
                if (lane > 0 || e != code->open_edge) {
                    list.bit[edge++] =
                        code->edges[e].column * LANES + (lane + code->edges[e].shift) % LANES;
                }
            }
            list.start[++check] = edge;
        }
    }
    return list;
}

static void checks_free(struct checks *list)
{
    free(list->start);
    free(list->bit);
    free(list->message);
    free(list->before);
    free(list->posterior);
    free(list->channel);
}

/* New messages of one check from `values`, changes going to `posterior`. */
static void update_check(struct checks *list, int check, const double *values)
{
    int first = list->start[check], degree = list->start[check + 1] - first;
    double halves[LARGEST], now[LARGEST];
    for (int i = 0; i < degree; i++) {
        halves[i] = tanh((values[list->bit[first + i]] - list->message[first + i]) / 2);
    }
    for (int i = 0; i < degree; i++) {
        double product = 1;
        for (int j = 0; j < degree; j++) {
            product *= j == i ? 1 : halves[j];
        }
        product = fmin(fmax(product, -1 + 1e-15), 1 - 1e-15);
        now[i] = 2 * atanh(product);
    }
    for (int i = 0; i < degree; i++) {
        list->posterior[list->bit[first + i]] += now[i] - list->message[first + i];
        list->message[first + i] = now[i];
    }
}

static void reference_decode(struct checks *list, const float *llr, int iterations, bool layered,
                             uint8_t *bits)
{
    memset(list->message, 0, (size_t)list->start[list->checks] * sizeof *list->message);
    for (int i = 0; i < list->bits; i++) {
        list->posterior[i] = (double)llr[i];
    }
    size_t bytes = (size_t)list->bits * sizeof *list->posterior;
    for (int iteration = 0; iteration < iterations; iteration++) {
        memcpy(list->before, list->posterior, bytes);
        for (int check = 0; check < list->checks; check++) {
            /* A layer is a block row: its checks all see the values from before it. */
            if (layered && check % LANES == 0) {
                memcpy(list->before, list->posterior, bytes);
            }
            update_check(list, check, list->before);
        }
    }
    for (int i = 0; i < list->bits; i++) {
        bits[i] = list->posterior[i] < 0;
    }
}

struct sent {
    struct ldpc_code code;
    struct checks checks;
    uint8_t *word, *fast, *slow;
    float *llr;
};

static struct sent send(int rate)
{
    struct sent sent;
    assert_int_equal(ldpc_code_build(&sent.code, LENGTH_16200, rate), STATUS_OK);
    sent.checks = checks_of(&sent.code);
    size_t bits = (size_t)sent.code.bits;
    sent.word = calloc(bits, 1);
    sent.fast = calloc(bits, 1);
    sent.slow = calloc(bits, 1);
    sent.llr = calloc(bits, sizeof *sent.llr);
    assert_true(sent.word && sent.fast && sent.slow && sent.llr);
    return sent;
}

static void sent_free(struct sent *sent)
{
    ldpc_code_free(&sent->code);
    checks_free(&sent->checks);
    free(sent->word);
    free(sent->fast);
    free(sent->slow);
    free(sent->llr);
}

static void add_noise(struct sent *sent, double es_n0_db, uint64_t seed)
{
    struct random random = random_seeded(seed, 4);
    double variance = pow(10.0, -es_n0_db / 10) / 2;
    for (int i = 0; i < sent->code.information_bits; i++) {
        sent->word[i] = random_bits(&random) & 1;
    }
    ldpc_encode(&sent->code, sent->word);
    for (int i = 0; i < sent->code.bits; i++) {
        double received = (sent->word[i] ? -1 : 1) + sqrt(variance) * random_normal(&random);
        sent->llr[i] = (float)(2 * received / variance);
    }
}

static int differing(const uint8_t *a, const uint8_t *b, int count)
{
    int sum = 0;
    for (int i = 0; i < count; i++) {
        sum += a[i] != b[i];
    }
    return sum;
}

/* In the midst of decoding, far from convergence, hundreds of bits change sides each iteration: a
 * wrong message would show at once. Rounding (1e-5 of a message) moves only bits whose value is
 * that near 0: of 16200, fewer than one in a hundred words; 3 are allowed. */
static void the_layered_decoder_is_the_tanh_rule_in_double_precision(void **state)
{
    (void)state;
    const int rates[] = {3, 5, 8, 10, 13}; /* structure A and B, with parallel edges and without */
    const double hard_db[] = {-8.0, -5.6, -2.8, -1.2, 1.8};
    for (size_t i = 0; i < sizeof rates / sizeof rates[0]; i++) {
        struct sent sent = send(rates[i]);
        struct ldpc_decoder *decoder = ldpc_decoder_create(&sent.code, LDPC_SUM_PRODUCT);
        assert_non_null(decoder);
        for (int trial = 0; trial < 2; trial++) {
            add_noise(&sent, hard_db[i], (uint64_t)trial + 1);
            int previous = 0;
            for (int iterations = 1; iterations <= 3; iterations++) {
                reference_decode(&sent.checks, sent.llr, iterations, true, sent.slow);
                struct ldpc_outcome outcome =
                    ldpc_decode(decoder, sent.llr, iterations, false, sent.fast);
                assert_int_equal(outcome.iterations, iterations);
                assert_false(outcome.converged);
                assert_in_range(differing(sent.fast, sent.slow, sent.code.bits), 0, 3);
                int errors = differing(sent.slow, sent.word, sent.code.bits);
                assert_true(errors > 100 && errors != previous);
                previous = errors;
            }
        }
        ldpc_decoder_free(decoder);
        sent_free(&sent);
    }
}

/* Either schedule ends at the word that was sent, the layered one in about half the iterations. */
static void flooding_reaches_the_same_words_in_more_iterations(void **state)
{
    (void)state;
    struct sent sent = send(10);
    struct ldpc_decoder *decoder = ldpc_decoder_create(&sent.code, LDPC_SUM_PRODUCT);
    assert_non_null(decoder);
    for (int trial = 0; trial < 3; trial++) {
        add_noise(&sent, 0.5, (uint64_t)trial + 10);
        struct ldpc_outcome outcome = ldpc_decode(decoder, sent.llr, 50, true, sent.fast);
        assert_true(outcome.converged);
        assert_int_equal(differing(sent.fast, sent.word, sent.code.bits), 0);
        reference_decode(&sent.checks, sent.llr, outcome.iterations, false, sent.slow);
        assert_true(differing(sent.slow, sent.word, sent.code.bits) > 0);
        reference_decode(&sent.checks, sent.llr, 3 * outcome.iterations, false, sent.slow);
        assert_int_equal(differing(sent.slow, sent.word, sent.code.bits), 0);
    }
    ldpc_decoder_free(decoder);
    sent_free(&sent);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_layered_decoder_is_the_tanh_rule_in_double_precision),
        cmocka_unit_test(flooding_reaches_the_same_words_in_more_iterations),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
