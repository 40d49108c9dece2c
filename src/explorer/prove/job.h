#ifndef EXPLORER_PROVE_JOB_H
#define EXPLORER_PROVE_JOB_H

#include "explorer/prove/state.h"

/* The job: begun; looked at; collected after it has ended; asked to stop; stopped, waited for and
 * collected. What was counted stays in the state's sweep. */
void prove_begin(struct desk *desk, struct prove_state *state);
void prove_look(struct prove_state *state);
void prove_end(struct prove_state *state);
void prove_ask_stop(struct prove_state *state);
void prove_stop(struct prove_state *state);

#endif
