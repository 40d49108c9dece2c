/* Opening and saving profiles: a name is asked for, then an effect touches the file. */
#include "explorer/desk/files.h"

#include <string.h>
#include <unistd.h>

#include "explorer/desk/rescue.h"
#include "profile/terrain.h"

void files_open(const struct call *call)
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

/* ---- Saving. Somebody else, or this program in another window, may have written the file since it
 * was opened: then both are at stake, and the user chooses. ---- */

static void write_over(const struct call *call);
static void write_over_and_leave(const struct call *call);

static const struct reply changed_replies[] = {
    {'w', "w writes over it", true, write_over},
    {'o', "o opens what is there now, and what is here is lost", true, files_open},
    {0},
};

static const struct reply changed_replies_leaving[] = {
    {'w', "w writes over it and leaves", true, write_over_and_leave},
    {0},
};

static bool is_opened_here(const struct desk *desk, const char *path)
{
    return strcmp(path, desk->path) == 0;
}

static bool save_to(struct desk *desk, const char *path, bool over, bool leaving)
{
    struct fault fault = {0};
    if (!files_may_write(desk, path)) {
        return false;
    }
    if (!is_opened_here(desk, path)) {
        terrain_name_whole(&desk->profile.scenario, desk->path);
    }
    enum status status =
        (over ? profile_save : profile_save_unchanged)(&desk->profile, path, &fault);
    if (status == STATUS_CHANGED && is_opened_here(desk, path)) {
        char words[TYPING_BYTES + 64];
        text_format(words, sizeof words, "%s %s.", path, fault.wrong);
        desk_question(desk, "Changed on disk", words,
                      leaving ? changed_replies_leaving : changed_replies, NULL);
        return false;
    }
    if (status != STATUS_OK) {
        desk_say_file_fault(desk, path, &fault);
        return false;
    }
    desk_mark_saved(desk, path);
    rescue_is_saved(desk);
    int rested = desk->profile.rested;
    if (rested > 0) {
        desk_say(desk, TONE_WARN, "Saved; %d PLP%s of the other pair stand%s as comments in %s.",
                 rested, rested > 1 ? "s" : "", rested > 1 ? "" : "s", desk->path);
    } else {
        desk_say(desk, TONE_GOOD, "Saved %s.", desk->path);
    }
    return true;
}

static void save(const struct call *call)
{
    save_to(call->desk, call->text, false, false);
}

static void save_and_leave(const struct call *call)
{
    call->desk->leave = save_to(call->desk, call->text, false, true);
}

static void write_over(const struct call *call)
{
    save_to(call->desk, call->text, true, false);
}

static void write_over_and_leave(const struct call *call)
{
    call->desk->leave = save_to(call->desk, call->text, true, true);
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

/* ---- Leaving. ---- */

static void save_then_leave(const struct call *call)
{
    struct desk *desk = call->desk;
    if (desk->path[0] == '\0') {
        desk_ask_outside(desk, "Save the profile as, then leave", "", save_and_leave, NULL);
    } else {
        desk_request(desk, save_and_leave, NULL, desk->path);
    }
}

static void leave(const struct call *call)
{
    call->desk->leave = true;
}

void files_leave(struct desk *desk)
{
    static const struct reply replies[] = {
        {'s', "s saves and leaves", false, save_then_leave},
        {'d', "d leaves without saving", false, leave},
        {'q', "q or Escape stays", false, NULL},
        {0},
    };
    if (desk->changed) {
        desk_question(desk, "Leave?", "Not everything is saved.", replies, NULL);
    } else {
        desk->leave = true;
    }
}
