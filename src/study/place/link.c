/* From a station's tower to the receiver's input: field, level, noise, interference.
 *
 * field - entry loss -> level (antenna gain, its direction, line loss) -> less noise and
 * interference: C/N.
 *
 * The share of locations takes Q times the spread of C/(N + I). Levels spread by s dB each,
 * independently; C/(N + I) in dB moves one for one with C and by p with signals on the channel that
 * make a share p of noise and themselves. To first order its spread is s sqrt(1 + p^2): s in noise
 * alone, 1.41 s where another signal rules, as planners have it (Q sqrt(sw^2 + si^2)). Several such
 * signals count as one that spreads as one: on the safe side.
 *
 * The transmitters of a network count together: C is the sum of their powers (of the medians, which
 * is on the safe side of the sum's median by up to 1.6 dB for two), and the sum spreads less than
 * one of them alone, by k-LNM. */
#include "study/place/link.h"

#include <math.h>

#include "base/units.h"
#include "physics/air/antenna.h"
#include "physics/air/building.h"
#include "physics/air/interference.h"
#include "physics/air/log_normal.h"
#include "physics/air/noise.h"
#include "study/place/interference.h"
#include "study/place/network.h"
#include "system/system.h"

static struct path path_of(const struct scenario *scenario, const struct link *link,
                           double distance_km, double time_percent)
{
    const struct station *tower = &link->tower;
    bool known = tower->terrain.count > 0;
    double height_m = known ? terrain_effective_m(&tower->terrain, tower->height_m, distance_km)
                            : tower->height_m;
    return (struct path){.center_mhz = link->center_mhz,
                         .transmit_height_m = height_m,
                         .receive_height_m = scenario->place.receive_height_m,
                         .distance_km = distance_km,
                         .vertical = link->vertical,
                         .surroundings = scenario->place.surroundings,
                         .time_percent = time_percent,
                         .terrain = known ? &tower->terrain : NULL,
                         .mast_m = tower->height_m};
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

/* An antenna that is not said to be turned, or a station of which nobody says where it lies: it is
 * heard as from ahead. */
static double discrimination_db(const struct place *place, const struct station *station,
                                enum band band)
{
    double off_deg = station->bearing_deg - place->bearing_deg;
    return isnan(off_deg) ? 0.0 : antenna_discrimination_db(band, off_deg, place->front_to_back_db);
}

static double field_dbuvm(const struct link *link, const struct path *path)
{
    const struct station *tower = &link->tower;
    return method_field_dbuvm(link->choice.method, path,
                              link->vertical ? tower->erp_vertical_kw : tower->erp_kw);
}

/* What is told of the ground that lies between. */
static void find_terrain(struct link *link, const struct path *path)
{
    link->effective_height_m = link->clearance_deg = link->terrain_db = NAN;
    if (path->terrain == NULL) {
        return;
    }
    link->effective_height_m = path->transmit_height_m;
    if (link->choice.method == METHOD_P1546) {
        link->clearance_deg = terrain_clearance_deg(path->terrain, path->mast_m,
                                                    path->receive_height_m, path->distance_km);
        link->terrain_db = terrain_clearance_db(link->clearance_deg, path->center_mhz);
    }
}

void link_send(const struct scenario *scenario, const struct station *station,
               enum field_method method, double time_percent, struct link *link)
{
    const struct receiver *receiver = &scenario->receiver;
    *link = (struct link){.tower = *station,
                          .center_mhz =
                              rf_center_mhz(pair_plan(scenario->site.pair), station->rf_channel),
                          .vertical = station->erp_vertical_kw > station->erp_kw};
    link->band = rf_band(link->center_mhz);
    struct path path = path_of(scenario, link, station->distance_km, time_percent);
    link->horizon_km = radio_horizon_km(fmax(path.transmit_height_m, HEIGHT_MIN_M),
                                        scenario->place.receive_height_m);
    link->choice = method_choose(method, &path);
    link->error_db = method_error_db(link->choice.method, &path);
    link->field_dbuvm = field_dbuvm(link, &path);
    find_terrain(link, &path);
    link->entry_loss_db = entry_loss_db(scenario, link->center_mhz);
    link->discrimination_db = discrimination_db(&scenario->place, station, link->band);
    link->level_dbm =
        level_from_field_dbm(link->field_dbuvm - link->entry_loss_db - link->discrimination_db,
                             link->center_mhz, receiver->antenna_dbd, receiver->line_loss_db);
}

double link_field_at_dbuvm(const struct scenario *scenario, const struct link *link,
                           double distance_km)
{
    struct path path = path_of(scenario, link, distance_km, scenario->place.time_percent);
    return field_dbuvm(link, &path);
}

/* The network's power, and its spread over locations. */
static struct log_normal add_network(const struct scenario *scenario, struct link *link)
{
    struct log_normal parts[STATIONS_MAX] = {{link->level_dbm, LOCATION_SPREAD_DB}};
    double power = ratio_from_db(link->level_dbm), most_dbm = link->level_dbm;
    for (int i = 0; i < link->member_count; i++) {
        parts[i + 1] = (struct log_normal){link->member_dbm[i], LOCATION_SPREAD_DB};
        power += ratio_from_db(link->member_dbm[i]);
        most_dbm = fmax(most_dbm, link->member_dbm[i]);
    }
    double share = scenario->place.location_percent / 100.0;
    struct log_normal sum = log_normal_sum(parts, (size_t)link->member_count + 1, LOG_NORMAL_K);
    struct log_normal best = {most_dbm, LOCATION_SPREAD_DB};
    link->network_dbm = db_from_ratio(power);
    link->network_gain_db = link->network_dbm - most_dbm;
    link->network_gain_served_db =
        log_normal_exceeded_db(&sum, share) - log_normal_exceeded_db(&best, share);
    return sum;
}

/* What the signal meets at the input, from its level and the interferers' on. */
static void receive(const struct scenario *scenario, struct link *link)
{
    struct log_normal sum = add_network(scenario, link);
    double alone = link->member_count > 0 ? sum.deviation_db / LOCATION_SPREAD_DB : 1.0;
    link->interference_dbm = interference_sum_dbm(link, link->network_dbm);
    double noise = ratio_from_db(link->noise_dbm), same_channel = 0.0;
    double all = noise + ratio_from_db(link->interference_dbm);
    for (int i = 0; i < link->interferer_count; i++) {
        const struct interferer *interferer = &link->interferers[i];
        /* A product's offset is that of one of its makers, which is on another channel. */
        same_channel += interferer->offset == 0 ? ratio_from_db(interferer->dbm) : 0.0;
    }
    double share = same_channel / (noise + same_channel);
    link->interference_db = db_from_ratio(all / noise);
    link->headroom_db = fmin(INPUT_DESIRED_MAX_DBM - link->network_dbm,
                             INPUT_UNDESIRED_MAX_DBM - link->strongest_other_dbm);
    link->cn_db = link->network_dbm - db_from_ratio(all);
    link->location_db =
        location_allowance_db(scenario->place.location_percent) * hypot(alone, share);
}

double link_noise_mhz(const struct scenario *scenario, enum generation generation)
{
    return noise_bandwidth_mhz(pair_plan(scenario->site.pair),
                               system_channel_mhz(scenario, generation));
}

struct link link_make(const struct scenario *scenario, const struct station *station)
{
    struct link link;
    link_send(scenario, station, scenario->place.method, scenario->place.time_percent, &link);
    link.noise_dbm = noise_total_dbm(
        &scenario->receiver, link_noise_mhz(scenario, station->generation), link.center_mhz);
    network_find(scenario, &link);
    interference_find(scenario, &link);
    receive(scenario, &link);
    return link;
}

double link_snr_at_db(const struct scenario *scenario, const struct link *link, double distance_km)
{
    struct link there = *link;
    there.level_dbm += link_field_at_dbuvm(scenario, link, distance_km) - link->field_dbuvm;
    receive(scenario, &there);
    return there.cn_db - there.location_db;
}
