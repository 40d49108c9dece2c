/* Rooms in which receivers stand (outage.c) or through which they move (motion.c, and the test that
 * holds what it found). */
#ifndef TESTS_PROOF_ROOMS_H
#define TESTS_PROOF_ROOMS_H

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/units.h"
#include "physics/channel.h"

#define ROOM_RAYS_MAX 8
#define ROOM_REACH_US 38.5
#define ROOM_CENTRE_HZ 189e6

struct known_room {
    const char *name;
    int count;
    struct echo echoes[ROOM_RAYS_MAX];
};

enum known_room_place { ROOM_FLAT, ROOM_CITY, ROOM_HALL };

static const struct known_room known_rooms[] = {
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
static inline const struct known_room *known_room_named(const char *name)
{
    for (size_t i = 0; i < sizeof known_rooms / sizeof known_rooms[0]; i++) {
        if (strcmp(known_rooms[i].name, name) == 0) {
            return &known_rooms[i];
        }
    }
    return NULL;
}

/* The field at a position of it. */
static inline void motion_draw(const struct known_room *room, double kmh, int position,
                               struct channel *drawn)
{
    channel_start(drawn, ROOM_CENTRE_HZ);
    drawn->spread_hz = doppler_from_kmh(kmh, ROOM_CENTRE_HZ);
    for (int i = 0; i < room->count; i++) {
        char name[64];
        snprintf(name, sizeof name, "%s %d", room->name, i);
        channel_add(drawn, &room->echoes[i], name);
    }
    channel_draw(drawn, (uint64_t)position, drawn);
}

#endif
