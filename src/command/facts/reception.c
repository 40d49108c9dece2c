/* Facts of reception: thresholds, receivers, planning factors, noise, and the profile's keys. */
#include "command/facts/facts.h"
#include "physics/air/building.h"
#include "physics/air/noise.h"
#include "physics/information/required_snr.h"
#include "physics/information/thresholds.h"
#include "scenario/section.h"
#include "standard/atsc3/grid.h"
#include "study/explain/explain.h"
#include "study/place/method.h"

#define TABLE(columns) table_start(columns, sizeof(columns) / sizeof(columns)[0])

static void add_threshold(struct table *table, const struct threshold *row)
{
    enum constellation constellation = (enum constellation)row->constellation;
    enum fading fading = (enum fading)row->fading;
    char rate[16];
    text_format(rate, sizeof rate, "%d/15", row->rate_15ths);
    table_whole(table, code_length_bits((enum code_length)row->length));
    table_word(table, constellation_name(constellation));
    table_word(table, rate);
    table_word(table, fading == FADING_RAYLEIGH ? "Rayleigh" : "white noise");
    table_number(table, limit_snr_db(constellation, row->rate_15ths, fading));
    table_number(table, (double)row->snr_db);
    table_number(table, (double)row->error_db);
    table_number(table, threshold_counted_rate(row));
}

struct table fact_thresholds(void)
{
    static const struct table_column columns[] = {
        {"length", "Length", "bits", 0},    {"constellation", "Constellation", NULL, 0},
        {"rate", "Rate", NULL, 0},          {"channel", "Channel", NULL, 0},
        {"limit_snr_db", "Limit", "dB", 2}, {"ideal_snr_db", "Ideal", "dB", 2},
        {"ideal_error_db", "+-", "dB", 3},  {"counted_frame_error_rate", "Counted to", NULL, 5}};
    struct table table = TABLE(columns);
    for (int i = 0; i < LENGTH_COUNT * CONSTELLATION_COUNT * RATE_COUNT * FADING_COUNT; i++) {
        enum fading fading = (enum fading)(i % FADING_COUNT);
        int number = i / FADING_COUNT, rate = RATE_MIN_15THS + number % RATE_COUNT;
        const struct threshold *row = threshold_find(
            (enum code_length)(number / RATE_COUNT / CONSTELLATION_COUNT),
            (enum constellation)(number / RATE_COUNT % CONSTELLATION_COUNT), rate, fading);
        if (row) {
            add_threshold(&table, row);
        }
    }
    return table;
}

struct table fact_receiver(void)
{
    static const struct table_column columns[] = {
        {"pilots", "Pattern", NULL, 0},
        {"boost", "Boost", NULL, 0},
        {"estimation_loss_db", "Estimation loss", "dB", 2}};
    struct table table = TABLE(columns);
    struct waveform waveform = transmission_default().subframes[0].waveform;
    for (int i = 0; i < PILOTS_COUNT * (BOOST_MAX + 1); i++) {
        waveform.pilots = (enum pilots)(i / (BOOST_MAX + 1));
        waveform.boost = i % (BOOST_MAX + 1);
        struct ofdm_grid grid = waveform_grid(&waveform);
        table_word(&table, pilots_name(waveform.pilots));
        table_whole(&table, waveform.boost);
        table_number(&table, receiver_estimation_loss_db(&grid));
    }
    return table;
}

static const char *meaning(const struct field *field)
{
    char name[FIELD_TEXT_BYTES];
    field_name(field, name, sizeof name);
    return explain_find(name)->sentence;
}

struct table fact_equaliser(void)
{
    static const struct table_column columns[] = {{"key", "Key", NULL, 0},
                                                  {"default", "Default", NULL, 0},
                                                  {"unit", "Unit", NULL, 0},
                                                  {"meaning", "Meaning", NULL, 0}};
    struct table table = TABLE(columns);
    const struct field *field;
    for (field = NULL; (field = section_field_after(section_find("first"), field)) != NULL;) {
        char value[FIELD_TEXT_BYTES];
        field_write(field, field->plain, value, sizeof value);
        table_word(&table, field->name);
        table_word(&table, value);
        table_word(&table, field->unit);
        table_word(&table, meaning(field));
    }
    return table;
}

/* C/N of the published check: 15 dB gives 28, 36, 41 dBuV/m. */
#define PLANNING_CN_DB 15.0

struct table fact_planning(void)
{
    static const struct table_column columns[] = {
        {"plan", "Plan", NULL, 0},
        {"band", "Band", NULL, 0},
        {"mean_mhz", "Mean", "MHz", 0},
        {"dipole_db", "Dipole factor", "dB", 1},
        {"gain_dbd", "Antenna", "dBd", 0},
        {"line_db", "Line", "dB", 0},
        {"noise_figure_db", "Noise figure", "dB", 0},
        {"man_made_db", "Man-made", "dB", 0},
        {"field_15db_dbuvm", "Field at C/N 15 dB", "dBuV/m", 1}};
    struct table table = TABLE(columns);
    static const struct {
        enum channel_plan plan;
        const char *name;
        enum band first;
        double width_mhz[BAND_COUNT];
    } plans[] = {{PLAN_US, "US", BAND_LOW_VHF, {6.0, 6.0, 6.0}},
                 {PLAN_REGION_1, "Region 1", BAND_HIGH_VHF, {0.0, 7.0, 8.0}}};
    for (size_t i = 0; i < sizeof plans / sizeof plans[0]; i++) {
        for (int band = (int)plans[i].first; band < BAND_COUNT; band++) {
            const struct planning_factors *factors =
                planning_factors(plans[i].plan, (enum band)band);
            table_word(&table, plans[i].name);
            table_word(&table, band_name((enum band)band));
            table_number(&table, factors->mean_mhz);
            table_number(&table, factors->dipole_db);
            table_number(&table, factors->gain_dbd);
            table_number(&table, factors->line_db);
            table_number(&table, factors->noise_figure_db);
            table_number(&table, factors->man_made_db);
            table_number(&table, planning_field_dbuvm(plans[i].plan, PLANNING_CN_DB,
                                                      factors->mean_mhz, plans[i].width_mhz[band]));
        }
    }
    return table;
}

