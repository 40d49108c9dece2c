/* What a station's signal needs under the profile's echoes.
 *
 * The second generation's answer comes with its echo solution. The first generation's output SNR
 * rises with the input SNR, so the input that gives the threshold is found by regula falsi
 * (Illinois) between the threshold itself, which echoes can only raise, and MOST_DB: what is not
 * decoded there never is, because echoes outside the equaliser's reach are as strong as ever. */
#include "study/verdict/place_need.h"

#include <math.h>

#include "study/verdict/echo_study.h"

#define MOST_DB 70.0
#define CLOSE_DB 1e-4
#define STEPS_MAX 40

static enum status echo_fault(enum status status, struct fault *fault)
{
    if (status == STATUS_NO_SOLUTION) {
        return fault_set(fault, status, "echo", "other phases, levels or delays",
                         "the rays cancel each other");
    }
    return fault_set(fault, status, "echo", NULL, "%s", status_message(status));
}

static enum status first_margin_db(const struct echo_input *input, double snr_db, double *margin_db)
{
    struct vsb_echo_result result;
    enum status status =
        vsb_echo_solve(input->echoes, input->count, snr_db, &input->first_receiver, &result);
    *margin_db = result.margin_db;
    return status;
}

static enum status first_need_db(const struct echo_input *input, double plain_db, double *needed_db)
{
    double low = plain_db - 1.0, high = MOST_DB, low_margin, high_margin;
    enum status status = first_margin_db(input, low, &low_margin);
    if (status == STATUS_OK) {
        status = first_margin_db(input, high, &high_margin);
    }
    if (status != STATUS_OK) {
        return status;
    }
    if (high_margin < 0.0) {
        *needed_db = INFINITY;
        return STATUS_OK;
    }
    int side = 0;
    for (int i = 0; i < STEPS_MAX && high - low > CLOSE_DB && low_margin < 0.0; i++) {
        double middle = (low * high_margin - high * low_margin) / (high_margin - low_margin);
        double margin;
        status = first_margin_db(input, middle, &margin);
        if (status != STATUS_OK) {
            return status;
        }
        if (fabs(margin) < CLOSE_DB) {
            *needed_db = middle;
            return STATUS_OK;
        }
        if (margin < 0.0) {
            low = middle;
            low_margin = margin;
            high_margin *= side < 0 ? 0.5 : 1.0;
            side = -1;
        } else {
            high = middle;
            high_margin = margin;
            low_margin *= side > 0 ? 0.5 : 1.0;
            side = 1;
        }
    }
    *needed_db = high;
    return STATUS_OK;
}

static enum status second_need_db(const struct echo_input *input, double plain_db,
                                  double *needed_db)
{
    struct ofdm_echo_input physics = {
        .mode = &input->mode,
        .echoes = input->echoes,
        .count = input->count,
        .snr_db = plain_db,
        .span_ms = input->span_ms,
        .ideal_db = input->ideal_db,
        .needed_db = input->needed_db,
        .carriers_most = input->carriers_most,
    };
    struct ofdm_echo_result result;
    enum status status = ofdm_echo_solve(&physics, &result);
    *needed_db = result.required_cn_db;
    return status;
}

enum status place_need_db(const struct scenario *scenario, const struct station *station,
                          double plain_db, double *needed_db, struct fault *fault)
{
    *needed_db = plain_db;
    if (scenario->echo_count == 0) {
        return STATUS_OK;
    }
    /* The receiver's speed turns into Doppler on the station's own channel. */
    struct scenario tuned = *scenario;
    scenario_set_channel(&tuned, station->rf_channel);
    struct echo_input input;
    enum status status = echo_input_make(&tuned, &input, fault);
    if (status != STATUS_OK) {
        return status;
    }
    status = station->generation == GENERATION_FIRST ? first_need_db(&input, plain_db, needed_db)
                                                     : second_need_db(&input, plain_db, needed_db);
    return status == STATUS_OK ? STATUS_OK : echo_fault(status, fault);
}
