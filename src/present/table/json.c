/* Tables and members as JSON, by jansson: rows become objects, unknown figures null. */
#include "present/table/json.h"

#include <jansson.h>

static json_t *rows_json(const struct table *table, bool first_column_only);

static json_t *cell_json(const struct table_cell *cell)
{
    switch (cell->type) {
    case CELL_NULL:
        return json_null();
    case CELL_NUMBER:
        return json_real(cell->number);
    case CELL_WHOLE:
        return json_integer(cell->whole);
    case CELL_WORD:
        return json_string(cell->word);
    case CELL_BOOL:
        return json_boolean(cell->yes);
    case CELL_ROWS:
        return rows_json(cell->rows, false);
    }
    return NULL;
}

/* The json_..._new functions take over their value even when they fail, NULL included. */
static json_t *row_json(const struct table *table, size_t row)
{
    json_t *object = json_object();
    for (size_t c = 0; object && c < table->column_count; c++) {
        const struct table_cell *cell = &table->cells[row * table->column_count + c];
        if (json_object_set_new(object, table->columns[c].name, cell_json(cell)) != 0) {
            json_decref(object);
            return NULL;
        }
    }
    return object;
}

static json_t *rows_json(const struct table *table, bool first_column_only)
{
    json_t *array = json_array();
    for (size_t row = 0; array && row < table_row_count(table); row++) {
        json_t *value = first_column_only ? cell_json(&table->cells[row * table->column_count])
                                          : row_json(table, row);
        if (json_array_append_new(array, value) != 0) {
            json_decref(array);
            return NULL;
        }
    }
    return array;
}

static int append_dump(const char *bytes, size_t count, void *data)
{
    struct text *out = data;
    text_append_bytes(out, bytes, count);
    return out->failed ? -1 : 0;
}

/* Takes over `json`, which is NULL when memory ran out. */
static enum status dump(json_t *json, struct text *out)
{
    if (!json) {
        return STATUS_NO_MEMORY;
    }
    size_t flags = JSON_INDENT(2) | JSON_PRESERVE_ORDER | JSON_REAL_PRECISION(JSON_DIGITS);
    int failed = json_dump_callback(json, append_dump, out, flags);
    json_decref(json);
    text_append(out, "\n");
    return failed || out->failed ? STATUS_NO_MEMORY : STATUS_OK;
}

enum status table_append_json(const struct table *table, struct text *out)
{
    return dump(rows_json(table, false), out);
}

static json_t *member_json(const struct member *member)
{
    if (table_row_count(member->table) == 0 &&
        (member->kind == MEMBER_OBJECT || member->kind == MEMBER_VALUE)) {
        return json_null();
    }
    switch (member->kind) {
    case MEMBER_OBJECT:
        return row_json(member->table, 0);
    case MEMBER_ARRAY:
        return rows_json(member->table, false);
    case MEMBER_LIST:
        return rows_json(member->table, true);
    case MEMBER_VALUE:
        return cell_json(&member->table->cells[0]);
    }
    return NULL;
}

enum status members_write_json(const struct member *members, size_t count, struct text *out)
{
    json_t *object = json_object();
    for (size_t i = 0; object && i < count; i++) {
        if (members[i].table->failed ||
            json_object_set_new(object, members[i].name, member_json(&members[i])) != 0) {
            json_decref(object);
            return STATUS_NO_MEMORY;
        }
    }
    return dump(object, out);
}
