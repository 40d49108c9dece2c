/* Where unsaved work is kept, and how. */
#include "explorer/desk/rescue.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "profile/terrain.h"

/* False where there is no home to keep it in. */
static bool rescue_path(char *path, size_t size)
{
    const char *state = getenv("XDG_STATE_HOME"), *home = getenv("HOME");
    size_t used = 0;
    if (state && state[0] == '/') {
        used = text_format(path, size, "%s", state);
    } else if (home && home[0] == '/') {
        used = text_format(path, size, "%s/.local/state", home);
    }
    static const char name[] = "/guardspan/unsaved.ini";
    if (used == 0 || used + sizeof name > size) {
        return false;
    }
    text_format(path + used, size - used, "%s", name);
    return true;
}

static void make_folders(char *path)
{
    for (char *slash = strchr(path + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        mkdir(path, 0700); /* one that exists is fine; one that fails shows when saving */
        *slash = '/';
    }
}

void rescue_unsaved(const struct desk *desk, FILE *err)
{
    char path[TYPING_BYTES];
    if (!desk->changed || !rescue_path(path, sizeof path)) {
        return;
    }
    make_folders(path);
    struct profile copy = {.scenario = desk->profile.scenario};
    terrain_name_whole(&copy.scenario, desk->path);
    text_append_bytes(&copy.original, text_string(&desk->profile.original),
                      desk->profile.original.length);
    struct fault fault;
    if (!copy.original.failed && profile_save(&copy, path, &fault) == STATUS_OK) {
        fprintf(err, "guardspan: unsaved changes are kept in %s\n", path);
    }
    profile_free(&copy);
}

void rescue_mention(struct desk *desk)
{
    char path[TYPING_BYTES];
    if (rescue_path(path, sizeof path) && access(path, R_OK) == 0) {
        desk_say(desk, TONE_WARN, "Unsaved work of an earlier run lies in %s; o opens it.", path);
    }
}
