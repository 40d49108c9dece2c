#ifndef SYSTEM_ATSC3_H
#define SYSTEM_ATSC3_H

#include "standard/atsc3/frame.h"
#include "system/system.h"

/* What weighing takes apart: facts of a transmission that follow from its structure, made once for
 * many codes, and those that follow from a code, made once for many structures. */

/* Fills all of it but what atsc3_describe_code fills, required SNR, Doppler, speed and field. */
void atsc3_describe_structure(const struct transmission *transmission, const struct frame *frame,
                              const struct cell_counts *counts, struct facts *facts);

/* Length, rate, constellation and what the pair needs of an ideal receiver. */
void atsc3_describe_code(const struct code *code, struct facts *facts);

#endif
