/* Rooms that receivers move through, for motion.c and for the test that holds what it found. */
#ifndef TESTS_PROOF_MOTION_H
#define TESTS_PROOF_MOTION_H

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/units.h"
#include "physics/channel.h"

#define MOTION_RAYS_MAX 8
#define MOTION_REACH_US 38.5
#define MOTION_CENTRE_HZ 189e6

struct motion_room {
    const char *name;
    int count;
    struct echo echoes[MOTION_RAYS_MAX];
};

static const struct motion_room motion_rooms[] = {
    {"flat",
     5,
     {{0.028, -3.0, NAN, 0.0},
      {0.061, -5.0, NAN, 0.0},
      {0.11, -4.0, NAN, 0.0},
      {0.17, -8.0, NAN, 0.0},
      {0.42, -6.0, NAN, 0.0}}},
    {"city",
     5,
     {{-0.2, -3.0, NAN, 0.0},
      {0.3, -2.0, NAN, 0.0},
      {1.4, -6.0, NAN, 0.0},
      {2.1, -8.0, NAN, 0.0},
      {4.8, -10.0, NAN, 0.0}}},
    {"hall",
     8,
     {{0.1, -6.4, NAN, 0.0},
      {0.2, -10.4, NAN, 0.0},
      {0.4, -9.0, NAN, 0.0},
      {0.6, -9.3, NAN, 0.0},
      {0.8, -9.7, NAN, 0.0},
      {1.6, -11.2, NAN, 0.0},
      {3.1, -10.9, NAN, 0.0},
      {9.0, -11.1, NAN, 0.0}}},
};

/* NULL: there is none of that name. */
static inline const struct motion_room *motion_room_named(const char *name)
{
    for (size_t i = 0; i < sizeof motion_rooms / sizeof motion_rooms[0]; i++) {
        if (strcmp(motion_rooms[i].name, name) == 0) {
            return &motion_rooms[i];
        }
    }
    return NULL;
}

/* The field at a position of it. */
static inline void motion_draw(const struct motion_room *room, double kmh, int position,
                               struct channel *drawn)
{
    channel_start(drawn, MOTION_CENTRE_HZ);
    drawn->spread_hz = doppler_from_kmh(kmh, MOTION_CENTRE_HZ);
    for (int i = 0; i < room->count; i++) {
        char name[64];
        snprintf(name, sizeof name, "%s %d", room->name, i);
        channel_add(drawn, &room->echoes[i], name);
    }
    channel_draw(drawn, (uint64_t)position, drawn);
}

#endif
