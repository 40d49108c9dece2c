/* The one list of messages of statuses, and how a fault is filled. */
#include "base/status.h"

#include <stdarg.h>
#include <stdio.h>

static const char *const messages[STATUS_COUNT] = {
#define STATUS_MESSAGE(name, message) [name] = message,
    STATUS_LIST(STATUS_MESSAGE)
#undef STATUS_MESSAGE
};

const char *status_message(enum status status)
{
    if ((unsigned)status >= STATUS_COUNT) {
        return "unknown status";
    }
    return messages[status];
}

enum status fault_set(struct fault *fault, enum status status, const char *place,
                      const char *allowed, const char *format, ...)
{
    if (!fault) {
        return status;
    }
    fault->status = status;
    snprintf(fault->place, sizeof fault->place, "%s", place ? place : "");
    snprintf(fault->allowed, sizeof fault->allowed, "%s", allowed ? allowed : "");
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(fault->wrong, sizeof fault->wrong, format, arguments);
    va_end(arguments);
    return status;
}

enum status fault_of_status(struct fault *fault, enum status status)
{
    return fault_set(fault, status, "", NULL, "%s", status_message(status));
}
