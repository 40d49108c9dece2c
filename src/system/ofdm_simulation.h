#ifndef SYSTEM_OFDM_SIMULATION_H
#define SYSTEM_OFDM_SIMULATION_H

#include "physics/information/published_snr.h"
#include "system/simulation.h"

/* What simulations of all OFDM systems have in common, and those of LDPC codes. */

enum fading ofdm_fading(enum chain_channel channel);

/* Limit, ideal and, where there is one, the published SNR; returns how many. */
int ofdm_marks(double limit_db, double ideal_db, struct published_snr published,
               struct simulation_mark marks[SIMULATION_MARKS_MAX]);

/* Long codes fall within 0.4 dB, short ones within 1 dB; with echoes the prediction itself may be
 * off by some tenths. */
struct simulation_spacing ldpc_spacing(enum chain_channel channel, bool long_code);

/* ", sum-product 50 max-log". */
void ldpc_describe(const struct simulation_choice *choice, struct text *out);

/* A chain with the decoder, demapper and channel that were chosen; its code is still to be set. */
struct chain_setup ldpc_setup(const struct simulation_choice *choice);

/* Counts the code words of one chain. */
enum status ldpc_run(const struct chain_setup *setup, double snr_db,
                     const struct run_limits *limits, struct run_watch *watch,
                     struct run_counts *counts);

/* How cells meet the carriers, a sentence or two. */
#define LDPC_RAYS                                                                           \
    "Each carrier has an SNR of its own. Self-interference, from echoes outside the guard " \
    "interval and from Doppler, counts as noise."

/* Members of the rows of all OFDM systems, and of all that count code words of LDPC codes. */
#define OFDM_SIMULATION                                                                        \
    .channels = {[CHANNEL_AWGN] = true, [CHANNEL_RAYLEIGH] = true, [CHANNEL_CARRIERS] = true}, \
    .only = "", .note = "Self-interference and Doppler count as noise.",                       \
    .expected_in = ofdm_expected_in,                                                           \
    .needed = {[CHANNEL_AWGN] = "ideal_snr_db",                                                \
               [CHANNEL_RAYLEIGH] = "ideal_rayleigh_snr_db",                                   \
               [CHANNEL_CARRIERS] = "ideal_snr_db"}
#define LDPC_SIMULATION                                                                    \
    OFDM_SIMULATION,                                                                       \
        .count = {"code words", "frame", "code word", 1, 10000}, .snr = "SNR",             \
        .error_rate = THRESHOLD_FRAME_ERROR_RATE,                                          \
        .efforts = {{20, 10}, {200, 30}, {2000, 100}, {20000, 100}, {200000, 100}},        \
        .figures = {"snr_db",   "frames", "frame_errors", "bit_errors", "fer",  "fer_low", \
                    "fer_high", "ber",    "iterations",   NULL,         "bits", "planned", \
                    "run",      "seed",   "part",         NULL}

/* The SNR at which an ideal receiver is expected to decode in it. */
enum status ofdm_expected_in(const struct simulation_case *asked, double *snr_db);

/* SNR by carrier over the mean SNR. The owner frees `gains`. */
enum status ofdm_carrier_gains(const struct simulation_case *asked, double snr_db, float **gains,
                               int *count);

#endif
