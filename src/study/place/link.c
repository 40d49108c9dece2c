/* From a station's tower to the receiver's input: field, level, noise.
 *
 * field - entry loss -> level (antenna gain, line loss) -> less noise: C/N. */
#include "study/place/link.h"

#include <math.h>

#include "base/text.h"
#include "physics/air/building.h"
#include "physics/air/noise.h"

static enum surroundings surroundings_of(const struct scenario *scenario)
{
    static const enum surroundings rows[MAN_MADE_COUNT] = {[MAN_MADE_NONE] = SURROUNDINGS_SUBURBAN,
                                                           [MAN_MADE_RURAL] = SURROUNDINGS_OPEN,
                                                           [MAN_MADE_RESIDENTIAL] =
                                                               SURROUNDINGS_SUBURBAN,
                                                           [MAN_MADE_CITY] = SURROUNDINGS_URBAN};
    return rows[scenario->receiver.man_made];
}

static struct path path_of(const struct scenario *scenario, const struct link *link,
                           double distance_km)
{
    return (struct path){.center_mhz = link->center_mhz,
                         .transmit_height_m = link->tower.height_m,
                         .receive_height_m = scenario->place.receive_height_m,
                         .distance_km = distance_km};
}

bool link_uses_hata(const struct scenario *scenario, const struct link *link)
{
    return scenario->place.method == METHOD_HATA && !link->method_changed;
}

/* The field at a distance and, where `ruling` is not NULL, the method that rules there. */
static double field_at(const struct scenario *scenario, const struct link *link, double distance_km,
                       enum propagation *ruling)
{
    struct path path = path_of(scenario, link, distance_km);
    const struct station *tower = &link->tower;
    double erp_kw = link->vertical ? tower->erp_vertical_kw : tower->erp_kw;
    enum propagation method = PROPAGATION_FREE_SPACE;
    double field;
    if (link_uses_hata(scenario, link)) {
        /* With a high receiving antenna the fit exceeds free space, which no field does. */
        method = PROPAGATION_HATA;
        field = hata_check(&path, NULL) == STATUS_OK
                    ? fmin(hata_field_dbuvm(&path, erp_kw, surroundings_of(scenario)),
                           free_space_field_dbuvm(erp_kw, distance_km))
                    : NAN;
    } else {
        double loss_db = 0.0;
        if (scenario->place.method == METHOD_SMOOTH_EARTH) {
            loss_db = smooth_earth_loss_db(&path);
            method = distance_km >= link->horizon_km ? PROPAGATION_DIFFRACTION
                     : loss_db > 0.0                 ? PROPAGATION_SMOOTH_EARTH
                                                     : PROPAGATION_FREE_SPACE;
        } else if (scenario->place.method != METHOD_FREE_SPACE) {
            loss_db = open_earth_loss_db(&path, &method);
        }
        field = free_space_field_dbuvm(erp_kw, distance_km) - loss_db;
    }
    if (ruling != NULL) {
        *ruling = method;
    }
    return field;
}

static void choose_method(const struct scenario *scenario, struct link *link)
{
    struct path path = path_of(scenario, link, link->tower.distance_km);
    struct fault fault = {0};
    if (scenario->place.method == METHOD_HATA && hata_check(&path, &fault) != STATUS_OK) {
        link->method_changed = true;
        text_format(link->method_note, sizeof link->method_note,
                    "Okumura-Hata does not hold: %s %s (%s). Open ground is taken instead, which "
                    "knows no houses and gives a higher field.",
                    fault.place, fault.wrong, fault.allowed);
    }
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
                                  center_mhz);
}

double link_field_at_dbuvm(const struct scenario *scenario, const struct link *link,
                           double distance_km)
{
    return field_at(scenario, link, distance_km, NULL);
}

struct link link_make(const struct scenario *scenario, const struct station *station)
{
    const struct receiver *receiver = &scenario->receiver;
    struct link link = {.tower = *station,
                        .center_mhz = rf_center_mhz(station->rf_channel),
                        .vertical = station->erp_vertical_kw > station->erp_kw};
    link.band = rf_band(link.center_mhz);
    link.horizon_km = radio_horizon_km(station->height_m, scenario->place.receive_height_m);
    choose_method(scenario, &link);
    link.field_dbuvm = field_at(scenario, &link, station->distance_km, &link.method);
    link.entry_loss_db = entry_loss_db(scenario, link.center_mhz);
    link.level_dbm = level_from_field_dbm(link.field_dbuvm - link.entry_loss_db, link.center_mhz,
                                          receiver->antenna_dbd, receiver->line_loss_db);
    link.noise_dbm = noise_total_dbm(receiver, scenario->site.bandwidth_mhz, link.center_mhz);
    link.cn_db = link.level_dbm - link.noise_dbm;
    link.location_db = location_allowance_db(scenario->place.location_percent);
    return link;
}
