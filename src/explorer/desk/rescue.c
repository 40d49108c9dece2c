/* Where unsaved work is kept, and how. */
#include "explorer/desk/rescue.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "explorer/desk/folders.h"
#include "profile/terrain.h"

static const char unsaved[] = "unsaved.ini", mentioned[] = "earlier.ini";

static bool rescue_path(const char *file, char *path, size_t size)
{
    return folder_of_user("XDG_STATE_HOME", ".local/state", file, path, size);
}

void rescue_unsaved(const struct desk *desk, FILE *err)
{
    char path[TYPING_BYTES];
    if (!desk->changed || !rescue_path(unsaved, path, sizeof path)) {
        return;
    }
    folders_make(path);
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

/* Told by its name: what has been mentioned has another one. */
void rescue_mention(struct desk *desk)
{
    char path[TYPING_BYTES], told[TYPING_BYTES];
    if (rescue_path(unsaved, path, sizeof path) && rescue_path(mentioned, told, sizeof told) &&
        access(path, R_OK) == 0 && rename(path, told) == 0) {
        desk_say(desk, TONE_WARN, "Unsaved work of an earlier run is kept: o offers it first.");
    }
}

bool rescue_find(char *path, size_t size)
{
    return rescue_path(mentioned, path, size) && access(path, R_OK) == 0;
}

void rescue_open(const struct call *call)
{
    struct desk *desk = call->desk;
    struct profile profile = {0};
    struct fault fault;
    char path[TYPING_BYTES];
    if (!rescue_find(path, sizeof path)) {
        return;
    }
    if (profile_read_file(path, &profile, &fault) != STATUS_OK) {
        desk_say_file_fault(desk, path, &fault);
        return;
    }
    desk_take_unsaved(desk, &profile);
    desk->rescued = true;
    desk_say(desk, TONE_GOOD, "The unsaved work of an earlier run: s saves it under a name.");
}

void rescue_is_saved(struct desk *desk)
{
    char path[TYPING_BYTES];
    if (desk->rescued && rescue_find(path, sizeof path)) {
        unlink(path);
    }
    desk->rescued = false;
}
