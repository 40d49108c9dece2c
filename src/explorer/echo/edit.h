#ifndef EXPLORER_ECHO_EDIT_H
#define EXPLORER_ECHO_EDIT_H

#include "profile/profile.h"

/* Changes to a scenario's echoes, without a screen. Row ECHO_ROW_SNR is the measured SNR, which the
 * echo editor offers above the echoes; rows from 0 on are echoes. */

#define ECHO_ROW_SNR (-1)

enum echo_field { ECHO_DELAY, ECHO_LEVEL, ECHO_PHASE, ECHO_DOPPLER, ECHO_FIELD_COUNT };

/* The profile's key of a field: range, unit, help. */
const struct key_row *echo_field_key(int row, enum echo_field field);
double echo_field_value(const struct scenario *scenario, int row, enum echo_field field);

/* Adds an echo later than the others, with a name that none of them has. False: no room. */
bool echo_edit_add(struct scenario *scenario);
void echo_edit_remove(struct scenario *scenario, int row);

/* Moves a value by a step that suits it, `coarse` by a larger one; stays in range. An unknown SNR
 * starts from the assumed one. */
void echo_edit_step(struct scenario *scenario, int row, enum echo_field field, int direction,
                    bool coarse);

/* Takes a typed value. */
enum status echo_edit_set(struct scenario *scenario, int row, enum echo_field field,
                          const char *text, struct fault *fault);

#endif
