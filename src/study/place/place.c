/* Stations at a place: the link from ERP to margin, and the distance at which the margin is gone.
 *
 * margin = field - entry loss -> level (gain, line) - noise - needed SNR - location allowance.
 * Only the field depends on the distance, and it falls with it, so the zero of the margin is found
 * by halving the interval of log distance. */
#include "study/place/place.h"

#include <math.h>

#include "base/units.h"
#include "physics/air/building.h"
#include "physics/air/noise.h"
#include "physics/information/required_snr.h"
#include "physics/ofdm/doppler.h"
#include "standard/atsc3/frame.h"
#include "standard/vsb/signal.h"
#include "study/verdict/place_need.h"

const int place_band_channels[BAND_COUNT] = {3, 10, 24};

static enum surroundings surroundings_of(const struct scenario *scenario)
{
    static const enum surroundings rows[MAN_MADE_COUNT] = {[MAN_MADE_NONE] = SURROUNDINGS_SUBURBAN,
                                                           [MAN_MADE_RURAL] = SURROUNDINGS_OPEN,
                                                           [MAN_MADE_RESIDENTIAL] =
                                                               SURROUNDINGS_SUBURBAN,
                                                           [MAN_MADE_CITY] = SURROUNDINGS_URBAN};
    return rows[scenario->receiver.man_made];
}

static struct path path_of(const struct scenario *scenario, const struct place_station *station,
                           double distance_km)
{
    return (struct path){.center_mhz = station->center_mhz,
                         .transmit_height_m = station->station.height_m,
                         .receive_height_m = scenario->place.receive_height_m,
                         .distance_km = distance_km};
}

static bool uses_hata(const struct scenario *scenario, const struct place_station *station)
{
    return scenario->place.method == METHOD_HATA && !station->method_changed;
}

