#ifndef COMMAND_HELP_H
#define COMMAND_HELP_H

#include "command/command.h"

/* Appends what --help says of a command, or of the whole program for NULL. */
void help_write(const struct command *command, struct text *out);

#endif
