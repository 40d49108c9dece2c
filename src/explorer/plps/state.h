#ifndef EXPLORER_PLPS_STATE_H
#define EXPLORER_PLPS_STATE_H

#include "explorer/frame/editor.h"
#include "present/picture/picture.h"
#include "standard/atsc3/frame.h"

/* The state of the view of subframes and PLPs: the editor's lists, the frame that follows from
 * them, and its picture. */

struct plps_state {
    struct editor editor; /* first: its keys' functions find it here */
    unsigned revision, piped;
    bool framed; /* else `fault` says why there is no frame */
    struct frame frame;
    struct fault fault;
    struct picture picture;
};

/* Rows, frame and picture of what is on the desk now. */
void plps_follow(const struct desk *desk, struct plps_state *state);
void plps_follow_rows(const struct desk *desk, struct plps_state *state); /* the rows alone */
void plps_update(struct desk *desk, void *state, struct rect area);

/* The list at the left, the values at the right; one of them where it is narrow. */
struct plps_layout {
    struct rect list, divider, values, rule, picture;
};
struct plps_layout plps_layout(const struct plps_state *state, struct rect area);

/* The subframe that the selected row is, or lies in; the PLP that it is, or of a subframe its
 * first. */
int plps_subframe(const struct plps_state *state, const struct transmission *transmission);
int plps_plp(const struct plps_state *state, const struct transmission *transmission);

bool plps_is_subframe(const struct editor_row *row);

/* Of a subframe's cells: what its PLPs use, 0..1, and their net rates together. */
double plps_used(const struct plps_state *state, int subframe);
double plps_rate_mbps(const struct plps_state *state, const struct transmission *transmission,
                      int subframe);

#endif
