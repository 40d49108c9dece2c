/* Every figure of a report by its name: of the channel, of the conditions, of one generation, of
 * the account. The names of JSON are a contract: see DEVELOPERS.md. */
#include <math.h>
#include <string.h>

#include "study/report/report.h"

static const char *band_of(const void *result)
{
    return band_name(((const struct report_rf *)result)->band);
}

static const struct figure rf_rows[] = {
    {"channel", "RF channel", FIGURE_WHOLE_AT(struct report_rf, channel)},
    {"center_mhz", "Centre frequency", FIGURE_AT(struct report_rf, center_mhz, "MHz", 3)},
    {"band", "Band", .unit = "", .kind = FIGURE_WORD, .word = band_of},
};
const struct figure_table rf_figures = {rf_rows, sizeof rf_rows / sizeof rf_rows[0]};

static double echoes(const void *result)
{
    return ((const struct verdict *)result)->conditions.channel.count - 1;
}

static double positions(const void *result)
{
    return ((const struct verdict *)result)->positions;
}

static const struct figure conditions_rows[] = {
    {"echoes", "Echoes", .unit = "", .kind = FIGURE_WHOLE, .number = echoes},
    {"speed_kmh", "Speed of the receiver",
     FIGURE_AT(struct verdict, conditions.speed_kmh, "km/h", 0)},
    {"positions", "Positions", .unit = "", .kind = FIGURE_WHOLE, .number = positions},
};
const struct figure_table conditions_figures = {conditions_rows,
                                                sizeof conditions_rows / sizeof conditions_rows[0]};

static double change_of(const void *result)
{
    const struct account_step *step = result;
    return step->is_loss ? step->change_db + 0.0 : NAN; /* never -0 */
}

static void change_words(const void *result, char *buffer, size_t size)
{
    double change_db = change_of(result);
    if (isnan(change_db)) {
        text_format(buffer, size, "%s", ""); /* no loss: nothing belongs there */
    } else if (change_db == -INFINITY) {
        text_format(buffer, size, "all");
    } else {
        figure_number_text(change_db, "dB", 1, buffer, size);
    }
}

static const struct figure account_rows[] = {
    {"step", "Step", FIGURE_WORD_AT(struct account_step, step)},
    {"snr_db", "SNR", FIGURE_AT(struct account_step, snr_db, "dB", 1)},
    {"change_db", "Change", .unit = "dB", .decimals = 1, .number = change_of, .text = change_words},
};
const struct figure_table account_figures = {account_rows,
                                             sizeof account_rows / sizeof account_rows[0]};

/* ---- Of one generation. ---- */

static const char *system_name(const void *result)
{
    const struct system *system = ((const struct verdict *)result)->reception.system;
    return system ? system->name : NULL;
}

static const char *source_of_snr(const void *result)
{
    return snr_source_name(((const struct verdict *)result)->conditions.source);
}

static double works(const void *result)
{
    const struct verdict *verdict = result;
    return verdict->known ? verdict->works : NAN;
}

static void lag_words(const void *result, char *buffer, size_t size)
{
    const struct fare *fare = &((const struct verdict *)result)->fare;
    if (fare->lost) {
        text_format(buffer, size, "all");
    } else {
        figure_number_text(fare->facts.lag_loss_db, "dB", 1, buffer, size);
    }
}

static void share_words(const void *result, char *buffer, size_t size)
{
    const struct verdict *verdict = result;
    if (isnan(verdict->positions_share)) {
        text_format(buffer, size, "-");
    } else {
        text_format(buffer, size, "%d %%", verdict_percent(verdict));
    }
}

/* Where rays or the receiver move a share is one of time. */
static const char *in_time(const void *result, const char *label)
{
    return verdict_is_over_time(result) ? label : NULL;
}

static const char *margin_90_label(const void *result)
{
    return in_time(result, "Margin at 90 % of the time");
}

static const char *margin_99_label(const void *result)
{
    return in_time(result, "Margin at 99 % of the time");
}

static const char *share_label(const void *result)
{
    return in_time(result, "Share of the time that it decodes");
}

static const char *plp_name(const void *result)
{
    const char *name = ((const struct verdict *)result)->facts.plp;
    return name[0] != '\0' ? name : NULL;
}

static const char *subframe_name(const void *result)
{
    const char *name = ((const struct verdict *)result)->facts.subframe;
    return name[0] != '\0' ? name : NULL;
}

