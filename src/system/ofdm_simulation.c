/* Carriers of the place's channel, each with an SNR of its own, for simulations of any OFDM system.
 */
#include "system/ofdm_simulation.h"

#include <stdlib.h>

#include "base/units.h"
#include "simulation/chain/chain_run.h"

static enum status solve(const struct simulation_case *asked, double snr_db, struct fare *fare)
{
    const struct reception *reception = asked->reception;
    return fare != NULL ? reception->system->fare(reception, asked->channel, snr_db, NULL, fare)
                        : STATUS_NO_MEMORY;
}

enum fading ofdm_fading(enum chain_channel channel)
{
    return channel == CHANNEL_RAYLEIGH ? FADING_RAYLEIGH : FADING_AWGN;
}

int ofdm_marks(double limit_db, double ideal_db, struct published_snr published,
               struct simulation_mark marks[SIMULATION_MARKS_MAX])
{
    marks[0] = (struct simulation_mark){MARK_LIMIT, limit_db, "limit", NULL};
    marks[1] = (struct simulation_mark){MARK_IDEAL, ideal_db, "ideal", NULL};
    marks[2] = (struct simulation_mark){MARK_PUBLISHED, published.snr_db, published.mark,
                                        published.source};
    return published.source ? 3 : 2;
}

struct simulation_spacing ldpc_spacing(enum chain_channel channel, bool long_code)
{
    return channel == CHANNEL_CARRIERS ? (struct simulation_spacing){0.1, 10, 5}
                                       : (struct simulation_spacing){long_code ? 0.05 : 0.1, 9, 3};
}

void ldpc_describe(const struct simulation_choice *choice, struct text *out)
{
    text_printf(out, ", %s %d%s", ldpc_algorithm_name(choice->algorithm), choice->iterations,
                choice->demapper == DEMAP_MAX_LOG ? " max-log" : "");
}

struct chain_setup ldpc_setup(const struct simulation_choice *choice)
{
    struct chain_setup setup = chain_setup_default();
    setup.algorithm = choice->algorithm;
    setup.iterations = choice->iterations;
    setup.demapper = choice->demapper;
    setup.channel = choice->channel;
    return setup;
}

enum status ldpc_run(const struct chain_setup *setup, double snr_db,
                     const struct run_limits *limits, struct run_watch *watch,
                     struct run_counts *counts)
{
    struct chain *chain = NULL;
    enum status status = chain_create(setup, &chain);
    if (status == STATUS_OK) {
        struct chain_point point = {.chain = chain, .snr_db = snr_db};
        struct run_job job = chain_run_job(&point);
        status = run_execute(&job, limits, watch, counts);
    }
    chain_free(chain);
    return status;
}

enum status ofdm_expected_in(const struct simulation_case *asked, double *snr_db)
{
    struct fare *fare = malloc(sizeof *fare);
    enum status status = solve(asked, asked->reception->ideal_db, fare);
    if (status == STATUS_OK) {
        *snr_db = fare->ofdm.ideal_required_cn_db;
    }
    free(fare);
    return status;
}

#define INSTANTS 16 /* of the time interleaver's span, where rays turn within it */

/* SNR by carrier over the mean SNR, at all instants from which the time interleaver gathers a code
 * word's cells. The owner frees `gains`. */
enum status ofdm_carrier_gains(const struct simulation_case *asked, double snr_db, float **gains,
                               int *count)
{
    const struct ofdm_reception *ofdm = &asked->reception->ofdm;
    int instants = ofdm->span_ms > 0.0 && channel_moves(asked->channel) ? INSTANTS : 1;
    size_t carriers = (size_t)ofdm->grid.carriers;
    struct fare *fare = malloc(sizeof *fare);
    double *by_carrier_db = malloc(sizeof *by_carrier_db * carriers);
    *gains = malloc(sizeof **gains * carriers * (size_t)instants);
    *count = 0;
    enum status status = by_carrier_db && *gains ? solve(asked, snr_db, fare) : STATUS_NO_MEMORY;
    for (int at = 0; at < instants && status == STATUS_OK; at++) {
        double at_ms = instants > 1 ? ofdm->span_ms * (at + 0.5) / instants : 0.0;
        int more = ofdm_echo_carriers(&ofdm->grid, &fare->ofdm, at_ms, 1, by_carrier_db,
                                      ofdm->grid.carriers);
        for (int i = 0; i < more; i++) {
            (*gains)[(*count)++] = (float)ratio_from_db(by_carrier_db[i] - snr_db);
        }
    }
    if (status != STATUS_OK) {
        free(*gains);
        *gains = NULL;
    }
    free(fare);
    free(by_carrier_db);
    return status;
}
