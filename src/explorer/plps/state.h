#ifndef EXPLORER_PLPS_STATE_H
#define EXPLORER_PLPS_STATE_H

#include "explorer/frame/editor.h"
#include "present/picture/picture.h"
#include "system/system.h"

/* The state of the view of subframes and PLPs: the editor's lists, what each PLP then has of the
 * frame and carries, and the frame's picture. */

struct plps_state {
    struct editor editor; /* first: its keys' functions find it here */
    unsigned revision, piped;
    bool framed; /* else `fault` says why there is no frame */
    int count;   /* of PLPs */
    struct facts plps[PLPS_MAX];
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

/* False where the system has no subframes: its PLPs share one frame. */
bool plps_has_subframes(const struct scenario *scenario);

/* The subframe that the selected row is, or lies in; the PLP that it is, or of a subframe its
 * first. */
int plps_subframe(const struct plps_state *state, const struct scenario *scenario);
int plps_plp(const struct plps_state *state, const struct scenario *scenario);

bool plps_is_subframe(const struct editor_row *row);

/* In one subframe, or frame, with another one; a layer over a core uses the core's cells. */
bool plps_lie_together(const struct plps_state *state, int plp, int other);
bool plps_is_layer(const struct plps_state *state, int plp);

/* Of the subframe, or frame, that the PLP lies in: what all there use of its cells, 0..1, and their
 * net rates together. */
double plps_used(const struct plps_state *state, int plp);
double plps_rate_mbps(const struct plps_state *state, int plp);

#endif
