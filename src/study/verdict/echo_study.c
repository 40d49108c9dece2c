#include "study/verdict/echo_study.h"

#include <math.h>

#include "base/units.h"
#include "physics/vsb/channel.h"
#include "standard/atsc3/frame.h"
#include "study/report/report.h"

static void fill_echoes(const struct scenario *scenario, struct echo_input *input)
{
    double speed_kmh = scenario->receiver.speed_kmh;
    double most_hz = doppler_from_kmh(speed_kmh, scenario->site.center_mhz * 1e6);
    input->count = scenario->echo_count;
    input->moving = speed_kmh > 0.0 && input->count > 0;
    for (int i = 0; i < input->count; i++) {
        input->echoes[i] = scenario->echoes[i];
        if (input->moving && input->echoes[i].doppler_hz == 0.0) {
            double angle = 2.0 * PI * (i + 1) / (input->count + 1);
            input->echoes[i].doppler_hz = most_hz * (cos(angle) - 1.0);
        }
    }
}

static void fill_snr(const struct scenario *scenario, struct echo_input *input)
{
    struct report_measured measured = report_measured(scenario);
    input->snr_db = measured.snr_db;
    input->source = measured.from_level ? ECHO_SNR_FROM_LEVEL : ECHO_SNR_MEASURED;
    if (isnan(measured.snr_db)) {
        input->snr_db = ECHO_ASSUMED_SNR_DB;
        input->source = ECHO_SNR_ASSUMED;
    }
}

enum status echo_input_make(const struct scenario *scenario, struct echo_input *input,
                            struct fault *fault)
{
    enum status status = mode_check(&scenario->mode, fault);
    if (status == STATUS_OK) {
        status = vsb_echoes_check(scenario->echoes, scenario->echo_count, fault);
    }
    struct frame frame;
    if (status == STATUS_OK) {
        status = frame_build(&scenario->mode, &frame, fault);
    }
    if (status != STATUS_OK) {
        return status;
    }
    const struct mode *mode = &scenario->mode;
    struct ideal_snr ideal =
        ideal_snr(mode->length, mode->constellation, mode->rate_15ths, FADING_AWGN);
    *input = (struct echo_input){
        .span_ms = interleaver_span_ms(mode, &frame),
        .first_receiver = scenario->first,
        .mode = *mode,
        .ideal_db = ideal.db,
        .ideal_source = ideal.source,
        .needed_db = receiver_snr_from_ideal_db(mode, ideal.db),
    };
    fill_echoes(scenario, input);
    fill_snr(scenario, input);
    if (!(input->snr_db >= -30.0 && input->snr_db <= 100.0)) {
        return fault_set(fault, STATUS_OUT_OF_RANGE,
                         input->source == ECHO_SNR_MEASURED ? "receiver.snr_db"
                                                            : "receiver.level_dbm",
                         "an SNR of -30 to 100 dB", "an SNR of %.1f dB", input->snr_db);
    }
    return STATUS_OK;
}

static enum status solve_second(const struct echo_input *input, struct ofdm_echo_result *result)
{
    struct ofdm_echo_input physics = {
        .mode = &input->mode,
        .echoes = input->echoes,
        .count = input->count,
        .snr_db = input->snr_db,
        .span_ms = input->span_ms,
        .ideal_db = input->ideal_db,
        .needed_db = input->needed_db,
        .carriers_most = input->carriers_most,
    };
    return ofdm_echo_solve(&physics, result);
}

static enum status solved(enum status status, struct fault *fault)
{
    if (status == STATUS_NO_SOLUTION) {
        return fault_set(fault, status, "echo", "other phases, levels or delays",
                         "the rays cancel each other");
    }
    if (status != STATUS_OK) {
        return fault_set(fault, status, "echo", NULL, "%s", status_message(status));
    }
    return STATUS_OK;
}

enum status echo_study_solve_second(const struct echo_input *input, struct echo_study *study,
                                    struct fault *fault)
{
    study->input = *input;
    enum status status = solved(solve_second(input, &study->second), fault);
    study->second_works = status == STATUS_OK && study->second.margin_db >= 0.0;
    return status;
}

enum status echo_study_solve(const struct echo_input *input, struct echo_study *study,
                             struct fault *fault)
{
    enum status status = solved(vsb_echo_solve(input->echoes, input->count, input->snr_db,
                                               &input->first_receiver, &study->first),
                                fault);
    if (status != STATUS_OK) {
        return status;
    }
    study->first_works = study->first.margin_db >= 0.0;
    return echo_study_solve_second(input, study, fault);
}

enum status echo_study_make(const struct scenario *scenario, struct echo_study *study,
                            struct fault *fault)
{
    enum status status = echo_input_make(scenario, &study->input, fault);
    if (status != STATUS_OK) {
        return status;
    }
    struct echo_input input = study->input;
    return echo_study_solve(&input, study, fault);
}

size_t echo_losses_first(const struct echo_study *study, struct echo_loss *losses)
{
    const struct vsb_echo_result *first = &study->first;
    const struct echo_loss rows[] = {
        {"SNR, all rays over noise", first->input_snr_db, true},
        {"Echoes, ideal equaliser", -first->echo_loss_db, false},
        {"Adaptation noise", -first->adaptation_loss_db, false},
        {"Lag behind moving echoes", -first->lag_loss_db, false},
        {"Implementation", -first->implementation_loss_db, false},
        {"SNR at the decision", first->output_snr_db, true},
        {"Needed (threshold of visibility)", study->input.first_receiver.threshold_db, true},
        {"Margin", first->margin_db, true},
    };
    size_t count = sizeof rows / sizeof rows[0];
    for (size_t i = 0; i < count; i++) {
        losses[i] = rows[i];
    }
    return count;
}

size_t echo_losses_second(const struct echo_study *study, struct echo_loss *losses)
{
    const struct ofdm_echo_result *second = &study->second;
    const struct echo_loss rows[] = {
        {"SNR, all rays over noise", second->input_snr_db, true},
        {"Unequal carriers", -second->fading_loss_db, false},
        {"Self-interference", -second->self_loss_db, false},
        {"Interference by motion", -second->motion_loss_db, false},
        {"Effective SNR", second->effective_snr_db, true},
        {"Needed (receiver model)", study->input.needed_db, true},
        {"Margin", second->margin_db, true},
        {"Margin of an ideal receiver", second->ideal_margin_db, true},
    };
    size_t count = sizeof rows / sizeof rows[0];
    for (size_t i = 0; i < count; i++) {
        losses[i] = rows[i];
    }
    return count;
}

struct echo echo_from_transmitter(const struct echo_transmitter *main_one,
                                  const struct echo_transmitter *other)
{
    return (struct echo){
        .delay_us = us_from_km(other->distance_km - main_one->distance_km) + other->delay_us -
                    main_one->delay_us,
        .level_db = db_from_ratio(other->power_kw / main_one->power_kw) -
                    2.0 * db_from_ratio(other->distance_km / main_one->distance_km),
    };
}
