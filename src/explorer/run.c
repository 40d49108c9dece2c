/* Events with their effects: from a terminal one at a time, from a script all of them. */
#include "explorer/run.h"

#include <time.h>

#include "explorer/frame/frame.h"
#include "explorer/lesson.h"

bool explorer_run_event(struct explorer *explorer, const struct event *event, struct grid *drawn)
{
    struct effect effect = explorer_step(explorer, event);
    if (effect.done) {
        explorer_draw(explorer, drawn);
        effect.done(&(struct call){&explorer->desk, effect.owner, 0, effect.text, drawn});
        explorer_update(explorer);
    }
    return explorer->desk.leave;
}

/* A script's "Wait": lets background work go on until it is done, two minutes at most. */
static void wait_until_idle(struct explorer *explorer)
{
    const struct timespec pause = {.tv_nsec = 5000000};
    for (int i = 0; i < 24000 && explorer_busy(explorer); i++) {
        nanosleep(&pause, NULL);
        explorer_step(explorer, &(struct event){.kind = EVENT_TICK});
    }
}

bool explorer_run_script(struct explorer *explorer, const char *keys)
{
    struct script script = {.at = keys};
    struct event event;
    struct grid drawn = {0};
    bool ended = false;
    explorer_update(explorer);
    while (!ended && script_next(&script, &event)) {
        if (event.kind == EVENT_WAIT) {
            wait_until_idle(explorer);
        } else {
            ended = explorer_run_event(explorer, &event, &drawn);
        }
    }
    grid_free(&drawn);
    desk_wait(&explorer->desk);
    explorer_update(explorer);
    return ended;
}

static bool dump_grid(struct explorer *explorer, const struct explorer_dump *dump, struct text *out)
{
    struct grid grid = {0};
    explorer_run_script(explorer, dump->keys ? dump->keys : "");
    bool drawn = explorer_draw(explorer, &grid);
    if (drawn) {
        (dump->roles ? grid_dump_roles : grid_dump)(&grid, out);
    }
    grid_free(&grid);
    return drawn && !out->failed;
}

enum status explorer_dump(struct profile *profile, const char *path,
                          const struct explorer_dump *dump, struct text *out, struct fault *fault)
{
    enum status status = STATUS_OK;
    struct explorer *explorer = explorer_new(profile, path);
    if (!explorer) {
        return fault_of_status(fault, STATUS_NO_MEMORY);
    }
    explorer->ascii = dump->ascii;
    explorer->rows = dump->rows;
    explorer->columns = dump->columns;
    if (dump->lesson) {
        status = lesson_begin(explorer, dump->lesson, fault);
    }
    if (status == STATUS_OK && !dump_grid(explorer, dump, out)) {
        status = fault_of_status(fault, STATUS_NO_MEMORY);
    }
    explorer_free(explorer);
    return status;
}
