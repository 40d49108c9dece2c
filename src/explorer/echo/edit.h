#ifndef EXPLORER_ECHO_EDIT_H
#define EXPLORER_ECHO_EDIT_H

#include "scenario/field.h"
#include "scenario/scenario.h"

/* Changes to a scenario's echoes, without a screen. Row ECHO_ROW_SNR is the measured SNR, which the
 * echo editor offers above the echoes; rows from 0 on are echoes. */

#define ECHO_ROW_SNR (-1)

/* The fields of an echo in the order of their table. */
enum echo_column { ECHO_DELAY, ECHO_LEVEL, ECHO_PHASE, ECHO_DOPPLER, ECHO_COLUMN_COUNT };

const struct field *echo_field(int row, enum echo_column column);
double echo_value(const struct scenario *scenario, int row, enum echo_column column);

/* Adds an echo under a name that none has: later than the others where both generations can take
 * that, and so weak that neither loses half its margin. False: no room. */
bool echo_edit_add(struct scenario *scenario);
void echo_edit_remove(struct scenario *scenario, int row);

/* Moves a value by the field's step. */
void echo_edit_step(struct scenario *scenario, int row, enum echo_column column, int direction,
                    bool coarse);

/* Takes a typed value. */
enum status echo_edit_set(struct scenario *scenario, int row, enum echo_column column,
                          const char *text, struct fault *fault);

#endif
