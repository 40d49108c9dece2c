#ifndef EXPLORER_DIVIDE_EDIT_H
#define EXPLORER_DIVIDE_EDIT_H

#include "scenario/section.h"
#include "study/divide/divide.h"

/* Adding and removing services, and taking a division over, without a screen. */

/* To begin with: phones on the move, small antennas in rooms, roofs with what these leave. */
void divide_add_first(struct scenario *scenario);

/* A service like this one; its place, -1: no room for more. */
int divide_add(struct scenario *scenario, int like);

void divide_remove(struct scenario *scenario, int service);

/* The division's subframes and PLPs in place of those of the scenario. */
void divide_take(struct scenario *scenario, const struct division *division);

#endif
