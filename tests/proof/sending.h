/* One instant of 8-VSB sent again and again, with noise and data of its own each time, for outage.c
 * and motion.c. */
#ifndef TESTS_PROOF_SENDING_H
#define TESTS_PROOF_SENDING_H

#include <stdint.h>

#include "simulation/vsb/chain.h"
#include "simulation/vsb/receiver/frame.h"

struct sent {
    int wrong, segments;
};

/* Up to so many fields, and none more once more segments than `wrong_most` are wrong. */
static inline enum status send_fields(const struct vsb_receiver_setup *setup, uint64_t seed,
                                      int fields, int wrong_most, struct sent *sent)
{
    struct vsb_worker *worker = vsb_worker_create(setup);
    enum status status = worker != NULL ? STATUS_OK : STATUS_NO_MEMORY;
    *sent = (struct sent){0, 0};
    for (int field = 0; field < fields && sent->wrong <= wrong_most && status == STATUS_OK;
         field++) {
        struct vsb_outcome outcome = vsb_send(worker, setup->snr_db, seed + (uint64_t)field, 0);
        status = outcome.status;
        sent->wrong += outcome.segment_errors;
        sent->segments += VSB_UNIT_SEGMENTS;
    }
    vsb_worker_free(worker);
    return status;
}

/* How long the receiver listens before what counts begins. */
static inline double lead_seconds(const struct vsb_receiver_setup *setup)
{
    long segments = vsb_air_segments(vsb_receiver_lead_segments(setup));
    return (double)(segments * VSB_SEGMENT_SYMBOLS) / vsb_symbol_rate_hz();
}

#endif
