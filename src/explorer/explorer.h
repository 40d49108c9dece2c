#ifndef EXPLORER_EXPLORER_H
#define EXPLORER_EXPLORER_H

#include "explorer/desk/desk.h"
#include "explorer/frame/cursor.h"
#include "explorer/frame/view.h"
#include "present/lesson/lesson.h"

/* The explorer: a desk, the views of it, and what lies over them. */

#define VIEWS_MAX 12

/* What may lie over a view, besides a line to type in (desk->prompt) and a question
 * (desk->question). */
enum box { BOX_NONE, BOX_HELP, BOX_EXPLANATION };

/* A lesson being played. */
struct lesson_run {
    struct lesson lesson; /* owned */
    struct scenario begin;
    struct lesson_scene scene;
};

/* The rows above the keys that it takes. */
#define LESSON_ROWS 4

struct explorer {
    struct desk desk;
    int view;
    void *view_state[VIEWS_MAX]; /* NULL: not yet opened */

    enum box box;
    struct grid page;      /* help or explanation, all of it */
    int page_rows;         /* written */
    struct cursor reading; /* at: how many of them are left out above */
    char said[1200];       /* the message that stood there when the explanation was opened */

    struct lesson_run *lesson; /* owned; NULL: none is played */

    int rows, columns;
    bool ascii, ascii_only; /* drawn with ASCII; because the terminal has no more */
    bool mouse;             /* taken from the terminal */
};

/* NULL when memory runs out. Takes the profile over. `path` may be NULL. */
struct explorer *explorer_new(struct profile *profile, const char *path);
void explorer_free(struct explorer *explorer);

/* Shows another view; opens it where it was not yet. */
void explorer_show_view(struct explorer *explorer, int view);

/* Begins as the user likes, as far as the terminal and the command line allow. */
void explorer_like(struct explorer *explorer, bool ascii_only, bool no_mouse);

/* Where things stand on the screen. */
struct layout explorer_layout(const struct explorer *explorer);

/* True while ticks are wanted. */
bool explorer_busy(const struct explorer *explorer);

void explorer_end_lesson(struct explorer *explorer);

/* ---- The table of views. ---- */
int view_count(void);
const struct view *view_row(int i);

extern const struct view view_main;
extern const struct view view_weigh;
extern const struct view view_read;
extern const struct view view_echo;
extern const struct view view_place;
extern const struct view view_plps;
extern const struct view view_divide;
extern const struct view view_prove;

#endif
