/* DVB-T's chain against its own parts, the document's threshold, and another library's decoder. */
#include "support/near.h"

#include <fec.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "physics/information/dvbt_snr.h"
#include "simulation/dvbt/chain.h"
#include "simulation/dvbt/viterbi.h"

#define BITS 2520

static void fill(struct random *random, uint8_t *bits, int count)
{
    for (int i = 0; i < count; i++) {
        bits[i] = (uint8_t)(random_bits(random) & 1);
    }
}

static void every_rate_is_decoded_without_noise(void **state)
{
    (void)state;
    struct random random = random_seeded(3, 0);
    uint8_t bits[BITS], coded[2 * BITS], decided[BITS];
    float ratios[2 * BITS];
    uint64_t decisions[BITS];
    for (int rate = 0; rate < DVBT_RATE_COUNT; rate++) {
        fill(&random, bits, BITS);
        int sent = viterbi_encode((enum dvbt_rate)rate, bits, BITS, coded);
        assert_near(sent, BITS / dvbt_rate_value((enum dvbt_rate)rate), 1e-9, "code rate");
        for (int i = 0; i < sent; i++) {
            ratios[i] = coded[i] ? -1.0f : 1.0f;
        }
        viterbi_decode((enum dvbt_rate)rate, ratios, BITS, decisions, decided);
        assert_memory_equal(decided, bits, BITS - 40); /* the end is not terminated */
    }
}

/* libfec's decoder of the same code (constraint length 7, 171 and 133 octal, from the oldest bit
 * on), of the same noisy symbols in 8 bits. */
static void the_decoder_agrees_with_another_library(void **state)
{
    (void)state;
    enum { COUNT = 2000, TAIL = 6 };
    struct random random = random_seeded(4, 0);
    uint8_t bits[COUNT + TAIL] = {0}, coded[2 * (COUNT + TAIL)], decided[COUNT + TAIL];
    float ratios[2 * (COUNT + TAIL)];
    unsigned char symbols[2 * (COUNT + TAIL)], packed[(COUNT + TAIL) / 8 + 1];
    uint64_t decisions[COUNT + TAIL];
    int generators[2] = {0x4f, 0x6d};
    set_viterbi27_polynomial(generators);
    void *other = create_viterbi27(COUNT);
    assert_non_null(other);
    int differ = 0, wrong = 0;
    for (int trial = 0; trial < 20; trial++) {
        fill(&random, bits, COUNT);
        int sent = viterbi_encode(DVBT_1_2, bits, COUNT + TAIL, coded);
        for (int i = 0; i < sent; i++) {
            double received = (coded[i] ? -1.0 : 1.0) + 0.75 * random_normal(&random);
            double level = 127.5 - 40.0 * received; /* 0: surely 0, 255: surely 1 */
            symbols[i] = (unsigned char)(level < 0.0 ? 0.0 : level > 255.0 ? 255.0 : level);
            ratios[i] = 127.5f - (float)symbols[i];
        }
        viterbi_decode(DVBT_1_2, ratios, COUNT + TAIL, decisions, decided);
        init_viterbi27(other, 0);
        update_viterbi27_blk(other, symbols, COUNT + TAIL);
        chainback_viterbi27(other, packed, COUNT, 0);
        for (int i = 0; i < COUNT; i++) {
            int its = packed[i / 8] >> (7 - i % 8) & 1;
            differ += its != decided[i];
            wrong += bits[i] != decided[i];
        }
    }
    delete_viterbi27(other);
    assert_true(wrong > 0); /* the noise is such that both have something to decide */
    assert_in_range(differ, 0, wrong / 4); /* but for ties, and an end that only one knows */
}

static void symbol_interleavers_begin_as_the_document_says(void **state)
{
    (void)state;
    static const int first[][5] = {{0, 1024, 16, 1025, 128}, {0}, {0, 4096, 128, 4128, 2048}};
    uint16_t order[6048];
    uint8_t seen[6048];
    for (int fft = 0; fft < DVBT_FFT_COUNT; fft++) {
        int cells = dvbt_data_cells((enum dvbt_fft)fft);
        memset(seen, 0, sizeof seen);
        dvbt_symbol_order((enum dvbt_fft)fft, order);
        for (int q = 0; q < cells; q++) {
            assert_int_equal(seen[order[q]]++, 0);
        }
        for (int q = 0; q < 5 && first[fft][1] > 0; q++) {
            assert_int_equal(order[q], first[fft][q]);
        }
    }
}

static double error_rate(const struct dvbt *mode, double cell_db, int units)
{
    struct dvbt_setup setup = {.mode = *mode, .channel = CHANNEL_AWGN};
    struct dvbt_worker *worker = dvbt_worker_create(&setup);
    long bits = 0, errors = 0;
    assert_non_null(worker);
    for (int unit = 0; unit < units; unit++) {
        struct dvbt_outcome outcome = dvbt_send(worker, cell_db, 5, (uint64_t)unit);
        bits += outcome.bits;
        errors += outcome.bit_errors;
    }
    dvbt_worker_free(worker);
    return (double)errors / (double)bits;
}

/* A decade of bit errors is 0.7 dB or more: 0.3 dB to either side must part them. */
static void bits_are_wrong_as_often_as_the_threshold_says(void **state)
{
    (void)state;
    static const struct dvbt modes[] = {
        {.fft = DVBT_2K, .constellation = DVBT_QPSK, .rate = DVBT_1_2},
        {.fft = DVBT_8K, .constellation = DVBT_64QAM, .rate = DVBT_2_3},
    };
    for (size_t i = 0; i < sizeof modes / sizeof modes[0]; i++) {
        double ideal_db = dvbt_ideal_snr(&modes[i], FADING_AWGN).db;
        assert_true(error_rate(&modes[i], ideal_db - 0.4, 5) > 2e-4);
        assert_true(error_rate(&modes[i], ideal_db + 0.4, 5) < 2e-4);
    }
}

static void without_noise_nothing_is_lost_in_any_mode(void **state)
{
    (void)state;
    for (int i = 0; i < DVBT_CONSTELLATION_COUNT * DVBT_HIERARCHY_COUNT * 2; i++) {
        struct dvbt mode = {.fft = (enum dvbt_fft)(i % DVBT_FFT_COUNT),
                            .constellation =
                                (enum dvbt_constellation)(i / 2 / DVBT_HIERARCHY_COUNT),
                            .hierarchy = (enum dvbt_hierarchy)(i / 2 % DVBT_HIERARCHY_COUNT),
                            .priority = (enum dvbt_priority)(i % 2),
                            .rate = DVBT_3_4,
                            .low_rate = DVBT_2_3};
        if (dvbt_check(&mode, 8, NULL) == STATUS_OK) {
            assert_near(error_rate(&mode, 45.0, 1), 0.0, 0.0, "noise far below");
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_rate_is_decoded_without_noise),
        cmocka_unit_test(the_decoder_agrees_with_another_library),
        cmocka_unit_test(symbol_interleavers_begin_as_the_document_says),
        cmocka_unit_test(bits_are_wrong_as_often_as_the_threshold_says),
        cmocka_unit_test(without_noise_nothing_is_lost_in_any_mode),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
