#include "explorer/run.h"

#include <time.h>

#include "explorer/explore.h"
#include "explorer/lesson.h"

bool explorer_run_event(struct explorer *explorer, const struct event *event)
{
    struct effect effect = explorer_step(explorer, event);
    if (effect.kind == EFFECT_CALL) {
        effect.call(explorer, effect.argument);
    }
    return effect.kind == EFFECT_QUIT || explorer->leave;
}

/* A script's "Wait": lets background work go on until it is done, two minutes at most. */
static void wait_until_idle(struct explorer *explorer, struct grid *grid)
{
    const struct timespec pause = {.tv_nsec = 5000000};
    const struct event tick = {.kind = EVENT_TICK};
    for (int i = 0; i < 24000 && explorer_busy(explorer); i++) {
        nanosleep(&pause, NULL);
        explorer_run_event(explorer, &tick);
        explorer_draw(explorer, grid);
    }
}

bool explorer_run_script(struct explorer *explorer, const char *keys)
{
    struct script script = {.at = keys};
    struct event event;
    struct grid grid = {0};
    bool ended = false;
    while (!ended && script_next(&script, &event)) {
        if (event.kind == EVENT_WAIT) {
            wait_until_idle(explorer, &grid);
        } else {
            ended = explorer_run_event(explorer, &event);
        }
        /* As on a terminal, a screen is drawn after each event. */
        explorer_draw(explorer, &grid);
    }
    grid_free(&grid);
    return ended;
}

static bool dump_grid(struct explorer *explorer, const struct explorer_dump *dump, struct text *out)
{
    struct grid grid = {0};
    bool drawn = explorer_draw(explorer, &grid);
    explorer_run_script(explorer, dump->keys ? dump->keys : "");
    drawn = drawn && explorer_draw(explorer, &grid);
    if (drawn && dump->roles) {
        grid_dump_roles(&grid, out);
    } else if (drawn) {
        grid_dump(&grid, out);
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
        return fault_set(fault, STATUS_NO_MEMORY, "", NULL, "out of memory");
    }
    explorer->ascii = dump->ascii;
    explorer->rows = dump->rows;
    explorer->columns = dump->columns;
    if (dump->lesson) {
        status = lesson_begin(explorer, dump->lesson, fault);
    }
    if (status == STATUS_OK && !dump_grid(explorer, dump, out)) {
        status = fault_set(fault, STATUS_NO_MEMORY, "", NULL, "out of memory");
    }
    explorer_free(explorer);
    return status;
}
