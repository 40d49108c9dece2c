/* Reads files whole, and replaces them so that a break at any moment leaves the old one or the
 * new one. */
#include "base/file.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

static enum status unreadable(struct fault *fault, int error)
{
    if (error == ENOMEM) {
        return fault_of_status(fault, STATUS_NO_MEMORY);
    }
    return fault_set(fault, STATUS_UNREADABLE, "", NULL, "cannot be read: %s", strerror(error));
}

static enum status unwritable(struct fault *fault, int error)
{
    if (error == ENOMEM) {
        return fault_of_status(fault, STATUS_NO_MEMORY);
    }
    return fault_set(fault, STATUS_UNWRITABLE, "", NULL, "cannot be written: %s", strerror(error));
}

enum status file_read_stream(FILE *stream, size_t most, struct text *text, struct fault *fault)
{
    char buffer[8192];
    size_t count, begin = text->length;
    while ((count = fread(buffer, 1, sizeof buffer, stream)) > 0) {
        text_append_bytes(text, buffer, count);
        if (text->failed) {
            return fault_of_status(fault, STATUS_NO_MEMORY);
        }
        if (text->length - begin > most) {
            char allowed[48];
            text_format(allowed, sizeof allowed, "at most %zu bytes", most);
            return fault_set(fault, STATUS_MALFORMED, "", allowed, "the file is too large");
        }
    }
    return ferror(stream) ? unreadable(fault, errno) : STATUS_OK;
}

enum status file_read(const char *path, size_t most, struct text *text, struct fault *fault)
{
    FILE *file = fopen(path, "re");
    if (!file) {
        return unreadable(fault, errno);
    }
    struct stat about;
    enum status status = STATUS_OK;
    if (fstat(fileno(file), &about) == 0 && S_ISDIR(about.st_mode)) {
        status = unreadable(fault, EISDIR);
    } else {
        status = file_read_stream(file, most, text, fault);
    }
    fclose(file);
    return status;
}

/* 0 or an error number. */
static int write_all(int file, const char *bytes, size_t count)
{
    while (count > 0) {
        ssize_t written = write(file, bytes, count);
        if (written < 0 && errno == EINTR) {
            continue;
        }
        if (written < 0) {
            return errno;
        }
        bytes += written;
        count -= (size_t)written;
    }
    return 0;
}

static int close_checked(int file, int error)
{
    return close(file) != 0 && error == 0 ? errno : error;
}

static enum status write_directly(const char *path, const char *bytes, size_t count,
                                  struct fault *fault)
{
    int file = open(path, O_WRONLY | O_CLOEXEC | O_NOCTTY);
    if (file < 0) {
        return unwritable(fault, errno);
    }
    int error = close_checked(file, write_all(file, bytes, count));
    return error ? unwritable(fault, error) : STATUS_OK;
}

/* Opens a file that did not exist, ".NAME.PID-N" in the folder of `path`; its name, which the
 * caller frees, is in `*made`. A file created here has the permissions that the user's mask
 * leaves, which mkstemp would not give. */
static int open_beside(const char *path, char **made)
{
    const char *slash = strrchr(path, '/');
    size_t folder = slash ? (size_t)(slash - path) + 1 : 0, size = strlen(path) + 48;
    *made = malloc(size);
    if (!*made) {
        errno = ENOMEM;
        return -1;
    }
    for (int n = 0; n < 100; n++) {
        text_format(*made, size, "%.*s.%.200s.%ld-%d", (int)folder, path, path + folder,
                    (long)getpid(), n);
        int file = open(*made, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666);
        if (file >= 0 || errno != EEXIST) {
            return file;
        }
    }
    return -1;
}

