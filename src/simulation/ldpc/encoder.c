/* Encoding on the quasi-cyclic form: each block row sums its known block columns, 360 lanes at
 * once, into the place of its parity bits; the accumulator then runs through its checks in the
 * standard's own order j = Q s + t. */
#include "simulation/ldpc/encoder.h"

#include <string.h>

static void add_rotated(uint8_t *sum, const uint8_t *column, int shift)
{
    int head = LDPC_LANES - shift;
    for (int lane = 0; lane < head; lane++) {
        sum[lane] ^= column[shift + lane];
    }
    for (int lane = head; lane < LDPC_LANES; lane++) {
        sum[lane] ^= column[lane - head];
    }
}

/* Sums what block row `row` knows (all but its parity edges) into its own parity block column. */
static void sum_row(const struct ldpc_code *code, int row, int parity_edges, uint8_t *bits)
{
    uint8_t *sum = bits + code->information_bits + row * LDPC_LANES;
    memset(sum, 0, LDPC_LANES);
    for (int edge = code->row_start[row]; edge < code->row_start[row + 1] - parity_edges; edge++) {
        add_rotated(sum, bits + code->edges[edge].column * LDPC_LANES, code->edges[edge].shift);
    }
}

/* Check j = Q s + t of Q block rows adds its sum to the parity bit before it: within lane s from
 * block row to block row, from its last block row to the next lane's first. Sums of whole lanes
 * tell where each lane begins; then all lanes run side by side. */
static void accumulate(uint8_t *parity, int rows)
{
    uint8_t running[LDPC_LANES] = {0}, before = 0;
    for (int row = 0; row < rows; row++) {
        for (int lane = 0; lane < LDPC_LANES; lane++) {
            running[lane] ^= parity[row * LDPC_LANES + lane];
        }
    }
    for (int lane = 0; lane < LDPC_LANES; lane++) {
        uint8_t after = before ^ running[lane];
        running[lane] = before;
        before = after;
    }
    for (int row = 0; row < rows; row++) {
        for (int lane = 0; lane < LDPC_LANES; lane++) {
            running[lane] ^= parity[row * LDPC_LANES + lane];
            parity[row * LDPC_LANES + lane] = running[lane];
        }
    }
}

void ldpc_encode(const struct ldpc_code *code, uint8_t *bits)
{
    for (int row = 0; row < code->accumulated_rows; row++) {
        sum_row(code, row, 2, bits);
    }
    accumulate(bits + code->information_bits, code->accumulated_rows);
    for (int row = code->accumulated_rows; row < code->block_rows; row++) {
        sum_row(code, row, 1, bits);
    }
}
