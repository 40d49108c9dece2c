/* One echo slid along: margins, and the level that is still borne. Either is asked of one
 * generation at one delay; tables ask evenly, lines where they bend. */
#include "study/verdict/sweep.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"

static double delay_at(double from_us, double to_us, size_t i, size_t count)
{
    return count < 2 ? from_us : from_us + (to_us - from_us) * (double)i / (double)(count - 1);
}

/* ---- Margins. ---- */

/* In full, as the verdict has it: a curve must not differ from it. NAN: no solution. */
static enum status margin_at(struct verdict *moved, int echo, double delay_us, double *margin_db)
{
    moved->conditions.channel.rays[echo + 1].delay_us = delay_us;
    enum status status = verdict_solve(moved, NULL);
    *margin_db = status == STATUS_OK ? moved->margin_db : NAN;
    return status == STATUS_NO_SOLUTION ? STATUS_OK : status;
}

/* ---- The level that is borne, it and all below. Idea: the margin of a lone echo falls as its
 * level rises, so the level where it is gone is found by regula falsi (Illinois), begun where a
 * neighbour's was. Of the stands the one that was worst at the neighbour is asked first; the others
 * have only to agree. An echo ahead is an exception: an 8-VSB receiver bears it weak, and again
 * nearly as strong as the main signal, for which it then passes, but not between. Where the margin
 * rises towards the strongest level that may hide below it, and is looked for. ---- */

/* How an echo may stand that a tolerated level must hold for: at phases that hurt most or least
 * with short delays, the main signal's and the opposite one. To a single carrier it also matters
 * where in a symbol the echo falls and how it turns the pilot, by a dB and more within a few us,
 * which nobody knows of a delay and no line can follow; so its stands lie on whole and half
 * symbols, and its phases count at the pilot, a quarter of the symbol rate below the centre: level
 * and delay are then smooth. Of twelve phases at nine delays, of a symbol to either side, the worst
 * is below the worst of these by 0.1 dB in the mean (computed, with
 * tests/study/verdict/test_lines.c; with two phases at one delay 0.4 dB). */
struct stand {
    int eighths; /* of a turn */
    double symbols;
};
#define STANDS_MAX 5
static const struct stand stands[STANDS_MAX] = {
    {0, 0.0}, {4, 0.0},           /* of all; the others of a single carrier */
    {6, 0.0}, {7, 0.5}, {5, 0.5}, /* half a symbol turns the pilot by an eighth */
};

#define CLOSE_DB 0.04 /* between a level that is borne and one that is not */
#define LEAST_STEP_DB 0.02
#define SLOPE_LEAST 0.3
#define ROUNDS_MAX 40

struct lone {
    struct verdict *verdict;
    double delay_us;
    double symbol_us; /* of a single carrier; NAN: there is none */
    int stand_count;
    const struct stand *order[STANDS_MAX]; /* as they are asked: the last answer's worst first */
    double level_db;                       /* the last answer; NAN: none */
    double left_db;                        /* the quick margin there */
    double slope;                          /* dB of margin that a dB of level took there */
    double more_db; /* what the row's quick margin lacks of the full one, there */
};

static void lone_begin(struct lone *lone, const struct verdict *of, struct verdict *room)
{
    const struct system *system = of->reception.system;
    *lone = (struct lone){.verdict = room,
                          .level_db = NAN,
                          .slope = 1.0,
                          .symbol_us = system->symbol_us ? system->symbol_us() : NAN,
                          .stand_count = system->symbol_us ? STANDS_MAX : 2};
    for (int i = 0; i < lone->stand_count; i++) {
        lone->order[i] = &stands[i];
    }
    *room = *of;
    struct channel *channel = &room->conditions.channel;
    channel_start(channel, channel->centre_hz);
    channel_add(channel, &(struct echo){.delay_us = 0.0}, "lone");
    if (!isnan(of->conditions.snr_db)) {
        room->conditions.snr_db = fmin(fmax(of->conditions.snr_db, SNR_LEAST_DB), SNR_MOST_DB);
    }
}

static void lone_set(const struct lone *lone, const struct stand *stand, double level_db)
{
    struct ray *ray = &lone->verdict->conditions.channel.rays[1];
    long eighths = stand->eighths;
    ray->gain = sqrt(ratio_from_db(level_db));
    ray->delay_us = lone->delay_us;
    if (!isnan(lone->symbol_us)) {
        long whole = lround(lone->delay_us / lone->symbol_us);
        ray->delay_us = ((double)whole + stand->symbols) * lone->symbol_us;
        eighths -= 2 * whole; /* by which the pilot turned on the way */
    }
    ray->phase = 0.25 * PI * (double)(((eighths % 8) + 8) % 8);
}

