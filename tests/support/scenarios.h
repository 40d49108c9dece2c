#ifndef SUPPORT_SCENARIOS_H
#define SUPPORT_SCENARIOS_H

#include "scenario/scenario.h"

/* A station and an echo of which nothing is said yet. */
struct station station_unset(const char *name);
struct echo echo_unset(void);

#endif
