#ifndef COMMAND_COMMAND_H
#define COMMAND_COMMAND_H

#include <stdio.h>

#include "base/text.h"
#include "present/table/format.h"
#include "profile/profile.h"

/* The command line: a table of commands, each with its options, run on already read input. A new
 * command is a file NAME.c and a row in commands.c. */

enum exit_status { EXIT_DONE = 0, EXIT_FAILED = 1, EXIT_USAGE = 2 };

struct option_row {
    const char *name;  /* "--echo-at-least" */
    const char *value; /* what follows it, for help: "TIME|LENGTH"; NULL: nothing. "FILE...":
                        * operands behind it are further values of it */
    const char *help;
};

struct option_given {
    const struct option_row *row;
    const char *value; /* NULL for a switch */
};

#define OPERANDS_MAX 64
#define OPTIONS_MAX 1024

struct invocation {
    const struct command *command;
    FILE *out, *err;
    enum format format;
    struct profile profile;   /* read, with --set applied, checked; the owner is the command line */
    const char *profile_path; /* NULL: defaults */
    int set_count;            /* how often --set was given */
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
    int operands_most; /* operands that are not the profile, at most */
    /* For completion (complete.h): what this option takes, where its row does not say that, or,
     * where `option` is NULL, what the first operand may be; NULL: nothing. */
    void (*offer)(const char *option, struct text *offers);
    void (*list)(
        struct text *out); /* for help, above the notes: what an operand may be; NULL: none */
    const char *notes;     /* a paragraph for help: what a figure means, an example; NULL: none */
    enum exit_status (*run)(struct invocation *invocation); /* NULL: a front end of its own */
};

/* Reads the arguments (argv[0] is the program), runs the command, returns the exit status.
 * On any error nothing has been written to `out`. */
enum exit_status command_line_run(int argc, char **argv, FILE *out, FILE *err);

/* The two halves of command_line_run for a program with more front ends: opening reads the
 * arguments and the profile; `command` is NULL when help or the version was asked for and has been
 * written. invocation_close frees what opening made, also after a failure. */
enum exit_status command_line_open(int argc, char **argv, FILE *out, FILE *err,
                                   struct invocation *invocation);
enum exit_status invocation_run(struct invocation *invocation);
void invocation_close(struct invocation *invocation);

/* The value of the last option of that name; NULL when it was not given. */
const char *invocation_option(const struct invocation *invocation, const char *name);

/* Prints "guardspan: FILE: PLACE: wrong (allowed)" and returns EXIT_USAGE or, for read and write
 * faults, lack of memory, and what was stopped or has no solution, EXIT_FAILED. */
enum exit_status invocation_fault(const struct invocation *invocation, const struct fault *fault);

/* The same about another file (NULL: none) than the profile. */
enum exit_status invocation_fault_in(const struct invocation *invocation, const char *file,
                                     const struct fault *fault);

/* A fault of a command's own option: "guardspan: --top: wrong (allowed)"; EXIT_USAGE. */
enum exit_status invocation_refuse(const struct invocation *invocation, const char *option,
                                   const char *allowed, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* Writes a finished text and flushes; EXIT_FAILED with a message when that fails (full disk). */
enum exit_status invocation_write(const struct invocation *invocation, const struct text *text);

/* How a command ends: writes the text where `status` is STATUS_OK, else says what `fault` or, where
 * that says nothing, the status says, about `file` (NULL: none). Frees the text. */
enum exit_status invocation_finish(const struct invocation *invocation, const char *file,
                                   enum status status, struct fault *fault, struct text *text);

#endif