static const char carried[] = "Carries and needs", withstands[] = "Withstands";
static const char here[] = "Here", choices[] = "Settings";
static const char signal[] = "The signal";

#define AT(member) offsetof(struct verdict, member)
static const struct figure rows[] = {
    {"net_mbps", "Net rate", "net rate", "Mbit/s", carried, FIGURE_NUMBER, 2, 1, .beside = true,
     .offset = AT(facts.net_mbps)},
    {"required_snr_db", "Required SNR", "required SNR", "dB", carried, FIGURE_NUMBER, 1, -1,
     .beside = true, .offset = AT(facts.required_snr_db)},
    {"field_dbuvm", "Field strength outdoors", "field", "dBuV/m", carried, FIGURE_NUMBER, 1, -1,
     .beside = true, .offset = AT(facts.field_dbuvm)},
    {"echo_after_us", "Echo behind the main signal", "echo after", "us", withstands, FIGURE_NUMBER,
     1, 1, .beside = true, .offset = AT(facts.echo_after_us)},
    {"echo_before_us", "Echo ahead of the main signal", "echo ahead", "us", withstands,
     FIGURE_NUMBER, 1, 1, .beside = true, .offset = AT(facts.echo_before_us)},
    {"echo_km", "Longer path of that echo", "longer path", "km", withstands, FIGURE_NUMBER, 1, 1,
     .beside = true, .offset = AT(facts.echo_km)},
    {"doppler_hz", "Doppler", NULL, "Hz", withstands, FIGURE_NUMBER, 1, 1, .beside = true,
     .offset = AT(facts.doppler_hz)},
    {"speed_kmh", "Speed", "speed", "km/h", withstands, FIGURE_NUMBER, 0, 1, .beside = true,
     .offset = AT(facts.speed_kmh)},
    {"margin_db", "Margin, with echoes and motion", "margin", "dB", here, FIGURE_NUMBER, 1, 1,
     .beside = true, .offset = AT(margin_db)},
    {"margin_noise_db", "Margin, noise alone", "noise alone", "dB", here, FIGURE_NUMBER, 1, 1,
     .beside = true, .offset = AT(margin_noise_db)},
    {"margin_90_db", "Margin at 90 % of the positions", "margin, 90 %", "dB", here, FIGURE_NUMBER,
     1, 1, .beside = true, .offset = AT(margin_90_db), .label_of = margin_90_label},
    {"margin_99_db", "Margin at 99 % of the positions", "margin, 99 %", "dB", here, FIGURE_NUMBER,
     1, 1, .beside = true, .offset = AT(margin_99_db), .label_of = margin_99_label},
    {"positions_share", "Share of positions that decode", "decodes", "", here, FIGURE_NUMBER, 3, 1,
     .beside = true, .offset = AT(positions_share), .text = share_words, .label_of = share_label},
    {"fft", "FFT size", NULL, "", choices, FIGURE_WORD, 0, 0, .offset = AT(facts.fft)},
    {"guard", "Guard interval", NULL, "", choices, FIGURE_WORD, 0, 0, .offset = AT(facts.guard)},
    {"pilots", "Scattered pilots", "pilots", "", choices, FIGURE_WORD, 0, 0,
     .offset = AT(facts.pilots)},
    {"boost", "Pilot boost", NULL, "", choices, FIGURE_WHOLE, 0, 0, .offset = AT(facts.boost)},
    {"reduction", "Carrier reduction", "reduction", "", choices, FIGURE_WHOLE, 0, 0,
     .offset = AT(facts.reduction)},
    {"extended", "Extended carriers", "extended", "", choices, FIGURE_YES_NO, 0, 0,
     .offset = AT(facts.extended)},
    {"rotation", "Rotated constellation", "rotated", "", choices, FIGURE_YES_NO, 0, 0,
     .offset = AT(facts.rotation)},
    {"high_efficiency", "High efficiency mode", "high effic.", "", choices, FIGURE_YES_NO, 0, 0,
     .offset = AT(facts.high_efficiency)},
    {"length", "Code length", NULL, "bits", choices, FIGURE_WHOLE, 0, 0,
     .offset = AT(facts.length)},
    {"rate", "Code rate", NULL, "", choices, FIGURE_WORD, 0, 0, .offset = AT(facts.rate)},
    {"constellation", "Constellation", NULL, "", choices, FIGURE_WORD, 0, 0,
     .offset = AT(facts.constellation)},
    {"hierarchy", "Hierarchy, alpha", "alpha", "", choices, FIGURE_WORD, 0, 0,
     .offset = AT(facts.hierarchy)},
    {"priority", "Stream received", "priority", "", choices, FIGURE_WORD, 0, 0,
     .offset = AT(facts.priority)},
    {"plp_mbps", "PLP rate", NULL, "Mbit/s", signal, FIGURE_NUMBER, 2, 1,
     .offset = AT(facts.plp_mbps)},
    {"ideal_snr_db", "SNR ideal", "ideal SNR", "dB", signal, FIGURE_NUMBER, 1, -1,
     .offset = AT(facts.ideal_snr_db)},
    {"ideal_rayleigh_snr_db", "SNR ideal, Rayleigh", "ideal, fading", "dB", signal, FIGURE_NUMBER,
     1, -1, .offset = AT(facts.ideal_rayleigh_snr_db)},
    {"limit_snr_db", "SNR limit", "limit SNR", "dB", signal, FIGURE_NUMBER, 1, -1,
     .offset = AT(facts.limit_snr_db)},
    {"useful_us", "Useful symbol", "useful part", "us", signal, FIGURE_NUMBER, 1, 0,
     .offset = AT(facts.useful_us)},
    {"guard_us", "Guard interval", "guard", "us", signal, FIGURE_NUMBER, 2, 0,
     .offset = AT(facts.guard_us)},
    {"symbol_us", "Symbol", "whole symbol", "us", signal, FIGURE_NUMBER, 1, 0,
     .offset = AT(facts.symbol_us)},
    {"spacing_hz", "Carrier spacing", "spacing", "Hz", signal, FIGURE_NUMBER, 2, 0,
     .offset = AT(facts.spacing_hz)},
    {"carriers", "Carriers", "carriers", "", signal, FIGURE_WHOLE, 0, 0,
     .offset = AT(facts.carriers)},
    {"occupied_mhz", "Occupied bandwidth", "occupied", "MHz", signal, FIGURE_NUMBER, 3, -1,
     .offset = AT(facts.occupied_mhz)},
    {"reach_us", "Estimation reach", "echo reach", "us", signal, FIGURE_NUMBER, 1, 1,
     .offset = AT(facts.reach_us)},
    {"doppler_pilot_hz", "Doppler, pilots", "pilot Doppler", "Hz", signal, FIGURE_NUMBER, 1, 1,
     .offset = AT(facts.doppler_pilot_hz)},
    {"doppler_ici_hz", "Doppler, interference", "ICI Doppler", "Hz", signal, FIGURE_NUMBER, 1, 1,
     .offset = AT(facts.doppler_ici_hz)},
    {"data_cells", "Cells, data symbol", "data symb.", "cells", signal, FIGURE_WHOLE, 0, 0,
     .offset = AT(facts.data_cells)},
    {"boundary_cells", "Cells, boundary symbol", "boundary", "cells", signal, FIGURE_WHOLE, 0, 0,
     .offset = AT(facts.boundary_cells)},
    {"preamble_symbols", "Preamble symbols", "preamble", "symb.", signal, FIGURE_WHOLE, 0, -1,
     .offset = AT(facts.preamble_symbols)},
    {"data_symbols", "Data symbols", "data", "symb.", signal, FIGURE_WHOLE, 0, 0,
     .offset = AT(facts.data_symbols)},
    {"cells_per_frame", "Cells in a frame", "frame", "cells", signal, FIGURE_WHOLE, 0, 0,
     .offset = AT(facts.cells_per_frame)},
    {"frame_ms", "Frame", "frame", "ms", signal, FIGURE_NUMBER, 2, 0, .offset = AT(facts.frame_ms)},
    {"interleaver_ms", "Time interleaving", "interleaving", "ms", signal, FIGURE_NUMBER, 1, -1,
     .offset = AT(facts.interleaver_ms)},
    {"system", "System", NULL, "", NULL, FIGURE_WORD, 0, 0, .word = system_name},
    {"snr_db", "SNR", NULL, "dB", NULL, FIGURE_NUMBER, 1, 1, .offset = AT(conditions.snr_db)},
    {"snr_source", "Source of the SNR", NULL, "", NULL, FIGURE_WORD, 0, 0, .word = source_of_snr},
    {"works", "Decodes", NULL, "", NULL, FIGURE_YES_NO, 0, 1, .number = works},
    {"receiver_snr_db", "SNR receiver", NULL, "dB", NULL, FIGURE_NUMBER, 1, -1,
     .offset = AT(facts.required_snr_db)},
    {"echo_us", "Echo", NULL, "us", NULL, FIGURE_NUMBER, 1, 1, .offset = AT(facts.echo_after_us)},
    {"ideal_source", "Source of ideal SNR", NULL, "", NULL, FIGURE_WORD, 0, 0,
     .offset = AT(facts.ideal_source)},
    {"implementation_loss_db", "Implementation loss", NULL, "dB", NULL, FIGURE_NUMBER, 1, -1,
     .offset = AT(facts.implementation_loss_db)},
    {"name", "PLP", NULL, "", NULL, FIGURE_WORD, 0, 0, .word = plp_name},
    {"subframe", "Subframe", NULL, "", NULL, FIGURE_WORD, 0, 0, .word = subframe_name},
    {"layer", "Layer", NULL, "", NULL, FIGURE_WORD, 0, 0, .offset = AT(facts.layer)},
    {"share", "Share of the cells", NULL, "", NULL, FIGURE_NUMBER, 2, 0,
     .offset = AT(facts.plp_share)},
    {"injection_db", "Injection level", NULL, "dB", NULL, FIGURE_NUMBER, 1, 0,
     .offset = AT(facts.injection_db)},
    {"cells", "Cells", NULL, "", NULL, FIGURE_WHOLE, 0, 0, .offset = AT(facts.plp_cells)},
    {"ideal_exact_snr_db", "SNR ideal, layers known", "layers known", "dB", NULL, FIGURE_NUMBER, 1,
     -1, .offset = AT(facts.ideal_exact_snr_db)},
    {"latency_ms", "Latency of interleaving", "latency", "ms", NULL, FIGURE_NUMBER, 0, -1,
     .offset = AT(facts.latency_ms)},
    {"start_up_ms", "Longest start-up", "start-up", "ms", NULL, FIGURE_NUMBER, 0, -1,
     .offset = AT(facts.start_up_ms)},
    {"interleaver", "Time interleaver", "interleaver", "", NULL, FIGURE_WORD, 0, 0,
     .offset = AT(facts.interleaver)},
    {"memory_cells", "Interleaver's memory", "memory", "cells", NULL, FIGURE_WHOLE, 0, -1,
     .offset = AT(facts.memory_cells)},
    {"memory_most_cells", "Memory at most", "at most", "cells", NULL, FIGURE_WHOLE, 0, 0,
     .offset = AT(facts.memory_most_cells)},
    {"fade_ms", "Longest fade survived", "longest fade", "ms", NULL, FIGURE_NUMBER, 0, 1,
     .offset = AT(fare.facts.fade_ms)},
    {"output_snr_db", "SNR after the equaliser", NULL, "dB", NULL, FIGURE_NUMBER, 1, 1,
     .offset = AT(fare.left_db)},
    {"effective_snr_db", "Effective SNR", NULL, "dB", NULL, FIGURE_NUMBER, 1, 1,
     .offset = AT(fare.left_db)},
    {"threshold_db", "Threshold", NULL, "dB", NULL, FIGURE_NUMBER, 1, -1,
     .offset = AT(reception.needed_db)},
    {"needed_snr_db", "Needed SNR", NULL, "dB", NULL, FIGURE_NUMBER, 1, -1,
     .offset = AT(reception.needed_db)},
    {"required_cn_db", "Required C/N here", NULL, "dB", NULL, FIGURE_NUMBER, 1, -1,
     .offset = AT(required_cn_db)},
    {"echo_loss_db", "Lost to echoes", NULL, "dB", NULL, FIGURE_NUMBER, 1, -1,
     .offset = AT(fare.facts.echo_loss_db)},
    {"decision_loss_db", "Lost to decisions", NULL, "dB", NULL, FIGURE_NUMBER, 1, -1,
     .offset = AT(fare.facts.decision_loss_db)},
    {"adaptation_loss_db", "Lost to adaptation", NULL, "dB", NULL, FIGURE_NUMBER, 1, -1,
     .offset = AT(fare.facts.adaptation_loss_db)},
    {"lag_loss_db", "Lost to lag", NULL, "dB", NULL, FIGURE_NUMBER, 1, -1,
     .offset = AT(fare.facts.lag_loss_db), .text = lag_words},
    {"infinite_snr_db", "Infinite equaliser", NULL, "dB", NULL, FIGURE_NUMBER, 1, 0,
     .offset = AT(fare.facts.infinite_snr_db)},
    {"linear_snr_db", "Linear equaliser", NULL, "dB", NULL, FIGURE_NUMBER, 1, 0,
     .offset = AT(fare.facts.linear_snr_db)},
    {"outside_reach_db", "Outside the reach", NULL, "dB", NULL, FIGURE_NUMBER, 1, 0,
     .offset = AT(fare.facts.outside_reach_db)},
    {"inside_guard", "Inside the guard", NULL, "", NULL, FIGURE_YES_NO, 0, 0,
     .offset = AT(fare.facts.inside_guard)},
    {"self_interference_db", "Self-interference", NULL, "dB", NULL, FIGURE_NUMBER, 1, 0,
     .offset = AT(fare.facts.self_interference_db)},
    {"fading_loss_db", "Lost to unequal carriers", NULL, "dB", NULL, FIGURE_NUMBER, 1, -1,
     .offset = AT(fare.facts.fading_loss_db)},
    {"self_loss_db", "Lost to self-interference", NULL, "dB", NULL, FIGURE_NUMBER, 1, -1,
     .offset = AT(fare.facts.self_loss_db)},
    {"motion_loss_db", "Lost to motion", NULL, "dB", NULL, FIGURE_NUMBER, 1, -1,
     .offset = AT(fare.facts.motion_loss_db)},
    {"estimation_loss_db", "Lost to estimation errors", NULL, "dB", NULL, FIGURE_NUMBER, 1, -1,
     .offset = AT(fare.facts.estimation_loss_db)},
    {"ideal_margin_db", "Margin, ideal receiver", NULL, "dB", NULL, FIGURE_NUMBER, 1, 0,
     .offset = AT(fare.facts.ideal_margin_db)},
    {"ideal_required_cn_db", "Required C/N, ideal receiver", NULL, "dB", NULL, FIGURE_NUMBER, 1, 0,
     .offset = AT(fare.facts.ideal_required_cn_db)},
    {"window_us", "FFT window", NULL, "us", NULL, FIGURE_NUMBER, 1, 0,
     .offset = AT(fare.facts.window_us)},
    {"reach_from_us", "Reach from", NULL, "us", NULL, FIGURE_NUMBER, 1, 0,
     .offset = AT(fare.facts.reach_from_us)},
    {"reach_to_us", "Reach to", NULL, "us", NULL, FIGURE_NUMBER, 1, 0,
     .offset = AT(fare.facts.reach_to_us)},
    {"meeting_db", "Power, transmitters meeting", NULL, "dB", NULL, FIGURE_NUMBER, 1, 1,
     .offset = AT(fare.facts.meeting_db)},
    {"miso_gain_db", "Gained by MISO there", NULL, "dB", NULL, FIGURE_NUMBER, 1, 1,
     .offset = AT(fare.facts.miso_gain_db)},
    {"time_interpolation", "Time interpolation", NULL, "", NULL, FIGURE_YES_NO, 0, 0,
     .offset = AT(fare.facts.time_interpolation)},
};
const struct figure_table generation_figures = {rows, sizeof rows / sizeof rows[0]};

static bool is_compared(const struct figure *figure)
{
    return figure->beside;
}

static bool is_choice(const struct figure *figure)
{
    return figure->group == choices;
}

/* Settings have a place of their own on screens. */
static bool is_grouped(const struct figure *figure)
{
    return figure->group != NULL && figure->group != choices;
}

static struct figure_list figures_where(bool (*is_wanted)(const struct figure *figure))
{
    struct figure_list list = {0};
    for (size_t i = 0; i < generation_figures.count; i++) {
        if (is_wanted(&rows[i])) {
            list.rows[list.count++] = &rows[i];
        }
    }
    return list;
}

struct figure_list figures_compared(void)
{
    return figures_where(is_compared);
}

struct figure_list figures_of_choice(void)
{
    return figures_where(is_choice);
}

struct figure_list figures_grouped(void)
{
    return figures_where(is_grouped);
}

struct figure_list figures_of_detail(const struct system *system)
{
    struct figure_list all = figures_named(&generation_figures, system->figures), list = {0};
    for (size_t i = 0; i < all.count; i++) {
        if (all.rows[i]->group != NULL && !all.rows[i]->beside) {
            list.rows[list.count++] = all.rows[i];
        }
    }
    return list;
}
