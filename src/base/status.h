#ifndef BASE_STATUS_H
#define BASE_STATUS_H

/* Statuses and faults: how every layer below the front ends reports that something went wrong.
 * Nothing here prints; a front end turns a fault into a line for its user. */

#define STATUS_LIST(X)                           \
    X(STATUS_OK, "no error")                     \
    X(STATUS_NO_MEMORY, "out of memory")         \
    X(STATUS_MALFORMED, "malformed")             \
    X(STATUS_OUT_OF_RANGE, "out of range")       \
    X(STATUS_ILLEGAL, "not a legal combination") \
    X(STATUS_UNKNOWN_NAME, "unknown name")       \
    X(STATUS_UNREADABLE, "cannot be read")       \
    X(STATUS_UNWRITABLE, "cannot be written")    \
    X(STATUS_STOPPED, "stopped")                 \
    X(STATUS_NO_SOLUTION, "no solution")         \
    X(STATUS_CHANGED, "changed meanwhile")

enum status {
#define STATUS_ENUM(name, message) name,
    STATUS_LIST(STATUS_ENUM)
#undef STATUS_ENUM
        STATUS_COUNT
};

/* A plain message for a status; never NULL. */
const char *status_message(enum status status);

/* What went wrong and where. `place` names the field as the user knows it ("mode.guard"), `wrong`
 * says what is wrong with it, `allowed` what would be right; any of them may be empty. */
struct fault {
    enum status status;
    char place[128];
    char wrong[256];
    char allowed[768];
};

/* Fills `fault` (which may be NULL) and returns `status`, so that callers can
 * `return fault_set(...)`. `allowed` may be NULL. */
enum status fault_set(struct fault *fault, enum status status, const char *place,
                      const char *allowed, const char *format, ...)
    __attribute__((format(printf, 5, 6)));

/* The same where the status says it all, and there is no place: "out of memory". */
enum status fault_of_status(struct fault *fault, enum status status);

#endif
