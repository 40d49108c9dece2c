/* One echo slid along: margins, and the level that is still borne. */
#include <math.h>
#include <stdlib.h>

#include "study/verdict/echo_study.h"

/* Echoes' phases that a tolerated level must hold for: the main signal's and the opposite one hurt
 * most or least with short delays. */
static const double phases_deg[] = {0.0, 180.0};
#define PHASES (sizeof phases_deg / sizeof phases_deg[0])

static double delay_at(double from_us, double to_us, size_t i, size_t count)
{
    return count < 2 ? from_us : from_us + (to_us - from_us) * (double)i / (double)(count - 1);
}

double echo_sweep_at_us(double span_us, size_t i, size_t count, double now_us)
{
    double at_us = delay_at(-span_us, span_us, i, count);
    double nearest = (now_us + span_us) / (2.0 * span_us) * (double)(count - 1);
    return round(nearest) == (double)i ? now_us : at_us;
}

enum status echo_sweep_margins(const struct echo_input *input, int echo, double from_us,
                               double to_us, size_t count, struct echo_margins *margins)
{
    struct echo_study *study = malloc(sizeof *study);
    struct echo_input *moved = malloc(sizeof *moved);
    enum status status = study != NULL && moved != NULL ? STATUS_OK : STATUS_NO_MEMORY;
    for (size_t i = 0; i < count && status == STATUS_OK; i++) {
        *moved = *input;
        moved->echoes[echo].delay_us = delay_at(from_us, to_us, i, count);
        margins[i] = (struct echo_margins){moved->echoes[echo].delay_us, NAN, NAN};
        status = echo_study_solve(moved, study, NULL);
        if (status == STATUS_OK) {
            margins[i].first_db = study->first.margin_db;
            margins[i].second_db = study->second.margin_db;
        } else if (status == STATUS_NO_SOLUTION) {
            status = STATUS_OK;
        }
    }
    free(study);
    free(moved);
    return status;
}

enum generation_asked { ASK_FIRST, ASK_SECOND };

struct lone_echo {
    struct echo_input input;
    struct vsb_echo_result first;
    struct ofdm_echo_result second;
};

/* Whether one generation decodes with the lone echo at a level, whatever its phase. */
static enum status bears(struct lone_echo *lone, enum generation_asked asked, double level_db,
                         bool *yes)
{
    struct echo_input *input = &lone->input;
    *yes = true;
    for (size_t i = 0; i < PHASES && *yes; i++) {
        input->echoes[0].level_db = level_db;
        input->echoes[0].phase_deg = phases_deg[i];
        enum status status;
        double margin_db;
        if (asked == ASK_FIRST) {
            status = vsb_echo_solve(input->echoes, 1, input->snr_db, &input->first_receiver,
                                    &lone->first);
            margin_db = lone->first.margin_db;
        } else {
            struct ofdm_echo_input physics = {
                .mode = &input->mode,
                .echoes = input->echoes,
                .count = 1,
                .snr_db = input->snr_db,
                .ideal_db = input->ideal_db,
                .needed_db = input->needed_db,
                .carriers_most = input->carriers_most,
            };
            status = ofdm_echo_solve(&physics, &lone->second);
            margin_db = lone->second.margin_db;
        }
        if (status != STATUS_OK && status != STATUS_NO_SOLUTION) {
            return status;
        }
        *yes = status == STATUS_OK && margin_db >= 0.0;
    }
    return STATUS_OK;
}

#define LEVEL_STEPS 10 /* 40 dB halved ten times: 0.04 dB */

static enum status strongest(struct lone_echo *lone, enum generation_asked asked, double *level_db)
{
    double low = ECHO_TOLERATED_LEAST_DB, high = ECHO_TOLERATED_MOST_DB;
    bool yes;
    enum status status = bears(lone, asked, high, &yes);
    if (status != STATUS_OK || yes) {
        *level_db = high;
        return status;
    }
    status = bears(lone, asked, low, &yes);
    *level_db = NAN;
    if (status != STATUS_OK || !yes) {
        return status;
    }
    for (int step = 0; step < LEVEL_STEPS && status == STATUS_OK; step++) {
        double middle = 0.5 * (low + high);
        status = bears(lone, asked, middle, &yes);
        if (yes) {
            low = middle;
        } else {
            high = middle;
        }
    }
    *level_db = low;
    return status;
}

enum status echo_sweep_tolerated(const struct echo_input *input, double from_us, double to_us,
                                 size_t count, struct echo_tolerated *tolerated)
{
    struct lone_echo *lone = malloc(sizeof *lone);
    if (lone == NULL) {
        return STATUS_NO_MEMORY;
    }
    enum status status = STATUS_OK;
    for (size_t i = 0; i < count && status == STATUS_OK; i++) {
        tolerated[i] = (struct echo_tolerated){delay_at(from_us, to_us, i, count), NAN, NAN};
        lone->input = *input;
        lone->input.count = 1;
        lone->input.echoes[0] = (struct echo){.delay_us = tolerated[i].delay_us};
        status = strongest(lone, ASK_FIRST, &tolerated[i].first_db);
        if (status == STATUS_OK) {
            status = strongest(lone, ASK_SECOND, &tolerated[i].second_db);
        }
    }
    free(lone);
    return status;
}
