#ifndef EXPLORER_PLACE_STATE_H
#define EXPLORER_PLACE_STATE_H

#include "explorer/desk/desk.h"
#include "explorer/frame/cursor.h"
#include "explorer/frame/gallery.h"
#include "explorer/frame/layout.h"
#include "explorer/place/edit.h"
#include "present/picture/picture.h"

/* The state of the place view: the study of the stations on the desk, and a picture of it. */

enum place_picture { PICTURE_MARGIN, PICTURE_FIELD, PICTURE_MOTION };

struct place_state {
    struct cursor stations, rows; /* at: enum place_row */
    struct gallery gallery;       /* at: enum place_picture */
    unsigned revision;            /* of what follows */
    bool known;                   /* else `fault` says why not */
    struct place_study study;
    struct scenario of; /* the scenario of the study */
    struct fault fault;

    bool made; /* the picture is that of the study, of what is shown and of whom */
    int made_of, made_for;
    struct picture picture; /* empty: none could be made */
};

void place_update(struct desk *desk, void *state, struct rect area);

/* Where the table and the picture stand. */
#define PLACE_LABEL_COLUMNS 17
#define PLACE_STATION_COLUMNS 12
struct place_layout {
    struct rect table, rule, picture;
};
struct place_layout place_layout(struct rect area);

#endif
