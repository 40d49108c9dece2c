/* A single-frequency network at a place.
 *
 *     delay = (d - d0) / c + static delay - static delay of the main one,
 *     level = L - L0, the antenna's direction in both.
 *
 * The strongest is the main one. Worked number: two transmitters of 10 kW 20 and 26 km away over
 * free space: 20.0 us, -2.3 dB; with 20 us less of static delay at the farther one, 0.0 us. */
#include "study/place/network.h"

#include <math.h>
#include <string.h>

#include "base/text.h"
#include "base/units.h"

#define FAINTEST_DB ECHO_LEVEL_MIN_DB /* below, a ray is none */

bool network_joins(const struct station *one, const struct station *other)
{
    return one->network[0] != '\0' && strcmp(one->network, other->network) == 0 &&
           one->rf_channel == other->rf_channel && one->generation == other->generation &&
           strcmp(one->name, other->name) != 0;
}

static double level_dbm(const struct scenario *scenario, const struct station *station)
{
    struct link link;
    link_send(scenario, station, scenario->place.method, scenario->place.time_percent, &link);
    return link.level_dbm;
}

/* The station of the network that is the strongest at the place, itself where it is alone: the main
 * signal, which the profile's echoes and the other transmitters count from. */
static const struct station *network_main(const struct scenario *scenario,
                                          const struct station *station)
{
    const struct station *main = station;
    double most_dbm = station->network[0] != '\0' ? level_dbm(scenario, station) : INFINITY;
    bool before = true; /* of two alike the first in the profile */
    for (int i = 0; i < scenario->station_count && isfinite(most_dbm); i++) {
        const struct station *other = &scenario->stations[i];
        before = before && strcmp(other->name, station->name) != 0;
        if (network_joins(station, other)) {
            double dbm = level_dbm(scenario, other);
            if (dbm > most_dbm || (dbm == most_dbm && before)) {
                main = other;
                most_dbm = dbm;
                before = false;
            }
        }
    }
    return main;
}

static struct echo echo_of(const struct scenario *scenario, const struct station *main,
                           const struct station *other)
{
    return (struct echo){.delay_us = us_from_km(other->distance_km - main->distance_km) +
                                     other->delay_us - main->delay_us,
                         .level_db = level_dbm(scenario, other) - level_dbm(scenario, main),
                         .phase_deg = NAN};
}

void network_add_rays(const struct scenario *scenario, const struct station *station,
                      struct channel *channel)
{
    const struct station *main = network_main(scenario, station), *other;
    for (int i = 0; (other = network_ray(scenario, station, i)) != NULL; i++) {
        struct echo echo = echo_of(scenario, main, other);
        echo.level_db = echo.level_db > FAINTEST_DB ? echo.level_db : FAINTEST_DB; /* NAN too */
        char name[NAME_MAX_BYTES + 16];
        text_format(name, sizeof name, "station %s", other->name);
        channel_add(channel, &echo, name); /* it holds all echoes and stations that there can be */
        channel->rays[channel->count - 1].transmitter = i + 1;
    }
}

const struct station *network_ray(const struct scenario *scenario, const struct station *station,
                                  int i)
{
    const struct station *main = network_main(scenario, station);
    for (int k = 0; k < scenario->station_count; k++) {
        if (network_joins(main, &scenario->stations[k]) && i-- == 0) {
            return &scenario->stations[k];
        }
    }
    return NULL;
}

void network_find(const struct scenario *scenario, struct link *link)
{
    link->member_count = 0;
    for (int i = 0; i < scenario->station_count; i++) {
        const struct station *other = &scenario->stations[i];
        if (network_joins(&link->tower, other)) {
            double dbm = level_dbm(scenario, other);
            link->member_dbm[link->member_count] = dbm;
            link->member_count += isfinite(dbm);
        }
    }
}
