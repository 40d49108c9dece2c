/* What lines of the simulated receiver's tables say of its units: their rays, how long a unit is
 * sent and what is received of it on an average. */
#ifndef TESTS_SIMULATION_VSB_RECEIVER_UNIT_H
#define TESTS_SIMULATION_VSB_RECEIVER_UNIT_H

#include "support/near.h"

#include <math.h>
#include <stdio.h>

#include "physics/channel.h"
#include "simulation/vsb/receiver/frame.h"
#include "simulation/vsb/receiver/receiver.h"
#include "simulation/vsb/receiver/taps.h"
#include "simulation/vsb/trellis.h"
#include "standard/vsb/signal.h"

#define UNIT_INSTANTS 32 /* of all that is sent, for each turn of two rays against each other */

/* Adds the rays written in `text` to a channel. */
static inline void read_rays(const char *text, struct channel *channel)
{
    struct echo echo;
    int used = 0;
    channel_start(channel, 189e6);
    while (sscanf(text, "%lf %lf %lf %lf%n", &echo.delay_us, &echo.level_db, &echo.phase_deg,
                  &echo.doppler_hz, &used) == 4) {
        assert_true(channel_add(channel, &echo, "ray"));
        text += used;
    }
}

static inline double segments_s(long segments)
{
    return (double)(segments * VSB_SEGMENT_SYMBOLS) / vsb_symbol_rate_hz();
}

/* From a unit's beginning to what counts of it. */
static inline double lead_s(const struct vsb_receiver_setup *setup)
{
    return segments_s(vsb_air_segments(vsb_receiver_lead_segments(setup)));
}

static inline double pilot_and_data(const struct channel *channel, int reference)
{
    return vsb_taps_data_power(channel, reference) + VSB_PILOT_LEVEL * VSB_PILOT_LEVEL /
                                                         VSB_LEVEL_POWER *
                                                         vsb_taps_pilot_power(channel, reference);
}

/* Received power over that of the reference ray, on an average from one time to another. */
static inline double mean_power(const struct channel *channel, double from_s, double to_s)
{
    double slowest_hz = 0.0, fastest_hz = 0.0, sum = 0.0;
    for (int i = 0; i < channel->count; i++) {
        slowest_hz = fmin(slowest_hz, channel->rays[i].doppler_hz);
        fastest_hz = fmax(fastest_hz, channel->rays[i].doppler_hz);
    }
    int instants = UNIT_INSTANTS * (1 + (int)((fastest_hz - slowest_hz) * (to_s - from_s)));
    for (int i = 0; i < instants; i++) {
        struct channel then;
        channel_advance(channel, from_s + (to_s - from_s) * (i + 0.5) / instants, &then);
        sum += pilot_and_data(&then, 0) / instants;
    }
    return sum;
}

#endif
