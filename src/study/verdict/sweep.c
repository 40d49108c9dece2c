/* One echo slid along: margins, and the level that is still borne. */
#include "study/verdict/sweep.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"

/* Echoes' phases that a tolerated level must hold for: the main signal's and the opposite one hurt
 * most or least with short delays. */
static const double phases[] = {0.0, PI};
#define PHASES (sizeof phases / sizeof phases[0])

static double delay_at(double from_us, double to_us, size_t i, size_t count)
{
    return count < 2 ? from_us : from_us + (to_us - from_us) * (double)i / (double)(count - 1);
}

double echo_sweep_at_us(double span_us, size_t i, size_t count, double now_us)
{
    double at_us = delay_at(-span_us, span_us, i, count);
    double nearest = (now_us + span_us) / (2.0 * span_us) * (double)(count - 1);
    return round(nearest) == (double)i ? now_us : at_us;
}

enum status echo_sweep_margins(const struct verdicts *verdicts, int echo, double from_us,
                               double to_us, size_t count, struct echo_margins *margins)
{
    struct verdict *moved = malloc(sizeof *moved);
    enum status status = moved != NULL ? STATUS_OK : STATUS_NO_MEMORY;
    for (size_t i = 0; i < count && status == STATUS_OK; i++) {
        margins[i].delay_us = delay_at(from_us, to_us, i, count);
        for (int g = 0; g < GENERATION_COUNT && status == STATUS_OK; g++) {
            *moved = verdicts->of[g];
            verdict_hold_position(moved);
            moved->conditions.channel.rays[echo + 1].delay_us = margins[i].delay_us;
            status = verdict_solve(moved, NULL);
            margins[i].db[g] = status == STATUS_OK ? moved->margin_db : NAN;
            status = status == STATUS_NO_SOLUTION ? STATUS_OK : status;
        }
    }
    free(moved);
    return status;
}

/* Whether one generation decodes with the lone echo at a level, whatever its phase. */
static enum status bears(struct verdict *lone, double level_db, bool *yes)
{
    *yes = true;
    for (size_t i = 0; i < PHASES && *yes; i++) {
        struct ray *ray = &lone->conditions.channel.rays[1];
        ray->gain = sqrt(ratio_from_db(level_db));
        ray->phase = phases[i];
        enum status status = verdict_solve(lone, NULL);
        if (status != STATUS_OK && status != STATUS_NO_SOLUTION) {
            return status;
        }
        *yes = status == STATUS_OK && lone->works;
    }
    return STATUS_OK;
}

#define LEVEL_STEPS 10 /* 40 dB halved ten times: 0.04 dB */

static enum status strongest(struct verdict *lone, double *level_db)
{
    double low = ECHO_TOLERATED_LEAST_DB, high = ECHO_TOLERATED_MOST_DB;
    bool yes;
    enum status status = bears(lone, high, &yes);
    if (status != STATUS_OK || yes) {
        *level_db = high;
        return status;
    }
    status = bears(lone, low, &yes);
    *level_db = NAN;
    if (status != STATUS_OK || !yes) {
        return status;
    }
    for (int step = 0; step < LEVEL_STEPS && status == STATUS_OK; step++) {
        double middle = 0.5 * (low + high);
        status = bears(lone, middle, &yes);
        if (yes) {
            low = middle;
        } else {
            high = middle;
        }
    }
    *level_db = low;
    return status;
}

enum status echo_sweep_tolerated(const struct verdicts *verdicts, double from_us, double to_us,
                                 size_t count, struct echo_tolerated *tolerated)
{
    struct verdict *lone = malloc(sizeof *lone);
    enum status status = lone != NULL ? STATUS_OK : STATUS_NO_MEMORY;
    for (size_t i = 0; i < count && status == STATUS_OK; i++) {
        tolerated[i].delay_us = delay_at(from_us, to_us, i, count);
        for (int g = 0; g < GENERATION_COUNT && status == STATUS_OK; g++) {
            *lone = verdicts->of[g];
            struct channel *channel = &lone->conditions.channel;
            channel_start(channel, channel->centre_hz);
            channel_add(channel, &(struct echo){.delay_us = tolerated[i].delay_us}, "lone");
            status = strongest(lone, &tolerated[i].db[g]);
        }
    }
    free(lone);
    return status;
}

struct echo echo_from_transmitter(const struct echo_transmitter *main_one,
                                  const struct echo_transmitter *other)
{
    return (struct echo){
        .delay_us = us_from_km(other->distance_km - main_one->distance_km) + other->delay_us -
                    main_one->delay_us,
        .level_db = db_from_ratio(other->power_kw / main_one->power_kw) -
                    2.0 * db_from_ratio(other->distance_km / main_one->distance_km),
        .phase_deg = NAN, /* nobody knows it */
    };
}
