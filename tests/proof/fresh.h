/* Rooms drawn by a seed before anything was compared with them, and never used to fit a model: two
 * to six rays each, by turns as short as in a room, as long as in a town, or anywhere within the
 * equaliser's reach. Every second receiver stands still among rays that turn; how far it reaches
 * and how fast it learns is drawn too (tests/proof/decisions.c, prediction.c). Motions are rooms in
 * which all rays turn whole turns in a common time, slow or fast (learning.c). The numbers were
 * settled first and stand as they were drawn. */
#ifndef TESTS_PROOF_FRESH_H
#define TESTS_PROOF_FRESH_H

#include <math.h>
#include <stdbool.h>

#include "base/random.h"
#include "physics/echo.h"
#include "physics/vsb/equaliser.h"
#include "standard/vsb/signal.h"

#define FRESH_SEED 20261128
#define FRESH_ROOMS 48
#define LATER_SEED 20261201
#define LATER_ROOMS 48
#define FRESH_MOTIONS 24
#define LEARNER_SEED 20261129
#define LEARNER_ROOMS 192
#define WIDE_SEED 20261203
#define WIDE_ROOMS 96
#define LAST_SEED 20261207
#define LAST_ROOMS 192
#define FRESH_RAYS 5 /* behind the main one */

struct fresh {
    int count;
    struct echo echoes[FRESH_RAYS];
    double reach_us, step; /* of the first generation's receiver; step 0: ideal taps */
    bool moves;
    bool slicer; /* what the nearest level feeds back is looked at too: at rest, for while rays turn
         it settles for minutes of a processor */
    double snr_db, turn_hz; /* of motions alone */
};

static inline double fresh_between(struct random *random, double low, double high)
{
    return low + (high - low) * random_uniform(random);
}

static inline double fresh_delay_us(struct random *random, int kind, double reach_us)
{
    double chance = random_uniform(random), part = random_uniform(random);
    switch (kind) {
    case 0:
        return 0.01 - 0.15 * log(1.0 - part);
    case 1:
        return chance < 0.25 ? -3.0 * part : fmin(-1.5 * log(1.0 - part), 0.8 * reach_us);
    default:
        return chance < 0.25 ? -0.5 * reach_us * part : 0.8 * reach_us * part;
    }
}

static inline void fresh_rays(struct random *random, int kind, double strongest_db,
                              struct fresh *fresh)
{
    static const double reaches_us[] = {8.0, 12.0, 20.0};
    fresh->reach_us = reaches_us[(int)(3.0 * random_uniform(random))];
    fresh->count = 1 + (int)(FRESH_RAYS * random_uniform(random));
    for (int i = 0; i < fresh->count; i++) {
        double delay_us = fresh_delay_us(random, kind, fresh->reach_us);
        double far_db = kind == 0 ? 0.0 : 0.3 * fabs(delay_us);
        fresh->echoes[i] = (struct echo){
            .delay_us = round(1e3 * delay_us) / 1e3,
            .level_db =
                round(10.0 * (fresh_between(random, strongest_db - 9.0, strongest_db) - far_db)) /
                10.0,
            .phase_deg = round(360.0 * random_uniform(random)),
        };
    }
}

/* Every other ray or so turns, the first of them always. */
static inline void fresh_turns(struct random *random, struct fresh *fresh)
{
    for (int i = 0; i < fresh->count && fresh->moves; i++) {
        double turns = random_uniform(random), sign = random_uniform(random) < 0.5 ? -1.0 : 1.0;
        double hz = 0.2 * pow(20.0, random_uniform(random));
        fresh->echoes[i].doppler_hz =
            i == 0 || turns < 0.5 ? sign * round(100.0 * hz) / 100.0 : 0.0;
    }
}

/* A room at rest, or one in which rays turn, by turns. */
static inline struct fresh fresh_drawn(struct random *random, int number)
{
    static const double steps[] = {0.0, 0.05, 0.1, 0.2};
    struct fresh fresh = {.moves = number % 2 == 1,
                          .slicer = number % 2 == 0 && number / 3 % 3 == 2};
    fresh_rays(random, number % 3, -3.0, &fresh);
    double step = random_uniform(random);
    fresh.step = fresh.moves ? steps[1 + (int)(3.0 * step)] : steps[(int)(4.0 * step)];
    fresh_turns(random, &fresh);
    return fresh;
}

static inline struct fresh fresh_room(int number)
{
    struct random random = random_seeded(FRESH_SEED, (uint64_t)number);
    return fresh_drawn(&random, number);
}

/* Rooms like those, drawn when those had been seen; what the nearest level feeds back is not looked
 * at. Their streams go on where those of fresh_room end. */
