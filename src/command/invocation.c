/* What a command does with its invocation: look up options, report faults, write results. */
#include <errno.h>
#include <stdarg.h>
#include <string.h>

#include "base/utf8.h"
#include "command/command.h"

const char *invocation_option(const struct invocation *invocation, const char *name)
{
    for (int i = invocation->option_count - 1; i >= 0; i--) {
        if (strcmp(invocation->options[i].row->name, name) == 0) {
            const char *value = invocation->options[i].value;
            return value ? value : "";
        }
    }
    return NULL;
}

/* Messages quote what users and files gave: nothing of it may reach the terminal as a command. */
static void append_plain(struct text *line, const char *string)
{
    size_t count = strlen(string);
    for (size_t at = 0; at < count;) {
        size_t length = 1;
        if (utf8_valid_prefix(string + at, count - at) == 0 ||
            utf8_is_control(string + at, &length)) {
            text_append(line, "?");
        } else {
            text_append_bytes(line, string + at, length);
        }
        at += length;
    }
}

static enum exit_status exit_of(enum status status)
{
    switch (status) {
    case STATUS_OK:
        return EXIT_DONE;
    case STATUS_NO_MEMORY:
    case STATUS_UNREADABLE:
    case STATUS_UNWRITABLE:
    case STATUS_STOPPED:
    case STATUS_NO_SOLUTION:
        return EXIT_FAILED;
    default:
        return EXIT_USAGE;
    }
}

enum exit_status invocation_fault_in(const struct invocation *invocation, const char *file,
                                     const struct fault *fault)
{
    struct text line = {0};
    text_append(&line, "guardspan: ");
    if (file) {
        append_plain(&line, file);
        text_append(&line, ": ");
    }
    if (fault->place[0]) {
        append_plain(&line, fault->place);
        text_append(&line, ": ");
    }
    append_plain(&line, fault->wrong[0] ? fault->wrong : status_message(fault->status));
    if (fault->allowed[0]) {
        text_append(&line, " (");
        append_plain(&line, fault->allowed);
        text_append(&line, ")");
    }
    fprintf(invocation->err, "%s\n", line.failed ? "guardspan: out of memory" : line.data);
    text_free(&line);
    return exit_of(fault->status);
}

enum exit_status invocation_fault(const struct invocation *invocation, const struct fault *fault)
{
    return invocation_fault_in(invocation, invocation->profile_path, fault);
}

enum exit_status invocation_refuse(const struct invocation *invocation, const char *option,
                                   const char *allowed, const char *format, ...)
{
    char wrong[256];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(wrong, sizeof wrong, format, arguments);
    va_end(arguments);
    struct fault fault;
    fault_set(&fault, STATUS_MALFORMED, option, allowed, "%s", wrong);
    return invocation_fault_in(invocation, NULL, &fault);
}

enum exit_status invocation_write(const struct invocation *invocation, const struct text *text)
{
    struct fault fault;
    if (text->failed) {
        fault_of_status(&fault, STATUS_NO_MEMORY);
        return invocation_fault_in(invocation, NULL, &fault);
    }
    errno = 0;
    size_t written = fwrite(text_string(text), 1, text->length, invocation->out);
    if (written != text->length || fflush(invocation->out) != 0 || ferror(invocation->out)) {
        fault_set(&fault, STATUS_UNWRITABLE, "standard output", NULL, "cannot be written: %s",
                  strerror(errno));
        return invocation_fault_in(invocation, NULL, &fault);
    }
    return EXIT_DONE;
}

enum exit_status invocation_finish(const struct invocation *invocation, const char *file,
                                   enum status status, struct fault *fault, struct text *text)
{
    if (status != STATUS_OK && fault->status == STATUS_OK) {
        fault_of_status(fault, status);
    }
    enum exit_status result = status == STATUS_OK ? invocation_write(invocation, text)
                                                  : invocation_fault_in(invocation, file, fault);
    text_free(text);
    return result;
}
