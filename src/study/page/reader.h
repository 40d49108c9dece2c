#ifndef STUDY_PAGE_READER_H
#define STUDY_PAGE_READER_H

#include "study/page/page.h"
#include "study/page/topics.h"

/* The state of reading a page, shared by page.c (lines) and tables.c. Private to
 * study/page*.c.
 */

#define COLUMNS_MAX 32

struct reader {
    struct page *page;
    struct atom *atoms;
    const char *line;
    int count;       /* atoms of the line */
    int line_number; /* from 1 */
    int plp;         /* under which heading */
    int line_plp;    /* said in this line */
    int subframe;
    enum topic header[COLUMNS_MAX]; /* the labels of a table's columns */
    int header_count;
    int plps[COLUMNS_MAX]; /* the PLPs of a table's columns */
    int plp_columns;
    bool failed;
};

bool reader_is_break(const struct reader *r, int at);
void reader_consume(struct reader *r, int from, int to);
void reader_keep_entry(struct reader *r, enum topic topic, const struct value *value, int first);

/* A topic's value in atoms [from, to); the entry's text starts at atom `first`. */
bool reader_read_value(struct reader *r, enum topic topic, enum unit hint, int first, int from,
                       int to);

/* ---- Tables. Each is false where the line is not of its kind. */

bool table_read_header(struct reader *r);      /* a row of labels */
bool table_read_row(struct reader *r);         /* a row of values under it */
bool table_read_plp_columns(struct reader *r); /* "PLP 0   PLP 1" */

/* Values for each PLP of a table's columns, from atom `at` on: as many cells as there are PLPs. */
bool table_read_plp_cells(struct reader *r, enum topic topic, int first, int at);

/* A line that says nothing but a PLP's number: it starts that PLP's part of the page. */
bool table_is_heading(const struct reader *r);

#endif
