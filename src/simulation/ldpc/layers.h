/* What every vector kernel shares: the walk over block rows with its special cases, the parity
 * check, the way in and out, and the kernel itself. Included once by each kernel's source file,
 * through its rule's min_sum_rows.h or sum_product_rows.h, after there is
 *
 *   KERNEL                  its name
 *   element, vec            one value, and a register of them
 *   VECTORS, LANES, SLOT_BYTES, ROTATION_BYTES      the layout
 *   FAR                     a value surer than any message
 *   is_negative(element)   by its sign bit
 *   slot_read(slot)         a register as it lies
 *   slot_read_turned(slot, rotation)    element e is the slot's element (e + k) mod LANES
 *   slot_write(slot, vec)   ready to be read turned
 *   vec_add, vec_sub        saturating with bytes
 *   vec_xor                 of all bits
 *   vec_any_negative(vec, skip)         any of the LANES elements from `skip` on
 *
 * and followed by prepare and update_row, one block row's rule; by load and store too where
 * OWN_WAY_IN_AND_OUT is defined. See schedule.h for how lanes lie. */
#include <string.h>

/* Degrees of most block rows, for loops of their own, whose values stay in registers. */
#define EACH_OWN_DEGREE(loop)                                                                   \
    loop(3) loop(4) loop(5) loop(6) loop(7) loop(8) loop(9) loop(10) loop(11) loop(12) loop(13) \
        loop(14) loop(16) loop(17) loop(22)

static void prepare(const float *llr, void *elements, int count);
static void load(struct ldpc_work *work, const void *elements);
static void update_row(const struct ldpc_work *work, const struct ldpc_place *places,
                       unsigned char *messages, int degree);
static void store(const struct ldpc_work *work, uint8_t *bits);

static inline unsigned char *place_slot(const struct ldpc_work *work, struct ldpc_place place)
{
    return work->posterior + (size_t)ldpc_place_slot(place) * 8;
}

/* A register as the place's reader wants it. */
static inline vec place_read(const unsigned char *posterior, struct ldpc_place place)
{
    return slot_read_turned(posterior + (size_t)ldpc_place_slot(place) * 8,
                            ldpc_place_rotation(place));
}

static inline void place_write(unsigned char *posterior, struct ldpc_place place, vec value)
{
    slot_write(posterior + (size_t)ldpc_place_slot(place) * 8, value);
}

static inline unsigned char *column_slot(const struct ldpc_work *work, int column, int slot)
{
    return work->posterior + ((size_t)column * VECTORS + (size_t)slot) * SLOT_BYTES;
}

static inline size_t turned_element(struct ldpc_place place)
{
    return ldpc_place_rotation(place) / ROTATION_BYTES;
}

/* The accumulator's first check has no predecessor: while block row 0 is at work, lane 0 of the
 * open edge reads a value that decides nothing. */
static element open_lane(struct ldpc_work *work, struct ldpc_place place)
{
    element *lane = (element *)(void *)place_slot(work, place) + turned_element(place),
            kept = *lane;
    *lane = FAR;
    return kept;
}

static void close_lane(struct ldpc_work *work, struct ldpc_place place, element kept,
                       unsigned char *message)
{
    vec turned = slot_read(place_slot(work, place));
    element lanes[sizeof(vec) / sizeof(element)];
    memcpy(lanes, &turned, sizeof turned);
    lanes[0] = kept;
    memcpy(&turned, lanes, sizeof turned);
    slot_write(place_slot(work, place), turned);
    *(element *)(void *)message = 0;
}

static void copy_twin(struct ldpc_work *work, const struct ldpc_twin *twin)
{
    unsigned char *column = column_slot(work, twin->column, 0);
    memcpy(column_slot(work, twin->copy, 0), column, (size_t)VECTORS * SLOT_BYTES);
    memcpy(column_slot(work, twin->before, 0), column, (size_t)VECTORS * SLOT_BYTES);
}

static void merge_twin(struct ldpc_work *work, int number)
{
    const struct ldpc_twin *twin = &work->schedule.twins[number];
    for (int slot = 0; slot < VECTORS; slot++) {
        unsigned char *own = column_slot(work, twin->column, slot);
        int place = number * VECTORS + slot;
        vec copy = slot_read_turned(column_slot(work, twin->copy, slot),
                                    work->schedule.copy_rotations[place]);
        vec was = slot_read_turned(column_slot(work, twin->before, slot),
                                   work->schedule.before_rotations[place]);
        slot_write(own, vec_add(slot_read(own), vec_sub(copy, was)));
    }
}

