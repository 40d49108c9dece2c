/* From the printed parity addresses to quasi-cyclic edges.
 *
 * Idea (ATSC A/322:2024-04, 6.1.3; structure B is also that of ETSI EN 302 755 V1.4.1, 6.1.2): bit
 * m of group g adds into check (x + m Q) mod M for every address x of the group's row. Numbering
 * check j = Q s + t as lane s of block row t makes that lane (x div Q + m) mod 360 of block row x
 * mod Q: a cyclic shift by x div Q. The accumulator p[j] ^= p[j - 1] joins lane s of block row t to
 * its own parity block column (shift 0) and to the one before it; for t = 0 that is the last one,
 * one lane down (shift 359), and for j = 0 nothing. Structure A does so twice: the first M1 checks
 * with Q1 = M1 / 360, then the other M2 with Q2, where addresses count from M1 on, the first M1
 * parity bits act as information, and there is no accumulator.
 *
 * Worked number: 64800 bits, rate 10/15: M = 21600, Q = 60; an address 615 joins block row
 * 615 mod 60 = 15, check lane s to bit lane s - 10, so shift 350. */
#include "standard/ldpc.h"

#include <stdbool.h>
#include <stdlib.h>

/* Where an address of the table leads. */
static int address_row(const struct ldpc_code *code, int address, int *shift)
{
    int first = 0, spread = code->accumulated_rows;
    if (address >= code->accumulated_rows * LDPC_LANES) {
        first = code->accumulated_rows;
        spread = code->block_rows - code->accumulated_rows;
    }
    int inside = address - first * LDPC_LANES;
    *shift = (LDPC_LANES - inside / spread) % LDPC_LANES;
    return first + inside % spread;
}

/* Walks the table. Counts the edges of block row t in counts[t] and, if `place` is not NULL, writes
 * them from place[t] on. */
static void walk_table(const struct ldpc_code *code, const struct ldpc_table *table, int *counts,
                       const int *place, struct ldpc_edge *edges)
{
    int group = 0;
    for (size_t word = 0; word < table->words; group++) {
        int count = table->addresses[word++];
        for (int i = 0; i < count; i++) {
            int shift;
            int row = address_row(code, table->addresses[word++], &shift);
            if (place) {
                edges[place[row] + counts[row]] =
                    (struct ldpc_edge){.column = (uint16_t)group, .shift = (uint16_t)shift};
            }
            counts[row]++;
        }
    }
}

static int parity_degree(const struct ldpc_code *code, int row)
{
    return row < code->accumulated_rows ? 2 : 1;
}

/* The parity edges come last in their block row. */
static void add_parity(struct ldpc_code *code)
{
    int first_column = code->information_bits / LDPC_LANES;
    for (int row = 0; row < code->block_rows; row++) {
        struct ldpc_edge *own = &code->edges[code->row_start[row + 1] - 1];
        own->column = (uint16_t)(first_column + row);
        if (row > 0 && row < code->accumulated_rows) {
            own[-1].column = (uint16_t)(first_column + row - 1);
        }
    }
    /* Block row 0's predecessor is the last of the accumulator, so there the order turns. */
    code->open_edge = code->row_start[1] - 1;
    struct ldpc_edge *own = &code->edges[code->open_edge - 1];
    own[0] = (struct ldpc_edge){.column = (uint16_t)first_column, .shift = 0};
    own[1] = (struct ldpc_edge){
        .column = (uint16_t)(first_column + code->accumulated_rows - 1),
        .shift = LDPC_LANES - 1,
    };
}

static void set_sizes(struct ldpc_code *code, const struct ldpc_table *table, int bits)
{
    *code = (struct ldpc_code){
        .structure = table->structure,
        .bits = bits,
        .information_bits = table->information_bits,
        .checks = bits - table->information_bits,
        .block_columns = bits / LDPC_LANES,
        .block_rows = (bits - table->information_bits) / LDPC_LANES,
        .accumulated_rows = table->accumulated_checks / LDPC_LANES,
    };
}

enum status ldpc_code_make(struct ldpc_code *code, const struct ldpc_table *table, int bits)
{
    *code = (struct ldpc_code){0};
    if (!table) {
        return STATUS_OUT_OF_RANGE;
    }
    set_sizes(code, table, bits);
    size_t rows = (size_t)code->block_rows;
    int *counts = calloc(rows, sizeof *counts);
    code->row_start = calloc(rows + 1, sizeof *code->row_start);
    if (!counts || !code->row_start) {
        free(counts);
        ldpc_code_free(code);
        return STATUS_NO_MEMORY;
    }
    walk_table(code, table, counts, NULL, NULL);
    for (int row = 0; row < code->block_rows; row++) {
        code->row_start[row + 1] = code->row_start[row] + counts[row] + parity_degree(code, row);
        counts[row] = 0;
    }
    code->edge_count = code->row_start[rows];
    code->edges = calloc((size_t)code->edge_count, sizeof *code->edges);
    if (!code->edges) {
        free(counts);
        ldpc_code_free(code);
        return STATUS_NO_MEMORY;
    }
    walk_table(code, table, counts, code->row_start, code->edges);
    add_parity(code);
    free(counts);
    return STATUS_OK;
}

void ldpc_code_free(struct ldpc_code *code)
{
    free(code->row_start);
    free(code->edges);
    *code = (struct ldpc_code){0};
}
