#ifndef PRESENT_PICTURE_PICTURES_H
#define PRESENT_PICTURE_PICTURES_H

#include "present/picture/picture.h"
#include "study/reading/log.h"
#include "study/report/report.h"

/* The pictures of a scenario, by name: the explorer shows them on the grid, `draw` on paper. */

/* A part of a picture's horizontal axis, in its unit; high not above low: the whole. */
struct stretch {
    double low, high;
};

struct picture_case {
    const struct scenario *scenario;
    const struct report *report;        /* of that scenario */
    const struct report *pinned;        /* of another to compare; NULL: none */
    const struct pipes *pipes;          /* of the scenario's second generation; NULL: not told */
    const char *name;                   /* of the scenario's mode; NULL: its system's */
    const char *pinned_name;            /* NULL: "pinned" */
    const struct reading_log *readings; /* what `readings` draws; NULL: none */
    struct stretch stretch;             /* what part is drawn */
    const char *title, *date;           /* of a sheet; NULL: by its systems, and none */
};

/* The pipes where there are several to tell apart; else none. */
struct pipes picture_case_pipes(const struct picture_case *shown);

/* What a legend calls each. */
const char *picture_case_name(const struct picture_case *shown, enum generation generation);
const char *picture_case_pinned_name(const struct picture_case *shown);

/* Points of bit rate against required SNR: both generations and the pinned mode. */
bool pictures_add_modes(const struct picture_case *shown, struct picture *out);

struct picture_kind {
    const char *name;  /* as a user types it: "delays" */
    const char *title; /* as the explorer lists it */
    const char *help;  /* what it shows, for the list of kinds */
    bool (*make)(const struct picture_case *shown, struct picture *out);
    /* The explorer's view that shows it, so that a lesson can: "echo"; NULL: none, `draw` alone.
     * "main" is for what is ready within a key press. */
    const char *view;
    bool described; /* needs no verdicts: report_describe suffices */
    bool reads_log; /* shows `readings`, and nothing without them */
    bool compares;  /* shows the mode of `pinned` too */
    bool takes_snr; /* nothing to show where neither generation's is known */
};

size_t picture_kind_count(void); /* those of the main view first */
const struct picture_kind *picture_kind_row(size_t i);
const struct picture_kind *picture_kind_find(const char *name); /* NULL: none */

/* False when there is nothing to show, and errno is 0, or memory runs out, and it is ENOMEM; then
 * `out` is empty. The caller frees the picture. */
bool picture_kind_make(const struct picture_kind *kind, const struct picture_case *shown,
                       struct picture *out);

#endif
