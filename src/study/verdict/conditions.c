/* From a scenario to conditions: one SNR by a fixed order of sources, one channel for both
 * generations. */
#include "study/verdict/conditions.h"

#include <math.h>
#include <stddef.h>

#include "base/units.h"
#include "physics/air/interference.h"
#include "physics/air/noise.h"
#include "study/place/interference.h"
#include "study/place/network.h"

const char *snr_source_name(enum snr_source source)
{
    static const char *const names[SNR_SOURCE_COUNT] = {[SNR_NONE] = "none",
                                                        [SNR_MEASURED] = "measured",
                                                        [SNR_LEVEL] = "level",
                                                        [SNR_STATION] = "station"};
    return (unsigned)source < SNR_SOURCE_COUNT ? names[source] : "?";
}

/* The echoes, then the other transmitters of the station's network; NULL: of none. A ray that moves
 * runs through its phases in time, so a share of positions is a share of time. Where the receiver
 * moves all of them do, and what is near it scatters each from all sides. */
static enum status make_channel(const struct scenario *scenario, const struct station *station,
                                double center_mhz, struct conditions *conditions,
                                struct fault *fault)
{
    enum status status = echoes_check(scenario->echoes, scenario->echo_count, fault);
    if (status != STATUS_OK) {
        return status;
    }
    double most_hz = doppler_from_kmh(scenario->receiver.speed_kmh, center_mhz * 1e6);
    struct channel *channel = &conditions->channel;
    channel_start(channel, center_mhz * 1e6);
    channel->spread_hz = most_hz;
    for (int i = 0; i < scenario->echo_count; i++) {
        const struct echo *echo = &scenario->echoes[i];
        channel_add(channel, echo, scenario->echo_names[i]);
        struct ray *ray = &channel->rays[channel->count - 1];
        ray->any_phase |= echo->doppler_hz != 0.0 || most_hz != 0.0;
    }
    conditions->speed_kmh = scenario->receiver.speed_kmh;
    conditions->positions = scenario->receiver.positions;
    conditions->position_percent = scenario->receiver.position_percent;
    if (station != NULL) {
        network_add_rays(scenario, station, channel);
    }
    return STATUS_OK;
}

static const struct station *first_station(const struct scenario *scenario,
                                           enum generation generation)
{
    for (int i = 0; i < scenario->station_count; i++) {
        if (scenario->stations[i].generation == generation) {
            return &scenario->stations[i];
        }
    }
    return NULL;
}

const struct station *conditions_station(const struct scenario *scenario,
                                         enum generation generation)
{
    const struct station *own = first_station(scenario, generation);
    return own != NULL || scenario->station_count == 0 ? own : &scenario->stations[0];
}

/* What the other stations take of a measured level; 0 where no station is said to be received. */
static double level_interference_db(const struct scenario *scenario, const struct station *station,
                                    double noise_dbm)
{
    if (station == NULL) {
        return 0.0;
    }
    struct link link = link_make(scenario, station);
    double dbm = interference_sum_dbm(&link, scenario->receiver.level_dbm);
    return db_from_ratio(1.0 + ratio_from_db(dbm - noise_dbm));
}

static void take_link(const struct link *link, struct conditions *conditions)
{
    conditions->source = SNR_STATION;
    conditions->error_db = link->error_db;
    conditions->snr_db = link->cn_db - link->location_db;
    conditions->noise_dbm = link->noise_dbm;
    conditions->interference_db = link->interference_db;
    conditions->headroom_db = link->headroom_db;
}

/* SNR, where it comes from, and the centre frequency in use. */
static void find_snr(const struct scenario *scenario, enum generation generation,
                     struct conditions *conditions, double *center_mhz)
{
    const struct receiver *receiver = &scenario->receiver;
    *center_mhz = scenario->site.center_mhz;
    conditions->interference_db = 0.0;
    conditions->error_db = NAN;
    conditions->headroom_db = NAN;
    conditions->noise_dbm =
        noise_total_dbm(receiver, link_noise_mhz(scenario, generation), scenario->site.center_mhz);
    const struct station *station = first_station(scenario, generation);
    if (!isnan(receiver->snr_db)) {
        conditions->source = SNR_MEASURED;
        conditions->snr_db = receiver->snr_db;
    } else if (!isnan(receiver->level_dbm)) {
        conditions->source = SNR_LEVEL;
        conditions->interference_db =
            level_interference_db(scenario, station, conditions->noise_dbm);
        conditions->headroom_db = INPUT_DESIRED_MAX_DBM - receiver->level_dbm;
        conditions->snr_db =
            receiver->level_dbm - conditions->noise_dbm - conditions->interference_db;
    } else if (station != NULL) {
        struct link link = link_make(scenario, station);
        take_link(&link, conditions);
        *center_mhz = link.center_mhz;
    } else {
        conditions->source = SNR_NONE;
        conditions->snr_db = NAN;
    }
}

enum status conditions_make(const struct scenario *scenario, enum generation generation,
                            struct conditions *conditions, struct fault *fault)
{
    double center_mhz;
    find_snr(scenario, generation, conditions, &center_mhz);
    return make_channel(scenario, conditions_station(scenario, generation), center_mhz, conditions,
                        fault);
}

enum status conditions_at(const struct scenario *scenario, const struct link *link,
                          struct conditions *conditions, struct fault *fault)
{
    take_link(link, conditions);
    return make_channel(scenario, &link->tower, link->center_mhz, conditions, fault);
}

const char *conditions_ray_name(const struct scenario *scenario, enum generation generation, int i)
{
    if (i == 0) {
        return "main signal";
    }
    if (i <= scenario->echo_count) {
        return scenario->echo_names[i - 1];
    }
    const struct station *station = conditions_station(scenario, generation);
    return network_ray(scenario, station, i - 1 - scenario->echo_count)->name;
}
