/* Fuzzing entry for the command line: each line of the input is an argument. Help,
 * completion and profiles are read, no command is run. Whatever happens: an exit status of
 * 0, 1 or 2, a message on standard error and nothing on standard output where it is not 0. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "command/commands.h"
#include "fuzz/fuzz.h"

#define ARGUMENTS_MAX 80

static void options_require(bool holds, const char *what)
{
    if (!holds) {
        fprintf(stderr, "fuzz_options: %s\n", what);
        abort();
    }
}

static int split(char *bytes, char **argv)
{
    static char program[] = "guardspan";
    int argc = 0;
    argv[argc++] = program;
    for (char *rest, *word = strtok_r(bytes, "\n", &rest); word && argc < ARGUMENTS_MAX;
         word = strtok_r(NULL, "\n", &rest)) {
        argv[argc++] = word;
    }
    argv[argc] = NULL;
    return argc;
}

int fuzz_options(const uint8_t *data, size_t size)
{
    char *bytes = malloc(size + 1), *argv[ARGUMENTS_MAX + 1], *written = NULL, *message = NULL;
    size_t written_length = 0, message_length = 0;
    FILE *out = open_memstream(&written, &written_length);
    FILE *err = open_memstream(&message, &message_length);
    if (!bytes || !out || !err) {
        abort();
    }
    memcpy(bytes, data, size);
    bytes[size] = '\0';
    struct invocation invocation;
    enum exit_status status = command_line_open(split(bytes, argv), argv, out, err, &invocation);
    invocation_close(&invocation);
    fclose(out);
    fclose(err);
    options_require(status == EXIT_DONE || status == EXIT_FAILED || status == EXIT_USAGE,
                    "exit status");
    options_require(status == EXIT_DONE || written_length == 0, "output in spite of a failure");
    options_require((status == EXIT_DONE) == (message_length == 0), "message and status disagree");
    options_require(status == EXIT_DONE || strncmp(message, "guardspan: ", 11) == 0,
                    "message's form");
    free(bytes);
    free(written);
    free(message);
    return 0;
}
