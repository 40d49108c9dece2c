#ifndef PRESENT_TABLE_TABLE_H
#define PRESENT_TABLE_TABLE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/status.h"
#include "base/text.h"
#include "present/table/format.h"

/* A table of results, written as aligned text, CSV (RFC 4180), Markdown or JSON from one
 * description. A command fills it cell by cell, row after row, and writes it once. */

struct table_column {
    const char *name;  /* in JSON and CSV: "net_mbps" */
    const char *label; /* for people: "Net rate" */
    const char *unit;  /* "Mbit/s"; NULL or "": none */
    int decimals;      /* of numbers, in text and Markdown */
};

enum cell_type { CELL_NULL, CELL_NUMBER, CELL_WHOLE, CELL_WORD, CELL_BOOL, CELL_ROWS };

struct table_cell {
    enum cell_type type;
    int decimals; /* of a number where the column's do not fit this row; -1: the column's */
    double number;
    long whole;
    bool yes;
    char *word;         /* owned; of a cell that is no word, what people read in its place */
    struct table *rows; /* of CELL_ROWS; owned */
};

/* The names in the columns stay the caller's and must outlive the table. A failed allocation is
 * remembered in `failed`; table_write reports it. */
struct table {
    struct table_column *columns; /* owned */
    size_t column_count;
    struct table_cell *cells; /* row after row */
    size_t cell_count, capacity;
    bool failed;
};

struct table table_start(const struct table_column *columns, size_t column_count);
void table_free(struct table *table);
size_t table_row_count(const struct table *table);

/* The next cell. NAN and infinities are null; a word of NULL is null. Words are copied; malformed
 * UTF-8 and control characters in them become '?'. */
void table_number(struct table *table, double number);
void table_number_to(struct table *table, double number, int decimals);
void table_whole(struct table *table, long whole);
void table_word(struct table *table, const char *word);
void table_bool(struct table *table, bool yes);
void table_null(struct table *table);

/* What people read in place of the last cell; programs keep the cell. */
void table_read_as(struct table *table, const char *words);

/* A table within a cell, taken over: an array of objects in JSON, nothing elsewhere. */
void table_rows(struct table *table, struct table *rows);

/* Appends the table. Text has a line of labels, a line of units where there are any, and "-" for
 * null; JSON is an array of objects and ends with a line feed. STATUS_NO_MEMORY is the only
 * failure. */
enum status table_write(const struct table *table, enum format format, struct text *out);

/* ---- JSON that is more than one table. */

enum member_kind {
    MEMBER_OBJECT, /* the table's first row: {"net_mbps": ...} */
    MEMBER_ARRAY,  /* all rows: [{...}, ...] */
    MEMBER_LIST,   /* the first column alone: [..., ...] */
    MEMBER_VALUE   /* the first cell alone */
};

struct member {
    const char *name;
    enum member_kind kind;
    const struct table *table;
};

/* Appends {"NAME": ..., ...} in the order given and a line feed. */
enum status members_write_json(const struct member *members, size_t count, struct text *out);

#endif
