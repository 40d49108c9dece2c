/* Stations at a place: the link from ERP to margin, and the distance at which the margin is gone.
 *
 * margin = field - entry loss -> level (gain, line) - noise - location allowance - needed SNR in
 * noise - what echoes and motion take. Only the field depends on the distance. Near a tall tower it
 * may rise with it before it falls, so the farthest distance where what is left meets the SNR
 * needed with echoes and motion is sought from afar, in steps of 3 % and on the peaks between them,
 * and then by halving the interval of log distance; nearer by there may be gaps, behind a ridge or
 * at the foot of a tall tower. */
#include "study/place/place.h"

#include <math.h>
#include <string.h>

#include "base/units.h"
#include "physics/air/minimum_field.h"
#include "physics/air/noise.h"

int place_band_channel(const struct scenario *scenario, enum band band)
{
    static const int channels[PLAN_COUNT][BAND_COUNT] = {
        [PLAN_US] = {[BAND_LOW_VHF] = 3, [BAND_HIGH_VHF] = 10, [BAND_UHF] = 24},
        [PLAN_REGION_1] = {[BAND_HIGH_VHF] = 8, [BAND_UHF] = 30}};
    return channels[pair_plan(scenario->site.pair)][band];
}

double place_field_at_dbuvm(const struct scenario *scenario, const struct place_station *station,
                            double distance_km)
{
    return link_field_at_dbuvm(scenario, &station->link, distance_km);
}

double place_snr_at_db(const struct scenario *scenario, const struct place_station *station,
                       double distance_km)
{
    return link_snr_at_db(scenario, &station->link, distance_km);
}

/* Whether it decodes at a distance: an SNR suffices from the needed one on. */
static double spare_at_db(const struct scenario *scenario, const struct place_station *station,
                          double distance_km)
{
    return place_snr_at_db(scenario, station, distance_km) - station->needed_snr_db;
}

#define STEPS 400
#define GAP_STEPS 4      /* a gap nearer by is looked for in steps as wide as so many */
#define PEAK_DB (-3.0)   /* a peak that falls short by more does not reach 0 between two steps */
#define PEAK_HALVINGS 30 /* each takes a third or so of what is left */

/* Distances that share a station's reach: from `near_km` on in equal ratios. */
struct ladder {
    const struct scenario *scenario;
    const struct place_station *station;
    double near_km, ratio;
};

static double rung_km(const struct ladder *ladder, double step)
{
    return ladder->near_km * pow(ladder->ratio, step);
}

static double spare_on_db(const struct ladder *ladder, double step)
{
    return spare_at_db(ladder->scenario, ladder->station, rung_km(ladder, step));
}

/* The step of most to spare between two with one peak between them: by the golden section. */
static double peak_between(const struct ladder *ladder, double low, double high)
{
    const double golden = 0.5 * (sqrt(5.0) - 1.0);
    double a = high - golden * (high - low), b = low + golden * (high - low);
    double at_a = spare_on_db(ladder, a), at_b = spare_on_db(ladder, b);
    for (int i = 0; i < PEAK_HALVINGS; i++) {
        if (at_a > at_b) {
            high = b;
            b = a;
            at_b = at_a;
            a = high - golden * (high - low);
            at_a = spare_on_db(ladder, a);
        } else {
            low = a;
            a = b;
            at_a = at_b;
            b = low + golden * (high - low);
            at_b = spare_on_db(ladder, b);
        }
    }
    return 0.5 * (low + high);
}

/* The farthest step that decodes, with the next one out that does not in `out`: a whole one or the
 * peak between whole ones; -1: there is none. */
static double farthest_step(const struct ladder *ladder, double *out)
{
    double before = NAN, last = NAN;
    for (int step = STEPS; step >= 0; step--) {
        double here = spare_on_db(ladder, step);
        if (here >= 0.0) {
            *out = step + 1.0;
            return step;
        }
        if (last > PEAK_DB && last >= before && last > here) {
            double peak = peak_between(ladder, step, step + 2.0);
            if (spare_on_db(ladder, peak) >= 0.0) {
                *out = step + 2.0;
                return peak;
            }
        }
        before = last;
        last = here;
    }
    return -1.0;
}

static bool has_gaps(const struct ladder *ladder, double step)
{
    bool gaps = false;
    for (int k = GAP_STEPS; k <= step && !gaps; k += GAP_STEPS) {
        gaps = !(spare_on_db(ladder, step - k) >= 0.0);
    }
    return gaps;
}

