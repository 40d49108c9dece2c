#ifndef EXPLORER_OPENING_H
#define EXPLORER_OPENING_H

#include "explorer/explorer.h"

/* What to begin with, or go on with: unsaved work of an earlier run, the scenarios and lessons that
 * come with the program, a file of the user's. `owner` of the call is the explorer. */

/* An effect: looks for what there is, and offers it. */
void opening_offer(const struct call *call);

/* The same where the program was started with nothing to look at: the plain explorer first. */
void opening_start(struct explorer *explorer);

#endif
