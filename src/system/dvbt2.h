#ifndef SYSTEM_DVBT2_H
#define SYSTEM_DVBT2_H

#include "standard/dvbt2/frame.h"
#include "standard/ofdm_grid.h"
#include "system/facts.h"

/* What weighing takes apart: facts that follow from a frame, made once for many codes, and from a
 * code, made once for many frames. */

/* The waveform, its cells and the frame's length; all else unknown. */
void dvbt2_describe_frame(const struct dvbt2 *mode, const struct t2_frame *frame,
                          const struct ofdm_grid *grid, struct facts *facts);

/* A PLP's part of the frame, and what it carries. */
void dvbt2_describe_slot(const struct t2_plp *plp, const struct t2_frame *frame,
                         const struct t2_slot *slot, struct facts *facts);

/* Length, rate, constellation, rotation and what they need of an ideal receiver. */
void dvbt2_describe_code(const struct t2_code *code, struct facts *facts);

#endif
