#include "support/near.h"

#include <math.h>

#include "simulation/vsb/receiver/frame.h"

/* Every symbol of every encoder has one place, and its next one is twelve symbols further or, where
 * a segment sync takes its turn, twenty-four; only a field sync stands between more. */
static void symbols_of_an_encoder_are_twelve_apart(void **state)
{
    (void)state;
    long segments = vsb_air_segments(700), last[VSB_TRELLIS_ENCODERS], data = 0;
    int next[VSB_TRELLIS_ENCODERS] = {0}, skipped = 0;
    assert_int_equal(segments, 700 + 3);
    for (long at = 0; at < segments * VSB_SEGMENT_SYMBOLS; at++) {
        struct vsb_air_place place = vsb_air_place(at);
        if (place.known) {
            assert_near(fabsf(vsb_air_sync(at)), 5.0, 0.0, "A/53: syncs are at +-5");
            continue;
        }
        assert_int_equal(place.step, next[place.lane]);
        long apart = at - last[place.lane];
        if (next[place.lane] > 0 && apart == 2 * VSB_TRELLIS_ENCODERS) {
            skipped++;
        } else if (next[place.lane] > 0 && apart != VSB_TRELLIS_ENCODERS) {
            assert_true(apart > VSB_SEGMENT_SYMBOLS);
            assert_int_equal(place.step % (VSB_FIELD_DATA_SEGMENTS * VSB_SEGMENT_STEPS), 0);
        }
        last[place.lane] = at;
        next[place.lane]++;
        data++;
    }
    assert_int_equal(skipped, 4 * (700 - 3)); /* no turn is taken before a field's first segment */
    assert_int_equal(data, 700L * VSB_SEGMENT_DATA_SYMBOLS);
    for (int lane = 0; lane < VSB_TRELLIS_ENCODERS; lane++) {
        assert_int_equal(next[lane], 700 * VSB_SEGMENT_STEPS);
    }
}

/* A maximum-length sequence differs from itself shifted in one place more than it agrees. */
static int correlation(long start, int length, int shift)
{
    int sum = 0;
    for (int i = 0; i < length; i++) {
        sum +=
            (vsb_air_sync(start + i) > 0.0f) == (vsb_air_sync(start + (i + shift) % length) > 0.0f)
                ? 1
                : -1;
    }
    return sum;
}

static void field_sync_holds_sequences_of_maximum_length(void **state)
{
    (void)state;
    for (int shift = 1; shift < 511; shift++) {
        assert_int_equal(correlation(4, 511, shift), -1);
    }
    for (int shift = 1; shift < 63; shift++) {
        assert_int_equal(correlation(4 + 511, 63, shift), -1);
    }
    long other_field = (long)VSB_FIELD_SEGMENTS * VSB_SEGMENT_SYMBOLS;
    for (int i = 0; i < 63; i++) {
        long first = 4 + 511 + i;
        assert_true(vsb_air_sync(first) == vsb_air_sync(first + 63));
        assert_true(vsb_air_sync(first) == vsb_air_sync(first + 126));
        assert_true(vsb_air_sync(other_field + first) == -vsb_air_sync(other_field + first + 63));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(symbols_of_an_encoder_are_twelve_apart),
        cmocka_unit_test(field_sync_holds_sequences_of_maximum_length),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
