/* Arrays only grow. */
#include "physics/vsb/room.h"

#include <stdlib.h>

struct fourier *vsb_room_fourier(struct vsb_room *room, int size)
{
    int i = 0;
    while (VSB_ROOM_SIZE_LEAST << i < size) {
        i++;
    }
    struct fourier *fourier = &room->fourier[i];
    if (fourier->size == 0 && fourier_make(size, fourier) != STATUS_OK) {
        fourier_free(fourier);
        return NULL;
    }
    return fourier;
}

void *vsb_room_array(struct vsb_room *room, enum vsb_room_use use, size_t bytes)
{
    if (room->arrays[use].bytes < bytes) {
        free(room->arrays[use].memory);
        room->arrays[use].memory = malloc(bytes);
        room->arrays[use].bytes = room->arrays[use].memory != NULL ? bytes : 0;
    }
    return room->arrays[use].memory;
}

void vsb_room_free(struct vsb_room *room)
{
    for (int i = 0; i < VSB_ROOM_SIZES; i++) {
        fourier_free(&room->fourier[i]);
    }
    for (int i = 0; i < ROOM_USE_COUNT; i++) {
        free(room->arrays[i].memory);
    }
    *room = (struct vsb_room){0};
}
