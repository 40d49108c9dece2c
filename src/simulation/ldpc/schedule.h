#ifndef SIMULATION_LDPC_SCHEDULE_H
#define SIMULATION_LDPC_SCHEDULE_H

#include <stdint.h>

#include "standard/ldpc.h"

/* How 360 lanes lie in vector registers so that cyclic shifts cost next to nothing.
 *
 * A block column's values lie in V slots (one register each) of L elements, V L = 360: bit lane b
 * is in slot b mod V. Reading with shift r brings lanes together again register by register: check
 * lanes j, j + V, j + 2V ... (vector j of the block row) are all in slot (j + r) mod V, only
 * rotated within the register by (j + r) div V elements. Results go back to the slot they came from
 * without turning back: a slot stays rotated as its last reader wanted it. As the order of block
 * rows never changes, each rotation from one reader to the next is known beforehand, and this
 * schedule lists them. Nothing has to wrap around but one register.
 *
 * Worked number: V = 6, L = 60, shift 350. Vector 0 is in slot 350 mod 6 = 2, rotated by 58: its
 * element 0 is bit lane 6 * 58 + 2 = 350, its element 2 is lane 6 * 0 + 2 = 2 = (12 + 350) mod 360.
 */

/* One register's worth of one edge, in one word, for loading is what hot loops have most of. In the
 * low half where its slot begins, in units of 8 bytes; in the high half its rotation: element e is
 * the slot's element (e + k) mod L, k times the layout's rotation_bytes. */
struct ldpc_place {
    uint32_t word;
};

static inline unsigned ldpc_place_slot(struct ldpc_place place)
{
    return place.word & 0xFFFF;
}

static inline unsigned ldpc_place_rotation(struct ldpc_place place)
{
    return place.word >> 16;
}

struct ldpc_layout {
    int vectors;        /* V */
    int lanes;          /* L = 360 / V */
    int slot_bytes;     /* distance of slots, a multiple of 8 */
    int rotation_bytes; /* size of an entry of the kernel's table of rotations */
};

/* Where an edge leads into a block column that an earlier edge of its block row has already (some
 * codes of 16200 bits), it works on a copy of the column; afterwards what the copy gained over the
 * column as it was before is added to the column. */
struct ldpc_twin {
    int row;
    int column;
    int copy, before; /* spare block columns, beyond the code's own */
};

struct ldpc_schedule {
    struct ldpc_layout layout;
    struct ldpc_place *update; /* block row by block row, vector by vector, edge by edge */
    struct ldpc_place *check;  /* the same, reading columns as a whole iteration leaves them */
    uint16_t *resting;         /* by column and slot: the rotation k an iteration leaves */
    int spare_columns;         /* the most that a block row's twins need */
    int twin_count;
    struct ldpc_twin *twins; /* by block row */
    /* By twin and slot: what turns the copy, and the column before, as the column now stands. */
    uint16_t *copy_rotations;
    uint16_t *before_rotations;
};

enum status ldpc_schedule_build(struct ldpc_schedule *schedule, const struct ldpc_code *code,
                                struct ldpc_layout layout);
void ldpc_schedule_free(struct ldpc_schedule *schedule);

#endif
