/* The numbers and words that formulas may name, each from a scenario, its report or an echo
 * verdict. A value whose source is missing is NAN and written as "?". */
#include <math.h>
#include <string.h>

#include "base/units.h"
#include "physics/air/noise.h"
#include "physics/information/information.h"
#include "physics/information/required_snr.h"
#include "physics/ofdm/doppler.h"
#include "physics/ofdm/gain_spread.h"
#include "scenario/section.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/grid.h"
#include "standard/atsc3/pilots.h"
#include "standard/atsc3/signalling.h"
#include "standard/vsb/signal.h"
#include "study/explain/tables.h"
#include "study/place/link.h"

static double estimation_loss_db(const struct waveform *waveform)
{
    struct ofdm_grid grid = waveform_grid(waveform);
    return receiver_estimation_loss_db(&grid);
}

/* What disturbs at the Doppler limit, over the signal. */
static double leak_db(const struct facts *second)
{
    return db_from_ratio(doppler_leak(0.0, second->doppler_hz, second->useful_us));
}

static double linear_error_db(const struct waveform *waveform, const struct facts *second)
{
    struct ofdm_grid grid = waveform_grid(waveform);
    return db_from_ratio(doppler_estimation_error(&grid, 0.0, second->doppler_hz));
}

/* Of a better receiver; as above, noise on pilots is not in it. */
#define WIENER_PILOTS 4

static double wiener_error_db(const struct waveform *waveform, const struct facts *second)
{
    struct ofdm_grid grid = waveform_grid(waveform);
    return db_from_ratio(doppler_wiener_error(&grid, second->doppler_hz, WIENER_PILOTS, 0.0));
}

static struct doppler_need rayleigh_need(const struct code *code, const struct facts *second)
{
    struct information_curve curve = information_curve_of(code->constellation, code->rate_15ths);
    return gain_rayleigh_need_of(&curve, second->ideal_snr_db, second->required_snr_db);
}

static int detail_bits(const struct transmission *transmission)
{
    int said = transmission->signalling.l1_detail_bits;
    return said > 0 ? said : signalling_detail_bits(transmission);
}

/* Shorthands that hold inside the lists below only. */
#define TRANSMISSION (&c->scenario->transmission)
#define WAVEFORM (&TRANSMISSION->subframes[0].waveform)
#define GRID waveform_grid(WAVEFORM)
#define PLP (&TRANSMISSION->plps[0])
#define CODE (&PLP->code)
#define FIRST c->scenario->first
#define RECEIVER c->scenario->receiver
#define STATION c->scenario->stations[0]
#define ECHO c->scenario->echoes[0]
#define SECOND (*report_facts(c->report, GENERATION_SECOND))

