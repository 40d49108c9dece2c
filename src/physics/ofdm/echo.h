#ifndef PHYSICS_OFDM_ECHO_H
#define PHYSICS_OFDM_ECHO_H

#include <stddef.h>

#include "base/status.h"
#include "physics/ofdm/gain_spread.h"
#include "physics/ofdm/window.h"

/* How OFDM fares with echoes and motion: from rays and input SNR to effective SNR, each loss on its
 * own line, and what the mode needs.
 *
 *   input_snr_db - fading_loss_db - self_loss_db - motion_loss_db - estimation_loss_db
 *       = effective_snr_db
 *
 * The effective SNR is that of the steady channel in which the mode's cells carry the same mean
 * information (gain_spread.h); it is to be held against the mode's SNR in AWGN. */

/* What a receiver makes of a waveform and a code, whatever the channel. */
struct ofdm_reception {
    struct ofdm_grid grid;
    struct information_curve curve; /* of the constellation */
    double ideal_db;                /* AWGN threshold of the code with a perfect receiver */
    double needed_db;               /* AWGN threshold of the receiver in question */
    double span_ms; /* over which the time interleaver spreads a cell's neighbours; 0: none */
    struct ofdm_part part; /* of the carriers, on which its cells lie; both 0: all */
    int carriers_most; /* 0: all carriers; else an even choice of at most so many: faster, coarser
                        */
};

struct ofdm_echo_result {
    double input_snr_db;
    double received_power; /* mean power of all rays over the main signal's, in band */
    struct ofdm_window window;
    struct ofdm_rays rays;

    double fading_loss_db;     /* noise alone: unequal carriers, and power that is not useful */
    double self_loss_db;       /* interference by rays beyond guard interval, reach or tracking */
    double motion_loss_db;     /* interference between carriers by motion within a symbol */
    double estimation_loss_db; /* errors of the channel estimate by motion between pilots and by
                                  rays beyond the reach */
    double effective_snr_db;

    double
        self_interference_db; /* over the useful power, means over the carriers; -INFINITY: none */
    bool inside_guard;        /* every ray within the guard interval and the reach */

    double ideal_margin_db;       /* effective_snr_db - ideal_db */
    double margin_db;             /* effective_snr_db - needed_db */
    double ideal_required_cn_db;  /* total received power over noise at which the margin is 0; */
    double required_cn_db;        /* INFINITY: interference alone forbids it */
    double mean_information_bits; /* a cell */
};

/* Carriers enough to put many positions in order by. */
#define OFDM_QUICK_CARRIERS 1536

/* Room to work in, for any number of calls of one thread at a time. What a call need not make anew
 * for the next position of the same channel stays in it. NULL: no memory. */
struct ofdm_work;
struct ofdm_work *ofdm_work_new(void);
void ofdm_work_free(struct ofdm_work *work);

/* `snr_db`: total received power over noise power, -30 to 100. Phases that are any count as they
 * stand. STATUS_OUT_OF_RANGE for a bad channel (channel_check) or SNR, STATUS_NO_SOLUTION where the
 * rays cancel each other over the whole channel, STATUS_NO_MEMORY. The receiver interpolates in
 * time or not, and places window and reach, as serves it best. */
enum status ofdm_echo_solve(const struct ofdm_reception *reception, const struct channel *channel,
                            double snr_db, struct ofdm_work *work, struct ofdm_echo_result *result);

/* The margin alone, the same number in a fraction of the time: for many positions. */
enum status ofdm_echo_margin_db(const struct ofdm_reception *reception,
                                const struct channel *channel, double snr_db,
                                struct ofdm_work *work, double *margin_db);

/* For who asks about many codes in one channel: the SNRs of the carriers as every code finds them,
 * for the window is chosen by what the carriers could carry, not by the code. Of the reception only
 * grid, span_ms and carriers_most count. A code's effective SNR is gain_spread_effective_db; held
 * against needed_db it is the margin that ofdm_echo_solve gives. */
enum status ofdm_echo_spread(const struct ofdm_reception *reception, const struct channel *channel,
                             double snr_db, struct ofdm_work *work, struct gain_spread *spread);

/* Of a channel at rest, all that phases, code and SNR leave as it is: where two grids have the same
 * traits, whatever is asked of them has the same answer. How many there are; 0: more than `most`,
 * or no memory. */
size_t ofdm_echo_traits(const struct ofdm_grid *grid, const struct channel *channel,
                        struct ofdm_work *work, double *traits, size_t most);

/* SNR of every `step`th carrier, lowest frequency first, with the result's window, `at_ms` into the
 * span: fills at most `most` and returns how many. */
int ofdm_echo_carriers(const struct ofdm_grid *grid, const struct ofdm_echo_result *result,
                       double at_ms, int step, double *snr_db, int most);

#endif
