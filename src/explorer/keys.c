/* The explorer's own keys, which work in every view, and what they do. */
#include "explorer/keys.h"

#include <string.h>
#include <strings.h>

#include "base/file.h"
#include "explorer/desk/files.h"

/* ---- Exporting: the screen as text, or the picture of the view as a figure. ---- */

static bool ends_with(const char *path, const char *ending)
{
    size_t length = strlen(path), more = strlen(ending);
    return length > more && strcasecmp(path + length - more, ending) == 0;
}

static enum status export_screen(const struct grid *drawn, const char *path, struct fault *fault)
{
    struct text text = {0};
    grid_dump(drawn, &text);
    enum status status = text.failed || !drawn->cells
                             ? fault_set(fault, STATUS_NO_MEMORY, "", NULL, "out of memory")
                             : file_replace(path, text_string(&text), text.length, fault);
    text_free(&text);
    return status;
}

static enum status export_picture(const struct explorer *explorer, enum paper_kind kind,
                                  const char *path, struct fault *fault)
{
    const struct view *view = view_row(explorer->view);
    struct picture picture = {0};
    if (!view->picture ||
        !view->picture(&explorer->desk, explorer->view_state[explorer->view], &picture)) {
        picture_free(&picture);
        return fault_set(fault, STATUS_UNWRITABLE, "", "a name ending in .txt",
                         "this view shows no picture now");
    }
    struct paper paper = {kind, 180.0, 110.0, PAPER_DPI_DEFAULT};
    enum status status = picture_draw_paper(&picture, &paper, path, fault);
    picture_free(&picture);
    return status;
}

static enum status export_to(const struct explorer *explorer, const char *path,
                             const struct grid *drawn, struct fault *fault)
{
    static const struct {
        const char *ending;
        enum paper_kind kind;
    } kinds[] = {{".svg", PAPER_SVG}, {".png", PAPER_PNG}, {".pdf", PAPER_PDF}};
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        if (ends_with(path, kinds[i].ending)) {
            return export_picture(explorer, kinds[i].kind, path, fault);
        }
    }
    return export_screen(drawn, path, fault);
}

static void export_now(struct desk *desk, void *explorer, const char *path,
                       const struct grid *drawn)
{
    struct fault fault = {0};
    if (path[0] == '\0' || strcmp(path, desk->path) == 0) {
        desk_say(desk, TONE_WARN, "An export needs a name of its own; nothing written.");
    } else if (files_may_write(desk, path)) {
        if (export_to(explorer, path, drawn, &fault) == STATUS_OK) {
            desk_say(desk, TONE_GOOD, "Wrote %s.", path);
        } else {
            desk_say_file_fault(desk, path, &fault);
        }
    }
}

static void export_named(struct desk *desk, void *explorer, const char *path)
{
    desk_request(desk, export_now, explorer, path);
}

static void ask_export(struct desk *desk, void *explorer, uint32_t key)
{
    (void)key;
    desk_ask(desk, "Export: .svg .pdf .png the picture, else this screen", "", export_named,
             explorer);
}

/* ---- The rest. ---- */

static void undo(struct desk *desk, void *explorer, uint32_t key)
{
    (void)explorer, (void)key;
    desk_undo(desk);
}

static void redo(struct desk *desk, void *explorer, uint32_t key)
{
    (void)explorer, (void)key;
    desk_redo(desk);
}

static void save(struct desk *desk, void *explorer, uint32_t key)
{
    (void)explorer;
    (key == 's' ? files_save : files_ask_save)(desk);
}

static void open_profile(struct desk *desk, void *explorer, uint32_t key)
{
    (void)explorer, (void)key;
    files_ask_open(desk);
}

static void read_over(struct desk *desk, void *opaque, uint32_t key)
{
    (void)desk;
    struct explorer *explorer = opaque;
    explorer->box = key == 'i' ? BOX_EXPLANATION : BOX_HELP;
    explorer->reading.at = 0;
}

static void quit(struct desk *desk, void *explorer, uint32_t key)
{
    (void)desk, (void)key;
    explorer_leave(explorer);
}

static void go_back(struct desk *desk, void *explorer, uint32_t key)
{
    (void)desk, (void)key;
    explorer_show_view(explorer, 0);
}

const struct key explorer_keys[] = {
    {"u", "undo", "undo the last change", "u", undo},
    {"s", "save", "save the profile; asks for a name when it has none", "s", save},
    {"?", "help", "this help", "?", read_over},
    {"q", "quit", "leave; asks when something would be lost", "q", quit},
    {"i", "explain", "explain the selected row at length, with its formula and source", "i",
     read_over},
    {"o", "open", "open a profile", "o", open_profile},
    {"x", "export",
     "write this screen to a text file, or the picture to a name ending in .svg, .pdf or .png", "x",
     ask_export},
    {"r", NULL, "redo what was undone", "r", redo},
    {"S", NULL, "save under another name", "S", save},
    {"Escape", NULL, "close what is open; back to the main view", "Escape", go_back},
    {0},
};
