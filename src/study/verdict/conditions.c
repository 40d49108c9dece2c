/* From a scenario to conditions: one SNR by a fixed order of sources, one channel for both
 * generations. */
#include "study/verdict/conditions.h"

#include <math.h>
#include <stddef.h>

#include "base/units.h"
#include "physics/air/noise.h"
#include "study/place/link.h"

const char *snr_source_name(enum snr_source source)
{
    static const char *const names[SNR_SOURCE_COUNT] = {[SNR_NONE] = "none",
                                                        [SNR_MEASURED] = "measured",
                                                        [SNR_LEVEL] = "level",
                                                        [SNR_STATION] = "station"};
    return (unsigned)source < SNR_SOURCE_COUNT ? names[source] : "?";
}

static enum status make_channel(const struct scenario *scenario, double center_mhz,
                                struct conditions *conditions, struct fault *fault)
{
    enum status status = echoes_check(scenario->echoes, scenario->echo_count, fault);
    if (status != STATUS_OK) {
        return status;
    }
    double most_hz = doppler_from_kmh(scenario->receiver.speed_kmh, center_mhz * 1e6);
    channel_start(&conditions->channel, center_mhz * 1e6);
    for (int i = 0; i < scenario->echo_count; i++) {
        struct echo echo = scenario->echoes[i];
        if (most_hz > 0.0 && echo.doppler_hz == 0.0) {
            double angle = 2.0 * PI * (i + 1) / (scenario->echo_count + 1);
            echo.doppler_hz = most_hz * (cos(angle) - 1.0);
        }
        channel_add(&conditions->channel, &echo, scenario->echo_names[i]);
    }
    conditions->speed_kmh = scenario->receiver.speed_kmh;
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

/* SNR, where it comes from, and the centre frequency in use. */
static void find_snr(const struct scenario *scenario, enum generation generation,
                     struct conditions *conditions, double *center_mhz)
{
    const struct receiver *receiver = &scenario->receiver;
    *center_mhz = scenario->site.center_mhz;
    conditions->noise_dbm =
        noise_total_dbm(receiver, scenario->site.bandwidth_mhz, scenario->site.center_mhz);
    const struct station *station = first_station(scenario, generation);
    if (!isnan(receiver->snr_db)) {
        conditions->source = SNR_MEASURED;
        conditions->snr_db = receiver->snr_db;
    } else if (!isnan(receiver->level_dbm)) {
        conditions->source = SNR_LEVEL;
        conditions->snr_db = receiver->level_dbm - conditions->noise_dbm;
    } else if (station != NULL) {
        struct link link = link_make(scenario, station);
        conditions->source = SNR_STATION;
        conditions->snr_db = link.cn_db - link.location_db;
        conditions->noise_dbm = link.noise_dbm;
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
    return make_channel(scenario, center_mhz, conditions, fault);
}

enum status conditions_at(const struct scenario *scenario, double center_mhz, double snr_db,
                          struct conditions *conditions, struct fault *fault)
{
    conditions->source = SNR_STATION;
    conditions->snr_db = snr_db;
    conditions->noise_dbm =
        noise_total_dbm(&scenario->receiver, scenario->site.bandwidth_mhz, center_mhz);
    return make_channel(scenario, center_mhz, conditions, fault);
}