struct table fact_noise(void)
{
    static const struct table_column columns[] = {{"noise", "Noise", NULL, 0},
                                                  {"low_vhf_db", "69 MHz", "dB", 1},
                                                  {"high_vhf_db", "194 MHz", "dB", 1},
                                                  {"uhf_db", "615 MHz", "dB", 1}};
    struct table table = TABLE(columns);
    for (int kind = MAN_MADE_RURAL; kind < MAN_MADE_COUNT; kind++) {
        table_word(&table, man_made_noise_name((enum man_made_noise)kind));
        for (int band = 0; band < BAND_COUNT; band++) {
            table_number(&table,
                         noise_man_made_db((enum man_made_noise)kind,
                                           planning_factors(PLAN_US, (enum band)band)->mean_mhz));
        }
    }
    return table;
}

struct table fact_buildings(void)
{
    static const struct table_column columns[] = {{"building", "Building", NULL, 0},
                                                  {"low_vhf_db", "69 MHz", "dB", 1},
                                                  {"high_vhf_db", "194 MHz", "dB", 1},
                                                  {"uhf_db", "615 MHz", "dB", 1}};
    static const struct {
        enum building building;
        enum building_kind kind;
    } rows[] = {{BUILDING_TRADITIONAL, BUILDING_KIND_TRADITIONAL},
                {BUILDING_EFFICIENT, BUILDING_KIND_EFFICIENT}};
    struct table table = TABLE(columns);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        table_word(&table, building_name(rows[i].building));
        for (int band = 0; band < BAND_COUNT; band++) {
            table_number(&table, building_entry_loss_db(
                                     rows[i].kind,
                                     planning_factors(PLAN_US, (enum band)band)->mean_mhz, 0.5));
        }
    }
    return table;
}

struct table fact_locations(void)
{
    static const struct table_column columns[] = {{"percent", "Of locations", "%", 1},
                                                  {"allowance_db", "Allowance", "dB", 2}};
    static const double percents[] = {50.0, 70.0, 80.0, 90.0, 95.0, 99.0, LOCATION_MAX_PERCENT};
    struct table table = TABLE(columns);
    for (size_t i = 0; i < sizeof percents / sizeof percents[0]; i++) {
        table_number(&table, percents[i]);
        table_number(&table, location_allowance_db(percents[i]));
    }
    return table;
}

/* Field of 1 kW from 150 m to 1.5 m above flat land, in UHF. */
struct table fact_methods(void)
{
    static const struct table_column columns[] = {{"distance_km", "Distance", "km", 0},
                                                  {"surroundings", "Surroundings", NULL, 0},
                                                  {"p1546", "P.1546", "dBuV/m", 1},
                                                  {"fcc", "73.699", "dBuV/m", 1},
                                                  {"free_space", "Free space", "dBuV/m", 1},
                                                  {"smooth_earth", "Smooth earth", "dBuV/m", 1},
                                                  {"hata", "Hata", "dBuV/m", 1}};
    static const double distances_km[] = {2, 5, 10, 20, 40, 60, 80, 100};
    struct table table = TABLE(columns);
    for (size_t i = 0; i < sizeof distances_km / sizeof distances_km[0]; i++) {
        for (int around = SURROUNDINGS_OPEN; around <= SURROUNDINGS_URBAN; around++) {
            const struct path path = {.center_mhz = 615.0,
                                      .transmit_height_m = 150.0,
                                      .receive_height_m = 1.5,
                                      .distance_km = distances_km[i],
                                      .surroundings = (enum surroundings)around,
                                      .time_percent = 50.0};
            table_number(&table, path.distance_km);
            table_word(&table, surroundings_name(path.surroundings));
            for (int method = METHOD_AUTO + 1; method < METHOD_COUNT; method++) {
                table_number(&table, method_field_dbuvm((enum field_method)method, &path, 1.0));
            }
        }
    }
    return table;
}

static void add_keys(struct table *table, const struct section *section)
{
    const struct field *field;
    for (field = NULL; (field = section_field_after(section, field)) != NULL;) {
        char value[FIELD_TEXT_BYTES], allowed[384];
        field_write(field, field->plain, value, sizeof value);
        field_allowed(field, allowed, sizeof allowed);
        table_word(table, field->section);
        table_word(table, field->name);
        table_word(table, value);
        table_word(table, allowed);
        table_word(table, meaning(field));
    }
}

struct table fact_keys(void)
{
    static const struct table_column columns[] = {{"section", "Section", NULL, 0},
                                                  {"key", "Key", NULL, 0},
                                                  {"default", "Default", NULL, 0},
                                                  {"allowed", "Allowed", NULL, 0},
                                                  {"meaning", "Meaning", NULL, 0}};
    struct table table = TABLE(columns);
    for (size_t i = 0; i < section_count(); i++) {
        add_keys(&table, section_at(i));
    }
    return table;
}