static enum status quick_margin(const struct lone *lone, double *margin_db)
{
    const struct reception *reception = &lone->verdict->reception;
    const struct conditions *conditions = &lone->verdict->conditions;
    struct fare_work *work = NULL;
    *margin_db = NAN;
    enum status status = reception->system->open(reception, &conditions->channel, &work);
    if (status == STATUS_OK) {
        status = reception->system->margin(reception, &conditions->channel, conditions->snr_db,
                                           -INFINITY, work, margin_db);
    }
    reception->system->close(work);
    if (status == STATUS_NO_SOLUTION) { /* the rays cancel each other */
        *margin_db = -INFINITY;
        return STATUS_OK;
    }
    *margin_db += lone->more_db;
    return status;
}

/* Levels that are borne and that are not, with their margins; NAN: none is known. */
struct bracket {
    double low, high, low_margin, high_margin;
    int side;
};

static void bracket_take(struct bracket *b, double level_db, double margin_db)
{
    if (margin_db >= 0.0) {
        b->low = level_db;
        b->low_margin = margin_db;
        b->high_margin *= b->side > 0 ? 0.5 : 1.0;
        b->side = 1;
    } else {
        b->high = level_db;
        b->high_margin = margin_db;
        b->low_margin *= b->side < 0 ? 0.5 : 1.0;
        b->side = -1;
    }
}

/* Where the margin is expected to be gone. */
static double bracket_middle(const struct bracket *b)
{
    return isfinite(b->high_margin) ? (b->low * b->high_margin - b->high * b->low_margin) /
                                          (b->high_margin - b->low_margin)
                                    : 0.5 * (b->low + b->high);
}

static bool bracket_is_close(const struct bracket *b, double most_db)
{
    return b->low >= most_db || b->high <= ECHO_TOLERATED_LEAST_DB ||
           b->high - b->low <= CLOSE_DB ||
           (b->side > 0 && b->high - b->low < 0.4 && bracket_middle(b) - b->low <= 0.5 * CLOSE_DB);
}

/* Where to ask next: within the bracket, or `step_db` beyond what is known. */
static double bracket_next(const struct bracket *b, double step_db, double most_db)
{
    if (isnan(b->low)) {
        return fmax(b->high - step_db, ECHO_TOLERATED_LEAST_DB);
    }
    if (isnan(b->high)) {
        return fmin(b->low + step_db, most_db);
    }
    /* A little below what is expected, so that it is borne and ends the search. */
    double edge = 0.25 * CLOSE_DB;
    return fmin(fmax(bracket_middle(b) - edge, b->low + edge), b->high - edge);
}

#define SLOPE_STEP_DB 0.25
#define GAP_STEP_MOST_DB 1.0

/* The highest level met, going down from one that is borne, that is not, and its margin; NAN: the
 * margin no longer falls that way and none was met. */
static enum status gap_below(const struct lone *lone, const struct stand *stand, double level_db,
                             double margin_db, double *gap_db, double *gap_margin_db)
{
    double before_db = margin_db;
    *gap_db = NAN;
    double step_db = SLOPE_STEP_DB;
    while (level_db - step_db > ECHO_TOLERATED_LEAST_DB) {
        level_db -= step_db;
        step_db = fmin(2.0 * step_db, GAP_STEP_MOST_DB);
        lone_set(lone, stand, level_db);
        enum status status = quick_margin(lone, gap_margin_db);
        if (status != STATUS_OK || *gap_margin_db >= before_db) {
            return status;
        }
        if (*gap_margin_db < 0.0) {
            *gap_db = level_db;
            return STATUS_OK;
        }
        before_db = *gap_margin_db;
    }
    return STATUS_OK;
}

/* The strongest level up to `most_db` that is borne in one stand, begun at *level_db, or with a
 * margin that is known there; NAN: none. */
static enum status strongest_with(struct lone *lone, const struct stand *stand, double most_db,
                                  double *level_db, double margin_db)
{
    struct bracket b = {.low = NAN, .high = NAN};
    double step_db = LEAST_STEP_DB, at_db = isnan(*level_db) ? most_db : fmin(*level_db, most_db);
    for (int round = 0; round < ROUNDS_MAX && !bracket_is_close(&b, most_db); round++) {
        if (round > 0 || isnan(margin_db)) {
            lone_set(lone, stand, at_db);
            enum status status = quick_margin(lone, &margin_db);
            if (status != STATUS_OK) {
                return status;
            }
        }
        bracket_take(&b, at_db, margin_db);
        /* A little further than a neighbour's slope says: to the other side. */
        step_db =
            fmax(2.0 * step_db, isfinite(margin_db) ? 1.2 * fabs(margin_db) / lone->slope : 1.0);
        at_db = bracket_next(&b, step_db, most_db);
    }
    *level_db = b.low;
    lone->left_db = b.low_margin;
    double slope = (b.low_margin - b.high_margin) / (b.high - b.low);
    if (isfinite(slope)) {
        lone->slope = fmin(fmax(slope, SLOPE_LEAST), 2.0);
    }
    return STATUS_OK;
}