/* Numbers that need a scenario only. */
#define SCENARIO_NUMBERS(X)                                                                      \
    X(fft_points, fft_points(WAVEFORM->fft))                                                     \
    X(sample_rate_mhz, sample_rate_hz(WAVEFORM->bandwidth_mhz) / 1e6)                            \
    X(bsr, sample_rate_hz(WAVEFORM->bandwidth_mhz) / 0.384e6 - 16.0)                             \
    X(useful_us, GRID.useful_us)                                                                 \
    X(guard_us, GRID.guard_us)                                                                   \
    X(symbol_us, GRID.symbol_us)                                                                 \
    X(guard_share, 100.0 * GRID.guard_us / GRID.symbol_us)                                       \
    X(guard_samples, guard_samples(WAVEFORM->guard))                                             \
    X(spacing_hz, GRID.spacing_hz)                                                               \
    X(dx, pilots_dx(WAVEFORM->pilots))                                                           \
    X(dy, pilots_dy(WAVEFORM->pilots))                                                           \
    X(dx_dy, pilots_dx(WAVEFORM->pilots) * pilots_dy(WAVEFORM->pilots))                          \
    X(scattered_db, pilots_scattered_db(WAVEFORM->pilots, WAVEFORM->boost))                      \
    X(estimation_loss_db, estimation_loss_db(WAVEFORM))                                          \
    X(pilot_power_db, pilots_mean_power_db(WAVEFORM))                                            \
    X(backstop_db, receiver_backstop_db(CODE->constellation))                                    \
    X(carriers, carriers_count(WAVEFORM->fft, WAVEFORM->reduction))                              \
    X(carriers_full, carriers_count(WAVEFORM->fft, 0))                                           \
    X(reduction_unit, carriers_reduction_unit(WAVEFORM->fft))                                    \
    X(occupied_mhz, GRID.occupied_mhz)                                                           \
    X(pilot_carriers, carriers_count(WAVEFORM->fft, WAVEFORM->reduction) - cells_data(WAVEFORM)) \
    X(bits, constellation_bits(CODE->constellation))                                             \
    X(points, pow(2.0, constellation_bits(CODE->constellation)))                                 \
    X(bits_per_cell, constellation_bits(CODE->constellation) * CODE->rate_15ths / 15.0)          \
    X(cells_per_block,                                                                           \
      code_length_bits(CODE->length) / (double)constellation_bits(CODE->constellation))          \
    X(code_bits, code_length_bits(CODE->length) * CODE->rate_15ths / 15.0)                       \
    X(payload_bits, payload_bits(CODE))                                                          \
    X(outer_bits, code_length_bits(CODE->length) * CODE->rate_15ths / 15.0 - payload_bits(CODE)) \
    X(l1_basic_cells, cells_l1_basic(TRANSMISSION->signalling.l1_basic_mode))                    \
    X(l1_detail_bits, detail_bits(TRANSMISSION))                                                 \
    X(l1_detail_cells,                                                                           \
      cells_l1_detail(TRANSMISSION->signalling.l1_detail_mode, detail_bits(TRANSMISSION)))       \
    X(rows, interleaver_rows(PLP->interleaver))                                                  \
    X(data_cells, cells_data(WAVEFORM))                                                          \
    X(boundary_cells, cells_boundary(WAVEFORM))                                                  \
    X(echo_km, km_from_us(GRID.guard_us))                                                        \
    X(wavelength_m, SPEED_OF_LIGHT_M_S / (c->scenario->site.center_mhz * 1e6))                   \
    X(hz_per_kmh, doppler_from_kmh(1.0, c->scenario->site.center_mhz * 1e6))                     \
    X(threshold_data_db, FIRST.threshold_db - vsb_pilot_db())                                    \
    X(after_km, km_from_us(FIRST.equaliser_after_us))                                            \
    X(before_symbols, FIRST.equaliser_before_us / vsb_symbol_us())                               \
    X(vsb_symbol_us, vsb_symbol_us())                                                            \
    X(first_net_mbps, vsb_net_mbps())                                                            \
    X(first_speed_kmh, kmh_from_doppler(FIRST.tracking_hz, c->scenario->site.center_mhz * 1e6))  \
    X(noise_mhz, link_noise_mhz(c->scenario, GENERATION_SECOND))                                 \
    X(thermal_dbm, noise_thermal_dbm(link_noise_mhz(c->scenario, GENERATION_SECOND)))            \
    X(quiet_dbm, noise_thermal_dbm(link_noise_mhz(c->scenario, GENERATION_SECOND)) +             \
                     RECEIVER.noise_figure_db)                                                   \
    X(antenna_dbi, RECEIVER.antenna_dbd + 2.15)                                                  \
    X(line_ratio, ratio_from_db(-RECEIVER.line_loss_db))                                         \
    X(position_spread_percent, 98.0 / sqrt(RECEIVER.positions))                                  \
    X(speed_doppler_hz, doppler_from_kmh(RECEIVER.speed_kmh, c->scenario->site.center_mhz * 1e6))

/* Numbers of the first station and of the first echo, where there is one. */
#define STATION_NUMBERS(X)                                                                     \
    X(erp_dbk, db_from_ratio(STATION.erp_kw))                                                  \
    X(horizon_km, 4.12 * (sqrt(STATION.height_m) + sqrt(c->scenario->place.receive_height_m))) \
    X(station_delay_km, km_from_us(STATION.delay_us))                                          \
    X(free_space_dbuvm, 106.92 + db_from_ratio(STATION.erp_kw) - 20.0 * log10(STATION.distance_km))

#define ECHO_NUMBERS(X)                                                          \
    X(echo_path_km, km_from_us(ECHO.delay_us))                                   \
    X(echo_dip_db, 20.0 * log10(fabs(1.0 - sqrt(ratio_from_db(ECHO.level_db))))) \
    X(echo_peak_db, 20.0 * log10(1.0 + sqrt(ratio_from_db(ECHO.level_db))))      \
    X(echo_kmh, kmh_from_doppler(ECHO.doppler_hz, c->scenario->site.center_mhz * 1e6))

/* Numbers that follow from those of a report; its own are asked by their names. */
#define REPORT_NUMBERS(X)                                                   \
    X(cell_rate_mhz, SECOND.cells_per_frame / SECOND.frame_ms / 1e3)        \
    X(rayleigh_need_db, -db_from_ratio(rayleigh_need(CODE, &SECOND).noise)) \
    X(gamma, 1.0 / rayleigh_need(CODE, &SECOND).noise)                      \
    X(leak_db, leak_db(&SECOND))                                            \
    X(linear_error_db, linear_error_db(WAVEFORM, &SECOND))                  \
    X(wiener_error_db, wiener_error_db(WAVEFORM, &SECOND))                  \
    X(literal_db, SECOND.ideal_snr_db + GAIN_LITERAL_DB)                    \
    X(over_limit_db, SECOND.ideal_snr_db - SECOND.limit_snr_db)             \
    X(rayleigh_over_db, SECOND.ideal_rayleigh_snr_db - SECOND.ideal_snr_db)

#define WORDS(X)                                                    \
    X(ideal_source, source_words(TRANSMISSION, FADING_AWGN))        \
    X(rayleigh_source, source_words(TRANSMISSION, FADING_RAYLEIGH)) \
    X(band, band_name(rf_band(c->scenario->site.center_mhz)))

