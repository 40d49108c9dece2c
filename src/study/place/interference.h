#ifndef STUDY_PLACE_INTERFERENCE_H
#define STUDY_PLACE_INTERFERENCE_H

#include "study/place/link.h"

/* What the other stations of a scenario do to a signal at the receiver's input. Each counts, but
 * the signal's own station and those of its network; third-order products of pairs of them as well.
 */

/* Fills `link->interferers`: who disturbs, at which level. The link's level is known. */
void interference_find(const struct scenario *scenario, struct link *link);

/* All of it as noise on the channel, where the wanted signal has this level; -INFINITY: none. Tells
 * each one's part too. */
double interference_sum_dbm(struct link *link, double desired_dbm);

#endif
