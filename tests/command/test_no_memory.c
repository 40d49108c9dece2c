/* Allocations of the commands fail. A command then says so and writes nothing, or does without; it
 * keeps nothing. Of a command that takes many the first ones fail, and ever fewer among the
 * rest. */
#define _GNU_SOURCE /* RTLD_NEXT. NOLINT(bugprone-reserved-identifier) */
#include "support/failing_ini.h"

#include <stdio.h>
#include <string.h>

#include "command/command.h"
#include "support/effort.h"

#define WORDS_MAX 16

static char out_bytes[1 << 20], err_bytes[4096], out_buffer[4096], err_buffer[512];
static const char *line;

/* Standard output and standard error without memory of their own. */
static int run_line(void)
{
    char words[400], *argv[WORDS_MAX + 1] = {"guardspan"};
    int argc = 1;
    long left = countdown;
    countdown = -1;
    snprintf(words, sizeof words, "%s", line);
    for (char *word = strtok(words, " "); word; word = strtok(NULL, " ")) {
        argv[argc++] = word;
    }
    memset(out_bytes, 0, 64);
    memset(err_bytes, 0, sizeof err_bytes);
    FILE *out = fmemopen(out_bytes, sizeof out_bytes, "w");
    FILE *err = fmemopen(err_bytes, sizeof err_bytes, "w");
    assert_non_null(out);
    assert_non_null(err);
    setvbuf(out, out_buffer, _IOFBF, sizeof out_buffer);
    setvbuf(err, err_buffer, _IOFBF, sizeof err_buffer);
    countdown = left;
    enum exit_status status = command_line_run(argc, argv, out, err);
    left = countdown;
    countdown = -1;
    fclose(out);
    fclose(err);
    countdown = left;
    if (status != EXIT_DONE && (status != EXIT_FAILED || out_bytes[0] != '\0' ||
                                strstr(err_bytes, "out of memory") == NULL)) {
        print_error("%s: status %d, \"%s\"\n%.200s\n", line, status, err_bytes, out_bytes);
        fail();
    }
    return status == EXIT_DONE;
}

static void questions_say_so(void **state)
{
    (void)state;
    static const char *const questions[] = {
        "echo profiles/echo-hill.ini --format json",
        "weigh --top 3",
        "place profiles/shared-tower.ini",
        "read demo/pages/01-one-a-line.txt",
        "simulate --threads 1 --frames 1 --snr 30 --set mode.length=16200",
    };
    for (size_t i = 0; i < sizeof questions / sizeof questions[0]; i++) {
        line = questions[i];
        fail_allocations(run_line, line, (long)effort(1, 4, 0));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(questions_say_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