static void iterate(struct ldpc_work *work)
{
    const struct ldpc_code *code = work->code;
    const struct ldpc_schedule *schedule = &work->schedule;
    int twin = 0;
    for (int row = 0; row < code->block_rows; row++) {
        int start = code->row_start[row], degree = code->row_start[row + 1] - start, last = twin;
        const struct ldpc_place *places = schedule->update + start * VECTORS;
        unsigned char *messages = work->messages + (size_t)(start * VECTORS) * sizeof(vec);
        while (last < schedule->twin_count && schedule->twins[last].row == row) {
            copy_twin(work, &schedule->twins[last++]);
        }
        if (row == 0) {
            int open = code->open_edge;
            element kept = open_lane(work, places[open]);
            update_row(work, places, messages, degree);
            close_lane(work, places[open], kept, messages + (size_t)open * sizeof(vec));
        } else {
            update_row(work, places, messages, degree);
        }
        while (twin < last) {
            merge_twin(work, twin++);
        }
    }
}

static inline vec row_parity(const struct ldpc_work *work, const struct ldpc_place *places,
                             int degree)
{
    vec parity = place_read(work->posterior, places[0]);
    for (int i = 1; i < degree; i++) {
        parity = vec_xor(parity, place_read(work->posterior, places[i]));
    }
    return parity;
}

/* The first check alone, without the edge that does not exist. */
static bool first_check_holds(const struct ldpc_work *work)
{
    const struct ldpc_place *places = work->schedule.check;
    bool odd = false;
    for (int i = 0; i < work->code->row_start[1]; i++) {
        const element *slot = (const element *)(const void *)place_slot(work, places[i]);
        odd ^= i != work->code->open_edge && is_negative(slot[turned_element(places[i])]);
    }
    return !odd;
}

static bool check(const struct ldpc_work *work)
{
    const struct ldpc_code *code = work->code;
    for (int row = 0; row < code->block_rows; row++) {
        int start = code->row_start[row], degree = code->row_start[row + 1] - start;
        const struct ldpc_place *places = work->schedule.check + start * VECTORS;
        for (int vector = 0; vector < VECTORS; vector++) {
            vec parity = row_parity(work, places + vector * degree, degree);
            if (vec_any_negative(parity, row == 0 && vector == 0)) {
                return false;
            }
        }
    }
    return first_check_holds(work);
}

#ifndef OWN_WAY_IN_AND_OUT
/* Element e of a slot at rest is bit lane VECTORS * ((e + k) mod LANES) + slot. */
static void load(struct ldpc_work *work, const void *elements)
{
    for (int place = 0; place < work->code->block_columns * VECTORS; place++) {
        const element *bits = elements;
        bits += place / VECTORS * LDPC_LANES + place % VECTORS;
        int resting = work->schedule.resting[place];
        element lanes[sizeof(vec) / sizeof(element)] = {0};
        vec all;
        for (int e = 0; e < LANES; e++) {
            int turned = e + resting;
            lanes[e] = bits[VECTORS * (turned < LANES ? turned : turned - LANES)];
        }
        memcpy(&all, lanes, sizeof all);
        slot_write(column_slot(work, 0, place), all);
    }
}

static void store(const struct ldpc_work *work, uint8_t *bits)
{
    for (int place = 0; place < work->code->block_columns * VECTORS; place++) {
        const element *lanes = (const element *)(const void *)column_slot(work, 0, place);
        uint8_t *to = bits + place / VECTORS * LDPC_LANES + place % VECTORS;
        int resting = work->schedule.resting[place], ahead = LANES - resting;
        for (int e = 0; e < ahead; e++) {
            to[VECTORS * (e + resting)] = is_negative(lanes[e]);
        }
        for (int e = ahead; e < LANES; e++) {
            to[VECTORS * (e - ahead)] = is_negative(lanes[e]);
        }
    }
}
#endif

const struct ldpc_kernel KERNEL = {
    .layout = {.vectors = VECTORS,
               .lanes = LANES,
               .slot_bytes = SLOT_BYTES,
               .rotation_bytes = ROTATION_BYTES},
    .element_bytes = sizeof(element),
    .register_bytes = sizeof(vec),
    .prepare = prepare,
    .load = load,
    .iterate = iterate,
    .check = check,
    .store = store,
};
