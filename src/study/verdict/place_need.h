#ifndef STUDY_VERDICT_PLACE_NEED_H
#define STUDY_VERDICT_PLACE_NEED_H

#include "scenario/scenario.h"

/* The SNR (total received power over noise) that a station's signal needs under the profile's
 * echoes; `plain_db` without any. INFINITY where no SNR suffices. */
enum status place_need_db(const struct scenario *scenario, const struct station *station,
                          double plain_db, double *needed_db, struct fault *fault);

#endif
