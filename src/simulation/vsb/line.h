#ifndef SIMULATION_VSB_LINE_H
#define SIMULATION_VSB_LINE_H

#include <stddef.h>

#include "base/random.h"
#include "base/status.h"
#include "physics/vsb/equaliser.h"

/* From the transmitter's symbols to the decoder's input: echoes at rest with the phases they have,
 * white noise, and the decision-feedback equaliser designed for them, its feedback free of errors.
 * Made once, then shared by threads. */

struct vsb_line_setup {
    const struct echo *echoes; /* relative to the main signal; their Doppler is left out */
    int count;
    double symbol_power; /* mean square of the symbols that will be sent */
    double snr_db;       /* total received power over noise power, pilot counted as signal */
    double pilot_power;  /* over and above symbol_power */
    struct vsb_equaliser_spans spans;
};

struct vsb_line;

/* STATUS_OUT_OF_RANGE for bad echoes, STATUS_NO_SOLUTION where they cancel the main signal,
 * STATUS_NO_MEMORY. The owner calls vsb_line_free. */
enum status vsb_line_create(const struct vsb_line_setup *setup, struct vsb_line **line);
void vsb_line_free(struct vsb_line *line);

/* The equaliser's unbiased output SNR, pilot counted as signal. */
double vsb_line_output_snr_db(const struct vsb_line *line);

/* Numbers of room that vsb_line_send needs for `count` symbols. */
size_t vsb_line_room(const struct vsb_line *line, long count);

/* Sends `count` symbols (nothing before and after them) and gives what the decoder sees of each:
 * the symbol plus noise and what interference remains. */
void vsb_line_send(const struct vsb_line *line, const double *sent, long count,
                   struct random *random, double *room, double *received);

#endif
