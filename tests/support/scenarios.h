#ifndef SUPPORT_SCENARIOS_H
#define SUPPORT_SCENARIOS_H

#include "scenario/scenario.h"

/* A station and an echo of which nothing is said yet. */
struct station station_unset(const char *name);
struct echo echo_unset(void);

/* The number behind a value's name: 3 for "mode.fft" and "32K". The test fails where it has none.
 */
int choice_named(const char *key, const char *name);

/* Sets a key that must take; the test fails with what is wrong. */
void scenario_say(struct scenario *scenario, const char *key, const char *value);

#endif
