/* Works the schedule out by walking the block rows as the kernels will. */
#include "simulation/ldpc/schedule.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

/* The rotation of slot `slot` once a reader with `shift` has had it. */
static int rotation_for(const struct ldpc_layout *layout, int shift, int slot)
{
    int vector = (slot + LDPC_LANES - shift) % layout->vectors;
    return (vector + shift) / layout->vectors % layout->lanes;
}

static uint16_t turn(const struct ldpc_layout *layout, int from, int to)
{
    return (uint16_t)((to - from + layout->lanes) % layout->lanes * layout->rotation_bytes);
}

/* True if an earlier edge of the same block row has the same column. */
static bool is_twin(const struct ldpc_code *code, int row, int edge)
{
    return edge > code->row_start[row] && code->edges[edge - 1].column == code->edges[edge].column;
}

static int count_twins(const struct ldpc_code *code, int row)
{
    int count = 0;
    for (int edge = code->row_start[row]; edge < code->row_start[row + 1]; edge++) {
        count += is_twin(code, row, edge);
    }
    return count;
}

static void rest(struct ldpc_schedule *schedule, int column, int shift)
{
    for (int slot = 0; slot < schedule->layout.vectors; slot++) {
        schedule->resting[column * schedule->layout.vectors + slot] =
            (uint16_t)rotation_for(&schedule->layout, shift, slot);
    }
}

/* Places of one edge, reading `column` as `resting` says. */
static void place_edge(const struct ldpc_schedule *schedule, struct ldpc_place *places, int degree,
                       int column, int shift, const uint16_t *resting)
{
    const struct ldpc_layout *layout = &schedule->layout;
    for (int vector = 0; vector < layout->vectors; vector++) {
        int slot = (vector + shift) % layout->vectors;
        int begin = (column * layout->vectors + slot) * (layout->slot_bytes / 8);
        uint32_t rotation = turn(layout, resting[slot], rotation_for(layout, shift, slot));
        places[vector * degree].word = rotation << 16 | (uint16_t)begin;
    }
}

/* Notes the twin and returns the column that stands in for its own. */
static int add_twin(struct ldpc_schedule *schedule, const struct ldpc_code *code, int row, int edge)
{
    const struct ldpc_layout *layout = &schedule->layout;
    int column = code->edges[edge].column, first = edge;
    while (is_twin(code, row, first)) {
        first--;
    }
    int number = schedule->twin_count++, of_row = 0;
    while (of_row < number && schedule->twins[number - 1 - of_row].row == row) {
        of_row++;
    }
    int copy = code->block_columns + 2 * of_row;
    schedule->twins[number] =
        (struct ldpc_twin){.row = row, .column = column, .copy = copy, .before = copy + 1};
    for (int slot = 0; slot < layout->vectors; slot++) {
        int stands = rotation_for(layout, code->edges[first].shift, slot);
        schedule->copy_rotations[number * layout->vectors + slot] =
            turn(layout, rotation_for(layout, code->edges[edge].shift, slot), stands);
        schedule->before_rotations[number * layout->vectors + slot] =
            turn(layout, schedule->resting[column * layout->vectors + slot], stands);
    }
    return copy;
}

static void walk(struct ldpc_schedule *schedule, const struct ldpc_code *code)
{
    int vectors = schedule->layout.vectors;
    schedule->twin_count = 0;
    for (int row = 0; row < code->block_rows; row++) {
        int start = code->row_start[row], degree = code->row_start[row + 1] - start;
        struct ldpc_place *places = schedule->update + start * vectors;
        for (int i = 0; i < degree; i++) {
            struct ldpc_edge edge = code->edges[start + i];
            int column = edge.column;
            if (is_twin(code, row, start + i)) {
                column = add_twin(schedule, code, row, start + i);
            }
            place_edge(schedule, places + i, degree, column, edge.shift,
                       schedule->resting + edge.column * vectors);
        }
        for (int i = 0; i < degree; i++) {
            if (!is_twin(code, row, start + i)) {
                rest(schedule, code->edges[start + i].column, code->edges[start + i].shift);
            }
        }
    }
}

static void place_checks(struct ldpc_schedule *schedule, const struct ldpc_code *code)
{
    int vectors = schedule->layout.vectors;
    for (int row = 0; row < code->block_rows; row++) {
        int start = code->row_start[row], degree = code->row_start[row + 1] - start;
        for (int i = 0; i < degree; i++) {
            struct ldpc_edge edge = code->edges[start + i];
            place_edge(schedule, schedule->check + start * vectors + i, degree, edge.column,
                       edge.shift, schedule->resting + edge.column * vectors);
        }
    }
}

enum status ldpc_schedule_build(struct ldpc_schedule *schedule, const struct ldpc_code *code,
                                struct ldpc_layout layout)
{
    size_t places = (size_t)code->edge_count * (size_t)layout.vectors;
    size_t slots = (size_t)code->block_columns * (size_t)layout.vectors;
    size_t twins = 1; /* one more than there are, so that none is no special case */
    int spare_columns = 0;
    for (int row = 0; row < code->block_rows; row++) {
        int count = count_twins(code, row);
        twins += (size_t)count;
        spare_columns = 2 * count > spare_columns ? 2 * count : spare_columns;
    }
    *schedule = (struct ldpc_schedule){
        .layout = layout,
        .spare_columns = spare_columns,
        .update = calloc(places, sizeof *schedule->update),
        .check = calloc(places, sizeof *schedule->check),
        .resting = calloc(slots, sizeof *schedule->resting),
        .twins = calloc(twins, sizeof *schedule->twins),
        .copy_rotations = calloc(twins * (size_t)layout.vectors, sizeof(uint16_t)),
        .before_rotations = calloc(twins * (size_t)layout.vectors, sizeof(uint16_t)),
    };
    if (!schedule->update || !schedule->check || !schedule->resting || !schedule->twins ||
        !schedule->copy_rotations || !schedule->before_rotations) {
        ldpc_schedule_free(schedule);
        return STATUS_NO_MEMORY;
    }
    /* The first walk finds how an iteration leaves the columns, the second starts from there. */
    walk(schedule, code);
    walk(schedule, code);
    place_checks(schedule, code);
    return STATUS_OK;
}

void ldpc_schedule_free(struct ldpc_schedule *schedule)
{
    free(schedule->update);
    free(schedule->check);
    free(schedule->resting);
    free(schedule->twins);
    free(schedule->copy_rotations);
    free(schedule->before_rotations);
    *schedule = (struct ldpc_schedule){0};
}
