#ifndef PRESENT_PICTURE_PROOF_H
#define PRESENT_PICTURE_PROOF_H

#include "present/picture/picture.h"
#include "study/proof/sweep.h"

/* Simulated error rates against SNR with their 95 % intervals; where nothing was wrong yet, the
 * upper end of the interval. Marked: the limit, what is expected (the ideal SNR of the table, or
 * the prediction with echoes), and what others have published. */

/* False when memory runs out; the picture is then empty. The caller frees it. */
bool picture_proof_make(const struct scenario *scenario, const struct proof_sweep *sweep,
                        struct picture *out);

#endif
