#include "support/near.h"

#include <fec.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "simulation/vsb/chain.h"
#include "simulation/vsb/trellis.h"
#include "standard/vsb/signal.h"

/* Dijkstra-like relaxation over pairs of encoder states: the smallest squared distance between two
 * paths that part (with different Z1, Z0 history) and meet again. */
static int smallest_distance(void)
{
    int best[VSB_STATES][VSB_STATES], shortest = 1 << 20;
    for (int i = 0; i < VSB_STATES * VSB_STATES; i++) {
        best[i / VSB_STATES][i % VSB_STATES] = 1 << 20;
    }
    for (int start = 0; start < VSB_STATES; start++) {
        for (int round = 0; round < 40; round++) {
            for (int s = 0; s < VSB_STATES; s++) {
                for (int t = 0; t < VSB_STATES; t++) {
                    int so_far = s == t ? (s == start && round == 0 ? 0 : 1 << 20) : best[s][t];
                    for (int x = 0; x < 16; x++) {
                        struct vsb_encoder one = {0, s >> 1 & 1, s & 1};
                        struct vsb_encoder other = {0, t >> 1 & 1, t & 1};
                        int z = vsb_encode(&one, x & 3), w = vsb_encode(&other, x >> 2);
                        int step = vsb_level(z) - vsb_level(w);
                        int to = 2 * one.a + one.b, too = 2 * other.a + other.b;
                        int sum = so_far + step * step;
                        if (to == too && s != t && sum < shortest) {
                            shortest = sum;
                        }
                        if (to != too && sum < best[to][too]) {
                            best[to][too] = sum;
                        }
                    }
                }
            }
        }
    }
    return shortest;
}

/* Ungerboeck's 4-state code for 8-AM has 9 times the squared distance of neighbouring levels
 * (IEEE Trans. Inf. Theory 28, 1982, Table I); parallel branches are 8 apart. */
static void the_free_distance_is_that_of_ungerboecks_code(void **state)
{
    (void)state;
    assert_int_equal(smallest_distance(), 9 * 4);
}

static void the_precoder_makes_x2_the_change_of_z2(void **state)
{
    (void)state;
    struct vsb_encoder encoder = {0, 0, 0};
    /* By hand: X = 10, 11, 00, 01 -> Z2 = 1, 0, 0, 0; Z1 = 0, 1, 0, 1; Z0 = 0, 0, 1, 0. */
    static const int x[] = {2, 3, 0, 1}, z[] = {4, 2, 1, 2};
    for (int i = 0; i < 4; i++) {
        assert_int_equal(vsb_encode(&encoder, x[i]), z[i]);
    }
    assert_int_equal(vsb_level(0), -7);
    assert_int_equal(vsb_level(7), 7);
}

#define STEPS 2000

/* Errors of the decoder at a noise power: bits X2 and X1 of all lanes. */
static void decode(double noise_power, uint64_t seed, long *wrong_symbols, double *nearer)
{
    static float received[STEPS * VSB_LANES];
    static uint8_t sent[STEPS * VSB_LANES], decided[STEPS * VSB_LANES];
    struct random random = random_seeded(seed, 0);
    struct vsb_encoder encoders[VSB_LANES];
    struct vsb_viterbi viterbi;
    double of_sent = 0.0, of_decided = 0.0;
    memset(encoders, 0, sizeof encoders);
    for (int i = 0; i < STEPS * VSB_LANES; i++) {
        sent[i] = random_bits(&random) & 3;
        int level = vsb_level(vsb_encode(&encoders[i % VSB_LANES], sent[i]));
        received[i] = (float)(level + sqrt(noise_power) * random_normal(&random));
        of_sent += pow((double)received[i] - level, 2.0);
    }
    assert_int_equal(vsb_viterbi_create(&viterbi, STEPS), STATUS_OK);
    vsb_viterbi_decode(&viterbi, received, STEPS, decided);
    vsb_viterbi_free(&viterbi);
    memset(encoders, 0, sizeof encoders);
    *wrong_symbols = 0;
    for (int i = 0; i < STEPS * VSB_LANES; i++) {
        int level = vsb_level(vsb_encode(&encoders[i % VSB_LANES], decided[i]));
        of_decided += pow((double)received[i] - level, 2.0);
        *wrong_symbols += decided[i] != sent[i];
    }
    *nearer = of_sent - of_decided;
}

