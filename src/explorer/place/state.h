#ifndef EXPLORER_PLACE_STATE_H
#define EXPLORER_PLACE_STATE_H

#include "explorer/desk/desk.h"
#include "explorer/desk/errand.h"
#include "explorer/frame/cursor.h"
#include "explorer/frame/gallery.h"
#include "explorer/frame/layout.h"
#include "explorer/place/edit.h"
#include "present/picture/picture.h"

/* The state of the place view: the stations on the desk, what follows from them, a picture of it.
 */

/* What is shown follows beside the interface: echoes make it long. */
struct place_answer {
    struct scenario scenario;
    struct report report; /* of it, for the picture of reflectors */
    int station;          /* the selected one, whose reflectors and methods */
    const struct picture_kind *picture;
    struct place_study before; /* of stations of which not all may have changed; none: no count */

    bool known; /* else `fault` says why not */
    struct place_study study;
    struct fault fault;
    struct picture drawn; /* empty: none could be made */
};

struct place_state {
    struct cursor stations, rows;
    struct gallery gallery;
    struct errand errand; /* its boxes are struct place_answer */
    unsigned revision;    /* asked for, with what follows */
    int picture, station;
    int station_columns; /* as wide as the names, where all stations have room for that */
};

/* The answer to what is on the desk; NULL: it is under way. */
const struct place_answer *place_answer(const struct place_state *state);

void place_open(struct place_state *state);
void place_update(struct desk *desk, void *state, struct rect area);

/* Where the table and the picture stand. */
#define PLACE_LABEL_COLUMNS 19
#define PLACE_STATION_COLUMNS 12 /* the least */
struct place_layout {
    struct rect table, rule, picture;
};
struct place_layout place_layout(const struct scenario *scenario, struct rect area);

#endif
