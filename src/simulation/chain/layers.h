#ifndef SIMULATION_CHAIN_LAYERS_H
#define SIMULATION_CHAIN_LAYERS_H

#include "simulation/chain/chain.h"
#include "simulation/run.h"

/* Two layers sent one upon the other and received: the core is demapped and decoded; for the
 * enhanced layer it is then encoded again and taken away, and what is left is decoded. */

/* What the core's demapper takes the enhanced layer for. */
enum other_layer {
    OTHER_IS_NOISE, /* Gaussian, of its power */
    OTHER_IS_KNOWN, /* its constellation */
    OTHER_LAYER_COUNT
};

struct layers_setup {
    /* Codes of both; channel, decoder and demapper are the core's for both. */
    struct chain_setup core, enhanced;
    double injection_db; /* the enhanced layer lies so far below */
    enum other_layer other;
    bool enhanced_counts; /* else the core's words are what is counted */
};

/* Read-only after creation. As chain_create otherwise; the owner calls layers_free. */
struct layers;
enum status layers_create(const struct layers_setup *setup, struct layers **layers);
void layers_free(struct layers *layers);

/* A run at one SNR, of the whole signal: both layers over noise. A unit is the least number of
 * cells that whole code words of both fill. */
struct layers_point {
    const struct layers *layers;
    double snr_db;
};

/* `point` must outlive the job. */
struct run_job layers_run_job(const struct layers_point *point);

#endif
