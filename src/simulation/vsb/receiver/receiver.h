#ifndef SIMULATION_VSB_RECEIVER_RECEIVER_H
#define SIMULATION_VSB_RECEIVER_RECEIVER_H

#include <stdint.h>

#include "base/random.h"
#include "base/status.h"
#include "physics/channel.h"
#include "physics/receiver.h"
#include "physics/vsb/equaliser.h"

/* A whole 8-VSB receiver behind a channel of rays at the radio frequency: what its decoder sees of
 * the symbols that were sent. The reference for carrier and instant is the main signal or, where an
 * echo is stronger and that serves better, the strongest ray; both are followed perfectly. */

struct vsb_receiver_setup {
    struct channel channel; /* rays whose phase is any get one at each unit, drawn by its number;
                               with known phases units follow each other in time */
    double snr_db;          /* received power, pilot and all rays, over the noise power in half the
                               symbol rate, as it is on an average over the unit */
    struct vsb_equaliser_spans spans;
    enum vsb_feedback feedback;
    double step;         /* normalised LMS step; 0: taps of least mean square error, ideally kept */
    double tracking_hz;  /* of those: rays that turn faster are left to be noise */
    int settling_fields; /* before a unit counts whose taps follow turning rays by decisions that
                            can be wrong; 0: as many as the trellis decoder's need */
    const struct vsb_equaliser *behind; /* not NULL: symbols alone, behind a receiver whose taps
                                           these are and stand. White noise leaves their
                                           trusting_snr, whatever snr_db and rays are; `spans` are
                                           theirs with neither earlier nor later samples, `step` 0,
                                           feedback not the slicer's. Nothing is measured */
};

/* What can be told of a unit from the symbols that were really sent. */
struct vsb_receiver_measure {
    double snr;      /* unbiased, of the data alone: a ratio */
    double wrong;    /* mean square error of decisions as they were made, over the data's power */
    double taps_snr; /* what the taps were designed to leave, of the data alone */
    double taps_energy; /* sum of the squared feedback taps of the design */
};

struct vsb_receiver;

/* STATUS_OUT_OF_RANGE for bad rays or numbers, STATUS_NO_SOLUTION where rays cancel each other. */
enum status vsb_receiver_check(const struct vsb_receiver_setup *setup);

/* Segments to send before those that count: until taps that learn have settled. */
long vsb_receiver_lead_segments(const struct vsb_receiver_setup *setup);

/* For units of `symbols` symbols from a field's first on; `setup` must outlive it. NULL: no memory.
 * The owner calls vsb_receiver_free. */
struct vsb_receiver *vsb_receiver_create(const struct vsb_receiver_setup *setup, long symbols);
void vsb_receiver_free(struct vsb_receiver *receiver);

/* sent[], in levels, and what the decoder sees of each, output[]. Measured from symbol `settled`
 * on; `measure` may be NULL. STATUS_NO_MEMORY, STATUS_NO_SOLUTION where rays cancel. */
enum status vsb_receiver_run(struct vsb_receiver *receiver, uint64_t unit, struct random *random,
                             const float *sent, float *output, long settled,
                             struct vsb_receiver_measure *measure);

#endif
