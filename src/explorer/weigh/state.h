#ifndef EXPLORER_WEIGH_STATE_H
#define EXPLORER_WEIGH_STATE_H

#include "explorer/desk/desk.h"
#include "explorer/frame/cursor.h"
#include "explorer/frame/layout.h"
#include "explorer/weigh/job.h"
#include "present/picture/picture.h"
#include "study/weigh/moves.h"
#include "study/weigh/weigh.h"

/* The state of the weighing view: all modes of the scenario's channel, and those that are wished.
 */

enum weigh_focus { WEIGH_LIMITS, WEIGH_LIST };

/* Rows of the limits: the limits of weigh.h, then these. */
enum weigh_limit_row { WEIGH_ROW_ORDER = LIMIT_COUNT, WEIGH_ROW_KEEP, WEIGH_ROW_COUNT };

struct weigh_state {
    bool known; /* else `fault` says why there is no space */
    struct weigh_space space;
    struct fault fault;
    unsigned revision; /* of the scenario that the space has */

    enum weigh_focus focus;
    struct cursor limits, modes;
    struct weigh_wish wish;
    int order,
        keep; /* choices of the two last rows; `keep` 0: nothing, else a choice of the space */
    bool echo_in_km; /* the limit on echoes is told and typed as a longer path */

    bool listed; /* what follows belongs to the wish */
    struct weigh_list list;
    char wanted[64]; /* a mode to select as soon as it is listed; "": none */
    bool show_moves;
    bool has_moves;
    uint32_t from; /* the present mode's place, with has_moves */
    struct move moves[MOVE_COUNT];

    double snr_low_db, snr_high_db; /* of the picture; NAN: all */
    struct picture picture;

    struct errand margins; /* with the echoes */
};

void weigh_update(struct desk *desk, void *state, struct rect area);

/* One step of the selected limit, order or choice; a limit typed or taken off (NAN). */
void weigh_step_limit(struct weigh_state *state, int direction);
bool weigh_set_limit(struct weigh_state *state, double value);

/* A limit as it is typed: a number in the unit that is shown; on echoes "100us" or "30km", which is
 * shown from then on. False: no such number. */
bool weigh_type_limit(struct weigh_state *state, const char *text);

/* The list waits for margins that are being computed: there is none to choose from meanwhile. */
bool weigh_is_waiting(const struct weigh_state *state);

/* Zooms the picture around the selected mode, else around the middle; shifts it by a share of its
 * width. */
void weigh_zoom(struct weigh_state *state, double factor, double shift);

struct weigh_view_layout {
    struct rect limits, divider, list, rule, picture;
};
struct weigh_view_layout weigh_view_layout(struct rect area);

/* Offers every legal mode by the name that the list has. */
void weigh_offer_modes(const struct scenario *scenario, struct offer *offer);

/* The place of a row in the space; -1 for a move that does not exist. */
long weigh_row_mode(const struct weigh_state *state, int row);

/* What a limit's row shows: its label, its value as text ("-": none), the range that it may have.
 */
const char *weigh_limit_label(const struct weigh_state *state, int row);
void weigh_limit_value(const struct weigh_state *state, int row, char *buffer, size_t size);
void weigh_limit_range(const struct weigh_state *state, int row, char *buffer, size_t size);

#endif
