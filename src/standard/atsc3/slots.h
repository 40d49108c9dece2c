#ifndef STANDARD_ATSC3_SLOTS_H
#define STANDARD_ATSC3_SLOTS_H

#include "standard/atsc3/frame.h"

/* Lays the PLPs into their subframes' lists of cells, which `frame` has already; frame_build's last
 * step. */
enum status slots_build(const struct transmission *transmission, struct frame *frame,
                        struct fault *fault);

#endif
