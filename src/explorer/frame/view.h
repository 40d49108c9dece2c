#ifndef EXPLORER_FRAME_VIEW_H
#define EXPLORER_FRAME_VIEW_H

/* How to add a view.
 *
 * 1. A folder src/explorer/NAME: state.c (what is shown, and how it follows the desk), draw.c (the
 *    grid), view.c (the keys, the mouse, and `const struct view view_NAME`). state <- draw <- view;
 *    `make check-layers` says so. A view includes nothing of another.
 * 2. Declare it in explorer.h and give it a row in explorer.c. None of its keys may be one of the
 *    explorer's own; a test looks for that.
 *
 * The frame draws the title, the words above the keys (what was said, and what `words` gives), the
 * keys and what lies over a view; a view draws the rectangle between. What a view needs:
 *  - scenario: desk->profile.scenario, report: desk->report (when desk->report_known). Compute what
 *    is shown in `update`, which runs after every event and keeps it in the view's own state;
 *    `draw` only draws.
 *  - change the scenario by desk_change: it is checked, can be undone, and every view sees it.
 *  - say something by desk_say; ask for a line of text by desk_ask.
 *  - files and other outside work: desk_ask_outside; keys must not touch files, time or terminal.
 *  - a long computation: a struct errand (desk/errand.h) in the view's state, asked for and looked
 *    at in `update`, which runs some 25 times a second while `busy` is true; freed in `close`.
 *  - items of a repeated section, added, removed and changed by the table of fields: struct editor
 *    (frame/editor.h) begins its state; one value alone is a row of frame/values.h.
 *  - geometry: derive it from the area, which `update`, `draw` and `mouse` get alike, so that the
 *    mouse hits what was drawn. Everything must stay usable at 80x24; smaller areas say so. */

#include "explorer/frame/keys.h"
#include "explorer/frame/layout.h"
#include "present/picture/picture.h"

struct view {
    const char *name;  /* "main": one word, for the line of views */
    const char *title; /* "Settings and what they withstand" */
    uint32_t key;      /* the character that opens it */
    const char *about; /* a paragraph for the help */
    /* False: the key does nothing with this profile, and is not told; NULL: all are. */
    bool (*tells)(const struct desk *desk, const struct key *row);
    const struct key *keys; /* ends with a row of NULLs */

    size_t state_size;
    void (*open)(const struct desk *desk, void *state); /* of a zeroed state */
    void (*close)(void *state);                         /* frees what lies in it */
    /* After every event; compare desk->revision to see whether the scenario is another. */
    void (*update)(struct desk *desk, void *state, struct rect area);
    void (*draw)(const struct desk *desk, const void *state, struct grid *grid, struct rect area);
    void (*mouse)(struct desk *desk, void *state, const struct event *event, struct rect area);

    /* The rest may be NULL. */
    void (*leave)(void *state); /* another view is shown from now on */
    bool (*busy)(const void *state);
    /* A line or two of plain words about what is selected. */
    void (*words)(const struct desk *desk, const void *state, struct text *out);
    /* A longer explanation of what is selected, for `i`. */
    void (*explain)(const struct desk *desk, const void *state, struct text *out);
    /* The picture shown, for export as a figure; false: none. The caller frees it. */
    bool (*picture)(const struct desk *desk, const void *state, struct picture *out);
    /* For lessons: shows the picture of this name from now on, where it has several; selects the
     * row of this name. False: not one of its own. */
    bool (*show)(void *state, const char *picture);
    bool (*select)(const struct desk *desk, void *state, const char *name);
    /* What `/` finds in it: rows whose text `select` knows. Items of these repeated sections
     * ("subframe plp") are found besides, and selected by "plp NAME". */
    void (*names)(const struct desk *desk, struct offer *out);
    const char *sections;
    /* What the title's right end tells of the channels, at most 80 bytes; NULL: the site. */
    void (*header)(const struct desk *desk, char *buffer, size_t size);
    /* True while every key is typed into the view itself (`type`), and no key is the explorer's. */
    bool (*typing)(const void *state);
    void (*type)(const struct call *call);
};

#endif
