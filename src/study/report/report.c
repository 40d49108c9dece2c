#include "study/report/report.h"

#include <math.h>

#include "base/units.h"
#include "physics/air/noise.h"
#include "physics/ofdm/doppler.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/grid.h"
#include "standard/atsc3/pilots.h"
#include "standard/vsb/signal.h"

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
    };
}

static void fill_structure(const struct transmission *transmission, const struct frame *frame,
                           const struct cell_counts *counts, struct report_second *second)
{
    const struct subframe *subframe = &transmission->subframes[0];
    const struct plp *plp = &subframe->plps[0];
    struct ofdm_grid grid = waveform_grid(&subframe->waveform);
    struct carried carried = code_carried(&plp->code, frame->cell_rate_hz);
    second->transmission = *transmission;
    second->useful_us = grid.useful_us;
    second->guard_us = grid.guard_us;
    second->symbol_us = grid.symbol_us;
    second->spacing_hz = grid.spacing_hz;
    second->carriers = counts->carriers;
    second->occupied_mhz = grid.occupied_mhz;
    second->data_cells = counts->data;
    second->boundary_cells = counts->boundary;
    second->preamble_symbols = frame->preamble_symbols;
    second->data_symbols = frame->data_symbols;
    second->cells_per_frame = frame->cells;
    second->frame_ms = frame->duration_ms;
    second->plp_mbps = carried.plp_mbps;
    second->net_mbps = carried.net_mbps;
    second->interleaver_ms = interleaver_span_ms(plp->interleaver, frame->cell_rate_hz);
    second->echo_us = second->guard_us;
    second->echo_km = km_from_us(second->guard_us);
    second->reach_us = second->useful_us / grid.dx;
    second->doppler_pilot_hz = doppler_pilot_limit_hz(&grid);
}

static void fill_reception(const struct scenario *scenario, const struct transmission *transmission,
                           struct report_second *second)
{
    double center_mhz = scenario->site.center_mhz;
    struct ofdm_grid grid = waveform_grid(&transmission->subframes[0].waveform);
    const struct code *code = &transmission->subframes[0].plps[0].code;
    struct ideal_snr ideal =
        ideal_snr(code->length, code->constellation, code->rate_15ths, FADING_AWGN);
    struct ideal_snr rayleigh =
        ideal_snr(code->length, code->constellation, code->rate_15ths, FADING_RAYLEIGH);
    second->limit_snr_db = limit_snr_db(code->constellation, code->rate_15ths, FADING_AWGN);
    second->ideal_snr_db = ideal.db;
    second->ideal_source = ideal.source;
    second->ideal_rayleigh_snr_db = rayleigh.db;
    second->ideal_rayleigh_source = rayleigh.source;
    second->receiver_snr_db =
        receiver_snr_from_ideal_db(&grid, receiver_backstop_db(code->constellation), ideal.db);
    second->doppler_ici_hz = doppler_interference_limit_hz(grid.useful_us, second->receiver_snr_db);
    second->doppler_hz = fmin(second->doppler_pilot_hz, second->doppler_ici_hz);
    second->speed_kmh = kmh_from_doppler(second->doppler_hz, center_mhz * 1e6);
    second->field_dbuvm = planning_field_dbuvm(second->receiver_snr_db, center_mhz);
}

enum status report_structure_make(const struct transmission *mode, struct report_second *second,
                                  struct frame *frame, struct fault *fault)
{
    enum status status = transmission_check(mode, fault);
    if (status != STATUS_OK) {
        return status;
    }
    struct cell_counts counts = cells_count(&mode->subframes[0].waveform);
    status = frame_build_counted(mode, &counts, frame, fault);
    if (status == STATUS_OK) {
        fill_structure(mode, frame, &counts, second);
    }
    return status;
}

enum status report_second_make(const struct scenario *scenario, const struct transmission *mode,
                               struct report_second *second, struct fault *fault)
{
    struct frame frame;
    enum status status = report_structure_make(mode, second, &frame, fault);
    if (status == STATUS_OK) {
        fill_reception(scenario, mode, second);
    }
    return status;
}

enum status report_describe(const struct scenario *scenario, struct report *report,
                            struct fault *fault)
{
    report->rf = rf_part(&scenario->site);
    report->first = first_part(scenario);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        report->verdicts.of[i].known = report->verdicts.of[i].works = false;
        report->verdicts.of[i].margin_db = report->verdicts.of[i].margin_noise_db = NAN;
    }
    return report_second_make(scenario, &scenario->transmission, &report->second, fault);
}

enum status report_make(const struct scenario *scenario, struct report *report, struct fault *fault)
{
    enum status status = report_describe(scenario, report, fault);
    return status == STATUS_OK ? verdicts_make(scenario, &report->verdicts, fault) : status;
}
