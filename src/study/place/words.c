/* Words about stations at a place. Each sentence says figures with their units. */
#include <math.h>
#include <string.h>

#include "base/units.h"
#include "physics/air/interference.h"
#include "physics/air/motion.h"
#include "study/place/place.h"

#define SAME_DB 0.05

void place_words_reach(const struct place_station *station, char *buffer, size_t size)
{
    switch (station->reach) {
    case REACH_FOUND:
        text_format(buffer, size, "%.1f km", station->reach_km);
        break;
    case REACH_BEYOND:
        text_format(buffer, size, "beyond %g km", station->reach_end_km);
        break;
    case REACH_NOWHERE:
        if (isfinite(station->needed_snr_db)) {
            text_format(buffer, size, "below %g km", station->reach_end_km);
        } else {
            text_format(buffer, size, "none");
        }
        break;
    }
}

/* From the C/N to the margin, each step that is there. */
static void words_about_margin(const struct place_station *station, struct text *out)
{
    text_printf(out, ", C/N %.1f dB", station->link.cn_db);
    if (station->link.interference_db >= SAME_DB) {
        text_printf(out, " after %.1f dB lost to interference", station->link.interference_db);
    }
    if (station->link.location_db >= SAME_DB) {
        text_printf(out, ", %.1f dB of it for the share of locations", station->link.location_db);
    }
    text_printf(out, ", needed %.1f dB", station->needed_noise_db);
    if (fabs(station->lost_db) >= SAME_DB) {
        text_printf(out, ", lost to echoes and motion %.1f dB", station->lost_db);
    }
    text_printf(out, ": margin %.1f dB", station->verdict.margin_db);
}

static void words_about_terrain(const struct link *link, struct text *out)
{
    if (isnan(link->effective_height_m)) {
        return;
    }
    text_printf(out, " Terrain: the antenna stands %.0f m over the mean ground towards the place",
                link->effective_height_m);
    if (!isnan(link->clearance_deg)) {
        text_printf(out, ", the clearance angle of %.2f degrees adds %.1f dB.", link->clearance_deg,
                    link->terrain_db);
    } else if (link->choice.method == METHOD_P1546) {
        text_printf(out, "; it ends at %.1f km, before the place: no clearance angle is known.",
                    terrain_end_km(&link->tower.terrain));
    } else {
        text_append(out, "; this method takes no more of it.");
    }
}

/* A warning that a level is so far above what receivers bear. */
static void place_words_overload(double headroom_db, struct text *out)
{
    text_printf(out,
                "Overload: %.1f dB above what receivers are made for (%g dBm, %g dBm from "
                "stations not wanted); the margin does not hold without an attenuator.",
                -headroom_db, INPUT_DESIRED_MAX_DBM, INPUT_UNDESIRED_MAX_DBM);
}

void place_words_station(const struct place_station *station, struct text *out)
{
    char reach[48];
    place_words_reach(station, reach, sizeof reach);
    text_printf(out, "%s (%s, channel %d): %.1f dBuV/m by %s, give or take %.0f dB",
                station->link.tower.name, station->verdict.reception.system->name,
                station->link.tower.rf_channel, station->link.field_dbuvm,
                method_row(station->link.choice.method)->title, station->link.error_db);
    words_about_margin(station, out);
    if (isfinite(station->needed_snr_db)) {
        text_printf(out, ", reach %s%s%s.", reach,
                    station->reach_has_gaps ? " (with gaps nearer by)" : "",
                    station->link.member_count > 0 ? ", the rest of its network as it is" : "");
    } else {
        text_append(out, "; under these echoes no SNR suffices.");
    }
    words_about_terrain(&station->link, out);
    if (station->link.choice.note[0] != '\0') {
        text_printf(out, " %s", station->link.choice.note);
    }
    if (station->link.headroom_db < 0.0) {
        text_append(out, " ");
        place_words_overload(station->link.headroom_db, out);
    }
    if (station->link.tower.distance_km > station->link.horizon_km &&
        station->link.choice.method == METHOD_FREE_SPACE) {
        text_printf(out,
                    " Free space is far too kind here: the place lies beyond the radio horizon of "
                    "%.0f km.",
                    station->link.horizon_km);
    }
}

