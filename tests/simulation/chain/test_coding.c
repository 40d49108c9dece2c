/* DVB-T2's codes in the decoder and the chain that the first pair has. */
#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "physics/information/dvbt2_snr.h"
#include "simulation/chain/chain.h"
#include "simulation/ldpc/bch.h"
#include "simulation/ldpc/decoder.h"
#include "simulation/ldpc/encoder.h"

struct sent {
    struct ldpc_code code;
    uint8_t *bits, *decided, *expected;
    float *llr;
};

static void send(const struct ldpc_table *table, int bits, double noise, struct sent *sent)
{
    struct random random = random_seeded(9, (uint64_t)table->information_bits);
    assert_int_equal(ldpc_code_make(&sent->code, table, bits), STATUS_OK);
    sent->bits = malloc((size_t)bits);
    sent->decided = malloc((size_t)bits);
    sent->expected = malloc((size_t)bits);
    sent->llr = malloc((size_t)bits * sizeof *sent->llr);
    assert_true(sent->bits && sent->decided && sent->expected && sent->llr);
    for (int i = 0; i < table->information_bits; i++) {
        sent->bits[i] = (uint8_t)(random_bits(&random) & 1);
    }
    ldpc_encode(&sent->code, sent->bits);
    for (int i = 0; i < bits; i++) {
        double received = (sent->bits[i] ? -1.0 : 1.0) + noise * random_normal(&random);
        sent->llr[i] = (float)(2.0 * received / (noise * noise));
    }
}

static void sent_free(struct sent *sent)
{
    free(sent->bits);
    free(sent->decided);
    free(sent->expected);
    free(sent->llr);
    ldpc_code_free(&sent->code);
}

/* One word by every kind of instructions. */
static void decode_with_all_kinds(struct sent *sent, enum ldpc_algorithm algorithm, int iterations)
{
    struct ldpc_outcome expected = {0};
    for (int kind = 0; kind < SIMD_KIND_COUNT; kind++) {
        struct ldpc_decoder *decoder =
            ldpc_decoder_create_with(&sent->code, algorithm, (enum simd_kind)kind);
        if (decoder == NULL) {
            assert_int_not_equal(kind, SIMD_PLAIN);
            continue;
        }
        struct ldpc_outcome outcome =
            ldpc_decode(decoder, sent->llr, iterations, true, sent->decided);
        if (kind == SIMD_PLAIN) {
            expected = outcome;
            memcpy(sent->expected, sent->decided, (size_t)sent->code.bits);
        }
        assert_memory_equal(sent->decided, sent->expected, (size_t)sent->code.bits);
        assert_int_equal(outcome.iterations, expected.iterations);
        assert_int_equal(outcome.converged, expected.converged);
        ldpc_decoder_free(decoder);
    }
}

/* Two circulants of one group share a block row in all codes but 16200 3/5. */
static void all_kinds_of_instructions_agree_on_all_15_codes(void **state)
{
    (void)state;
    int codes = 0;
    for (int i = 0; i < T2_LENGTH_COUNT * T2_RATE_COUNT * LDPC_ALGORITHM_COUNT; i++) {
        enum t2_length length = (enum t2_length)(i / LDPC_ALGORITHM_COUNT / T2_RATE_COUNT);
        enum t2_rate rate = (enum t2_rate)(i / LDPC_ALGORITHM_COUNT % T2_RATE_COUNT);
        enum ldpc_algorithm algorithm = (enum ldpc_algorithm)(i % LDPC_ALGORITHM_COUNT);
        const struct ldpc_table *table = t2_ldpc_table(length, rate);
        struct sent sent;
        if (table == NULL) {
            continue;
        }
        /* Noise of the capacity of a rate 5 % higher, where many bits are undecided after 3 rounds;
         * then less, where most words come right. */
        double snr = pow(2.0, 2.0 * t2_true_rate(length, rate)) - 1.0;
        for (int trial = 0; trial < 2; trial++) {
            send(table, t2_length_bits(length), (trial ? 0.65 : 0.8) / sqrt(snr), &sent);
            decode_with_all_kinds(&sent, algorithm, trial ? 8 : 3);
            sent_free(&sent);
        }
        codes++;
    }
    assert_int_equal(codes, LDPC_ALGORITHM_COUNT * 15);
}

