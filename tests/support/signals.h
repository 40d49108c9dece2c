#ifndef SUPPORT_SIGNALS_H
#define SUPPORT_SIGNALS_H

#include "physics/channel.h"
#include "physics/ofdm/echo.h"
#include "physics/vsb/echo.h"
#include "standard/atsc3/transmission.h"

/* Signals and channels as tests name them. */

/* What a receiver makes of a transmission, without a time interleaver. */
struct ofdm_reception reception_of(const struct transmission *transmission);
double receiver_need_db(const struct transmission *transmission);
double ideal_need_db(const struct transmission *transmission);

/* The main signal and these echoes, phases at the channel's centre as given. */
struct channel channel_of(const struct echo *echoes, int count);

/* The same where the phases given are those at 8-VSB's pilot. */
struct channel channel_at_pilot(const struct echo *echoes, int count);

/* A question to physics/ofdm: reception, channel and SNR together. */
struct asked {
    struct ofdm_reception reception;
    struct channel channel;
    double snr_db;
};
struct asked asked_for(const struct transmission *transmission, const struct echo *echoes,
                       int count, double snr_db);
enum status asked_solve(const struct asked *asked, struct ofdm_echo_result *result);

/* physics/vsb of echoes whose phases are those at the pilot. */
enum status vsb_solve_echoes(const struct echo *echoes, int count, double snr_db,
                             const struct first_receiver *receiver, struct vsb_echo_result *result);

#endif
