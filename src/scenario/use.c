/* What a way to use a receiver means for its keys.
 *
 * Rooftop: the planning factors of the plan that the site's channels are of, by band: FCC OET
 * Bulletin 69, or GE06 with ITU-R BT.2033 (physics/air/noise.h). Where they allow for man-made
 * noise it is residential: 3.1 dB at 200 MHz behind 2 dB of line, for the 2 dB that BT.2033-2 has.
 * Portable, handheld and mobile: gains of ITU-R BT.2033-2 Tables 28 to 30 (one witness), linear in
 * the log of the frequency and held beyond the ends; no figure was found for low VHF, nor for a
 * handheld in VHF: a rod short against a wave of 5 m loses 10 dB and more (judgement). Noise
 * figure: the plan's in UHF, 7 dB with OET Bulletin 69, 6 dB with BT.2033. Height 1.5 m among
 * houses: ITU-R P.1546 then takes 12 to 18 dB, the height loss of GE06. Indoors a traditional
 * building, ITU-R P.2109: a median of 14 dB, where BT.2033-2 plans with 11 dB in UHF and 9 dB in
 * VHF. A hand or body takes 4 dB (ITU-R M.2292, from memory), told as line loss. Man-made noise
 * residential where the antenna stands among people. Speeds: a walk, a car in town (this project).
 */
#include "scenario/use.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include "physics/air/noise.h"

struct gain {
    double mhz, dbd;
};

struct preset {
    struct gain gains[5]; /* by rising frequency; ends at 0 MHz */
    double line_db, height_m, speed_kmh;
    enum building building;
};

static const struct preset presets[USE_COUNT] = {
    [USE_PORTABLE_OUTDOOR] = {{{69, -10}, {200, -2}, {650, 0}}, 0.0, 1.5, 0.0, BUILDING_NONE},
    [USE_PORTABLE_INDOOR] = {{{69, -10}, {200, -2}, {650, 0}}, 0.0, 1.5, 0.0, BUILDING_TRADITIONAL},
    [USE_HANDHELD] = {{{69, -25}, {200, -17}, {474, -12}, {698, -9}}, 4.0, 1.5, 3.0, BUILDING_NONE},
    [USE_MOBILE] = {{{200, -5}, {500, -2}, {800, -1}}, 0.0, 1.5, 50.0, BUILDING_NONE},
};

enum use_key {
    KEY_ANTENNA,
    KEY_LINE,
    KEY_NOISE_FIGURE,
    KEY_MAN_MADE,
    KEY_SPEED,
    KEY_HEIGHT,
    KEY_BUILDING,
    KEY_SURROUNDINGS,
    KEY_COUNT
};
static const char *const key_names[KEY_COUNT] = {
    [KEY_ANTENNA] = "receiver.antenna_dbd",
    [KEY_LINE] = "receiver.line_loss_db",
    [KEY_NOISE_FIGURE] = "receiver.noise_figure_db",
    [KEY_MAN_MADE] = "receiver.man_made",
    [KEY_SPEED] = "receiver.speed_kmh",
    [KEY_HEIGHT] = "place.receive_height_m",
    [KEY_BUILDING] = "place.building",
    [KEY_SURROUNDINGS] = "place.surroundings",
};

static double gain_at(const struct gain *gains, double mhz)
{
    size_t i = 0;
    while (gains[i + 1].mhz > 0.0 && mhz > gains[i + 1].mhz) {
        i++;
    }
    if (mhz <= gains[i].mhz || gains[i + 1].mhz == 0.0) {
        return gains[i].dbd;
    }
    double share = log(mhz / gains[i].mhz) / log(gains[i + 1].mhz / gains[i].mhz);
    return gains[i].dbd + share * (gains[i + 1].dbd - gains[i].dbd);
}

/* To a tenth of a dB: it is read by people. */
static double rounded(double db)
{
    return round(10.0 * db) / 10.0 + 0.0; /* no -0 */
}

static double rooftop_value(const struct use_at *at, enum use_key key)
{
    const struct planning_factors *factors = planning_factors(at->plan, rf_band(at->center_mhz));
    const double values[KEY_COUNT] = {
        [KEY_ANTENNA] = factors->gain_dbd,
        [KEY_LINE] = factors->line_db,
        [KEY_NOISE_FIGURE] = factors->noise_figure_db,
        [KEY_MAN_MADE] = factors->man_made_db > 0.0 ? MAN_MADE_RESIDENTIAL : MAN_MADE_NONE,
        [KEY_HEIGHT] = 10.0,
        [KEY_BUILDING] = BUILDING_NONE,
        [KEY_SURROUNDINGS] = SURROUNDINGS_SUBURBAN};
    return values[key];
}

static double preset_value(const struct use_at *at, enum use_key key)
{
    const struct preset *preset = &presets[at->use];
    const double values[KEY_COUNT] = {
        [KEY_ANTENNA] = rounded(gain_at(preset->gains, at->center_mhz)),
        [KEY_LINE] = preset->line_db,
        [KEY_NOISE_FIGURE] = planning_factors(at->plan, BAND_UHF)->noise_figure_db,
        [KEY_MAN_MADE] = MAN_MADE_RESIDENTIAL,
        [KEY_SPEED] = preset->speed_kmh,
        [KEY_HEIGHT] = preset->height_m,
        [KEY_BUILDING] = preset->building,
        [KEY_SURROUNDINGS] = SURROUNDINGS_SUBURBAN};
    return values[key];
}

const struct field *use_key(size_t i)
{
    return i < KEY_COUNT ? field_named(key_names[i]) : NULL;
}

double use_value(const struct use_at *at, size_t i)
{
    assert(i < KEY_COUNT);
    return at->use == USE_NONE      ? use_key(i)->plain
           : at->use == USE_ROOFTOP ? rooftop_value(at, (enum use_key)i)
                                    : preset_value(at, (enum use_key)i);
}

struct use_at use_at(const struct scenario *scenario)
{
    return (struct use_at){scenario->receiver.use, pair_plan(scenario->site.pair),
                           scenario->site.center_mhz};
}

void use_change(struct scenario *scenario, struct use_at before, struct use_at after)
{
    bool known = (unsigned)before.use < USE_COUNT && (unsigned)after.use < USE_COUNT;
    if (!known || (before.use == USE_NONE && after.use == USE_NONE)) {
        return; /* what is none is refused when the scenario is checked */
    }
    for (size_t i = 0; i < KEY_COUNT; i++) {
        const struct field *field = use_key(i);
        bool kept = (scenario->given & (1u << i)) != 0 ||
                    field_number(field, scenario) != use_value(&before, i);
        if (!kept) {
            field_put(field, scenario, use_value(&after, i));
        }
    }
}

void use_note_given(struct scenario *scenario, const struct field *field)
{
    for (size_t i = 0; i < KEY_COUNT; i++) {
        if (use_key(i) == field) {
            scenario->given |= 1u << i;
        }
    }
}