static bool is_same(double one, double other)
{
    return fabs(one - other) < 1e-9;
}

static void words_about_field(const struct place_station *one, const struct place_station *other,
                              struct text *out)
{
    double field_db = other->link.field_dbuvm - one->link.field_dbuvm;
    const struct station *a = &one->link.tower, *b = &other->link.tower;
    bool same_power =
        is_same(a->erp_kw, b->erp_kw) && is_same(a->erp_vertical_kw, b->erp_vertical_kw);
    bool same_tower = is_same(a->height_m, b->height_m) &&
                      is_same(a->distance_km, b->distance_km) &&
                      strcmp(a->terrain_file, b->terrain_file) == 0;
    if (same_power && same_tower && fabs(field_db) < SAME_DB) {
        text_append(out, " Same power, height and distance: the same field strength. What differs "
                         "comes after it.");
    } else if (same_power && same_tower) {
        text_printf(out,
                    " Same power, height and distance; the earth treats the frequencies "
                    "differently: %+.1f dB of field for %s.",
                    as_shown(field_db, 1), b->name);
    } else {
        text_printf(out, " The field of %s is %.1f dB %s.", b->name, fabs(field_db),
                    field_db < 0.0 ? "weaker" : "stronger");
    }
}

void place_words_difference(const struct place_station *one, const struct place_station *other,
                            struct text *out)
{
    double parts_db[PART_COUNT];
    place_difference(one, other, parts_db);
    double margin_db = other->verdict.margin_db - one->verdict.margin_db;
    bool one_may = isfinite(one->needed_snr_db), other_may = isfinite(other->needed_snr_db);
    if (!one_may || !other_may) {
        text_printf(out, "%s against %s: under these echoes no SNR suffices for %s.",
                    other->link.tower.name, one->link.tower.name,
                    one_may     ? other->link.tower.name
                    : other_may ? one->link.tower.name
                                : "either");
    } else if (fabs(margin_db) < SAME_DB) {
        text_printf(out, "%s has the same margin as %s.", other->link.tower.name,
                    one->link.tower.name);
    } else {
        text_printf(out, "%s has %.1f dB %s margin than %s.", other->link.tower.name,
                    fabs(margin_db), margin_db < 0.0 ? "less" : "more", one->link.tower.name);
    }
    words_about_field(one, other, out);
    bool any = false;
    for (int part = 0; part < PART_COUNT; part++) {
        if (isfinite(parts_db[part]) && fabs(parts_db[part]) >= SAME_DB) {
            text_printf(out, "%s%s %+.1f dB", any ? ", " : " Counted towards the margin: ",
                        place_part_name((enum place_part)part), parts_db[part]);
            any = true;
        }
    }
    text_append(out, any ? "." : "");
    if (other->link.band != one->link.band) {
        text_printf(out,
                    " %s is in %s, %s in %s: man-made noise is stronger on the lower channel, and "
                    "an antenna of the same gain is smaller and catches less on the higher one.",
                    other->link.tower.name, band_name(other->link.band), one->link.tower.name,
                    band_name(one->link.band));
    }
}

void place_words_motion(const struct place_station *station, struct text *out)
{
    text_printf(out, "%s bears %.1f Hz of Doppler, reflectors of up to %.0f km/h on %.0f MHz",
                station->link.tower.name, station->verdict.facts.doppler_hz,
                reflector_speed_kmh(station->verdict.facts.doppler_hz, station->link.center_mhz),
                station->link.center_mhz);
    bool any = false;
    for (size_t i = 0; i < reflector_count(); i++) {
        const struct reflector_row *row = reflector_row(i);
        if (reflector_doppler_hz(row->speed_kmh, station->link.center_mhz) >
            station->verdict.facts.doppler_hz) {
            text_printf(out, "%s %s", any ? "," : "; too fast:", row->name);
            any = true;
        }
    }
    text_append(out, ".");
}

const char *place_words_caution(void)
{
    return "Work on antennas and masts can kill: keep far from power lines, stay down in storms, "
           "never climb alone or untrained, and keep clear of antennas that radiate. Power and "
           "antennas of stations are licensed: local rules and a licensed engineer decide.";
}