static const char *source_words(const struct transmission *mode, enum fading fading)
{
    return ideal_source_words(ideal_snr(mode->plps[0].code.length, mode->plps[0].code.constellation,
                                        mode->plps[0].code.rate_15ths, fading)
                                  .source);
}

enum needs { NEEDS_SCENARIO, NEEDS_STATION, NEEDS_ECHO, NEEDS_REPORT };

#define FUNCTION(name, expression)                                  \
    static double number_of_##name(const struct explain_context *c) \
    {                                                               \
        (void)c;                                                    \
        return expression;                                          \
    }
SCENARIO_NUMBERS(FUNCTION)
STATION_NUMBERS(FUNCTION)
ECHO_NUMBERS(FUNCTION)
REPORT_NUMBERS(FUNCTION)
#define WORD_FUNCTION(name, expression)                                \
    static const char *word_of_##name(const struct explain_context *c) \
    {                                                                  \
        return expression;                                             \
    }
WORDS(WORD_FUNCTION)

static const struct {
    const char *name;
    enum needs needs;
    double (*number)(const struct explain_context *context);
} numbers[] = {
#define ROW(name, expression) {#name, NEEDS_SCENARIO, number_of_##name},
    SCENARIO_NUMBERS(ROW)
#undef ROW
#define ROW(name, expression) {#name, NEEDS_STATION, number_of_##name},
        STATION_NUMBERS(ROW)
#undef ROW
#define ROW(name, expression) {#name, NEEDS_ECHO, number_of_##name},
            ECHO_NUMBERS(ROW)
#undef ROW
#define ROW(name, expression) {#name, NEEDS_REPORT, number_of_##name},
                REPORT_NUMBERS(ROW)
#undef ROW
};

static const struct {
    const char *name;
    const char *(*word)(const struct explain_context *context);
} words[] = {
#define ROW(name, expression) {#name, word_of_##name},
    WORDS(ROW)
#undef ROW
};

static bool is_met(enum needs needs, const struct explain_context *context)
{
    const struct scenario *scenario = context->scenario;
    switch (needs) {
    case NEEDS_STATION:
        return scenario && scenario->station_count > 0;
    case NEEDS_ECHO:
        return scenario && scenario->echo_count > 0;
    case NEEDS_REPORT:
        return context->report != NULL;
    case NEEDS_SCENARIO:
        break;
    }
    return scenario != NULL;
}

static bool is_called(const char *row, const char *name, size_t length)
{
    return strlen(row) == length && memcmp(row, name, length) == 0;
}

static void append_number(double value, int decimals, struct text *out)
{
    if (isnan(value)) {
        text_append(out, "?");
    } else if (isinf(value)) {
        text_append(out, value > 0.0 ? "no limit" : "nothing");
    } else {
        text_printf(out, "%.*f", decimals, as_shown(value, decimals));
    }
}

/* A setting: of the first station or echo where there may be several. */
static bool append_setting(const char *name, int decimals, const struct explain_context *context,
                           struct text *out)
{
    const struct field *field = field_named(name);
    if (!field) {
        return false;
    }
    const struct scenario *scenario = context->scenario;
    enum pair pair = scenario ? scenario->site.pair : PAIR_ATSC;
    const struct section *section = section_find_in(field->section, pair);
    field = section_field_of(section, field->name); /* NULL: this pair has none of that name */
    if (!field || !scenario || section_items(section, scenario) == 0) {
        append_number(NAN, decimals, out);
    } else if (field->choice || field->type == FIELD_RATE) {
        char value[FIELD_TEXT_BYTES];
        field_format(field, section_item(section, scenario, 0), value, sizeof value);
        text_append(out, value);
    } else {
        append_number(field_number(field, section_item(section, scenario, 0)), decimals, out);
    }
    return true;
}

/* "first.margin_db", "second.reach_us": a figure of the report. */
static bool append_figure(const char *name, int decimals, const struct explain_context *context,
                          struct text *out)
{
    static const char *const parts[GENERATION_COUNT] = {"first.", "second."};
    const struct report *report = context->report;
    for (int i = 0; i < GENERATION_COUNT; i++) {
        size_t before = strlen(parts[i]);
        const struct figure *figure = strncmp(name, parts[i], before) == 0
                                          ? figure_find(&generation_figures, name + before)
                                          : NULL;
        if (figure != NULL) {
            append_number(report ? figure_number(figure, &report->verdicts.of[i]) : NAN, decimals,
                          out);
            return true;
        }
    }
    return false;
}

bool explain_append_value(const char *name, size_t length, int decimals,
                          const struct explain_context *context, struct text *out)
{
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
        if (is_called(numbers[i].name, name, length)) {
            bool met = is_met(numbers[i].needs, context);
            append_number(met ? numbers[i].number(context) : NAN, decimals, out);
            return true;
        }
    }
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (is_called(words[i].name, name, length)) {
            text_append(out, context->scenario ? words[i].word(context) : "?");
            return true;
        }
    }
    char dotted[64];
    text_format(dotted, sizeof dotted, "%.*s", (int)length, name);
    return append_setting(dotted, decimals, context, out) ||
           append_figure(dotted, decimals, context, out);
}
