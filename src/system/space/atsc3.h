#ifndef SYSTEM_SPACE_ATSC3_H
#define SYSTEM_SPACE_ATSC3_H

#include "standard/atsc3/code.h"
#include "standard/atsc3/waveform.h"
#include "system/space/space.h"

/* Parts of modes of A/322 as its standard has them, for who builds subframes and layers of them:
 * the choices are put, all else is left alone. */
void atsc3_space_waveform(const struct space_geometry *geometry, struct waveform *waveform);
void atsc3_space_code(const struct space_code *code, struct code *chosen);

#endif
