/* Opening and saving profiles: a name is asked for, then an effect touches the file. */
#include "explorer/desk/files.h"

#include <string.h>
#include <unistd.h>

#include "profile/terrain.h"

static void open_named(const struct call *call)
{
    struct profile profile = {0};
    struct fault fault;
    if (call->text[0] == '\0') {
        desk_say(call->desk, TONE_QUIET, "No name, nothing opened.");
    } else if (profile_read_file(call->text, &profile, &fault) != STATUS_OK) {
        profile_free(&profile);
        desk_say_file_fault(call->desk, call->text, &fault);
    } else {
        desk_take_profile(call->desk, &profile, call->text);
        desk_say(call->desk, TONE_GOOD, "Opened %s.", call->text);
    }
}

void files_ask_open(struct desk *desk)
{
    desk_ask_outside(desk,
                     desk->changed ? "Open a profile; unsaved changes are lost" : "Open a profile",
                     "", open_named, NULL);
}

bool files_may_write(struct desk *desk, const char *path)
{
    if (path[0] == '\0') {
        desk_say(desk, TONE_QUIET, "No name, nothing written.");
        return false;
    }
    if (strcmp(path, desk->path) != 0 && access(path, F_OK) == 0) {
        desk_say(desk, TONE_WARN, "%s exists and was not opened here: left alone.", path);
        return false;
    }
    return true;
}

static bool save_to(struct desk *desk, const char *path)
{
    struct fault fault;
    if (!files_may_write(desk, path)) {
        return false;
    }
    if (strcmp(path, desk->path) != 0) {
        terrain_name_whole(&desk->profile.scenario, desk->path);
    }
    if (profile_save(&desk->profile, path, &fault) != STATUS_OK) {
        desk_say_file_fault(desk, path, &fault);
        return false;
    }
    desk_mark_saved(desk, path);
    desk_say(desk, TONE_GOOD, "Saved %s.", desk->path);
    return true;
}

static void save(const struct call *call)
{
    save_to(call->desk, call->text);
}

static void save_and_leave(const struct call *call)
{
    call->desk->leave = save_to(call->desk, call->text);
}

void files_ask_save(struct desk *desk)
{
    desk_ask_outside(desk, "Save the profile as", desk->path, save, NULL);
}

void files_save(struct desk *desk)
{
    if (desk->path[0] == '\0') {
        files_ask_save(desk);
    } else {
        desk_request(desk, save, NULL, desk->path);
    }
}

void files_save_and_leave(struct desk *desk)
{
    if (desk->path[0] == '\0') {
        desk_ask_outside(desk, "Save the profile as, then leave", "", save_and_leave, NULL);
    } else {
        desk_request(desk, save_and_leave, NULL, desk->path);
    }
}
