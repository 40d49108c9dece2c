/* Another program as a function from bytes to bytes. Its input lies in a file that has no name, so
 * that neither side can wait for the other. */
#include "base/program.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <stdio.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

extern char **environ;

static enum status failed(const char *name, const char *what, struct fault *fault)
{
    return fault_set(fault, STATUS_UNREADABLE, "", NULL, "%s %s", name, what);
}

/* A file without a name that holds the bytes, at its beginning; NULL: errno tells why. */
static FILE *nameless_file(const char *bytes, size_t length)
{
    FILE *file = tmpfile();
    if (file && (fwrite(bytes, 1, length, file) != length || fflush(file) != 0 ||
                 fseek(file, 0, SEEK_SET) != 0)) {
        fclose(file);
        file = NULL;
    }
    return file;
}

/* Starts it with the two ends as its standard input and output; an errno. */
static int start(const char *const *arguments, int input, int output, pid_t *child)
{
    posix_spawn_file_actions_t actions;
    int error = posix_spawn_file_actions_init(&actions);
    if (error != 0) {
        return error;
    }
    error = posix_spawn_file_actions_adddup2(&actions, input, STDIN_FILENO);
    error = error ? error : posix_spawn_file_actions_adddup2(&actions, output, STDOUT_FILENO);
    error =
        error ? error
              : posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
    if (error == 0) {
        /* The arguments are only read: POSIX has them without const for old programs' sake. */
        char *const *plain;
        memcpy(&plain, &arguments, sizeof plain);
        error = posix_spawnp(child, arguments[0], &actions, NULL, plain, environ);
    }
    posix_spawn_file_actions_destroy(&actions);
    return error;
}

#define LOOK_MS 100

/* Waits until there is something to read; false where the watch says no meanwhile. */
static bool wait_for_output(int from, const struct program_watch *watch)
{
    struct pollfd source = {.fd = from, .events = POLLIN};
    while (watch && watch->keep_on(watch->owner)) {
        if (poll(&source, 1, LOOK_MS) != 0) {
            return true;
        }
    }
    return !watch;
}

/* All that comes; false where it is more than `most`, or where it was stopped. */
static bool take_output(int from, size_t most, const struct program_watch *watch, bool *stopped,
                        struct text *out)
{
    char part[8192];
    size_t taken = 0;
    for (;;) {
        *stopped = !wait_for_output(from, watch);
        if (*stopped) {
            return false;
        }
        ssize_t count = read(from, part, sizeof part);
        if (count < 0 && errno == EINTR) {
            continue;
        }
        if (count <= 0) {
            return true;
        }
        taken += (size_t)count;
        if (taken > most) {
            return false;
        }
        text_append_bytes(out, part, (size_t)count);
    }
}

static enum status finish(const char *name, pid_t child, bool whole, const struct text *out,
                          struct fault *fault)
{
    int result = 0;
    while (waitpid(child, &result, 0) < 0 && errno == EINTR) {
    }
    if (out->failed) {
        return fault_of_status(fault, STATUS_NO_MEMORY);
    }
    if (WIFEXITED(result) && WEXITSTATUS(result) == 127) {
        return failed(name, "is not installed", fault);
    }
    if (!whole) {
        return failed(name, "writes without an end", fault);
    }
    return WIFEXITED(result) && WEXITSTATUS(result) == 0
               ? STATUS_OK
               : failed(name, "could not make anything of it", fault);
}

enum status program_run(const char *const *arguments, const char *input, size_t length, size_t most,
                        const struct program_watch *watch, struct text *out, struct fault *fault)
{
    int ends[2];
    FILE *file = nameless_file(input, length);
    if (!file || pipe(ends) != 0) {
        int error = errno;
        if (file) {
            fclose(file);
        }
        return failed(arguments[0], strerror(error), fault);
    }
    fcntl(ends[0], F_SETFD, FD_CLOEXEC);
    fcntl(ends[1], F_SETFD, FD_CLOEXEC);
    pid_t child = -1;
    int error = start(arguments, fileno(file), ends[1], &child);
    close(ends[1]);
    enum status status = STATUS_OK;
    if (error != 0) {
        status =
            failed(arguments[0], error == ENOENT ? "is not installed" : strerror(error), fault);
    } else {
        bool stopped = false;
        bool whole = take_output(ends[0], most, watch, &stopped, out);
        close(ends[0]);
        ends[0] = -1;
        if (stopped) {
            kill(child, SIGKILL);
        }
        status = finish(arguments[0], child, whole, out, fault);
        status = stopped ? fault_set(fault, STATUS_STOPPED, "", NULL, "stopped") : status;
    }
    if (ends[0] >= 0) {
        close(ends[0]);
    }
    fclose(file);
    return status;
}
