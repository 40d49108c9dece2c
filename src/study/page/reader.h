#ifndef STUDY_PAGE_READER_H
#define STUDY_PAGE_READER_H

#include "study/page/page.h"
#include "study/page/span.h"

/* The state of reading a page, shared by page.c (lines), tables.c, plps.c and codes.c. Private to
 * study/page. */

#define COLUMNS_MAX 32

/* Where a dump of the L1 signalling stands: codes.c. */
#define L1_COUNTS_MAX 300
struct l1_state {
    bool in_detail, extended, inter;
    bool of_t2; /* the page has names that stand in dumps of DVB-T2's signalling only */
    int index;  /* of the PLP, in brackets behind the name; -1: none */
    int ids[PAGE_PLP_MAX + 1]; /* by that index */
    int plps_told, plps_seen;  /* in this subframe; told -1: not */
    int subframes_told;        /* -1: not */
    int raw, corrected;        /* counts that fit what was seen in one way or the other */
    int count_count;
    size_t counts[L1_COUNTS_MAX]; /* entries that may be one short */
};

struct reader {
    struct page *page;
    struct atom *atoms;
    const char *line;
    size_t length;   /* of the line */
    int count;       /* atoms of the line */
    int grown;       /* atoms that were added to the part being read */
    int line_number; /* from 1 */
    int plp;         /* under which heading; -1: none */
    int line_plp;    /* said in this line; -1: none */
    int loose_plp;   /* named by the last line that named one and was no heading */
    int subframe;
    bool of_mode;                   /* the line: see span */
    bool commas_part;               /* cells of the table end with commas */
    enum topic header[COLUMNS_MAX]; /* the labels of a table's columns */
    enum unit header_units[COLUMNS_MAX];
    int header_count;
    int plps[COLUMNS_MAX]; /* the PLPs of a table's columns */
    int plp_columns;
    struct l1_state l1;
    bool failed;
};

/* Atoms [from, to) of the line. */
struct span reader_span(const struct reader *r, int from, int to, enum unit hint, bool labelled);

/* Reads atoms [from, to) of the line as labels and values. */
void reader_read_cells(struct reader *r, int from, int to);

bool reader_is_break(const struct reader *r, int at);
void reader_consume(struct reader *r, int from, int to);
void reader_keep_entry(struct reader *r, enum topic topic, const struct value *value, int first);

/* Keeps what a topic's reader found, as an entry or as what cannot be; its text starts at atom
 * `first`. */
void reader_keep(struct reader *r, enum topic topic, enum fit fit, const struct value *value,
                 int first);

/* Takes what needs no label out of atoms [from, to): all of it, or what `read` finds. */
void reader_read_evident(struct reader *r, int from, int to);
void reader_read_by(struct reader *r, int from, int to,
                    enum fit (*read)(const struct span *span, int at, struct value *value));

/* A topic's value in atoms [from, to); the entry's text starts at atom `first`. */
bool reader_read_value(struct reader *r, enum topic topic, enum unit hint, int first, int from,
                       int to);

/* ---- Tables. Each is false where the line is not of its kind. */

bool table_read_header(struct reader *r);      /* a row of labels */
bool table_read_row(struct reader *r);         /* a row of values under it */
bool table_read_plp_columns(struct reader *r); /* "PLP 0   PLP 1" */

/* Values for each PLP of a table's columns, from atom `at` on: as many cells as there are PLPs. */
bool table_read_plp_cells(struct reader *r, enum topic topic, int first, int at);
bool table_read_bare_cells(struct reader *r); /* the same of a row without a label */

/* ---- Dumps of the L1 signalling: codes.c. */

/* Reads the fields that stand in the line; false: none does. */
bool codes_read_line(struct reader *r);
/* The same of DVB-T2's, on a page that is a dump of them; its names are words of every page. */
bool codes_read_t2_line(struct reader *r);
/* At the page's end: which counts were one short. */
void codes_finish(struct reader *r);

/* ---- PLPs' names: plps.c. */

/* Reads a line with the PLPs that it names, or its heading. */
void plps_read_line(struct reader *r);
/* "PLPs: 0, 1, 4" from atom `from` to the line's end; false: no list of at least two. */
bool plps_read_list(struct reader *r, int from);
/* Takes the one PLP's name out of the line and tells it; -1: there is none, or several. */
int plps_take_only(struct reader *r);

#endif
