/* Every figure of a station at a place by its name. The names of JSON are a contract: see
 * DEVELOPERS.md. */
#include <math.h>

#include "study/place/place.h"

static const struct place_station *of(const void *result)
{
    return result;
}

static const char *name_of(const void *result)
{
    return of(result)->link.tower.name;
}

static const char *generation_of(const void *result)
{
    return generation_name(of(result)->link.tower.generation);
}

static const char *system_of_station(const void *result)
{
    return of(result)->verdict.reception.system->name;
}

static double channel_of(const void *result)
{
    return of(result)->link.tower.rf_channel;
}

static const char *band_of(const void *result)
{
    return band_name(of(result)->link.band);
}

static const char *method_of(const void *result)
{
    return field_method_name(of(result)->link.choice.method);
}

static double antenna_of(const void *result)
{
    const struct link *link = &of(result)->link;
    return link->level_dbm - (link->field_dbuvm - link->entry_loss_db - link->discrimination_db);
}

static double network_of(const void *result)
{
    const struct link *link = &of(result)->link;
    return link->member_count > 0 ? link->network_dbm - link->level_dbm : NAN;
}

static double works(const void *result)
{
    return of(result)->verdict.known ? of(result)->verdict.works : NAN;
}

static double network_gain_of(const void *result)
{
    const struct link *link = &of(result)->link;
    return link->member_count > 0 ? link->network_gain_db : NAN;
}

static double network_gain_served_of(const void *result)
{
    const struct link *link = &of(result)->link;
    return link->member_count > 0 ? link->network_gain_served_db : NAN;
}

static double interference_of(const void *result)
{
    double dbm = of(result)->link.interference_dbm;
    return isfinite(dbm) ? dbm : NAN;
}

/* As place_words_reach, without the unit. */
static void reach_words(const void *result, char *buffer, size_t size)
{
    const struct place_station *station = of(result);
    if (station->reach == REACH_FOUND) {
        text_format(buffer, size, "%.1f", station->reach_km);
    } else if (station->reach == REACH_BEYOND) {
        text_format(buffer, size, "beyond %g", station->reach_end_km);
    } else if (isfinite(station->needed_snr_db)) {
        text_format(buffer, size, "below %g", station->reach_end_km);
    } else {
        text_format(buffer, size, "none");
    }
}

