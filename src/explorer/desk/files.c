#include "explorer/desk/files.h"

#include <string.h>
#include <strings.h>
#include <unistd.h>

#include "base/file.h"

/* ---- Open. ---- */

static void open_now(struct explorer *explorer, const char *path)
{
    struct profile profile = {0};
    struct fault fault;
    if (profile_read_file(path, &profile, &fault) != STATUS_OK) {
        profile_free(&profile);
        explorer_say_file_fault(explorer, path, &fault);
        return;
    }
    explorer_take_profile(explorer, &profile, path);
    explorer_say(explorer, ROLE_GOOD, "Opened %s.", path);
}

static struct effect open_named(struct explorer *explorer, const char *path)
{
    if (path[0] == '\0') {
        explorer_say(explorer, ROLE_DIM, "No name, nothing opened.");
        return effect_none();
    }
    return effect_call(open_now, path);
}

void files_ask_open(struct explorer *explorer)
{
    explorer_ask(explorer,
                 explorer->changed ? "Open a profile; unsaved changes are lost" : "Open a profile",
                 "", open_named);
}

/* ---- Save. ---- */

static bool save(struct explorer *explorer, const char *path)
{
    struct fault fault;
    if (profile_save(&explorer->profile, path, &fault) != STATUS_OK) {
        explorer_say_file_fault(explorer, path, &fault);
        return false;
    }
    explorer_mark_saved(explorer, path);
    explorer_say(explorer, ROLE_GOOD, "Saved %s.", explorer->path);
    return true;
}

static void save_now(struct explorer *explorer, const char *path)
{
    save(explorer, path);
}

static void save_and_leave(struct explorer *explorer, const char *path)
{
    explorer->leave = save(explorer, path);
}

/* A name that is typed must not destroy another file: only what was opened is overwritten. */
static bool may_write(struct explorer *explorer, const char *path)
{
    if (path[0] == '\0') {
        explorer_say(explorer, ROLE_DIM, "No name, nothing written.");
        return false;
    }
    if (strcmp(path, explorer->path) != 0 && access(path, F_OK) == 0) {
        explorer_say(explorer, ROLE_WARN, "%s exists and was not opened here: left alone.", path);
        return false;
    }
    return true;
}

static void save_as_now(struct explorer *explorer, const char *path)
{
    if (may_write(explorer, path)) {
        save(explorer, path);
    }
}

static void save_as_and_leave(struct explorer *explorer, const char *path)
{
    if (may_write(explorer, path)) {
        save_and_leave(explorer, path);
    }
}

static struct effect save_named(struct explorer *explorer, const char *path)
{
    (void)explorer;
    return effect_call(save_as_now, path);
}

static struct effect save_named_and_leave(struct explorer *explorer, const char *path)
{
    (void)explorer;
    return effect_call(save_as_and_leave, path);
}

void files_ask_save(struct explorer *explorer)
{
    explorer_ask(explorer, "Save the profile as", explorer->path, save_named);
}

struct effect files_save(struct explorer *explorer)
{
    if (explorer->path[0] == '\0') {
        files_ask_save(explorer);
        return effect_none();
    }
    return effect_call(save_now, explorer->path);
}

struct effect files_save_and_leave(struct explorer *explorer)
{
    if (explorer->path[0] == '\0') {
        explorer_ask(explorer, "Save the profile as, then leave", "", save_named_and_leave);
        return effect_none();
    }
    return effect_call(save_and_leave, explorer->path);
}

/* ---- Export. ---- */

static bool ends_with(const char *path, const char *ending)
{
    size_t length = strlen(path), more = strlen(ending);
    return length > more && strcasecmp(path + length - more, ending) == 0;
}

static enum status export_screen(struct explorer *explorer, const char *path, struct fault *fault)
{
    struct grid grid = {0};
    struct text text = {0};
    enum status status = STATUS_NO_MEMORY;
    if (explorer_draw(explorer, &grid)) {
        grid_dump(&grid, &text);
        status = text.failed ? STATUS_NO_MEMORY
                             : file_replace(path, text_string(&text), text.length, fault);
    }
    if (status == STATUS_NO_MEMORY) {
        fault_set(fault, status, "", NULL, "out of memory");
    }
    text_free(&text);
    grid_free(&grid);
    return status;
}

static enum status export_picture(struct explorer *explorer, enum paper_kind kind, const char *path,
                                  struct fault *fault)
{
    const struct view *view = view_row(explorer->view);
    struct picture picture = {0};
    if (!view->picture ||
        !view->picture(explorer, explorer->view_state[explorer->view], &picture)) {
        picture_free(&picture);
        return fault_set(fault, STATUS_UNWRITABLE, "", "a name ending in .txt",
                         "this view shows no picture now");
    }
    struct paper paper = {kind, 180.0, 110.0, PAPER_DPI_DEFAULT};
    enum status status = picture_draw_paper(&picture, &paper, path, fault);
    picture_free(&picture);
    return status;
}

static void export_now(struct explorer *explorer, const char *path)
{
    static const struct {
        const char *ending;
        enum paper_kind kind;
    } kinds[] = {{".svg", PAPER_SVG}, {".png", PAPER_PNG}, {".pdf", PAPER_PDF}};
    struct fault fault = {0};
    if (path[0] == '\0' || strcmp(path, explorer->path) == 0) {
        explorer_say(explorer, ROLE_WARN, "An export needs a name of its own; nothing written.");
        return;
    }
    if (!may_write(explorer, path)) {
        return;
    }
    enum status status = STATUS_UNKNOWN_NAME;
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        if (ends_with(path, kinds[i].ending)) {
            status = export_picture(explorer, kinds[i].kind, path, &fault);
        }
    }
    if (status == STATUS_UNKNOWN_NAME) {
        status = export_screen(explorer, path, &fault);
    }
    if (status != STATUS_OK) {
        explorer_say_file_fault(explorer, path, &fault);
    } else {
        explorer_say(explorer, ROLE_GOOD, "Wrote %s.", path);
    }
}

static struct effect export_named(struct explorer *explorer, const char *path)
{
    (void)explorer;
    return effect_call(export_now, path);
}

void files_ask_export(struct explorer *explorer)
{
    explorer_ask(explorer, "Export: .svg .pdf .png the picture, else this screen", "",
                 export_named);
}
