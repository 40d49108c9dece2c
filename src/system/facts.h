#ifndef SYSTEM_FACTS_H
#define SYSTEM_FACTS_H

#include <stddef.h>

#include "base/text.h"

/* What can be said of any system in words and numbers: the sum of what all of them have. A system
 * fills what it has and names what it shows (struct system); a word that does not apply is NULL, a
 * number NAN. study/report has a row for each. */

/* What a transmission is made of, carries and withstands, whatever the place. */
struct facts {
    /* Words. */
    const char *fft, *guard, *pilots, *rate, *constellation;
    const char *hierarchy, *priority; /* of two streams in one constellation, the one received */
    const char *ideal_source;         /* how the ideal SNR was found */
    const char *layer;                /* where its data are carried */
    const char *interleaver;          /* in time */
    char plp[NAME_MAX_BYTES], subframe[NAME_MAX_BYTES];
    /* Numbers, from here to the end. */
    double boost, reduction, length;
    double extended, rotation, high_efficiency; /* 0 or 1 */
    double useful_us, guard_us, symbol_us, spacing_hz, carriers, occupied_mhz;
    double data_cells, boundary_cells, preamble_symbols, data_symbols, cells_per_frame;
    double frame_ms; /* the reached length */
    double plp_mbps, net_mbps;
    double plp_share, plp_cells, injection_db, interleaver_ms;
    double pool_cells,
        pool_ms; /* of the subframe, or the frame, whose cells its PLP has a part of */
    double latency_ms, start_up_ms; /* of time interleaving: to the receiver, and at worst */
    double memory_cells, memory_most_cells; /* that it keeps, and may */
    double echo_before_us, echo_after_us;   /* as far as its receiver knows what to do with them */
    double echo_km;
    double reach_us; /* of channel estimation with time interpolation */
    double doppler_pilot_hz, doppler_ici_hz, doppler_hz, speed_kmh;
    double limit_snr_db, ideal_snr_db, ideal_rayleigh_snr_db;
    double ideal_exact_snr_db; /* to who knows the other layer's constellation */
    double required_snr_db;    /* of a real receiver, at its input, in white noise */
    double implementation_loss_db;
    double field_dbuvm; /* outdoors, with the planning factors of the band, at its median place */
};

/* How it fared in one channel, by the system's own measures; numbers only. */
struct fare_facts {
    double echo_loss_db, decision_loss_db, adaptation_loss_db, lag_loss_db;
    double infinite_snr_db, linear_snr_db; /* what equalisers of infinite length would leave */
    double outside_reach_db;               /* power that the equaliser cannot reach */
    double inside_guard;                   /* 0 or 1 */
    double self_interference_db;           /* over the useful power */
    double fading_loss_db, self_loss_db, motion_loss_db, estimation_loss_db;
    double ideal_margin_db, ideal_required_cn_db; /* if the receiver were ideal */
    double window_us, reach_from_us, reach_to_us;
    double time_interpolation; /* 0 or 1 */
    double fade_ms;            /* the longest complete fade that it survives */
    double meeting_db;   /* where transmitters meet: power over its mean at 99 % of the places */
    double miso_gain_db; /* by how much their own filters raise that */
};

struct facts facts_none(void);
struct fare_facts fare_facts_none(void);

/* The choices in a line: "16K GI5_1024 SP12_2, 64QAM 9/15"; nothing where nothing is chosen. */
void facts_words(const struct facts *facts, struct text *out);

#endif
