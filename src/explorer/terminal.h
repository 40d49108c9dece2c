#ifndef EXPLORER_TERMINAL_H
#define EXPLORER_TERMINAL_H

#include "command/command.h"

/* The explorer on a terminal, until the user leaves. Takes the invocation's profile over. */
enum exit_status terminal_run(struct invocation *invocation);

#endif
