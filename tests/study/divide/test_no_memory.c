/* Every allocation of a division and of verdicts on pipes fails in turn. */
#include "support/near.h"

#include <math.h>

#include "study/divide/divide.h"
#include "study/report/report.h"
#include "support/failing.h"
#include "system/space/atsc3.h"

static struct scenario scenario;

static void set(const char *key, const char *value)
{
    assert_int_equal(scenario_set(&scenario, key, value, NULL), STATUS_OK);
}

static bool is_small(const struct space_geometry *geometry)
{
    struct waveform waveform;
    atsc3_space_waveform(geometry, &waveform);
    return waveform.fft == FFT_16K && waveform.guard == GI5_1024 && waveform.boost == 1 &&
           waveform.reduction == 0;
}

static bool is_common(const struct space_code *own)
{
    struct code code;
    atsc3_space_code(own, &code);
    return code.length == LENGTH_16200 && code.rate_15ths % 4 == 2;
}

static bool is_level(int level)
{
    return level == 8;
}

static int divide_it(void)
{
    const struct divide_limits limits = {
        .takes_geometry = is_small, .takes_code = is_common, .takes_level = is_level};
    static struct divisions divisions;
    struct fault fault = {0};
    static double spare_mbps = -1.0;
    enum status status = divide_make_limited(&scenario, &limits, &divisions, &fault);
    if (status == STATUS_OK) { /* never another answer for want of memory */
        assert_true(spare_mbps < 0.0 || spare_mbps == divisions.best[0].spare_mbps);
        spare_mbps = divisions.best[0].spare_mbps;
    } else {
        assert_int_equal(status, STATUS_NO_MEMORY);
        assert_int_equal(fault.status, STATUS_NO_MEMORY);
    }
    return status == STATUS_OK;
}

/* Two services, one of them in fading and in motion, so that all that is kept is made. */
static void dividing_says_so(void **state)
{
    (void)state;
    scenario = scenario_default();
    set("service phone.rate_mbps", "1");
    set("service phone.snr_db", "8");
    set("service phone.speed_kmh", "60");
    set("service phone.channel", "rayleigh");
    set("service roof.snr_db", "20");
    fail_each_allocation(divide_it, "dividing");
}

static int judge_pipes(void)
{
    struct pipes pipes;
    struct fault fault = {0};
    enum status status = pipes_make(&scenario, GENERATION_SECOND, &pipes, &fault);
    if (status != STATUS_OK) {
        assert_int_equal(status, STATUS_NO_MEMORY);
        assert_int_equal(pipes.count, 0);
        return 0;
    }
    bool told = true; /* what asks for memory on its own is unknown without it */
    for (int i = 0; i < pipes.count; i++) {
        told = told && !isnan(pipes.verdicts[i].facts.ideal_exact_snr_db);
    }
    pipes_free(&pipes);
    return told;
}

static void judging_pipes_says_so(void **state)
{
    (void)state;
    scenario = scenario_default();
    set("receiver.snr_db", "20");
    set("plp core.constellation", "QPSK");
    set("plp core.rate", "6/15");
    set("plp over.layer", "enhanced");
    set("plp over.over", "core");
    set("plp over.constellation", "QPSK");
    fail_each_allocation(judge_pipes, "judging pipes");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(dividing_says_so),
        cmocka_unit_test(judging_pipes_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
