#ifndef PHYSICS_VSB_ROOM_H
#define PHYSICS_VSB_ROOM_H

#include <stddef.h>

#include "base/fourier.h"

/* Room to work in, for who asks many questions of like size: arrays and transforms are made at the
 * first that needs them and kept for the next. Starts as {0}. */

#define VSB_ROOM_SIZE_LEAST 256
#define VSB_ROOM_SIZES 10

enum vsb_room_use {
    ROOM_SPECTRUM,
    ROOM_FEEDBACK,
    ROOM_LEAN,
    ROOM_RHYTHM,
    ROOM_COLOUR,
    ROOM_LEANING,
    ROOM_USE_COUNT
};

struct vsb_room {
    struct fourier fourier[VSB_ROOM_SIZES];
    struct {
        void *memory;
        size_t bytes;
    } arrays[ROOM_USE_COUNT];
};

/* A transform of `size`, VSB_ROOM_SIZE_LEAST times 2^0 to 2^9; an array for one use, whose contents
 * hold until the next call for that use. The room keeps both. NULL: no memory. */
struct fourier *vsb_room_fourier(struct vsb_room *room, int size);
void *vsb_room_array(struct vsb_room *room, enum vsb_room_use use, size_t bytes);

void vsb_room_free(struct vsb_room *room);

#endif
