/* The explorer's own keys, which work in every view, and what they do. */
#include "explorer/keys.h"

#include <string.h>
#include <strings.h>

#include "base/file.h"
#include "explorer/desk/files.h"
#include "explorer/desk/likes.h"
#include "explorer/find.h"
#include "explorer/opening.h"

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
                             ? fault_of_status(fault, STATUS_NO_MEMORY)
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
    struct paper paper = {kind, 180.0, 110.0, PAPER_DPI_DEFAULT, 1.0};
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
    return ends_with(path, ".txt") ? export_screen(drawn, path, fault)
                                   : fault_set(fault, STATUS_UNWRITABLE, "",
                                               "a name ending in .txt, .svg, .pdf or .png",
                                               "what is to be written there is not known");
}

static void export_named(const struct call *call)
{
    struct fault fault = {0};
    if (call->text[0] == '\0' || strcmp(call->text, call->desk->path) == 0) {
        desk_say(call->desk, TONE_WARN, "An export needs a name of its own; nothing written.");
    } else if (!files_may_write(call->desk, call->text)) {
        return;
    } else if (export_to(call->owner, call->text, call->drawn, &fault) == STATUS_OK) {
        desk_say(call->desk, TONE_GOOD, "Wrote %s.", call->text);
    } else {
        desk_say_file_fault(call->desk, call->text, &fault);
    }
}

static void ask_export(const struct call *call)
{
    desk_ask_outside(call->desk, "Export: .svg .pdf .png the picture, .txt this screen", "",
                     export_named, call->owner);
}

/* ---- The rest. ---- */

static void undo(const struct call *call)
{
    desk_undo(call->desk);
}

static void redo(const struct call *call)
{
    desk_redo(call->desk);
}

static void save(const struct call *call)
{
    (call->key == 's' ? files_save : files_ask_save)(call->desk);
}

static void open_profile(const struct call *call)
{
    desk_request(call->desk, opening_offer, call->owner, "");
}

static void read_over(const struct call *call)
{
    struct explorer *explorer = call->owner;
    explorer->box = call->key == 'i' ? BOX_EXPLANATION : BOX_HELP;
    explorer->reading.at = 0;
    text_format(explorer->said, sizeof explorer->said, "%s", call->desk->message);
    call->desk->message[0] = '\0';
}

static void quit(const struct call *call)
{
    files_leave(call->desk);
}

static void go_back(const struct call *call)
{
    explorer_show_view(call->owner, 0);
}

static void find(const struct call *call)
{
    find_ask(call->owner);
}

static void turn_characters(const struct call *call)
{
    struct explorer *explorer = call->owner;
    if (explorer->ascii_only) {
        desk_say(call->desk, TONE_QUIET, "This terminal has ASCII characters only.");
        return;
    }
    explorer->ascii = call->desk->likes.ascii = !explorer->ascii;
    likes_keep(call->desk, explorer->ascii ? "ASCII characters only." : "All characters.");
}

static void turn_mouse(const struct call *call)
{
    struct explorer *explorer = call->owner;
    explorer->mouse = call->desk->likes.mouse = !explorer->mouse;
    likes_keep(call->desk,
               explorer->mouse ? "The mouse works here." : "The mouse is the terminal's.");
}

const struct key explorer_keys[] = {
    {"u", "undo", "undo the last change", "u", undo},
    {"s", "save", "save the profile; asks for a name when it has none", "s", save},
    {"?", "help", "this help", "?", read_over},
    {"q", "quit", "leave; asks when something would be lost, and q again means stay", "q", quit},
    {"/", "find",
     "find a setting, a figure, a mode, a station, an echo or a view by a part of its name", "/",
     find},
    {"i", "explain", "explain the selected row at length, with its formula and source", "i",
     read_over},
    {"o", "open",
     "open a profile or a lesson: those that come with the program, or one by its file's name", "o",
     open_profile},
    {"x", "export",
     "write this screen to a name ending in .txt, or the picture to one ending in .svg, .pdf or "
     ".png",
     "x", ask_export},
    {"U", NULL, "draw with ASCII characters only, or with all that the terminal has; remembered",
     "U", turn_characters},
    {"M", NULL, "leave the mouse to the terminal, or take it; remembered", "M", turn_mouse},
    {"r", NULL, "redo what was undone", "r", redo},
    {"S", NULL, "save under another name", "S", save},
    {"Escape", NULL, "close what is open; back to the main view", "Escape", go_back},
    {0},
};
