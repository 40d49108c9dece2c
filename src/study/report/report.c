#include "study/report/report.h"

#include <math.h>

#include "base/units.h"
#include "physics/air/noise.h"
#include "physics/ofdm/doppler.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/numerology.h"
#include "standard/atsc3/pilots.h"
#include "standard/vsb/signal.h"

struct report_measured report_measured(const struct scenario *scenario)
{
    const struct receiver *receiver = &scenario->receiver;
    struct report_measured measured = {
        .snr_db = receiver->snr_db,
        .noise_dbm =
            noise_total_dbm(receiver, scenario->site.bandwidth_mhz, scenario->site.center_mhz)};
    if (isnan(measured.snr_db) && !isnan(receiver->level_dbm)) {
        measured.from_level = true;
        measured.snr_db = receiver->level_dbm - measured.noise_dbm;
    }
    return measured;
}

static struct report_rf rf_part(const struct site *site)
{
    return (struct report_rf){.channel = site->rf_channel ? site->rf_channel
                                                          : rf_channel_at(site->center_mhz),
                              .center_mhz = site->center_mhz,
                              .band = rf_band(site->center_mhz)};
}

static struct report_first first_part(const struct scenario *scenario)
{
    const struct first_receiver *receiver = &scenario->first;
    double center_mhz = scenario->site.center_mhz;
    double required_db = receiver->threshold_db + receiver->implementation_loss_db;
    return (struct report_first){
        .net_mbps = vsb_net_mbps(),
        .required_snr_db = required_db,
        .echo_before_us = receiver->equaliser_before_us,
        .echo_after_us = receiver->equaliser_after_us,
        .echo_km = km_from_us(receiver->equaliser_after_us),
        .doppler_hz = receiver->tracking_hz,
        .speed_kmh = kmh_from_doppler(receiver->tracking_hz, center_mhz * 1e6),
        .field_dbuvm = planning_field_dbuvm(required_db, center_mhz),
        .margin_db = report_measured(scenario).snr_db - required_db,
    };
}

static void fill_structure(const struct mode *mode, const struct frame *frame,
                           const struct cell_counts *counts, struct report_second *second)
{
    second->mode = *mode;
    second->useful_us = numerology_useful_us(mode);
    second->guard_us = numerology_guard_us(mode);
    second->symbol_us = numerology_symbol_us(mode);
    second->spacing_hz = numerology_spacing_hz(mode);
    second->carriers = counts->carriers;
    second->occupied_mhz = numerology_occupied_mhz(mode);
    second->data_cells = counts->data;
    second->boundary_cells = counts->boundary;
    second->preamble_symbols = frame->preamble_symbols;
    second->data_symbols = frame->data_symbols;
    second->cells_per_frame = frame->cells;
    second->frame_ms = frame->duration_ms;
    second->plp_mbps = frame->plp_mbps;
    second->net_mbps = frame->net_mbps;
    second->interleaver_ms = interleaver_span_ms(mode, frame);
    second->echo_us = second->guard_us;
    second->echo_km = km_from_us(second->guard_us);
    second->reach_us = second->useful_us / pilots_dx(mode->pilots);
    second->doppler_pilot_hz = doppler_pilot_limit_hz(mode);
}

static void fill_reception(const struct scenario *scenario, const struct mode *mode,
                           struct report_second *second)
{
    double center_mhz = scenario->site.center_mhz;
    struct ideal_snr ideal =
        ideal_snr(mode->length, mode->constellation, mode->rate_15ths, FADING_AWGN);
    struct ideal_snr rayleigh =
        ideal_snr(mode->length, mode->constellation, mode->rate_15ths, FADING_RAYLEIGH);
    second->limit_snr_db = limit_snr_db(mode->constellation, mode->rate_15ths, FADING_AWGN);
    second->ideal_snr_db = ideal.db;
    second->ideal_source = ideal.source;
    second->ideal_rayleigh_snr_db = rayleigh.db;
    second->ideal_rayleigh_source = rayleigh.source;
    second->receiver_snr_db = receiver_snr_db(mode);
    second->doppler_ici_hz = doppler_interference_limit_hz(mode, second->receiver_snr_db);
    second->doppler_hz = fmin(second->doppler_pilot_hz, second->doppler_ici_hz);
    second->speed_kmh = kmh_from_doppler(second->doppler_hz, center_mhz * 1e6);
    second->field_dbuvm = planning_field_dbuvm(second->receiver_snr_db, center_mhz);
    second->margin_db = report_measured(scenario).snr_db - second->receiver_snr_db;
}

enum status report_structure_make(const struct mode *mode, struct report_second *second,
                                  struct frame *frame, struct fault *fault)
{
    enum status status = mode_check(mode, fault);
    if (status != STATUS_OK) {
        return status;
    }
    struct cell_counts counts = cells_count(mode);
    status = frame_build_counted(mode, &counts, frame, fault);
    if (status == STATUS_OK) {
        fill_structure(mode, frame, &counts, second);
    }
    return status;
}

enum status report_second_make(const struct scenario *scenario, const struct mode *mode,
                               struct report_second *second, struct fault *fault)
{
    struct frame frame;
    enum status status = report_structure_make(mode, second, &frame, fault);
    if (status == STATUS_OK) {
        fill_reception(scenario, mode, second);
    }
    return status;
}

enum status report_make(const struct scenario *scenario, struct report *report, struct fault *fault)
{
    report->rf = rf_part(&scenario->site);
    report->measured = report_measured(scenario);
    report->first = first_part(scenario);
    return report_second_make(scenario, &scenario->mode, &report->second, fault);
}