/* The folder that a file lies in; -1 where it cannot be opened. */
static int open_folder(const char *path)
{
    char *folder = strdup(path);
    char *slash = folder ? strrchr(folder, '/') : NULL;
    if (slash) {
        slash[1] = '\0';
    }
    int file = open(slash ? folder : ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    free(folder);
    return file;
}

/* The rename is on the disk only when its folder is; a folder that cannot be synced is no failure
 * of the save. */
static void sync_folder(const char *path)
{
    int file = open_folder(path);
    if (file >= 0) {
        (void)fsync(file);
        close(file);
    }
}

/* Signals that would end or stop the program wait until a replacement is whole, so that none
 * leaves a new file lying beside the old one. */
static void hold_signals(sigset_t *before)
{
    static const int signals[] = {SIGINT, SIGTERM, SIGHUP, SIGQUIT, SIGTSTP};
    sigset_t held;
    sigemptyset(&held);
    for (size_t i = 0; i < sizeof signals / sizeof signals[0]; i++) {
        sigaddset(&held, signals[i]);
    }
    pthread_sigmask(SIG_BLOCK, &held, before);
}

static enum status replace_regular(const char *path, const struct stat *old, const char *bytes,
                                   size_t count, struct fault *fault)
{
    char *made = NULL;
    sigset_t before;
    hold_signals(&before);
    int file = open_beside(path, &made);
    if (file < 0) {
        enum status status = unwritable(fault, errno);
        pthread_sigmask(SIG_SETMASK, &before, NULL);
        free(made);
        return status;
    }
    if (old) {
        /* Only a privileged user may give files away: the owner staying is a wish, not a must. */
        if (fchown(file, old->st_uid, old->st_gid) != 0) {
            errno = 0;
        }
        (void)fchmod(file, old->st_mode & 07777);
    }
    int error = write_all(file, bytes, count);
    if (error == 0 && fsync(file) != 0) {
        error = errno;
    }
    error = close_checked(file, error);
    if (error == 0 && rename(made, path) != 0) {
        error = errno;
    }
    if (error != 0) {
        unlink(made);
    } else {
        sync_folder(path);
    }
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    free(made);
    return error ? unwritable(fault, error) : STATUS_OK;
}

enum status file_replace(const char *path, const char *bytes, size_t count, struct fault *fault)
{
    struct stat about;
    if (lstat(path, &about) != 0) {
        return errno == ENOENT ? replace_regular(path, NULL, bytes, count, fault)
                               : unwritable(fault, errno);
    }
    char *real = realpath(path, NULL);
    if (!real) {
        return unwritable(fault, errno);
    }
    enum status status;
    if (stat(real, &about) != 0 || (S_ISREG(about.st_mode) && access(real, W_OK) != 0)) {
        status = unwritable(fault, errno);
    } else if (S_ISDIR(about.st_mode)) {
        status = unwritable(fault, EISDIR);
    } else if (S_ISREG(about.st_mode)) {
        status = replace_regular(real, &about, bytes, count, fault);
    } else {
        status = write_directly(real, bytes, count, fault);
    }
    free(real);
    return status;
}

#define TURN_TRIES 200 /* a second: who holds the folder longer has been stopped */

/* Whoever holds the folder writes; file systems that know no such thing let all write. */
static int take_turn(const char *path)
{
    const struct timespec pause = {.tv_nsec = 5000000};
    int folder = open_folder(path);
    for (int i = 0; folder >= 0 && i < TURN_TRIES; i++) {
        if (flock(folder, LOCK_EX | LOCK_NB) == 0 || errno != EWOULDBLOCK) {
            break;
        }
        nanosleep(&pause, NULL);
    }
    return folder;
}

/* A file that is not there, or is no regular one, holds nothing that could be lost. */
static bool holds(const char *path, const struct text *expected)
{
    struct stat about;
    struct text text = {0};
    if (stat(path, &about) != 0 || !S_ISREG(about.st_mode)) {
        return true;
    }
    bool same = (size_t)about.st_size == expected->length &&
                file_read(path, expected->length, &text, NULL) == STATUS_OK &&
                strcmp(text_string(&text), text_string(expected)) == 0;
    text_free(&text);
    return same;
}

enum status file_replace_expected(const char *path, const struct text *expected, const char *bytes,
                                  size_t count, struct fault *fault)
{
    char *real = realpath(path, NULL);
    int turn = take_turn(real ? real : path);
    enum status status = holds(path, expected)
                             ? file_replace(path, bytes, count, fault)
                             : fault_set(fault, STATUS_CHANGED, "", NULL,
                                         "was changed by somebody else since it was opened");
    if (turn >= 0) {
        close(turn);
    }
    free(real);
    return status;
}
