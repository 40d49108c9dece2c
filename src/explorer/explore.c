/* The explorer's own options. */
#include "explorer/explore.h"

#include <string.h>

#include "explorer/run.h"
#include "explorer/terminal.h"

#define SCREEN_MOST 1000

static bool read_size(const char *size, int *rows, int *columns)
{
    char script[64];
    struct event event;
    struct script reading = {.at = script};
    if (strlen(size) > 16) {
        return false;
    }
    text_format(script, sizeof script, "Resize:%s", size);
    if (!script_next(&reading, &event) || event.kind != EVENT_RESIZE || event.rows < 0 ||
        event.columns < 0 || event.rows > SCREEN_MOST || event.columns > SCREEN_MOST) {
        return false;
    }
    *columns = event.rows; /* written as columns x rows, as terminals do */
    *rows = event.columns;
    return true;
}

/* The lesson named by --lesson; `*lesson` becomes NULL where none is. */
static enum exit_status read_lesson(const struct invocation *invocation, struct lesson **lesson)
{
    const char *path = invocation_option(invocation, "--lesson");
    struct fault fault;
    if (!path) {
        *lesson = NULL;
        return EXIT_DONE;
    }
    if (lesson_read_file(path, *lesson, &fault) != STATUS_OK) {
        lesson_free(*lesson);
        return invocation_fault_in(invocation, path, &fault);
    }
    return EXIT_DONE;
}

static enum exit_status dump(struct invocation *invocation, struct lesson *lesson)
{
    struct explorer_dump wanted = {.lesson = lesson,
                                   .keys = invocation_option(invocation, "--keys"),
                                   .rows = 24,
                                   .columns = 80,
                                   .ascii = invocation_option(invocation, "--ascii") != NULL,
                                   .roles = invocation_option(invocation, "--roles") != NULL};
    const char *size = invocation_option(invocation, "--size");
    if (size && !read_size(size, &wanted.rows, &wanted.columns)) {
        return invocation_refuse(invocation, "--size", "COLUMNSxROWS, up to 1000x1000",
                                 "\"%s\" is not a size", size);
    }
    struct text text = {0};
    struct fault fault;
    enum exit_status status;
    if (explorer_dump(&invocation->profile, invocation->profile_path, &wanted, &text, &fault) ==
        STATUS_OK) {
        status = invocation_write(invocation, &text);
    } else {
        status = invocation_fault_in(invocation, invocation_option(invocation, "--lesson"), &fault);
    }
    text_free(&text);
    return status;
}

static enum exit_status run(struct invocation *invocation, struct lesson *lesson)
{
    if (invocation_option(invocation, "--dump")) {
        return dump(invocation, lesson);
    }
    static const char *const only_dump[] = {"--size", "--ascii", "--roles"};
    for (size_t i = 0; i < sizeof only_dump / sizeof only_dump[0]; i++) {
        if (invocation_option(invocation, only_dump[i])) {
            return invocation_refuse(invocation, only_dump[i], "together with --dump",
                                     "has no meaning on a terminal");
        }
    }
    return terminal_run(invocation, lesson);
}

enum exit_status explorer_main(struct invocation *invocation)
{
    if (invocation->profile_path && strlen(invocation->profile_path) >= TYPING_BYTES) {
        struct fault fault;
        fault_set(&fault, STATUS_OUT_OF_RANGE, "", "at most 511 bytes", "the name is too long");
        return invocation_fault(invocation, &fault);
    }
    struct lesson read = {0}, *lesson = &read;
    enum exit_status status = read_lesson(invocation, &lesson);
    if (status == EXIT_DONE) {
        status = run(invocation, lesson);
        lesson_free(&read); /* what was not taken over */
    }
    return status;
}