#define AT(member) offsetof(struct place_station, member)
static const struct figure rows[] = {
    {"name", "Station", .unit = "", .kind = FIGURE_WORD, .word = name_of},
    {"generation", "Generation", .unit = "", .kind = FIGURE_WORD, .word = generation_of},
    {"system", "System", .unit = "", .kind = FIGURE_WORD, .word = system_of_station,
     .beside = true},
    {"rf_channel", "Channel", .unit = "", .kind = FIGURE_WHOLE, .number = channel_of,
     .beside = true},
    {"band", "Band", .unit = "", .kind = FIGURE_WORD, .word = band_of, .beside = true},
    {"center_mhz", "Centre frequency", .unit = "MHz", .decimals = 3, .offset = AT(link.center_mhz),
     .beside = true},
    {"erp_kw", "ERP, horizontal", .unit = "kW", .decimals = 1, .offset = AT(link.tower.erp_kw),
     .beside = true},
    {"erp_vertical_kw", "ERP, vertical", .unit = "kW", .decimals = 1,
     .offset = AT(link.tower.erp_vertical_kw), .beside = true},
    {"height_m", "Height of the antenna", .unit = "m", .offset = AT(link.tower.height_m),
     .beside = true},
    {"distance_km", "Distance", .unit = "km", .decimals = 1, .offset = AT(link.tower.distance_km),
     .beside = true},
    {"horizon_km", "Radio horizon", .unit = "km", .decimals = 1, .offset = AT(link.horizon_km),
     .beside = true},
    {"method", "Method", .unit = "", .kind = FIGURE_WORD, .word = method_of, .beside = true},
    {"field_dbuvm", "Field outdoors, median", .brief = "field", .unit = "dBuV/m", .decimals = 1,
     .offset = AT(link.field_dbuvm), .beside = true},
    {"needed_field_dbuvm", "Field needed there", .brief = "field needed", .unit = "dBuV/m",
     .decimals = 1, .offset = AT(needed_field_dbuvm), .beside = true},
    {"error_db", "Error to expect", .brief = "error", .unit = "dB", .offset = AT(link.error_db),
     .beside = true},
    {"effective_height_m", "Height over the ground between", .brief = "over ground", .unit = "m",
     .offset = AT(link.effective_height_m)},
    {"clearance_deg", "Terrain clearance angle", .brief = "clearance", .unit = "deg", .decimals = 2,
     .offset = AT(link.clearance_deg)},
    {"terrain_db", "Added by terrain", .brief = "terrain", .unit = "dB", .decimals = 1,
     .offset = AT(link.terrain_db)},
    {"entry_loss_db", "Building entry loss", .brief = "building", .unit = "dB", .decimals = 1,
     .offset = AT(link.entry_loss_db), .beside = true},
    {"discrimination_db", "Lost to the antenna's direction", .brief = "direction", .unit = "dB",
     .decimals = 1, .offset = AT(link.discrimination_db), .beside = true},
    {"antenna_dbm", "Level of a field of 0 dBuV/m", .brief = "antenna", .unit = "dBm",
     .decimals = 1, .number = antenna_of, .beside = true},
    {"level_dbm", "Level at the receiver", .brief = "level", .unit = "dBm", .decimals = 1,
     .offset = AT(link.level_dbm), .beside = true},
    {"network_db", "Added by the rest of its network", .brief = "network", .unit = "dB",
     .decimals = 1, .number = network_of, .beside = true},
    {"network_gain_db", "Network gain, as powers", .brief = "network gain", .unit = "dB",
     .decimals = 1, .number = network_gain_of, .beside = true},
    {"network_gain_served_db", "Network gain, share of locations", .brief = "network, share",
     .unit = "dB", .decimals = 1, .number = network_gain_served_of, .beside = true},
    {"noise_dbm", "Noise", .brief = "noise", .unit = "dBm", .decimals = 1,
     .offset = AT(link.noise_dbm), .beside = true},
    {"headroom_db", "Room below overload", .brief = "room", .unit = "dB", .decimals = 1,
     .offset = AT(link.headroom_db), .beside = true},
    {"interference_dbm", "Interference, as noise", .brief = "unwanted", .unit = "dBm",
     .decimals = 1, .number = interference_of, .beside = true},
    {"interference_db", "Lost to interference", .brief = "interference", .unit = "dB",
     .decimals = 1, .offset = AT(link.interference_db), .beside = true},
    {"cn_db", "C/N, interference counted", .brief = "C/N", .unit = "dB", .decimals = 1,
     .offset = AT(link.cn_db), .beside = true},
    {"location_db", "For the share of locations", .brief = "locations", .unit = "dB", .decimals = 1,
     .offset = AT(link.location_db), .beside = true},
    {"needed_noise_db", "Needed SNR, noise alone", .brief = "needed SNR", .unit = "dB",
     .decimals = 1, .offset = AT(needed_noise_db), .beside = true},
    {"margin_noise_db", "Margin, noise alone", .brief = "noise alone", .unit = "dB", .decimals = 1,
     .offset = AT(verdict.margin_noise_db), .beside = true},
    {"lost_db", "Lost to echoes and motion", .brief = "echoes", .unit = "dB", .decimals = 1,
     .offset = AT(lost_db), .beside = true},
    {"needed_snr_db", "Decodes from an SNR of", .brief = "with echoes", .unit = "dB", .decimals = 1,
     .offset = AT(needed_snr_db), .beside = true},
    {"margin_db", "Margin, with echoes and motion", .brief = "margin", .unit = "dB", .decimals = 1,
     .offset = AT(verdict.margin_db), .beside = true},
    {"works", "Decodes", .unit = "", .kind = FIGURE_YES_NO, .number = works, .beside = true},
    {"reach_km", "Reach", .brief = "reach", .unit = "km", .decimals = 1, .offset = AT(reach_km),
     .text = reach_words, .beside = true},
    {"net_mbps", "Net rate", .unit = "Mbit/s", .decimals = 2, .offset = AT(verdict.facts.net_mbps),
     .beside = true},
    {"doppler_hz", "Doppler limit", .brief = "Doppler", .unit = "Hz", .decimals = 1,
     .offset = AT(verdict.facts.doppler_hz), .beside = true},
};

bool place_figure_is_of_terrain(const struct figure *figure)
{
    return figure->offset == AT(link.effective_height_m) ||
           figure->offset == AT(link.clearance_deg) || figure->offset == AT(link.terrain_db);
}

#define OF_INTERFERER(member) offsetof(struct interferer, member)
static const char *interferer_name(const void *result)
{
    return ((const struct interferer *)result)->name;
}

static double interferer_offset(const void *result)
{
    return ((const struct interferer *)result)->offset;
}

static const struct figure interferer_rows[] = {
    {"name", "Interferer", .unit = "", .kind = FIGURE_WORD, .word = interferer_name},
    {"offset", "Channels off", .unit = "", .kind = FIGURE_WHOLE, .number = interferer_offset},
    {"dbm", "As noise", .unit = "dBm", .decimals = 1, .offset = OF_INTERFERER(dbm)},
};
const struct figure_table interferer_figures = {interferer_rows,
                                                sizeof interferer_rows / sizeof interferer_rows[0]};

const struct figure_table place_figures = {rows, sizeof rows / sizeof rows[0]};