/* From now on the one that is asked i-th is asked first. */
static void ask_first(struct lone *lone, int i)
{
    const struct stand *first = lone->order[i];
    for (; i > 0; i--) {
        lone->order[i] = lone->order[i - 1];
    }
    lone->order[0] = first;
}

/* The strongest level up to `most_db` that is borne in all stands, the worst of them first then,
 * whose margin is left. */
static enum status strongest_in_all(struct lone *lone, double most_db, double *level_db)
{
    double least_db = INFINITY;
    enum status status = STATUS_OK;
    for (int i = 0; i < lone->stand_count && status == STATUS_OK && !isnan(most_db); i++) {
        status = strongest_with(lone, lone->order[i], most_db, level_db, NAN);
        if (!(*level_db >= most_db) || lone->left_db < least_db) {
            least_db = lone->left_db;
            ask_first(lone, i);
        }
        most_db = *level_db;
    }
    lone->left_db = least_db;
    return status;
}

/* The same with all weaker ones, by quick margins. */
static enum status strongest(struct lone *lone, double *level_db)
{
    double gap_db = NAN, gap_margin_db = NAN;
    enum status status = strongest_in_all(lone, ECHO_TOLERATED_MOST_DB, level_db);
    if (status == STATUS_OK && *level_db >= ECHO_TOLERATED_MOST_DB) {
        status = gap_below(lone, lone->order[0], *level_db, lone->left_db, &gap_db, &gap_margin_db);
    }
    if (status == STATUS_OK && !isnan(gap_db)) {
        *level_db = gap_db;
        status = strongest_with(lone, lone->order[0], gap_db, level_db, gap_margin_db);
        status = status == STATUS_OK ? strongest_in_all(lone, *level_db, level_db) : status;
    }
    return status;
}

/* Makes the quick margin agree with the one in full, at a level; that one, and what the quick one
 * lacked of it. */
static enum status agree(struct lone *lone, double level_db, double *margin_db, double *lacked_db)
{
    double quick_db;
    lone_set(lone, lone->order[0], level_db);
    enum status status = quick_margin(lone, &quick_db);
    if (status == STATUS_OK) {
        status = verdict_solve(lone->verdict, NULL);
    }
    *margin_db = lone->verdict->margin_db;
    *lacked_db = *margin_db - quick_db;
    if (status == STATUS_OK) { /* and both are finite: the level is borne */
        lone->more_db += *lacked_db;
    }
    return status;
}

#define TRIES 6
#define AGREED_DB 0.01
#define SURE_DB 0.5 /* more to spare than quick margins err by */

static enum status tolerated_at(struct lone *lone, double delay_us, double *level_db)
{
    const struct system *system = lone->verdict->reception.system;
    enum status status = STATUS_OK;
    double margin_db, lacked_db;
    bool agreed = false;
    *level_db = NAN;
    if (isnan(lone->verdict->conditions.snr_db)) {
        return STATUS_OK;
    }
    lone->delay_us = delay_us;
    for (int i = 0; i < TRIES && status == STATUS_OK && !agreed; i++) {
        *level_db = lone->level_db;
        status = strongest(lone, level_db);
        bool is_most = *level_db >= ECHO_TOLERATED_MOST_DB;
        if (isnan(*level_db) || (is_most && lone->left_db > SURE_DB) || system->margin_is_full) {
            break;
        }
        if (status == STATUS_OK) {
            status = agree(lone, *level_db, &margin_db, &lacked_db);
            agreed = margin_db >= 0.0 && (is_most || lacked_db <= AGREED_DB);
        }
    }
    lone->level_db = *level_db;
    return status;
}

/* ---- Tables. ---- */

enum status echo_sweep_margins(const struct verdicts *verdicts, int echo, double from_us,
                               double to_us, size_t count, struct echo_margins *margins)
{
    struct verdict *moved = malloc(sizeof *moved);
    enum status status = moved != NULL ? STATUS_OK : STATUS_NO_MEMORY;
    for (int g = 0; g < GENERATION_COUNT && status == STATUS_OK; g++) {
        *moved = verdicts->of[g];
        verdict_hold_position(moved);
        for (size_t i = 0; i < count && status == STATUS_OK; i++) {
            margins[i].delay_us = delay_at(from_us, to_us, i, count);
            status = margin_at(moved, echo, margins[i].delay_us, &margins[i].db[g]);
        }
    }
    free(moved);
    return status;
}

