#ifndef EXPLORER_FIND_H
#define EXPLORER_FIND_H

#include "explorer/explorer.h"

/* `/`: a list of all that has a name (views, settings, figures, echoes, stations, PLPs, modes),
 * narrowed by what is typed; what is taken of it is selected in its view. */

void find_ask(struct explorer *explorer);

#endif
