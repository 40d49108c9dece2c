#ifndef STUDY_PLACE_NETWORK_H
#define STUDY_PLACE_NETWORK_H

#include "physics/channel.h"
#include "study/place/link.h"

/* Transmitters of one single-frequency network: stations of one generation that share network and
 * channel. At a place each is a ray of the others: later by the longer way and its static delay,
 * stronger or weaker by its level at the receiver's input. */

/* True for two different stations of one network. */
bool network_joins(const struct station *one, const struct station *other);

/* Adds the network's other transmitters as echoes of its main one, phases any. */
void network_add_rays(const struct scenario *scenario, const struct station *station,
                      struct channel *channel);

/* The transmitter of ray `i` of those that were added; NULL: there are not so many. */
const struct station *network_ray(const struct scenario *scenario, const struct station *station,
                                  int i);

/* Levels of the others at the input, into the link. */
void network_find(const struct scenario *scenario, struct link *link);

#endif
