#ifndef EXPLORER_DRIVE_H
#define EXPLORER_DRIVE_H

/* An explorer without a terminal, for tests: keys in, a screen as text out. */

#include <stdbool.h>
#include <string.h>

#include "explorer/frame/frame.h"
#include "explorer/run.h"
#include "support/near.h"

static inline struct explorer *explorer_with(const struct scenario *scenario, const char *keys,
                                             int rows, int columns)
{
    struct profile profile = {.scenario = *scenario};
    struct explorer *explorer = explorer_new(&profile, NULL);
    assert_non_null(explorer);
    explorer->rows = rows;
    explorer->columns = columns;
    explorer_run_script(explorer, keys);
    return explorer;
}

/* The default scenario, after these keys. */
static inline struct explorer *explorer_after(const char *keys, int rows, int columns)
{
    struct scenario scenario = scenario_default();
    return explorer_with(&scenario, keys, rows, columns);
}

static inline struct explorer *explorer_at(int rows, int columns)
{
    return explorer_after("", rows, columns);
}

static inline const struct waveform *mode_of(const struct explorer *explorer)
{
    return &explorer->desk.profile.scenario.transmission.subframes[0].waveform;
}

/* Brings the explorer up to date, whatever a test has done to it, and draws. */
static inline void screen_of(struct explorer *explorer, struct text *screen)
{
    struct grid grid = {0};
    text_clear(screen);
    desk_wait(&explorer->desk);
    explorer_update(explorer);
    assert_true(explorer_draw(explorer, &grid));
    grid_dump(&grid, screen);
    grid_free(&grid);
}

static inline void *view_state_of(struct explorer *explorer)
{
    desk_wait(&explorer->desk);
    explorer_update(explorer);
    return explorer->view_state[explorer->view];
}

/* On screens of all sizes, none at all among them; leaves it at the last. */
static inline void assert_draws_at_any_size(struct explorer *explorer)
{
    for (int rows = 0; rows <= 60; rows += 6) {
        for (int columns = 0; columns <= 200; columns += 25) {
            struct grid grid = {0};
            explorer->rows = rows;
            explorer->columns = columns;
            explorer_update(explorer);
            assert_true(explorer_draw(explorer, &grid));
            grid_free(&grid);
        }
    }
}

/* One event, with its effect. */
static inline void happens(struct explorer *explorer, struct event event)
{
    struct grid drawn = {0};
    explorer_run_event(explorer, &event, &drawn);
    grid_free(&drawn);
}

/* Prints the screen where the words are not on it. */
static inline bool shows(struct explorer *explorer, const char *words)
{
    struct text screen = {0};
    screen_of(explorer, &screen);
    bool found = strstr(text_string(&screen), words) != NULL;
    if (!found) {
        print_message("not on the screen: %s\n%s", words, text_string(&screen));
    }
    text_free(&screen);
    return found;
}

#define assert_shows(explorer, words) assert_true(shows(explorer, words))

#endif
