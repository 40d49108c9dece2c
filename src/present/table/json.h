#ifndef PRESENT_TABLE_JSON_H
#define PRESENT_TABLE_JSON_H

#include "present/table/table.h"

/* Tables and figures as JSON. */

/* Significant digits of numbers in JSON and CSV: finer than any figure's meaning, and free of the
 * tails of binary fractions (0.1, not 0.10000000000000001). */
#define JSON_DIGITS 12

/* The table as an array of objects, one a row. */
enum status table_append_json(const struct table *table, struct text *out);

#endif