/* EN 302 755 tables 6 and 7: parity of the outer code. */
static void outer_codes_have_the_parity_of_the_tables(void **state)
{
    (void)state;
    for (int i = 0; i < T2_LENGTH_COUNT * T2_RATE_COUNT; i++) {
        enum t2_length length = (enum t2_length)(i / T2_RATE_COUNT);
        enum t2_rate rate = (enum t2_rate)(i % T2_RATE_COUNT);
        struct bch bch;
        if (t2_ldpc_table(length, rate) != NULL) {
            bch_build(&bch, t2_length_bits(length), t2_ldpc_bits(length, rate),
                      t2_bch_correctable(length, rate));
            assert_int_equal(bch.payload_bits, t2_bch_bits(length, rate));
        }
    }
}

static void every_mode_decodes_above_its_need_and_none_below_its_limit(void **state)
{
    (void)state;
    for (int i = 0; i < T2_CONSTELLATION_COUNT * T2_PLP_RATES; i++) {
        struct t2_code code = {.length = T2_16200,
                               .constellation = (enum t2_constellation)(i / T2_PLP_RATES),
                               .rate = (enum t2_rate)(i % T2_PLP_RATES)};
        struct coding coding = coding_of_t2(&code);
        struct chain_setup setup = chain_setup_default();
        struct chain *chain;
        setup.coding = &coding;
        assert_int_equal(chain_create(&setup, &chain), STATUS_OK);
        struct chain_worker *worker = chain_worker_create(chain);
        assert_non_null(worker);
        double ideal_db = t2_ideal_snr(&code, FADING_AWGN).db;
        assert_false(chain_send(worker, ideal_db + 0.5, 1, 0).frame_error);
        assert_true(chain_send(worker, t2_limit_db(&code, FADING_AWGN) - 0.3, 1, 0).frame_error);
        chain_worker_free(worker);
        chain_free(chain);
    }
}

static int wrong_words(const struct t2_code *code, const float *gains, int carriers, double snr_db)
{
    struct coding coding = coding_of_t2(code);
    struct chain_setup setup = chain_setup_default();
    struct chain *chain;
    int wrong = 0;
    setup.coding = &coding;
    setup.channel = gains ? CHANNEL_CARRIERS : CHANNEL_AWGN;
    setup.gain_power = gains;
    setup.carriers = carriers;
    assert_int_equal(chain_create(&setup, &chain), STATUS_OK);
    struct chain_worker *worker = chain_worker_create(chain);
    assert_non_null(worker);
    for (uint64_t word = 0; word < 3; word++) {
        wrong += chain_send(worker, snr_db, 1, word).frame_error;
    }
    chain_worker_free(worker);
    chain_free(chain);
    return wrong;
}

/* EN 302 755 clause 6.3: the parts of a rotated cell are sent apart and each tells all its bits, so
 * that a word survives the loss of more cells than its code has parity. In white noise it fares as
 * it does unrotated. */
static void a_rotated_word_survives_more_lost_cells_than_its_code_has_parity(void **state)
{
    (void)state;
    float gains[2000];
    for (int i = 0; i < 2000; i++) {
        gains[i] = i % 10 < 3 ? 0.0f : 1.0f;
    }
    for (int constellation = 0; constellation < T2_CONSTELLATION_COUNT; constellation++) {
        struct t2_code code = {T2_16200, T2_3_4, (enum t2_constellation)constellation, false};
        double ideal_db = t2_ideal_snr(&code, FADING_AWGN).db;
        for (int rotated = 0; rotated < 2; rotated++) {
            code.rotation = rotated;
            assert_int_equal(wrong_words(&code, NULL, 0, ideal_db + 0.4), 0);
            assert_int_equal(wrong_words(&code, NULL, 0, ideal_db - 0.8), 3);
            assert_int_equal(wrong_words(&code, gains, 2000, 45.0), rotated ? 0 : 3);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_kinds_of_instructions_agree_on_all_15_codes),
        cmocka_unit_test(outer_codes_have_the_parity_of_the_tables),
        cmocka_unit_test(a_rotated_word_survives_more_lost_cells_than_its_code_has_parity),
        cmocka_unit_test(every_mode_decodes_above_its_need_and_none_below_its_limit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
