/* From a station's tower to the receiver's input: field, level, noise.
 *
 * field - entry loss -> level (antenna gain, line loss) -> less noise: C/N. */
#include "study/place/link.h"

#include <math.h>

#include "physics/air/building.h"
#include "physics/air/noise.h"

static struct path path_of(const struct scenario *scenario, const struct link *link,
                           double distance_km)
{
    return (struct path){.center_mhz = link->center_mhz,
                         .transmit_height_m = link->tower.height_m,
                         .receive_height_m = scenario->place.receive_height_m,
                         .distance_km = distance_km,
                         .vertical = link->vertical,
                         .surroundings = scenario->place.surroundings,
                         .time_percent = scenario->place.time_percent};
}

static double entry_loss_db(const struct scenario *scenario, double center_mhz)
{
    const struct place *place = &scenario->place;
    if (!isnan(place->entry_loss_db)) {
        return place->entry_loss_db;
    }
    if (place->building == BUILDING_NONE) {
        return 0.0;
    }
    return building_entry_loss_db(place->building == BUILDING_EFFICIENT ? BUILDING_KIND_EFFICIENT
                                                                        : BUILDING_KIND_TRADITIONAL,
                                  center_mhz, 0.5);
}

double link_field_at_dbuvm(const struct scenario *scenario, const struct link *link,
                           double distance_km)
{
    struct path path = path_of(scenario, link, distance_km);
    const struct station *tower = &link->tower;
    return method_field_dbuvm(link->choice.method, &path,
                              link->vertical ? tower->erp_vertical_kw : tower->erp_kw);
}

struct link link_make(const struct scenario *scenario, const struct station *station)
{
    const struct receiver *receiver = &scenario->receiver;
    struct link link = {.tower = *station,
                        .center_mhz = rf_center_mhz(station->rf_channel),
                        .vertical = station->erp_vertical_kw > station->erp_kw};
    link.band = rf_band(link.center_mhz);
    link.horizon_km = radio_horizon_km(station->height_m, scenario->place.receive_height_m);
    struct path path = path_of(scenario, &link, station->distance_km);
    link.choice = method_choose(scenario->place.method, &path);
    link.error_db = method_row(link.choice.method)->error_db;
    link.field_dbuvm = link_field_at_dbuvm(scenario, &link, station->distance_km);
    link.entry_loss_db = entry_loss_db(scenario, link.center_mhz);
    link.level_dbm = level_from_field_dbm(link.field_dbuvm - link.entry_loss_db, link.center_mhz,
                                          receiver->antenna_dbd, receiver->line_loss_db);
    link.noise_dbm = noise_total_dbm(receiver, scenario->site.bandwidth_mhz, link.center_mhz);
    link.cn_db = link.level_dbm - link.noise_dbm;
    link.location_db = location_allowance_db(scenario->place.location_percent);
    return link;
}
