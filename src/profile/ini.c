/* The one file that knows iniparser.
 *
 * iniparser 4.1 reads only from a path, so the checked text is handed to it as an unlinked file in
 * memory by its name under /proc/self/fd, or, where there is none, as a short-lived temporary
 * file. So what was checked is what is read, whatever happens to the user's file meanwhile. */
#define _GNU_SOURCE /* memfd_create. NOLINT(bugprone-reserved-identifier) */
#include "profile/ini.h"

#include <errno.h>
#include <iniparser/iniparser.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

/* iniparser reports on standard error unless it is given another place. */
static int stay_silent(const char *format, ...)
{
    (void)format;
    return 0;
}

static bool write_all(int file, const char *bytes, size_t count)
{
    while (count > 0) {
        ssize_t written = write(file, bytes, count);
        if (written < 0 && errno == EINTR) {
            continue;
        }
        if (written <= 0) {
            return false;
        }
        bytes += written;
        count -= (size_t)written;
    }
    return true;
}

/* close and unlink may change errno, which says why a copy could not be made. */
static void close_keeping_errno(int file)
{
    int error = errno;
    close(file);
    errno = error;
}

static dictionary *load_in_memory(const char *text, size_t length)
{
    int file = memfd_create("guardspan-profile", MFD_CLOEXEC);
    if (file < 0) {
        return NULL;
    }
    char path[64];
    text_format(path, sizeof path, "/proc/self/fd/%d", file);
    dictionary *values = write_all(file, text, length) ? iniparser_load(path) : NULL;
    close_keeping_errno(file);
    return values;
}

static dictionary *load_by_temporary_file(const char *text, size_t length)
{
    const char *folder = getenv("TMPDIR");
    char path[512];
    size_t needed = (size_t)snprintf(path, sizeof path, "%s/guardspan-XXXXXX",
                                     folder && folder[0] ? folder : P_tmpdir);
    int file = needed < sizeof path ? mkstemp(path) : -1;
    if (file < 0) {
        return NULL;
    }
    dictionary *values = write_all(file, text, length) ? iniparser_load(path) : NULL;
    close_keeping_errno(file);
    (void)unlink(path);
    return values;
}

/* iniparser 4.1 does not survive a failed allocation, so what it will take is asked for once, with
 * the failure handled here, and given back. It keeps each name twice with its value and doubles
 * its tables as they grow. */
static bool memory_suffices(size_t length, size_t items)
{
    void *block = malloc(8 * length + 16 * sizeof(void *) * items + 32768);
    free(block);
    return block != NULL;
}

static dictionary *load_checked(const char *text, size_t length)
{
    if (length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0) {
        text += 3;
        length -= 3;
    }
    iniparser_set_error_callback(stay_silent);
    dictionary *values = load_in_memory(text, length);
    return values ? values : load_by_temporary_file(text, length);
}

enum status ini_load(const char *text, size_t length, size_t items, struct ini *ini,
                     struct fault *fault)
{
    errno = 0;
    *ini = (struct ini){memory_suffices(length, items) ? load_checked(text, length) : NULL, text};
    if (ini->values) {
        return STATUS_OK;
    }
    if (errno == 0) {
        return fault_set(fault, STATUS_MALFORMED, "", NULL, "can be read in more than one way");
    }
    return errno == ENOMEM ? fault_of_status(fault, STATUS_NO_MEMORY)
                           : fault_set(fault, STATUS_UNREADABLE, "", NULL,
                                       "cannot be read: no temporary copy: %s", strerror(errno));
}

/* The value's text as it stands, without quotes. */
static void plain_value(const char *text, const struct item *item, char *buffer, size_t size)
{
    size_t at = item->at, end = item->end;
    if (end - at >= 2 && (text[at] == '"' || text[at] == '\'')) {
        at++;
        end--;
    }
    text_format(buffer, size, "%.*s", (int)(end - at), text + at);
}

enum status ini_value(const struct ini *ini, const char *section, const struct item *item,
                      const char *place, const char **value, struct fault *fault)
{
    char name[SECTION_BYTES_MAX + KEY_BYTES_MAX + 2], seen[PROFILE_LINE_BYTES_MAX + 1];
    text_format(name, sizeof name, "%s:%s", section, item->name);
    plain_value(ini->text, item, seen, sizeof seen);
    *value = iniparser_getstring(ini->values, name, NULL);
    if (*value == NULL) {
        return fault_of_status(fault, STATUS_NO_MEMORY);
    }
    return strcmp(*value, seen) == 0
               ? STATUS_OK
               : fault_set(fault, STATUS_MALFORMED, place, NULL,
                           "line %d can be read in more than one way", item->line);
}

void ini_free(struct ini *ini)
{
    if (ini->values) {
        iniparser_freedict(ini->values);
    }
    *ini = (struct ini){0};
}