static void find_reach(const struct scenario *scenario, struct place_station *station)
{
    const struct method *method = method_row(station->link.choice.method);
    double near = method->near_km, far = method->far_km(scenario->place.time_percent);
    struct ladder ladder = {.scenario = scenario,
                            .station = station,
                            .near_km = near, /* and not beyond the end: */
                            .ratio = pow(far / near, 1.0 / STEPS) * (1.0 - 1e-15)};
    double out = STEPS, step = farthest_step(&ladder, &out);
    station->reach = step < 0.0 ? REACH_NOWHERE : step == STEPS ? REACH_BEYOND : REACH_FOUND;
    station->reach_km = NAN;
    station->reach_end_km = step < 0.0 ? near : far;
    station->reach_has_gaps = has_gaps(&ladder, step);
    if (station->reach != REACH_FOUND) {
        return;
    }
    near = rung_km(&ladder, step);
    far = rung_km(&ladder, out);
    while (far / near > 1.0 + 1e-12) {
        double middle = sqrt(near * far);
        if (spare_at_db(scenario, station, middle) >= 0.0) {
            near = middle;
        } else {
            far = middle;
        }
    }
    station->reach_km = station->reach_end_km = near;
}

/* What a signal needs under the echoes depends on its generation and, where the receiver moves, on
 * the channel: found among stations made before, if there. */
static bool needs_alike(const struct scenario *scenario, const struct station *one,
                        const struct station *other)
{
    return one->generation == other->generation && strcmp(one->network, other->network) == 0 &&
           (scenario->receiver.speed_kmh == 0.0 || one->rf_channel == other->rf_channel);
}

static const struct place_station *find_need(const struct scenario *scenario,
                                             const struct station *station,
                                             const struct place_station *known, int count,
                                             bool same_stations)
{
    for (int i = 0; i < count; i++) {
        if (known[i].link.tower.rf_channel !=
                0 && /* else it was not made: the plan has none there */
            needs_alike(scenario, station, &known[i].link.tower) &&
            (same_stations || known[i].link.member_count == 0)) {
            return &known[i];
        }
    }
    return NULL;
}

static enum status make_verdict(const struct scenario *scenario, const struct system *system,
                                struct place_station *result, struct fault *fault)
{
    const struct link *link = &result->link;
    struct verdict *verdict = &result->verdict;
    enum status status = system->receive(scenario, PIPE_MOST_ROBUST, &verdict->reception, fault);
    if (status == STATUS_OK) {
        status = system->describe(scenario, PIPE_MOST_ROBUST, &verdict->facts, fault);
    }
    if (status == STATUS_OK) {
        status = conditions_at(scenario, link, &verdict->conditions, fault);
    }
    return status == STATUS_OK ? verdict_solve(verdict, fault) : status;
}

static double needed_field_dbuvm(const struct scenario *scenario,
                                 const struct place_station *station)
{
    const struct receiver *receiver = &scenario->receiver;
    const struct link *link = &station->link;
    double bandwidth_mhz = link_noise_mhz(scenario, link->tower.generation);
    double own_dbm = noise_thermal_dbm(bandwidth_mhz) + receiver->noise_figure_db;
    return minimum_median_field_dbuvm(
        &(struct minimum_field){.center_mhz = link->center_mhz,
                                .bandwidth_mhz = bandwidth_mhz,
                                .cn_db = station->needed_snr_db,
                                .noise_figure_db = receiver->noise_figure_db,
                                .antenna_dbd = receiver->antenna_dbd - link->discrimination_db,
                                .line_loss_db = receiver->line_loss_db,
                                .man_made_db = link->noise_dbm - own_dbm,
                                .entry_loss_db = link->entry_loss_db,
                                .location_percent = scenario->place.location_percent});
}

/* `alike` may be NULL: then the need is computed. */
static enum status make_station(const struct scenario *scenario, const struct station *station,
                                const struct place_station *alike, struct place_station *result,
                                struct fault *fault)
{
    const struct system *system = system_of(scenario, station->generation);
    *result = (struct place_station){.link = link_make(scenario, station)};
    enum status status = make_verdict(scenario, system, result, fault);
    result->needed_noise_db = result->verdict.reception.needed_input_db;
    if (status == STATUS_OK && result->verdict.conditions.channel.count == 1) {
        result->needed_snr_db = result->needed_noise_db;
    } else if (status == STATUS_OK && alike != NULL) {
        result->needed_snr_db = alike->needed_snr_db;
    } else if (status == STATUS_OK) {
        status = verdict_required_db(&result->verdict, &result->needed_snr_db, fault);
    }
    if (status != STATUS_OK) {
        return status;
    }
    result->lost_db =
        result->verdict.margin_noise_db - result->link.interference_db - result->verdict.margin_db;
    result->needed_field_dbuvm = needed_field_dbuvm(scenario, result);
    find_reach(scenario, result);
    return STATUS_OK;
}