static inline struct fresh fresh_later(int number)
{
    struct random random = random_seeded(LATER_SEED, (uint64_t)(FRESH_ROOMS + number));
    struct fresh fresh = fresh_drawn(&random, number);
    fresh.slicer = false;
    return fresh;
}

/* Rooms of receivers that learn, two of three among rays that turn. The first LEARNER_SEEN of them
 * made the model of what wrong decisions teach; it has not seen the others. */
#define LEARNER_SEEN 96
static inline struct fresh fresh_learner(int number)
{
    static const double steps[] = {0.05, 0.1, 0.2};
    struct random random = random_seeded(LEARNER_SEED, (uint64_t)number);
    struct fresh fresh = {.moves = number % 3 != 0};
    fresh_rays(&random, number / 3 % 3, -3.0, &fresh);
    fresh.step = steps[(int)(3.0 * random_uniform(&random))];
    fresh_turns(&random, &fresh);
    return fresh;
}

static inline double fresh_wide_us(struct random *random, int kind, double reach_us)
{
    double chance = random_uniform(random), part = random_uniform(random);
    double apart_us = VSB_DOUBT_SYMBOLS * vsb_symbol_us();
    switch (kind) {
    case 3: { /* near what one trellis encoder sends next */
        double rounds = 1.0 + floor(part * fmin(16.0, 0.8 * reach_us / apart_us));
        double beside_us = chance < 0.5 ? 0.0 : fresh_between(random, -1.5, 1.5) * vsb_symbol_us();
        return (part < 0.2 && chance >= 0.5 ? -0.3 : 1.0) * (rounds * apart_us + beside_us);
    }
    default: { /* as likely short as long */
        double delay_us = 0.02 * pow(0.9 * reach_us / 0.02, part);
        return chance < 0.2 ? -0.4 * delay_us : delay_us;
    }
    }
}

/* Rooms drawn far more widely, and stronger: by turns kinds as above, rays a round of the twelve
 * encoders apart, one ray, some. Every fourth turns if its receiver learns. */
static inline struct fresh fresh_widely(uint64_t seed, int number)
{
    static const double steps[] = {0.0, 0.0, 0.05, 0.1, 0.2},
                        reaches_us[] = {8.0, 12.0, 20.0, 29.5};
    struct random random = random_seeded(seed, (uint64_t)number);
    int kind = number % 6;
    double strongest_db = fresh_between(&random, -7.0, -1.0);
    struct fresh fresh = {.reach_us = reaches_us[(int)(4.0 * random_uniform(&random))]};
    fresh.step = steps[(int)(5.0 * random_uniform(&random))];
    fresh.moves = fresh.step > 0.0 && number % 4 == 3;
    fresh.count = kind == 4 ? 1 : 1 + (int)(FRESH_RAYS * random_uniform(&random));
    for (int i = 0; i < fresh.count; i++) {
        double delay_us = kind < 3 ? fresh_delay_us(&random, kind, fresh.reach_us)
                                   : fresh_wide_us(&random, kind, fresh.reach_us);
        double weaker_db = i == 0 && kind >= 3 ? 0.0 : 9.0 * random_uniform(&random);
        double far_db = kind == 1 || kind == 2 ? 0.3 * fabs(delay_us) : 0.0;
        fresh.echoes[i] = (struct echo){
            .delay_us = round(1e3 * delay_us) / 1e3,
            .level_db = round(10.0 * (strongest_db - weaker_db - far_db)) / 10.0,
            .phase_deg = round(360.0 * random_uniform(&random)),
        };
    }
    fresh_turns(&random, &fresh);
    return fresh;
}

static inline struct fresh fresh_wide(int number)
{
    return fresh_widely(WIDE_SEED, number);
}

/* Rooms drawn as widely when all those before had been seen and fitted to. */
static inline struct fresh fresh_last(int number)
{
    return fresh_widely(LAST_SEED, number);
}

/* All rays come round once in 1 / turn_hz. */
static inline struct fresh fresh_motion(int number)
{
    static const double steps[] = {0.05, 0.1, 0.2};
    struct random random = random_seeded(FRESH_SEED, 1000 + (uint64_t)number);
    struct fresh fresh = {.moves = true, .slicer = false};
    fresh_rays(&random, number % 3, -6.0, &fresh);
    fresh.step = steps[(int)(3.0 * random_uniform(&random))];
    fresh.snr_db = round(fresh_between(&random, 15.0, 23.0));
    fresh.turn_hz = round(20.0 * pow(20.0, random_uniform(&random))) / 10.0;
    for (int i = 0; i < fresh.count; i++) {
        double sign = random_uniform(&random) < 0.5 ? -1.0 : 1.0;
        int turns = i == 0 ? 1 : (int)(4.0 * random_uniform(&random));
        fresh.echoes[i].doppler_hz = turns > 0 ? sign * turns * fresh.turn_hz : 0.0;
    }
    return fresh;
}

#endif
