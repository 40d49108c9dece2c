#ifndef EXPLORER_WEIGH_STATE_H
#define EXPLORER_WEIGH_STATE_H

#include "explorer/desk/job.h"
#include "explorer/explorer.h"
#include "study/weigh/moves.h"
#include "study/weigh/weigh.h"

/* What the files of the weighing view share. */

enum weigh_focus { WEIGH_LIMITS, WEIGH_LIST };

/* Rows of the limits: the limits of weigh.h, then these. */
enum weigh_limit_row { WEIGH_ROW_ORDER = LIMIT_COUNT, WEIGH_ROW_KEEP, WEIGH_ROW_COUNT };

struct weigh_margins { /* the worker's: margins of all modes with the echoes */
    struct scenario scenario;
    struct weigh_space space;
    struct job *job;
    enum status status;
};

struct weigh_state {
    bool known; /* else `fault` says why there is no space */
    struct weigh_space space;
    struct fault fault;
    unsigned revision; /* of the scenario that the space has */

    enum weigh_focus focus;
    int limit; /* selected row of the limits */
    bool editing;
    struct field typed;
    struct weigh_wish wish;
    int order, keep; /* choices of the two last rows */

    bool listed; /* what follows belongs to the wish */
    struct weigh_list list;
    bool show_moves;
    bool has_moves;
    uint32_t from; /* the present mode's place, with has_moves */
    struct move moves[MOVE_COUNT];
    int selected, first;

    double snr_low_db, snr_high_db; /* of the picture; NAN: all */
    struct picture picture;

    struct job job;
    struct weigh_margins *margins; /* owned; NULL: no job was begun */
};

struct weigh_view_layout {
    struct rect limits, divider, list, rule, picture;
};
struct weigh_view_layout weigh_view_layout(struct rect area);

/* Rows of the list: of the weighing, or the moves. */
int weigh_row_count(const struct weigh_state *state);
/* The place of a row in the space; -1 for a move that does not exist. */
long weigh_row_mode(const struct weigh_state *state, int row);

/* What a limit's row shows: its label, its value as text ("-": none). */
const char *weigh_limit_label(int row);
void weigh_limit_value(const struct weigh_state *state, int row, char *buffer, size_t size);

/* The job that makes margins with the echoes: begun for the present scenario; taken over when it
 * has ended; stopped and forgotten. */
void weigh_job_begin(const struct explorer *explorer, struct weigh_state *state);
void weigh_job_end(struct explorer *explorer, struct weigh_state *state);
void weigh_job_drop(struct weigh_state *state);

void weigh_draw(const struct explorer *explorer, const void *state, struct grid *grid,
                struct rect area);
void weigh_words(const struct explorer *explorer, const void *state, struct text *out);
void weigh_long_words(const struct explorer *explorer, const void *state, struct text *out);

#endif
