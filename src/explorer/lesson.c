/* Playing a lesson: each stop sets the scene on the desk and chooses what is shown. */
#include "explorer/lesson.h"

#include <stdlib.h>
#include <string.h>

#include "present/picture/pictures.h"

/* A picture stands in one of the views; the main view is there for all else. */
static void show_picture(struct explorer *explorer, const char *picture)
{
    const struct picture_kind *kind = picture ? picture_kind_find(picture) : NULL;
    int shown = 0;
    for (int i = 0; kind && kind->view && i < view_count(); i++) {
        shown = strcmp(view_row(i)->name, kind->view) == 0 ? i : shown;
    }
    explorer_show_view(explorer, shown);
    if (kind && explorer->view == shown && view_row(shown)->show) {
        view_row(shown)->show(explorer->view_state[shown], picture);
    }
}

static void set_scene(struct explorer *explorer)
{
    const struct lesson_scene *scene = &explorer->lesson->scene;
    struct desk *desk = &explorer->desk;
    desk_change(desk, &scene->scenario);
    desk_unpin(desk);
    if (scene->pinned) {
        desk_pin(desk, &scene->pinned_scenario);
    }
    desk_mark_saved(desk, desk->path); /* what a lesson does is no work to lose */
    show_picture(explorer, scene->picture);
    if (scene->selected) {
        view_row(0)->select(desk, explorer->view_state[0], scene->selected);
    }
}

static void go(struct explorer *explorer, int stop)
{
    struct lesson_run *run = explorer->lesson;
    struct desk *desk = &explorer->desk;
    struct fault fault;
    if (stop < 1) {
        desk_say(desk, TONE_QUIET, "This is the beginning.");
    } else if (stop > run->scene.stop_count) {
        desk_say(desk, TONE_QUIET, "This is the end. Escape ends the lesson.");
    } else if (lesson_play(&run->lesson, &run->begin, stop, &run->scene, &fault) != STATUS_OK) {
        desk_say_fault(desk, &fault);
    } else {
        set_scene(explorer);
    }
}

enum status lesson_begin(struct explorer *explorer, struct lesson *lesson, struct fault *fault)
{
    struct lesson_run *run = calloc(1, sizeof *run);
    if (!run) {
        lesson_free(lesson);
        return fault_of_status(fault, STATUS_NO_MEMORY);
    }
    explorer_end_lesson(explorer);
    run->lesson = *lesson;
    *lesson = (struct lesson){0};
    run->begin = explorer->desk.profile.scenario;
    explorer->lesson = run;
    enum status status = lesson_play(&run->lesson, &run->begin, 1, &run->scene, fault);
    if (status != STATUS_OK) {
        explorer_end_lesson(explorer);
        return status;
    }
    set_scene(explorer);
    return STATUS_OK;
}

/* ---- Keys. ---- */

static void go_by(const struct call *call)
{
    struct explorer *explorer = call->owner;
    go(explorer, explorer->lesson->scene.stop + (call->key == ' ' ? 1 : -1));
}

static void end(const struct call *call)
{
    explorer_end_lesson(call->owner);
    desk_say(call->desk, TONE_QUIET, "The lesson has ended; its last scene stays.");
}

const struct key lesson_keys[] = {
    {"Space", "on", "go on to the next stop of the lesson", "Space", go_by},
    {"Backspace", "back", "go back to the stop before", "Backspace", go_by},
    {"Escape", "end", "end the lesson; its last scene stays", "Escape", end},
    {0},
};
