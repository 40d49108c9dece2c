/* The ensembles of the literature whose channels are simulated (tests/proof/channels): their delays
 * are spread as is published of them, with the power of each path as its weight. */
#include "support/near.h"

#include <math.h>
#include <stdio.h>

#include "base/units.h"
#include "profile/profile.h"
#include "study/verdict/conditions.h"

struct spread {
    double rms_us, longest_us; /* from the first path on */
};

static struct spread spread_of(const char *name)
{
    static struct conditions conditions;
    struct profile profile = {0};
    struct fault fault = {0};
    char path[96];
    snprintf(path, sizeof path, "tests/proof/channels/%s.ini", name);
    assert_int_equal(profile_read_file(path, &profile, &fault), STATUS_OK);
    assert_int_equal(conditions_make(&profile.scenario, GENERATION_SECOND, &conditions, &fault),
                     STATUS_OK);
    profile_free(&profile);
    const struct channel *channel = &conditions.channel;
    double power = 0.0, mean = 0.0, square = 0.0, first_us = INFINITY, last_us = -INFINITY;
    for (int i = 0; i < channel->count; i++) {
        const struct ray *ray = &channel->rays[i];
        double weight = ray->gain * ray->gain;
        power += weight;
        mean += weight * ray->delay_us;
        square += weight * ray->delay_us * ray->delay_us;
        first_us = fmin(first_us, ray->delay_us);
        last_us = fmax(last_us, ray->delay_us);
    }
    mean /= power;
    return (struct spread){sqrt(square / power - mean * mean), last_us - first_us};
}

static void delays_are_spread_as_published(void **state)
{
    (void)state;
    assumes("paths weigh by their mean power, whatever their phases");
    static const struct {
        const char *name, *source;
        double rms_us, longest_us, within;
    } rows[] = {
        {"m1225-indoor-a", "ITU-R M.1225, indoor office A", 0.037, 0.310, 0.02},
        {"m1225-indoor-b", "ITU-R M.1225, indoor office B, computed", 0.099, 0.700, 0.01},
        {"m1225-pedestrian-a", "ITU-R M.1225, pedestrian A", 0.046, 0.410, 0.02},
        {"m1225-pedestrian-b", "ITU-R M.1225, pedestrian B", 0.633, 3.700, 0.01},
        {"cost207-tu6", "COST 207, typical urban, computed", 1.06, 5.0, 0.01},
        {"portable-indoor-pi", "portable indoor, computed", 2.89, 9.2, 0.01},
        {"portable-outdoor-po", "portable outdoor, computed", 0.85, 5.7, 0.01},
        {"en300744-p1", "EN 300 744 annex B, computed", 1.24, 5.35, 0.01},
        {"en300744-f1", "EN 300 744 annex B, K = 10 dB, computed", 0.563, 5.42, 0.01},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct spread spread = spread_of(rows[i].name);
        assert_near(spread.rms_us, rows[i].rms_us, rows[i].within * rows[i].rms_us, rows[i].source);
        assert_near(spread.longest_us, rows[i].longest_us, 0.01, rows[i].source);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(delays_are_spread_as_published),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
