#ifndef SUPPORT_LONGWAY_H
#define SUPPORT_LONGWAY_H

#include "study/place/place.h"

/* What the studies answer for many at once, asked one by one. */

/* The second generation's facts with another transmission on the scenario's channel. */
enum status facts_with(const struct scenario *scenario, const struct transmission *transmission,
                       struct facts *facts, struct fault *fault);

/* The margin at another distance, of the position where the station's account stands; NAN where
 * the method does not reach. */
double margin_at_db(const struct scenario *scenario, const struct place_station *station,
                    double distance_km);

#endif
