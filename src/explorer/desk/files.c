/* Opening and saving profiles: a name is asked for, then an effect touches the file. */
#include "explorer/desk/files.h"

#include <string.h>
#include <unistd.h>

/* ---- Open. ---- */

static void open_now(struct desk *desk, void *owner, const char *path, const struct grid *drawn)
{
    (void)owner, (void)drawn;
    struct profile profile = {0};
    struct fault fault;
    if (profile_read_file(path, &profile, &fault) != STATUS_OK) {
        profile_free(&profile);
        desk_say_file_fault(desk, path, &fault);
        return;
    }
    desk_take_profile(desk, &profile, path);
    desk_say(desk, TONE_GOOD, "Opened %s.", path);
}

static void open_named(struct desk *desk, void *owner, const char *path)
{
    if (path[0] == '\0') {
        desk_say(desk, TONE_QUIET, "No name, nothing opened.");
    } else {
        desk_request(desk, open_now, owner, path);
    }
}

void files_ask_open(struct desk *desk)
{
    desk_ask(desk, desk->changed ? "Open a profile; unsaved changes are lost" : "Open a profile",
             "", open_named, NULL);
}

/* ---- Save. ---- */

static bool save(struct desk *desk, const char *path)
{
    struct fault fault;
    if (profile_save(&desk->profile, path, &fault) != STATUS_OK) {
        desk_say_file_fault(desk, path, &fault);
        return false;
    }
    desk_mark_saved(desk, path);
    desk_say(desk, TONE_GOOD, "Saved %s.", desk->path);
    return true;
}

static void save_now(struct desk *desk, void *owner, const char *path, const struct grid *drawn)
{
    (void)owner, (void)drawn;
    save(desk, path);
}

static void save_and_leave(struct desk *desk, void *owner, const char *path,
                           const struct grid *drawn)
{
    (void)owner, (void)drawn;
    desk->leave = save(desk, path);
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

static void save_as_now(struct desk *desk, void *owner, const char *path, const struct grid *drawn)
{
    if (files_may_write(desk, path)) {
        save_now(desk, owner, path, drawn);
    }
}

static void save_as_and_leave(struct desk *desk, void *owner, const char *path,
                              const struct grid *drawn)
{
    if (files_may_write(desk, path)) {
        save_and_leave(desk, owner, path, drawn);
    }
}

static void save_named(struct desk *desk, void *owner, const char *path)
{
    desk_request(desk, save_as_now, owner, path);
}

static void save_named_and_leave(struct desk *desk, void *owner, const char *path)
{
    desk_request(desk, save_as_and_leave, owner, path);
}

void files_ask_save(struct desk *desk)
{
    desk_ask(desk, "Save the profile as", desk->path, save_named, NULL);
}

void files_save(struct desk *desk)
{
    if (desk->path[0] == '\0') {
        files_ask_save(desk);
    } else {
        desk_request(desk, save_now, NULL, desk->path);
    }
}

void files_save_and_leave(struct desk *desk)
{
    if (desk->path[0] == '\0') {
        desk_ask(desk, "Save the profile as, then leave", "", save_named_and_leave, NULL);
    } else {
        desk_request(desk, save_and_leave, NULL, desk->path);
    }
}