enum status place_station_make(const struct scenario *scenario, const struct station *station,
                               struct place_station *result, struct fault *fault)
{
    return make_station(scenario, station, NULL, result, fault);
}

enum status place_station_make_again(const struct scenario *scenario,
                                     const struct place_station *known,
                                     struct place_station *result, struct fault *fault)
{
    bool alike = known->link.member_count == 0; /* a network's rays follow its fields */
    return make_station(scenario, &known->link.tower, alike ? known : NULL, result, fault);
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
    study->has_echoes = false;
    if (scenario->station_count == 0) {
        return fault_set(fault, STATUS_ILLEGAL, "station", "one to eight [station NAME] sections",
                         "there is no station to compare");
    }
    for (int i = 0; i < study->count; i++) {
        const struct station *station = &scenario->stations[i];
        const struct place_station *alike =
            find_need(scenario, station, known->stations, known->count, false);
        if (alike == NULL) {
            alike = find_need(scenario, station, study->stations, i, true);
        }
        enum status status = make_station(scenario, station, alike, &study->stations[i], fault);
        if (status != STATUS_OK) {
            return status;
        }
        study->has_echoes |= study->stations[i].verdict.conditions.channel.count > 1;
    }
    return STATUS_OK;
}

enum status place_bands_make(const struct scenario *scenario, const struct station *station,
                             struct place_station results[BAND_COUNT], struct fault *fault)
{
    for (int band = 0; band < BAND_COUNT; band++) {
        struct station moved = *station;
        moved.rf_channel = place_band_channel(scenario, (enum band)band);
        if (moved.rf_channel == 0) {
            results[band] = (struct place_station){.link.tower = moved};
            continue;
        }
        const struct place_station *alike = find_need(scenario, &moved, results, band, false);
        enum status status = make_station(scenario, &moved, alike, &results[band], fault);
        if (status != STATUS_OK) {
            return status;
        }
    }
    return STATUS_OK;
}

static double erp_db(const struct place_station *station)
{
    return db_from_ratio(station->link.vertical ? station->link.tower.erp_vertical_kw
                                                : station->link.tower.erp_kw);
}

void place_difference(const struct place_station *one, const struct place_station *other,
                      double parts_db[PART_COUNT])
{
    parts_db[PART_POWER] = erp_db(other) - erp_db(one);
    parts_db[PART_WAY] = other->link.field_dbuvm - one->link.field_dbuvm - parts_db[PART_POWER];
    parts_db[PART_ANTENNA] = 20.0 * log10(one->link.center_mhz / other->link.center_mhz);
    parts_db[PART_DIRECTION] = one->link.discrimination_db - other->link.discrimination_db;
    parts_db[PART_NETWORK] = (other->link.network_dbm - other->link.level_dbm) -
                             (one->link.network_dbm - one->link.level_dbm);
    parts_db[PART_BUILDING] = one->link.entry_loss_db - other->link.entry_loss_db;
    parts_db[PART_NOISE] = one->link.noise_dbm - other->link.noise_dbm;
    parts_db[PART_INTERFERENCE] = one->link.interference_db - other->link.interference_db;
    parts_db[PART_LOCATIONS] = one->link.location_db - other->link.location_db;
    parts_db[PART_NEED] = one->needed_noise_db - other->needed_noise_db;
    parts_db[PART_ECHOES] = one->lost_db - other->lost_db;
}

const char *place_part_name(enum place_part part)
{
    static const char *const names[PART_COUNT] = {[PART_POWER] = "radiated power",
                                                  [PART_WAY] = "way (distance, height, frequency)",
                                                  [PART_ANTENNA] =
                                                      "antenna (its size at the frequency)",
                                                  [PART_DIRECTION] = "antenna's direction",
                                                  [PART_NETWORK] = "the rest of its network",
                                                  [PART_BUILDING] = "building entry loss",
                                                  [PART_NOISE] = "noise",
                                                  [PART_INTERFERENCE] = "interference",
                                                  [PART_LOCATIONS] = "share of locations",
                                                  [PART_NEED] = "needed SNR",
                                                  [PART_ECHOES] = "echoes"};
    return (unsigned)part < PART_COUNT ? names[part] : "?";
}
