/* Four metrics an encoder; for each step and state, where the survivor came from and which level it
 * took. The path behind a step and state never changes, so following the best survivor back may
 * stop where it meets the path that was followed before. */
#include "simulation/vsb/receiver/survivors.h"

#include <stdlib.h>
#include <string.h>

#define NEVER 1e6f /* a metric no path from rest has */

struct step {
    uint8_t from[VSB_STATES]; /* the state before */
    int8_t level[VSB_STATES]; /* of the branch that survived */
    uint8_t followed;         /* the state on the path followed last */
    long at;
};

struct lane {
    float metric[VSB_STATES];
    int steps;
};

struct vsb_survivors {
    int steps_max, depth;
    struct lane lanes[VSB_TRELLIS_ENCODERS];
    struct step *steps; /* steps_max of the first encoder, then of the next */
};

struct vsb_survivors *vsb_survivors_create(int steps, int depth)
{
    struct vsb_survivors *survivors = malloc(sizeof *survivors);
    if (!survivors) {
        return NULL;
    }
    *survivors = (struct vsb_survivors){.steps_max = steps, .depth = depth};
    survivors->steps = malloc((size_t)steps * VSB_TRELLIS_ENCODERS * sizeof *survivors->steps);
    if (!survivors->steps) {
        free(survivors);
        return NULL;
    }
    vsb_survivors_restart(survivors);
    return survivors;
}

void vsb_survivors_free(struct vsb_survivors *survivors)
{
    if (survivors) {
        free(survivors->steps);
        free(survivors);
    }
}

void vsb_survivors_restart(struct vsb_survivors *survivors)
{
    for (int l = 0; l < VSB_TRELLIS_ENCODERS; l++) {
        survivors->lanes[l] = (struct lane){.metric = {0.0f, NEVER, NEVER, NEVER}};
    }
}

/* The nearer level of each pair 8 apart, and its squared distance; pairs are 2 Z1 + Z0. */
static void measure(float value, float distance[4], int8_t level[4])
{
    for (int pair = 0; pair < 4; pair++) {
        float middle = 2.0f * (float)pair - 3.0f, off = value - middle;
        int upper = off > 0.0f;
        float side = upper ? off - 4.0f : off + 4.0f;
        distance[pair] = side * side;
        level[pair] = (int8_t)(2 * pair - 7 + 8 * upper);
    }
}

/* Extends the survivors by one step (see trellis.c for the branches); returns the best state. */
static int extend(struct lane *lane, struct step *step, float value)
{
    float distance[4], next[VSB_STATES], least;
    int8_t level[4];
    int best = 0;
    measure(value, distance, level);
    for (int state = 0; state < VSB_STATES; state++) {
        int a = state >> 1, b = state & 1;
        int pair_0 = 2 * b + a, pair_1 = 2 * (b ^ 1) + a;
        float from_0 = lane->metric[a] + distance[pair_0];
        float from_1 = lane->metric[2 + a] + distance[pair_1];
        int survivor = from_1 < from_0;
        next[state] = survivor ? from_1 : from_0;
        step->from[state] = (uint8_t)(2 * survivor + a);
        step->level[state] = level[survivor ? pair_1 : pair_0];
        best = next[state] < next[best] ? state : best;
    }
    least = next[best];
    for (int state = 0; state < VSB_STATES; state++) {
        lane->metric[state] = next[state] - least;
    }
    return best;
}

long vsb_survivors_take(struct vsb_survivors *survivors, int lane_number, long at, float value,
                        float *believed)
{
    struct lane *lane = &survivors->lanes[lane_number];
    struct step *first = survivors->steps + (size_t)lane_number * (size_t)survivors->steps_max;
    struct step *step = first + lane->steps;
    int state = extend(lane, step, value);
    int oldest = lane->steps > survivors->depth ? lane->steps - survivors->depth : 0;
    step->at = at;
    step->followed = VSB_STATES; /* none */
    lane->steps++;
    long earliest = at;
    for (; step >= first + oldest && step->followed != state; step--) {
        step->followed = (uint8_t)state;
        believed[step->at] = step->level[state];
        earliest = step->at;
        state = step->from[state];
    }
    return earliest;
}