/* A Viterbi decoder finds the nearest of all sequences: never farther than the sent one. */
static void what_is_decided_is_never_farther_than_what_was_sent(void **state)
{
    (void)state;
    for (int i = 0; i < 6; i++) {
        long wrong;
        double nearer;
        decode(0.2 + 0.3 * i, (uint64_t)i, &wrong, &nearer);
        assert_true(nearer > -0.5); /* rounding of 32000 single-precision squares */
        if (i == 0) {
            assert_int_equal(wrong, 0);
        } else if (i == 5) {
            assert_true(wrong > 0 && nearer > 1.0);
        }
    }
}

/* By definition: 52 shift registers, the i-th of 4 i bytes, taken in turn. */
static void the_interleaver_is_that_of_52_shift_registers(void **state)
{
    (void)state;
    static long registers[52][4 * 52];
    int heads[52] = {0};
    memset(registers, 0xFF, sizeof registers); /* -1 */
    for (long i = 0; i < 52L * 700; i++) {
        int branch = (int)(i % 52), length = 4 * branch;
        long out = i;
        if (length > 0) {
            out = registers[branch][heads[branch]];
            registers[branch][heads[branch]] = i;
            heads[branch] = (heads[branch] + 1) % length;
        }
        long from = vsb_deinterleaved(i);
        assert_int_equal(from < 0 ? -1 : from, out);
    }
    assert_int_equal(VSB_UNIT_SEGMENTS * VSB_RS_BYTES % 52, 0); /* a field begins at branch 0 */
}

/* Counting against 10 is what a Reed-Solomon decoder does: libfec's (207, 187) code, shortened
 * from 255 by 48 bytes, corrects 10 wrong bytes and not 11. */
static void libfec_corrects_ten_bytes_of_a_segment(void **state)
{
    (void)state;
    void *code = init_rs_char(8, 0x11D, 0, 1, 20, 48);
    struct random random = random_seeded(31, 0);
    assert_non_null(code);
    for (int errors = 9; errors <= 12; errors++) {
        unsigned char segment[VSB_RS_BYTES], received[VSB_RS_BYTES];
        for (int i = 0; i < VSB_RS_DATA_BYTES; i++) {
            segment[i] = (unsigned char)random_bits(&random);
        }
        encode_rs_char(code, segment, segment + VSB_RS_DATA_BYTES);
        memcpy(received, segment, sizeof received);
        for (int i = 0; i < errors; i++) {
            received[i * 17] ^= (unsigned char)(1 + i);
        }
        decode_rs_char(code, received, NULL, 0);
        assert_int_equal(memcmp(received, segment, sizeof received) == 0,
                         errors <= VSB_RS_CORRECTABLE);
    }
    free_rs_char(code);
}

static void units_are_reproducible_and_independent(void **state)
{
    (void)state;
    struct vsb_worker *worker = vsb_worker_create(NULL);
    assert_non_null(worker);
    struct vsb_outcome one = vsb_send(worker, 14.0, 5, 0), other = vsb_send(worker, 14.0, 5, 1);
    struct vsb_outcome again = vsb_send(worker, 14.0, 5, 0);
    assert_int_equal(one.byte_errors, again.byte_errors);
    assert_int_equal(one.segment_errors, again.segment_errors);
    assert_int_not_equal(one.byte_errors, other.byte_errors);
    struct vsb_outcome clean = vsb_send(worker, 25.0, 5, 0);
    assert_int_equal(clean.byte_errors, 0);
    vsb_worker_free(worker);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_free_distance_is_that_of_ungerboecks_code),
        cmocka_unit_test(the_precoder_makes_x2_the_change_of_z2),
        cmocka_unit_test(what_is_decided_is_never_farther_than_what_was_sent),
        cmocka_unit_test(the_interleaver_is_that_of_52_shift_registers),
        cmocka_unit_test(libfec_corrects_ten_bytes_of_a_segment),
        cmocka_unit_test(units_are_reproducible_and_independent),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
