/* What a time interleaver is worth where the channel moves, in the pair of which one system has
 * none. */
#include "support/near.h"

#include <math.h>

#include "scenario/scenario.h"
#include "study/verdict/verdict.h"

static struct verdicts verdicts;

/* An echo so short that its notch comes into the channel and goes, several times in the second
 * system's span. */
static void solve(double doppler_hz)
{
    struct scenario scenario = scenario_default_of(PAIR_DVB);
    scenario.receiver.snr_db = 26.0;
    scenario.dvbt2.waveform.fft = T2_8K; /* which bears the motion as the first system does */
    scenario.echo_count = 1;
    scenario.echoes[0] = (struct echo){.delay_us = 0.05,
                                       .level_db = -3.0,
                                       .phase_deg = doppler_hz > 0.0 ? 0.0 : NAN,
                                       .doppler_hz = doppler_hz};
    assert_int_equal(verdicts_make(&scenario, &verdicts, NULL), STATUS_OK);
}

static double spread_db(const struct verdict *verdict)
{
    return verdict->margin_db - verdict->margin_99_db;
}

/* EN 300 744 4.3.4: the first system's interleavers reach over a symbol, so that instants differ as
 * positions do where nothing moves. The second system's code words see the notch come and go. */
static void only_a_time_interleaver_makes_instants_alike(void **state)
{
    (void)state;
    solve(0.0);
    double standing_db = spread_db(&verdicts.of[GENERATION_FIRST]);
    assert_true(standing_db > 1.5 && spread_db(&verdicts.of[GENERATION_SECOND]) > 1.5);
    solve(40.0);
    const struct verdict *first = &verdicts.of[GENERATION_FIRST];
    const struct verdict *second = &verdicts.of[GENERATION_SECOND];
    assert_true(verdict_is_over_time(first) && verdict_is_over_time(second));
    assert_near(spread_db(first), standing_db, 0.6, "as where nothing moves, and motion's noise");
    assert_true(spread_db(second) < 0.4);
    assert_near(second->positions_share, 1.0, 0.0, "all of the time");
    assert_between(first->positions_share, 0.9, 0.99, "not all of the time, at a larger margin");
    assert_true(first->margin_db > 1.5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(only_a_time_interleaver_makes_instants_alike),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
