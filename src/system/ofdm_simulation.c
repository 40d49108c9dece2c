/* Carriers of the place's channel, each with an SNR of its own, for simulations of any OFDM system.
 */
#include "system/ofdm_simulation.h"

#include <stdlib.h>

#include "base/units.h"

static enum status solve(const struct simulation_case *asked, double snr_db, struct fare *fare)
{
    const struct reception *reception = asked->reception;
    return fare != NULL ? reception->system->fare(reception, asked->channel, snr_db, NULL, fare)
                        : STATUS_NO_MEMORY;
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
