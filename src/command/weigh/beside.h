#ifndef COMMAND_WEIGH_BESIDE_H
#define COMMAND_WEIGH_BESIDE_H

#include "command/command.h"

/* Compares the profile's mode with those of the profiles given. */
enum exit_status weigh_beside(struct invocation *invocation);

#endif
