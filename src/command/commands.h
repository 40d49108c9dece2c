#ifndef COMMAND_COMMANDS_H
#define COMMAND_COMMANDS_H

#include <stdbool.h>
#include <stddef.h>

#include "command/command.h"

/* Every command, in the order in which help lists them. A new one is declared here and has its row
 * in commands.c. */

extern const struct command command_explore;
extern const struct command command_report;
extern const struct command command_echo;
extern const struct command command_weigh;
extern const struct command command_divide;
extern const struct command command_read;
extern const struct command command_draw;
extern const struct command command_place;
extern const struct command command_facts;
extern const struct command command_simulate;

size_t command_count(void);
const struct command *command_row(size_t i);
const struct command *command_find(const char *name); /* NULL: none */

/* Options that every command has. */
extern const struct option_row common_options[];

/* The row of an argument, "--top" or "--top=3": the command's own or one that every command has;
 * NULL: none. */
const struct option_row *option_find(const struct command *command, const char *argument);
/* Before the command is known, any command's option tells whether a value follows: no two commands
 * differ in that. */
const struct option_row *option_find_anywhere(const char *argument);
/* Operands behind it are further values of it. */
bool option_takes_operands(const struct option_row *row);

#endif
