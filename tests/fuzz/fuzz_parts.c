/* Fuzzing entry for files of parts of a simulation (simulate --merge): whatever bytes are read,
 * nothing crashes; what is accepted and not yet of several seeds is, merged once more, the same. */
#define _GNU_SOURCE /* memfd_create. NOLINT(bugprone-reserved-identifier) */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include "command/command.h"
#include "fuzz/fuzz.h"

static void parts_require(bool holds, const char *what)
{
    if (!holds) {
        fprintf(stderr, "fuzz_parts: %s\n", what);
        abort();
    }
}

/* A file without a disk. */
static enum exit_status merge(const void *bytes, size_t size, char **out, size_t *out_length)
{
    int file = memfd_create("part", 0);
    char path[40], *message = NULL;
    size_t message_length = 0;
    snprintf(path, sizeof path, "/proc/self/fd/%d", file);
    parts_require(file >= 0 && write(file, bytes, size) == (ssize_t)size, "no file");
    char program[] = "guardspan", command[] = "simulate", format[] = "--format=json",
         option[] = "--merge";
    char *argv[] = {program, command, format, option, path, NULL};
    FILE *written = open_memstream(out, out_length),
         *err = open_memstream(&message, &message_length);
    if (!written || !err) {
        abort();
    }
    enum exit_status status = command_line_run(5, argv, written, err);
    fclose(written);
    fclose(err);
    close(file);
    parts_require(status == EXIT_DONE || status == EXIT_USAGE || status == EXIT_FAILED, "status");
    parts_require((status == EXIT_DONE) == (message_length == 0), "message and status disagree");
    parts_require(status == EXIT_DONE || *out_length == 0, "output in spite of a failure");
    free(message);
    return status;
}

int fuzz_parts(const uint8_t *data, size_t size)
{
    char *once = NULL, *twice = NULL;
    size_t once_length = 0, twice_length = 0;
    if (merge(data, size, &once, &once_length) == EXIT_DONE && !strstr(once, "\"seed\": null")) {
        parts_require(merge(once, once_length, &twice, &twice_length) == EXIT_DONE,
                      "a sum is not merged again");
        parts_require(strcmp(once, twice) == 0, "a sum, merged again, is another");
    }
    free(once);
    free(twice);
    return 0;
}
