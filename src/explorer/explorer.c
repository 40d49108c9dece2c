/* The explorer as a whole: its views, how it begins and ends, which view is shown. */
#include "explorer/explorer.h"

#include <stdlib.h>

#include "explorer/desk/likes.h"

static const struct view *const views[] = {
    &view_main,  &view_echo,  &view_weigh, &view_read,
    &view_place, &view_prove, &view_plps,  &view_divide,
};

_Static_assert(sizeof views / sizeof views[0] <= VIEWS_MAX, "room for the state of every view");

int view_count(void)
{
    return (int)(sizeof views / sizeof views[0]);
}

const struct view *view_row(int i)
{
    return views[i];
}

/* ---- Beginning, end, and what is shown. ---- */

static void open_view(struct explorer *explorer, int view)
{
    void **state = &explorer->view_state[view];
    if (!*state) {
        *state = calloc(1, view_row(view)->state_size);
        if (*state) {
            view_row(view)->open(&explorer->desk, *state);
        }
    }
}

struct explorer *explorer_new(struct profile *profile, const char *path)
{
    struct explorer *explorer = calloc(1, sizeof *explorer);
    if (!explorer) {
        return NULL;
    }
    if (!desk_open(&explorer->desk, profile, path)) {
        free(explorer);
        return NULL;
    }
    open_view(explorer, 0);
    if (!explorer->view_state[0]) {
        explorer_free(explorer);
        return NULL;
    }
    return explorer;
}

void explorer_free(struct explorer *explorer)
{
    if (!explorer) {
        return;
    }
    for (int i = 0; i < view_count(); i++) {
        if (explorer->view_state[i]) {
            view_row(i)->close(explorer->view_state[i]);
            free(explorer->view_state[i]);
        }
    }
    explorer_end_lesson(explorer);
    grid_free(&explorer->page);
    desk_close(&explorer->desk);
    free(explorer);
}

void explorer_show_view(struct explorer *explorer, int view)
{
    open_view(explorer, view);
    if (explorer->view_state[view]) {
        const struct view *left = view_row(explorer->view);
        if (view != explorer->view && left->leave) {
            left->leave(explorer->view_state[explorer->view]);
        }
        explorer->view = view;
    } else {
        desk_say(&explorer->desk, TONE_WARN, "Out of memory: the view cannot be opened.");
    }
}

void explorer_end_lesson(struct explorer *explorer)
{
    if (explorer->lesson) {
        lesson_free(&explorer->lesson->lesson);
        free(explorer->lesson);
        explorer->lesson = NULL;
    }
}

void explorer_like(struct explorer *explorer, bool ascii_only, bool no_mouse)
{
    struct desk *desk = &explorer->desk;
    likes_open(desk);
    explorer->ascii_only = ascii_only;
    explorer->ascii = ascii_only || desk->likes.ascii;
    explorer->mouse = desk->likes.mouse && !no_mouse;
    if (desk->likes.picture[0] && !explorer->lesson &&
        !view_row(0)->show(explorer->view_state[0], desk->likes.picture)) {
        desk_say(desk, TONE_WARN, "Ignored: there is no picture \"%s\" to show first.",
                 desk->likes.picture);
    }
}

/* A verdict that one row cannot hold has two. */
static int verdict_rows(const struct explorer *explorer)
{
    int columns = -1, usual = layout_verdict(explorer->columns);
    for (int part = 0; part < DESK_VERDICT_PARTS; part++) {
        char words[160];
        desk_say_verdict(&explorer->desk, part, words, sizeof words);
        columns += words[0] ? (int)text_columns(words) + 1 : 0;
    }
    return columns >= explorer->columns ? 2 : usual;
}

struct layout explorer_layout(const struct explorer *explorer)
{
    int words =
        explorer->lesson && explorer->rows >= 14 ? LESSON_ROWS : layout_words(explorer->rows);
    return layout_screen_with(explorer->rows, explorer->columns, words, verdict_rows(explorer));
}

/* What a view that is not shown has begun waits until it is shown again. */
bool explorer_busy(const struct explorer *explorer)
{
    const struct view *view = view_row(explorer->view);
    return desk_busy(&explorer->desk) ||
           (view->busy && view->busy(explorer->view_state[explorer->view]));
}
