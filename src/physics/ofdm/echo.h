#ifndef PHYSICS_OFDM_ECHO_H
#define PHYSICS_OFDM_ECHO_H

#include <stddef.h>

#include "base/status.h"
#include "physics/ofdm/gain_spread.h"
#include "physics/ofdm/window.h"

/* How the second generation fares with echoes: from echoes and input SNR to effective SNR, each
 * loss on its own line, and what the mode needs.
 *
 *   input_snr_db - fading_loss_db - self_loss_db - motion_loss_db = effective_snr_db
 *
 * The effective SNR is that of the steady channel in which the mode's cells carry the same mean
 * information; it is to be held against the mode's SNR in AWGN. */

/* What a receiver makes of a waveform and a code, whatever the channel. */
struct ofdm_reception {
    struct ofdm_grid grid;
    struct information_curve curve; /* of the constellation */
    double ideal_db;                /* AWGN threshold of the code with a perfect receiver */
    double needed_db;               /* AWGN threshold of the receiver in question */
    double span_ms;    /* over which the time interleaver spreads a cell's neighbours; 0: none */
    int carriers_most; /* 0: all carriers; else an even choice of at most so many: faster, coarser
                        */
};

struct ofdm_echo_result {
    double input_snr_db;
    double received_power; /* mean power of all rays over the main signal's, in band */
    struct ofdm_window window;
    struct ofdm_rays rays;

    double fading_loss_db; /* noise alone: unequal carriers, and power that is not useful */
    double self_loss_db;   /* interference by rays beyond guard interval, reach or tracking */
    double motion_loss_db; /* interference between carriers by motion within a symbol */
    double effective_snr_db;

    double self_interference_db; /* over the useful power; -INFINITY: none */
    double motion_interference_db;
    bool inside_guard; /* every ray within the guard interval and the reach */

    double ideal_margin_db;       /* effective_snr_db - ideal_db */
    double margin_db;             /* effective_snr_db - needed_db */
    double ideal_required_cn_db;  /* total received power over noise at which the margin is 0; */
    double required_cn_db;        /* INFINITY: interference alone forbids it */
    double mean_information_bits; /* a cell */
};

/* `snr_db`: total received power over noise power, -30 to 100. Phases that are any count as they
 * stand. STATUS_OUT_OF_RANGE for a bad channel (channel_check) or SNR, STATUS_NO_SOLUTION where the
 * rays cancel each other over the whole channel, STATUS_NO_MEMORY. The receiver interpolates in
 * time or not, and places window and reach, as serves it best. */
enum status ofdm_echo_solve(const struct ofdm_reception *reception, const struct channel *channel,
                            double snr_db, struct ofdm_echo_result *result);

/* For who asks about many codes in one channel: places the window as ofdm_echo_solve does, fills
 * `spread` with the gains of the carriers, and `disturbance` with noise and interference over the
 * main signal's power. Of the result only input, received power, rays and window are filled. A
 * code's effective SNR is gain_spread_effective_db at -10 log10(disturbance). */
enum status ofdm_echo_spread(const struct ofdm_reception *reception, const struct channel *channel,
                             double snr_db, struct ofdm_echo_result *result,
                             struct gain_spread *spread, double *disturbance);

/* SNR of every `step`th carrier, lowest frequency first, with the result's window at the middle of
 * the span: fills at most `most` and returns how many. */
int ofdm_echo_carriers(const struct ofdm_grid *grid, const struct ofdm_echo_result *result,
                       int step, double *snr_db, int most);

/* Mean power of the rays over the main signal's in the occupied band: rays that stand still against
 * each other add with their phases, others as powers. */
double ofdm_received_power(const struct ofdm_grid *grid, const struct ofdm_rays *rays,
                           double span_ms);

#endif
