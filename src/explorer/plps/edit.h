#ifndef EXPLORER_PLPS_EDIT_H
#define EXPLORER_PLPS_EDIT_H

#include "scenario/section.h"

/* Adding and removing subframes and PLPs, without a screen. The first one added makes a section of
 * what [mode] said, and stands beside it. What is added has what the one beside it leaves; where
 * that said that it has all, half of it. */

/* A PLP like this one, in its subframe and layer. Its place in the list; -1: no room for more. */
int plps_add(struct scenario *scenario, int like);

/* Of systems that have them: a subframe like this one, with a PLP like its first. */
int plps_add_subframe(struct scenario *scenario, int like);

/* A subframe's first PLP. */
int plps_first_in(const struct transmission *transmission, int subframe);

/* Layers over a core that goes lie over another one, or become cores. */
void plps_remove(struct scenario *scenario, int plp);

/* With its PLPs; the last one leaves its own to [mode]'s subframe. */
void plps_remove_subframe(struct scenario *scenario, int subframe);

#endif