/* The field at a distance and, where `ruling` is not NULL, the method that rules there. */
static double field_dbuvm(const struct scenario *scenario, const struct place_station *station,
                          double distance_km, enum propagation *ruling)
{
    struct path path = path_of(scenario, station, distance_km);
    const struct station *tower = &station->station;
    double erp_kw = station->vertical ? tower->erp_vertical_kw : tower->erp_kw;
    enum propagation method = PROPAGATION_FREE_SPACE;
    double field;
    if (uses_hata(scenario, station)) {
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
            method = distance_km >= station->horizon_km ? PROPAGATION_DIFFRACTION
                     : loss_db > 0.0                    ? PROPAGATION_SMOOTH_EARTH
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

double place_field_at_dbuvm(const struct scenario *scenario, const struct place_station *station,
                            double distance_km)
{
    return field_dbuvm(scenario, station, distance_km, NULL);
}

double place_margin_at_db(const struct scenario *scenario, const struct place_station *station,
                          double distance_km)
{
    return station->margin_db + place_field_at_dbuvm(scenario, station, distance_km) -
           station->field_dbuvm;
}

static void choose_method(const struct scenario *scenario, struct place_station *station)
{
    struct path path = path_of(scenario, station, station->station.distance_km);
    struct fault fault = {0};
    if (scenario->place.method == METHOD_HATA && hata_check(&path, &fault) != STATUS_OK) {
        station->method_changed = true;
        text_format(station->method_note, sizeof station->method_note,
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

static void find_reach(const struct scenario *scenario, struct place_station *station)
{
    double near = DISTANCE_MIN_KM, far = DISTANCE_MAX_KM;
    if (uses_hata(scenario, station)) {
        near = HATA_MIN_KM;
        far = HATA_MAX_KM;
    }
    station->reach_km = NAN;
    if (!(place_margin_at_db(scenario, station, near) >= 0.0)) {
        station->reach = REACH_NOWHERE;
        station->reach_end_km = near;
        return;
    }
    if (place_margin_at_db(scenario, station, far) > 0.0) {
        station->reach = REACH_BEYOND;
        station->reach_end_km = far;
        return;
    }
    for (int i = 0; i < 60 && far / near > 1.0 + 1e-12; i++) {
        double middle = sqrt(near * far);
        if (place_margin_at_db(scenario, station, middle) >= 0.0) {
            near = middle;
        } else {
            far = middle;
        }
    }
    station->reach = REACH_FOUND;
    station->reach_km = station->reach_end_km = near;
}

static enum status fill_generation(const struct scenario *scenario, struct place_station *station,
                                   struct fault *fault)
{
    if (station->station.generation == GENERATION_FIRST) {
        station->plain_snr_db =
            scenario->first.threshold_db + scenario->first.implementation_loss_db;
        station->net_mbps = vsb_net_mbps();
        station->doppler_limit_hz = scenario->first.tracking_hz;
        return STATUS_OK;
    }
    const struct mode *mode = &scenario->mode;
    struct frame frame;
    enum status status = mode_check(mode, fault);
    if (status == STATUS_OK) {
        status = frame_build(mode, &frame, fault);
    }
    if (status != STATUS_OK) {
        return status;
    }
    station->plain_snr_db = receiver_snr_db(mode);
    station->net_mbps = frame.net_mbps;
    station->doppler_limit_hz = fmin(doppler_pilot_limit_hz(mode),
                                     doppler_interference_limit_hz(mode, station->plain_snr_db));
    return STATUS_OK;
}

static void fill_link(const struct scenario *scenario, struct place_station *station)
{
    const struct receiver *receiver = &scenario->receiver;
    station->horizon_km =
        radio_horizon_km(station->station.height_m, scenario->place.receive_height_m);
    choose_method(scenario, station);
    station->field_dbuvm =
        field_dbuvm(scenario, station, station->station.distance_km, &station->method);
    station->entry_loss_db = entry_loss_db(scenario, station->center_mhz);
    station->level_dbm =
        level_from_field_dbm(station->field_dbuvm - station->entry_loss_db, station->center_mhz,
                             receiver->antenna_dbd, receiver->line_loss_db);
    station->noise_dbm =
        noise_total_dbm(receiver, scenario->site.bandwidth_mhz, station->center_mhz);
    station->cn_db = station->level_dbm - station->noise_dbm;
    station->location_db = location_allowance_db(scenario->place.location_percent);
    station->margin_db = station->cn_db - station->needed_snr_db - station->location_db;
}

/* What a signal needs depends on its generation and, where the receiver moves, on the channel:
 * found among stations made before, if there. */
static bool needs_alike(const struct scenario *scenario, const struct station *one,
                        const struct station *other)
{
    return one->generation == other->generation &&
           (scenario->receiver.speed_kmh == 0.0 || one->rf_channel == other->rf_channel);
}

static const struct place_station *find_need(const struct scenario *scenario,
                                             const struct station *station,
                                             const struct place_station *known, int count)
{
    for (int i = 0; i < count; i++) {
        if (needs_alike(scenario, station, &known[i].station)) {
            return &known[i];
        }
    }
    return NULL;
}

/* `alike` may be NULL: then the need is computed. */
static enum status make_station(const struct scenario *scenario, const struct station *station,
                                const struct place_station *alike, struct place_station *result,
                                struct fault *fault)
{
    *result = (struct place_station){.station = *station,
                                     .center_mhz = rf_center_mhz(station->rf_channel),
                                     .vertical = station->erp_vertical_kw > station->erp_kw};
    result->band = rf_band(result->center_mhz);
    enum status status = fill_generation(scenario, result, fault);
    if (status == STATUS_OK && alike != NULL) {
        result->needed_snr_db = alike->needed_snr_db;
    } else if (status == STATUS_OK) {
        status =
            place_need_db(scenario, station, result->plain_snr_db, &result->needed_snr_db, fault);
    }
    if (status != STATUS_OK) {
        return status;
    }
    fill_link(scenario, result);
    find_reach(scenario, result);
    return STATUS_OK;
}

enum status place_station_make(const struct scenario *scenario, const struct station *station,
                               struct place_station *result, struct fault *fault)
{
    return make_station(scenario, station, NULL, result, fault);
}

enum status place_study_make(const struct scenario *scenario, struct place_study *study,
                             struct fault *fault)
{
    static const struct place_study nothing;
    return place_study_make_again(scenario, &nothing, study, fault);
}

enum status place_study_make_again(const struct scenario *scenario, const struct place_study *known,
                                   struct place_study *study, struct fault *fault)
{
    study->count = scenario->station_count;
    study->has_echoes = scenario->echo_count > 0;
    if (scenario->station_count == 0) {
        return fault_set(fault, STATUS_ILLEGAL, "station", "one to eight [station NAME] sections",
                         "there is no station to compare");
    }
    for (int i = 0; i < study->count; i++) {
        const struct station *station = &scenario->stations[i];
        const struct place_station *alike =
            find_need(scenario, station, known->stations, known->count);
        if (alike == NULL) {
            alike = find_need(scenario, station, study->stations, i);
        }
        enum status status = make_station(scenario, station, alike, &study->stations[i], fault);
        if (status != STATUS_OK) {
            return status;
        }
    }
    return STATUS_OK;
}

enum status place_bands_make(const struct scenario *scenario, const struct station *station,
                             struct place_station results[BAND_COUNT], struct fault *fault)
{
    for (int band = 0; band < BAND_COUNT; band++) {
        struct station moved = *station;
        moved.rf_channel = place_band_channels[band];
        const struct place_station *alike = find_need(scenario, &moved, results, band);
        enum status status = make_station(scenario, &moved, alike, &results[band], fault);
        if (status != STATUS_OK) {
            return status;
        }
    }
    return STATUS_OK;
}

static double erp_db(const struct place_station *station)
{
    return db_from_ratio(station->vertical ? station->station.erp_vertical_kw
                                           : station->station.erp_kw);
}

void place_difference(const struct place_station *one, const struct place_station *other,
                      double parts_db[PART_COUNT])
{
    parts_db[PART_POWER] = erp_db(other) - erp_db(one);
    parts_db[PART_WAY] = other->field_dbuvm - one->field_dbuvm - parts_db[PART_POWER];
    parts_db[PART_ANTENNA] = 20.0 * log10(one->center_mhz / other->center_mhz);
    parts_db[PART_BUILDING] = one->entry_loss_db - other->entry_loss_db;
    parts_db[PART_NOISE] = one->noise_dbm - other->noise_dbm;
    parts_db[PART_NEED] = one->plain_snr_db - other->plain_snr_db;
    parts_db[PART_ECHOES] =
        (one->needed_snr_db - one->plain_snr_db) - (other->needed_snr_db - other->plain_snr_db);
}

const char *place_part_name(enum place_part part)
{
    static const char *const names[PART_COUNT] = {[PART_POWER] = "radiated power",
                                                  [PART_WAY] = "way (distance, height, frequency)",
                                                  [PART_ANTENNA] =
                                                      "antenna (its size at the frequency)",
                                                  [PART_BUILDING] = "building entry loss",
                                                  [PART_NOISE] = "noise",
                                                  [PART_NEED] = "needed SNR",
                                                  [PART_ECHOES] = "echoes"};
    return (unsigned)part < PART_COUNT ? names[part] : "?";
}
