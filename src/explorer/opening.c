/* The list of what can be opened, and what is done with a row of it. */
#include "explorer/opening.h"

#include <string.h>

#include "explorer/desk/files.h"
#include "explorer/desk/rescue.h"
#include "explorer/desk/shipped.h"
#include "explorer/lesson.h"

static const char plain[] = "plain explorer", unsaved[] = "unsaved work";

/* A lesson sets its scene upon the defaults, as one that is named on the command line does. */
static void open_lesson(struct explorer *explorer, const char *path)
{
    struct desk *desk = &explorer->desk;
    struct lesson lesson = {0};
    struct fault fault;
    struct profile fresh = {.scenario = scenario_default()};
    enum status status = lesson_read_file(path, &lesson, &fault);
    if (status == STATUS_OK) {
        desk_take_profile(desk, &fresh, NULL);
        status = lesson_begin(explorer, &lesson, &fault);
    }
    if (status != STATUS_OK) {
        lesson_free(&lesson);
        desk_say_file_fault(desk, path, &fault);
    }
}

static void open_taken(const struct call *call)
{
    struct explorer *explorer = call->owner;
    if (strcmp(call->text, plain) == 0) {
        return;
    }
    if (strcmp(call->text, unsaved) == 0) {
        rescue_open(call);
    } else if (shipped_is_lesson(call->text)) {
        open_lesson(explorer, call->text);
    } else {
        explorer_end_lesson(explorer);
        files_open(call);
    }
}

static void offer(struct explorer *explorer, bool starting)
{
    struct desk *desk = &explorer->desk;
    struct offer offer = {.or_typed = true};
    char path[TYPING_BYTES];
    if (rescue_find(path, sizeof path)) {
        offer_add(&offer, "Unsaved work of an earlier run", path, unsaved);
    }
    if (starting) {
        offer_add(&offer, "The plain explorer",
                  "A default scenario to change as you like; a file's name typed here opens it.",
                  plain);
    }
    if (shipped_folder(path, sizeof path)) {
        shipped_offer_profiles(path, &offer);
        shipped_offer_lessons(path, &offer);
    }
    if (offer.count == 0) {
        offer_free(&offer);
        desk_ask_outside(desk, "Open a profile", "", open_taken, explorer);
    } else {
        desk_offer(desk,
                   starting        ? "Begin with"
                   : desk->changed ? "Open; unsaved changes are lost"
                                   : "Open",
                   &offer, true, open_taken, explorer);
    }
}

void opening_offer(const struct call *call)
{
    offer(call->owner, false);
}

void opening_start(struct explorer *explorer)
{
    offer(explorer, true);
}
