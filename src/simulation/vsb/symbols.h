#ifndef SIMULATION_VSB_SYMBOLS_H
#define SIMULATION_VSB_SYMBOLS_H

#include <stdbool.h>
#include <stdint.h>

#include "base/status.h"
#include "physics/vsb/equaliser.h"

/* Symbol by symbol: eight-level symbols through the real channel of 8-VSB, echoes turning with
 * their Doppler, white noise, and a decision-feedback equaliser that keeps its designed taps or
 * learns by the least-mean-square rule of physics/vsb/adaptation.h. No pilot, no code. */

#define VSB_SYMBOLS_MOST 20000000L

struct vsb_symbols_run {
    const struct echo *echoes; /* relative to the main signal; NULL with count 0 */
    int echo_count;
    double snr_db; /* received power of all rays over noise power */
    struct vsb_equaliser_spans spans;
    double step;  /* normalised step; 0: the taps designed for the echoes as they start */
    bool decided; /* learn from and feed back own decisions, errors included; else the symbols that
                     were sent */
    long settle;  /* symbols before counting starts, >= 0 */
    long symbols; /* symbols counted, >= 1; settle + symbols <= VSB_SYMBOLS_MOST */
    uint64_t seed;
};

struct vsb_symbols_result {
    long symbols;
    long errors;              /* wrong decisions among them */
    double snr_db;            /* unbiased: from the correlation of output and symbols */
    double mean_square_error; /* of the output against the symbols, over the symbols' power */
};

/* STATUS_OUT_OF_RANGE for bad echoes or counts, STATUS_NO_MEMORY, STATUS_NO_SOLUTION where the
 * design fails or the taps diverge. The same run gives the same result on every machine of the same
 * rounding. */
enum status vsb_symbols_simulate(const struct vsb_symbols_run *run,
                                 struct vsb_symbols_result *result);

#endif
