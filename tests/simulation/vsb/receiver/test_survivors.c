#include "support/near.h"

#include <math.h>
#include <string.h>

#include "base/random.h"
#include "base/units.h"
#include "physics/vsb/decision.h"
#include "simulation/vsb/receiver/survivors.h"

#define STEPS 3000
#define PLACES (STEPS * VSB_TRELLIS_ENCODERS)

static float received[PLACES], sent[PLACES], believed[PLACES];

static void send(double snr_db, uint64_t seed)
{
    struct random random = random_seeded(seed, 0);
    struct vsb_encoder encoders[VSB_TRELLIS_ENCODERS];
    double deviation = sqrt(VSB_LEVEL_POWER / ratio_from_db(snr_db));
    memset(encoders, 0, sizeof encoders);
    for (int i = 0; i < PLACES; i++) {
        int z = vsb_encode(&encoders[i % VSB_TRELLIS_ENCODERS], random_bits(&random) & 3);
        sent[i] = (float)vsb_level(z);
        received[i] = (float)(sent[i] + deviation * random_normal(&random));
    }
}

static struct vsb_survivors *make(int depth)
{
    struct vsb_survivors *survivors = vsb_survivors_create(STEPS, depth);
    assert_non_null(survivors);
    return survivors;
}

/* The block decoder (trellis.h) traces the best path back at the end: what survivors believe of all
 * symbols then, without a limit, is the same path. */
static void at_the_end_the_belief_is_the_block_decoder_s_path(void **state)
{
    (void)state;
    static float lanes[STEPS * VSB_LANES];
    static uint8_t decided[STEPS * VSB_LANES];
    struct vsb_survivors *survivors = make(STEPS);
    struct vsb_viterbi viterbi;
    send(11.0, 3);
    for (int i = 0; i < PLACES; i++) {
        vsb_survivors_take(survivors, i % VSB_TRELLIS_ENCODERS, i, received[i], believed);
        lanes[i / VSB_TRELLIS_ENCODERS * VSB_LANES + i % VSB_TRELLIS_ENCODERS] = received[i];
    }
    vsb_survivors_free(survivors);
    assert_int_equal(vsb_viterbi_create(&viterbi, STEPS), STATUS_OK);
    vsb_viterbi_decode(&viterbi, lanes, STEPS, decided);
    vsb_viterbi_free(&viterbi);
    struct vsb_encoder encoders[VSB_TRELLIS_ENCODERS];
    memset(encoders, 0, sizeof encoders);
    int wrong = 0;
    for (int i = 0; i < PLACES; i++) {
        int lane = i % VSB_TRELLIS_ENCODERS;
        int z = vsb_encode(&encoders[lane], decided[i / VSB_TRELLIS_ENCODERS * VSB_LANES + lane]);
        assert_near(believed[i], vsb_level(z), 0.0, "the same path");
        wrong += believed[i] != sent[i];
    }
    assert_true(wrong > 100); /* not for lack of noise */
}

/* The table that the model of decisions uses, at a few of its places. 400 errors or more at each:
 * 5 standard deviations of a count that comes in bursts of some four. */
static void beliefs_are_as_wrong_as_the_table_says(void **state)
{
    (void)state;
    const double snrs_db[] = {10.0, 13.0, 14.5};
    for (size_t s = 0; s < 3; s++) {
        double sum[VSB_DOUBT_AGES] = {0};
        long count = 0;
        for (int round = 0; round < 10; round++) {
            struct vsb_survivors *survivors = make(40);
            send(snrs_db[s], (uint64_t)round);
            for (int i = 0; i < PLACES; i++) {
                vsb_survivors_take(survivors, i % VSB_TRELLIS_ENCODERS, i, received[i], believed);
                for (int age = 0; age < VSB_DOUBT_AGES && i >= 120; age++) {
                    double error = believed[i - 12 * age] - sent[i - 12 * age];
                    sum[age] += error * error;
                    count += age == 0;
                }
            }
            vsb_survivors_free(survivors);
        }
        for (int age = 0; age < VSB_DOUBT_AGES; age++) {
            double expected = vsb_decision_error(FEEDBACK_TRELLIS, age, ratio_from_db(snrs_db[s]));
            assert_near(sum[age] / (double)count / VSB_LEVEL_POWER / expected, 1.0, 0.15,
                        "computed with other seeds; interpolated at 14.5 dB");
        }
    }
}

/* What the best survivor says at once teaches taps (decision.h): of the noise before the decision
 * it takes away as much as it goes with, and what moves the taps is what it says less what it saw.
 */
static void what_survivors_teach_is_what_the_model_says(void **state)
{
    (void)state;
    const double snrs_db[] = {14.6, 15.5, 16.5};
    for (size_t s = 0; s < 3; s++) {
        struct vsb_teacher teachers[VSB_TEACHERS];
        double cross = 0.0, moved = 0.0, square = 0.0;
        for (int round = 0; round < 10; round++) {
            struct vsb_survivors *survivors = make(40);
            send(snrs_db[s], 100 + (uint64_t)round);
            for (int i = 0; i < PLACES; i++) {
                vsb_survivors_take(survivors, i % VSB_TRELLIS_ENCODERS, i, received[i], believed);
                double noise = received[i] - sent[i], error = believed[i] - received[i];
                cross -= error * noise;
                moved += error * error;
                square += noise * noise;
            }
            vsb_survivors_free(survivors);
        }
        assert_int_equal(
            vsb_decision_teachers(FEEDBACK_TRELLIS, ratio_from_db(snrs_db[s]), teachers), 1);
        assert_near(teachers[0].speed, cross / square, 0.015, "simulated");
        assert_near(teachers[0].unrest, moved / square, 0.015, "simulated");
    }
}

static void a_restart_forgets(void **state)
{
    (void)state;
    struct vsb_survivors *survivors = make(40);
    static float again[PLACES];
    send(9.0, 5);
    for (int round = 0; round < 2; round++) {
        vsb_survivors_restart(survivors);
        for (int i = 0; i < PLACES; i++) {
            vsb_survivors_take(survivors, i % VSB_TRELLIS_ENCODERS, i, received[i],
                               round == 0 ? believed : again);
        }
    }
    assert_memory_equal(believed, again, sizeof again);
    vsb_survivors_free(survivors);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(at_the_end_the_belief_is_the_block_decoder_s_path),
        cmocka_unit_test(beliefs_are_as_wrong_as_the_table_says),
        cmocka_unit_test(what_survivors_teach_is_what_the_model_says),
        cmocka_unit_test(a_restart_forgets),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
