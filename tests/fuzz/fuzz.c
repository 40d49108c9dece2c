/* All targets in one program for libFuzzer: the first argument names the target.
 * tests/fuzz/run-fuzz builds and runs it; test_corpus.c runs the targets without libFuzzer. */
#include "fuzz/fuzz.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const struct {
    const char *name;
    int (*run)(const uint8_t *data, size_t size);
} targets[] = {
    {"profile", fuzz_profile}, {"page", fuzz_page},       {"plps", fuzz_plps},
    {"lesson", fuzz_lesson},   {"parts", fuzz_parts},     {"log", fuzz_log},
    {"terrain", fuzz_terrain}, {"options", fuzz_options},
};

static int (*chosen)(const uint8_t *data, size_t size);

int LLVMFuzzerInitialize(int *argc, char ***argv);
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    const char *name = getenv("FUZZ_TARGET");
    for (size_t i = 0; name && i < sizeof targets / sizeof targets[0]; i++) {
        chosen = strcmp(name, targets[i].name) == 0 ? targets[i].run : chosen;
    }
    if (!chosen) {
        fprintf(stderr, "FUZZ_TARGET must name a target of tests/fuzz/fuzz.c\n");
        exit(2);
    }
    return 0;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    return chosen(data, size);
}
