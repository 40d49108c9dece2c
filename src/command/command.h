#ifndef COMMAND_COMMAND_H
#define COMMAND_COMMAND_H

#include <stdio.h>

#include "present/format.h"
#include "profile/profile.h"

/* The command line: a table of commands, each with its options, run on already read input. A new
 * command is a file command_NAME.c and a row in commands.c. */

enum exit_status { EXIT_DONE = 0, EXIT_FAILED = 1, EXIT_USAGE = 2 };

struct option_row {
    const char *name;  /* "--echo-at-least" */
    const char *value; /* what follows it, for help: "TIME|LENGTH"; NULL: nothing */
    const char *help;
};

struct option_given {
    const struct option_row *row;
    const char *value; /* NULL for a switch */
};

#define OPERANDS_MAX 64
#define OPTIONS_MAX 64

struct invocation {
    const struct command *command;
    FILE *out, *err;
    enum format format;
    struct profile profile;   /* read, with --set applied, checked; the owner is the command line */
    const char *profile_path; /* NULL: defaults */
    int operand_count;        /* operands that are not the profile */
    const char *operands[OPERANDS_MAX];
    int option_count; /* options of the command's own, in the order given */
    struct option_given options[OPTIONS_MAX];
};

struct command {
    const char *name;
    const char *operands; /* for help: "[PROFILE]" */
    const char *summary;
    const struct option_row *options; /* ends with a row of NULLs; NULL: none */
    int operands_before_profile;      /* draw KIND [PROFILE]: 1 */
    int takes_profile;
    enum exit_status (*run)(struct invocation *invocation);
};

/* Reads the arguments (argv[0] is the program), runs the command, returns the exit status.
 * On any error nothing has been written to `out`. */
enum exit_status command_line_run(int argc, char **argv, FILE *out, FILE *err);

/* The value of the last option of that name; NULL when it was not given. */
const char *invocation_option(const struct invocation *invocation, const char *name);

/* Prints "guardspan: FILE: PLACE: wrong (allowed)" and returns EXIT_USAGE or, for read and write
 * faults and lack of memory, EXIT_FAILED. */
enum exit_status invocation_fault(const struct invocation *invocation, const struct fault *fault);

/* Writes a finished text and flushes; EXIT_FAILED with a message when that fails (full disk). */
enum exit_status invocation_write(const struct invocation *invocation, const struct text *text);

#endif
