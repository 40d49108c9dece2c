#include "explorer/lesson.h"

#include <stdlib.h>
#include <string.h>

#include "explorer/frame/screen.h"
#include "explorer/main/state.h"
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
    if (kind && explorer->view == shown) {
        view_row(shown)->show(explorer->view_state[shown], picture);
    }
}

static void set_scene(struct explorer *explorer)
{
    const struct lesson_scene *scene = &explorer->lesson->scene;
    explorer_change(explorer, &scene->scenario);
    explorer_unpin(explorer);
    if (scene->pinned) {
        explorer_pin_scenario(explorer, &scene->pinned_scenario);
    }
    explorer_mark_saved(explorer, explorer->path); /* what a lesson does is no work to lose */
    show_picture(explorer, scene->picture);
    if (scene->selected) {
        main_select(explorer, scene->selected);
    }
}

static bool go(struct explorer *explorer, int stop)
{
    struct lesson_run *run = explorer->lesson;
    struct fault fault;
    if (stop < 1 || stop > run->scene.stop_count) {
        explorer_say(explorer, ROLE_DIM,
                     stop < 1 ? "This is the beginning."
                              : "This is the end. Escape ends the lesson.");
        return false;
    }
    if (lesson_play(&run->lesson, &run->begin, stop, &run->scene, &fault) != STATUS_OK) {
        explorer_say_fault(explorer, &fault);
        return false;
    }
    set_scene(explorer);
    return true;
}

enum status lesson_begin(struct explorer *explorer, struct lesson *lesson, struct fault *fault)
{
    struct lesson_run *run = calloc(1, sizeof *run);
    if (!run) {
        lesson_free(lesson);
        return fault_set(fault, STATUS_NO_MEMORY, "", NULL, "out of memory");
    }
    lesson_end(explorer);
    run->lesson = *lesson;
    *lesson = (struct lesson){0};
    run->begin = explorer->profile.scenario;
    explorer->lesson = run;
    enum status status = lesson_play(&run->lesson, &run->begin, 1, &run->scene, fault);
    if (status != STATUS_OK) {
        lesson_end(explorer);
        return status;
    }
    set_scene(explorer);
    return STATUS_OK;
}

void lesson_end(struct explorer *explorer)
{
    if (explorer->lesson) {
        lesson_free(&explorer->lesson->lesson);
        free(explorer->lesson);
        explorer->lesson = NULL;
    }
}

bool lesson_key(struct explorer *explorer, uint32_t key)
{
    int stop = explorer->lesson->scene.stop;
    explorer->message[0] = '\0';
    switch (key) {
    case ' ':
        go(explorer, stop + 1);
        return true;
    case PRESS_BACKSPACE:
        go(explorer, stop - 1);
        return true;
    case PRESS_ESCAPE:
        lesson_end(explorer);
        explorer_say(explorer, ROLE_DIM, "The lesson has ended; its last scene stays.");
        return true;
    default:
        return false;
    }
}

/* A message instead of the keys, and where it is long, of the title too. */
static void draw_rule(const struct explorer *explorer, struct grid *grid, struct rect rule,
                      bool with_message)
{
    const struct lesson_run *run = explorer->lesson;
    char words[256];
    text_format(words, sizeof words, "%s  %d of %d%s",
                run->lesson.title[0] ? run->lesson.title : "Lesson", run->scene.stop,
                run->scene.stop_count,
                with_message ? "" : "  Space: on, Backspace: back, Escape: end");
    screen_rule(grid, rule, words);
    if (with_message) {
        int from = rule.column + 5 + (int)text_columns(words), end = rule.column + rule.columns - 2;
        if ((int)text_columns(explorer->message) >= end - from) {
            screen_rule(grid, rule, "");
            from = rule.column + 2;
        }
        char message[sizeof explorer->message + 2];
        text_format(message, sizeof message, " %s ", explorer->message);
        screen_fit(grid, rule.row, from, end - from, explorer->message_role, message);
    }
}

void lesson_draw(const struct explorer *explorer, struct grid *grid, struct rect area)
{
    const char *text = explorer->lesson->scene.text;
    struct rect inside = {area.row + 1, area.column + 1, area.rows - 1, area.columns - 2};
    int rows = screen_text(grid, inside, ROLE_PLAIN, text, 0);
    bool full = explorer->message[0] && rows >= inside.rows; /* what is said must stay whole */
    draw_rule(explorer, grid, (struct rect){area.row, area.column, 1, area.columns}, full);
    if (explorer->message[0] && !full) {
        screen_fit(grid, inside.row + inside.rows - 1, inside.column, inside.columns,
                   explorer->message_role, explorer->message);
    }
}
