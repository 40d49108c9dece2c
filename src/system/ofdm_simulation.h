#ifndef SYSTEM_OFDM_SIMULATION_H
#define SYSTEM_OFDM_SIMULATION_H

#include "system/simulation.h"

/* What simulations of all OFDM systems ask of the place's channel. */

/* The SNR at which an ideal receiver is expected to decode in it. */
enum status ofdm_expected_in(const struct simulation_case *asked, double *snr_db);

/* SNR by carrier over the mean SNR. The owner frees `gains`. */
enum status ofdm_carrier_gains(const struct simulation_case *asked, double snr_db, float **gains,
                               int *count);

#endif