enum status echo_sweep_tolerated(const struct verdicts *verdicts, double from_us, double to_us,
                                 size_t count, struct echo_tolerated *tolerated)
{
    struct verdict *room = malloc(sizeof *room);
    enum status status = room != NULL ? STATUS_OK : STATUS_NO_MEMORY;
    for (int g = 0; g < GENERATION_COUNT && status == STATUS_OK; g++) {
        struct lone lone;
        lone_begin(&lone, &verdicts->of[g], room);
        for (size_t i = 0; i < count && status == STATUS_OK; i++) {
            tolerated[i].delay_us = delay_at(from_us, to_us, i, count);
            status = tolerated_at(&lone, tolerated[i].delay_us, &tolerated[i].db[g]);
        }
    }
    free(room);
    return status;
}

/* ---- Lines. ---- */

#define EVEN_POINTS 17
#define REACH_POINTS 12 /* within the first reach, where a line has more shape than beyond */
#define MOST_POINTS 90  /* each of them takes some milliseconds */
#define BESIDE 1.5e-3   /* an end of a reach is a step: a point to either side, of the whole span */

/* An equaliser answers an echo ahead by echoes of its own, each as much earlier as the last: the
 * reach ahead, parted, is where one more of them falls out. */
#define PARTS_MOST 6
#define CLOSE_BY 7
#define PLACES_MAX (4 * REACHES_MAX + REACH_POINTS + 2 * PARTS_MOST + 2 * CLOSE_BY + 2)

/* us: such echoes fade the whole channel at once. */
static const double close_by_us[CLOSE_BY] = {0.25, 0.5, 1.0, 1.4, 2.0, 3.0, 4.5};

/* Where a line may be steep or bent. */
static size_t telling_places(const struct verdict *verdict, const struct echo_lines_wish *wish,
                             double *places)
{
    struct reach reaches[REACHES_MAX];
    const struct reception *reception = &verdict->reception;
    size_t count = 0;
    int reach_count = reception->system->reaches(reception, NULL, reaches);
    double beside_us = BESIDE * (wish->to_us - wish->from_us);
    for (int i = 0; i < reach_count; i++) {
        const double ends_us[] = {reaches[i].from_us, reaches[i].to_us};
        for (int end = 0; end < 2; end++) {
            places[count++] = ends_us[end] - beside_us;
            places[count++] = ends_us[end] + beside_us;
        }
    }
    for (int i = 0; i < REACH_POINTS; i++) {
        places[count++] =
            reaches[0].from_us + (reaches[0].to_us - reaches[0].from_us) * (i + 0.5) / REACH_POINTS;
    }
    for (int parts = 2; parts <= PARTS_MOST; parts++) {
        places[count++] = reaches[0].from_us / parts - beside_us;
        places[count++] = reaches[0].from_us / parts + beside_us;
    }
    for (int i = 0; i < CLOSE_BY; i++) {
        places[count++] = -close_by_us[i];
        places[count++] = close_by_us[i];
    }
    places[count++] = 0.0;
    places[count++] = wish->now_us; /* NAN lies nowhere */
    return count;
}

static enum status make_line(const struct verdict *of, const struct echo_lines_wish *wish,
                             struct verdict *room, struct curve *curve)
{
    double places[PLACES_MAX], x_us, db;
    struct lone lone;
    size_t place_count = telling_places(of, wish, places);
    bool margins = wish->kind == ECHO_LINES_MARGINS;
    lone_begin(&lone, of, room);
    if (margins) {
        *room = *of;
        verdict_hold_position(room);
    }
    curve_begin(curve, wish->from_us, wish->to_us, EVEN_POINTS, places, place_count, MOST_POINTS);
    enum status status = STATUS_OK;
    while (status == STATUS_OK && curve_next(curve, &x_us) &&
           !(wish->is_stopped && wish->is_stopped(wish->asker))) {
        lone.level_db = curve_near(curve);
        status = margins ? margin_at(room, wish->echo, x_us, &db) : tolerated_at(&lone, x_us, &db);
        curve_answer(curve, status == STATUS_OK ? db : NAN);
    }
    return status;
}

enum status echo_lines_make(const struct verdicts *verdicts, const struct echo_lines_wish *wish,
                            struct echo_lines *lines)
{
    struct verdict *room = malloc(sizeof *room);
    enum status status = room != NULL ? STATUS_OK : STATUS_NO_MEMORY;
    for (int g = 0; g < GENERATION_COUNT && status == STATUS_OK; g++) {
        status = make_line(&verdicts->of[g], wish, room, &lines->of[g]);
    }
    free(room);
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
