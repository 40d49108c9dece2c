/* Shipped files are found beside the program; what each is about stands in its first comment. */
#include "explorer/desk/shipped.h"

#include <dirent.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/file.h"
#include "scenario/scenario.h"

static const char profiles[] = "profiles", lessons[] = "demo/lessons";

#define PATH_BYTES 512

static bool has_both(const char *folder)
{
    char path[PATH_BYTES + 16];
    text_format(path, sizeof path, "%s/%s", folder, profiles);
    bool both = access(path, R_OK | X_OK) == 0;
    text_format(path, sizeof path, "%s/%s", folder, lessons);
    return both && access(path, R_OK | X_OK) == 0;
}

bool shipped_folder(char *path, size_t size)
{
    static const char *const from_program[] = {"../share/guardspan", ".."};
    char program[PATH_BYTES];
    ssize_t length = readlink("/proc/self/exe", program, sizeof program - 32);
    program[length > 0 ? length : 0] = '\0';
    char *slash = strrchr(program, '/');
    for (size_t i = 0; slash && i < sizeof from_program / sizeof from_program[0]; i++) {
        slash[1] = '\0';
        text_format(path, size, "%s%s", program, from_program[i]);
        if (has_both(path)) {
            return true;
        }
    }
    return false;
}

/* The first sentence of the comment that a file opens with; of a lesson's "title WORDS", the name.
 */
static void read_opening(const char *path, char *what, size_t what_size, char *title,
                         size_t title_size)
{
    struct text text = {0};
    what[0] = title[0] = '\0';
    if (file_read(path, 300000, &text, NULL) == STATUS_OK) {
        size_t used = 0;
        const char *at = text_string(&text);
        for (; *at == ';' || *at == '#'; at += strcspn(at, "\n"), at += *at == '\n') {
            const char *words = at + 1 + strspn(at + 1, "; #");
            used += text_format(what + used, what_size - used, "%s%.*s", used ? " " : "",
                                (int)strcspn(words, "\n"), words);
        }
        char *end = strstr(what, ". ");
        if (end) {
            end[1] = '\0';
        }
        const char *named = strstr(at, "title ");
        if (named) {
            text_format(title, title_size, "%.*s", (int)strcspn(named + 6, "\n"), named + 6);
        }
    }
    text_free(&text);
}

static int by_name(const void *left, const void *right)
{
    return strcmp(((const struct offered *)left)->name, ((const struct offered *)right)->name);
}

static void offer_folder(const char *folder, const char *kind, const char *ending, bool titled,
                         struct offer *offer)
{
    char path[PATH_BYTES];
    text_format(path, sizeof path, "%s/%s", folder, kind);
    DIR *files = opendir(path);
    int from = offer->count;
    struct dirent *file;
    while (files && (file = readdir(files)) != NULL) { /* NOLINT(concurrency-mt-unsafe) */
        size_t length = strlen(file->d_name), end = strlen(ending);
        char what[260], title[80], name[96];
        if (length <= end || strcmp(file->d_name + length - end, ending) != 0) {
            continue;
        }
        text_format(path, sizeof path, "%s/%s/%s", folder, kind, file->d_name);
        read_opening(path, what, sizeof what, title, sizeof title);
        text_format(name, sizeof name, "%s%s", titled ? "Lesson: " : "",
                    titled && title[0] ? title : file->d_name);
        offer_add(offer, name, what, path);
    }
    if (files) {
        closedir(files);
    }
    qsort(offer->rows + from, (size_t)(offer->count - from), sizeof *offer->rows, by_name);
}

void shipped_offer_profiles(const char *folder, struct offer *offer)
{
    offer_folder(folder, profiles, ".ini", false, offer);
}

void shipped_offer_lessons(const char *folder, struct offer *offer)
{
    offer_folder(folder, lessons, ".txt", true, offer);
}

bool shipped_is_lesson(const char *path)
{
    size_t length = strlen(path);
    return length > 4 && strcmp(path + length - 4, ".txt") == 0;
}
