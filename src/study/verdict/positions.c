/* Positions. Idea: margins differ from position to position by many decibels, and what is asked is
 * their order: which share decodes, and what half, 90 and 99 % of the positions reach. A row's
 * quick margin (system.h) is enough for that. The margin in the middle is the one that is shown
 * step by step, so it is solved in full; its estimate's error is taken off all others, so that the
 * shares, the margins and the account agree.
 *
 * Instants. Where a receiver goes on with what it was taught by its own decisions, an instant comes
 * through only if those were right: its margin is the less of its own and of that before, as long
 * ago as the row says. Shares of time are then of instants that come through; by instants alone
 * they are up to 7 points too large (computed: tests/published/test_outage.c). Where the receiver
 * itself moves a position is a moment of its way, and how long one lasts the row knows.
 *
 * Sureness: a share s over n draws has a standard error of sqrt(s (1 - s) / n): at 256 draws and
 * one half, 3.1 %. Worked number: one echo of 0 dB: the mean of cos(phase) over 256 draws lies
 * within 0.09 of 0 in 95 of 100 cases. */
#include "study/verdict/positions.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

/* One position's margin and number. */
struct stand {
    double margin_db;
    int position;
    bool earlier; /* the margin is that before, while what the receiver remembers was taught */
};

/* What is asked of one channel again and again. */
struct asking {
    const struct reception *reception;
    const struct channel *channel; /* phases that are any */
    struct channel *drawn;         /* and room for what it was before */
    struct fare_work *work;
    int count;
    double memory_s; /* 0: an instant hangs on nothing before it */
    double least_db; /* margins below need not be told exactly */
    struct stand *stands;
};

static int positions_of(const struct conditions *conditions)
{
    return channel_has_positions(&conditions->channel) && conditions->positions > 1
               ? conditions->positions
               : 1;
}

int positions_place(int count, double percent)
{
    int place = (int)ceil(count * percent / 100.0 - 1e-9) - 1;
    return place < 0 ? 0 : place < count ? place : count - 1;
}

static int best_first(const void *a, const void *b)
{
    const struct stand *x = a, *y = b;
    if (x->margin_db != y->margin_db) {
        return x->margin_db < y->margin_db ? 1 : -1;
    }
    return (x->position > y->position) - (x->position < y->position);
}

static enum status asking_open(const struct verdict *verdict, struct asking *asking)
{
    const struct conditions *conditions = &verdict->conditions;
    *asking = (struct asking){.reception = &verdict->reception,
                              .channel = &conditions->channel,
                              .drawn = malloc(2 * sizeof *asking->drawn),
                              .count = positions_of(conditions),
                              .least_db = -INFINITY};
    asking->stands = malloc((size_t)asking->count * sizeof *asking->stands);
    if (asking->count > 1 && verdict->reception.system->memory_s != NULL) {
        asking->memory_s = verdict->reception.system->memory_s(asking->reception, asking->channel);
    }
    return asking->drawn != NULL && asking->stands != NULL
               ? verdict->reception.system->open(asking->reception, asking->channel, &asking->work)
               : STATUS_NO_MEMORY;
}

static void asking_close(struct asking *asking)
{
    asking->reception->system->close(asking->work);
    free(asking->stands);
    free(asking->drawn);
}

/* Where physics does not reach, so far up or down, each dB of SNR is one of margin. */
static double within(double snr_db)
{
    return fmin(fmax(snr_db, SNR_LEAST_DB), SNR_MOST_DB);
}

/* A row's quick margin in one channel. */
static enum status margin_in(struct asking *asking, const struct channel *channel, double snr_db,
                             double *margin_db)
{
    double within_db = within(snr_db), least_db = asking->least_db - (snr_db - within_db);
    enum status status = asking->reception->system->margin(asking->reception, channel, within_db,
                                                           least_db, asking->work, margin_db);
    if (status == STATUS_NO_SOLUTION) {
        *margin_db = -INFINITY;
        status = STATUS_OK;
    }
    *margin_db += snr_db - within_db;
    return status;
}

/* The same, or what it was before where that is less and the receiver remembers it. That is asked
 * first: from there on its taps need not be followed once more. */
static enum status margin_of_drawn(struct asking *asking, double snr_db, struct stand *stand)
{
    struct channel *before = asking->drawn + 1;
    double before_db = INFINITY;
    enum status status = STATUS_OK;
    if (asking->memory_s > 0.0) {
        channel_advance(asking->drawn, -asking->memory_s, before);
        status = margin_in(asking, before, snr_db, &before_db);
    }
    if (status == STATUS_OK) {
        status = margin_in(asking, asking->drawn, snr_db, &stand->margin_db);
        stand->earlier = before_db < stand->margin_db;
        stand->margin_db = fmin(stand->margin_db, before_db);
    }
    return status;
}

static enum status margin_of_one(struct asking *asking, double snr_db, struct stand *stand)
{
    channel_draw(asking->channel, (uint64_t)stand->position, asking->drawn);
    return margin_of_drawn(asking, snr_db, stand);
}

/* Quick margins of the stands from `first` on, at their positions, put in order. */
static enum status rank(struct asking *asking, double snr_db, int first, int count)
{
    struct stand *stands = asking->stands + first;
    for (int i = 0; i < count; i++) {
        enum status status = margin_of_one(asking, snr_db, &stands[i]);
        if (status != STATUS_OK) {
            return status;
        }
    }
    qsort(stands, (size_t)count, sizeof *stands, best_first);
    return STATUS_OK;
}

static enum status rank_all(struct asking *asking, double snr_db)
{
    for (int i = 0; i < asking->count; i++) {
        asking->stands[i] = (struct stand){.position = i};
    }
    return asking->count > 1 ? rank(asking, snr_db, 0, asking->count) : STATUS_OK;
}

/* The one in the middle in full: with all carriers, and what the row has kept of the others. */
static enum status fare_in_full(const struct asking *asking, const struct stand *middle,
                                struct verdict *verdict)
{
    struct fare *fare = &verdict->fare;
    double snr_db = verdict->conditions.snr_db, within_db = within(snr_db);
    channel_draw(asking->channel, (uint64_t)middle->position, &verdict->channel);
    channel_advance(&verdict->channel, middle->earlier ? -asking->memory_s : 0.0,
                    &verdict->channel);
    enum status status = asking->reception->system->fare(asking->reception, &verdict->channel,
                                                         within_db, asking->work, fare);
    if (status == STATUS_NO_SOLUTION) {
        verdict->margin_db = -INFINITY;
        return STATUS_OK;
    }
    fare->snr_db = snr_db;
    fare->left_db += snr_db - within_db;
    fare->margin_db += snr_db - within_db;
    verdict->margin_db = fare->margin_db;
    return status;
}

static void read_stands(const struct asking *asking, struct verdict *verdict)
{
    const struct stand *stands = asking->stands;
    int count = asking->count, decoding = 0, middle = positions_place(count, 50.0);
    double more_db = count > 1 && isfinite(stands[middle].margin_db)
                         ? verdict->margin_db - stands[middle].margin_db
                         : 0.0;
    for (int i = 0; i < count; i++) {
        double margin_db = i == middle ? verdict->margin_db : stands[i].margin_db + more_db;
        verdict->margins_db[i] = (float)margin_db;
        verdict->order[i] = (short)stands[i].position;
        decoding += margin_db >= 0.0;
    }
    verdict->positions = count;
    verdict->positions_share = (double)decoding / count;
    bool one = count == 1; /* to the last bit */
    verdict->margin_90_db =
        one ? verdict->margin_db : (double)verdict->margins_db[positions_place(count, 90.0)];
    verdict->margin_99_db =
        one ? verdict->margin_db : (double)verdict->margins_db[positions_place(count, 99.0)];
    verdict->works = decoding > positions_place(count, verdict->conditions.position_percent);
}

enum status positions_solve(struct verdict *verdict)
{
    struct asking asking;
    enum status status = asking_open(verdict, &asking);
    if (status == STATUS_OK) {
        status = rank_all(&asking, verdict->conditions.snr_db);
    }
    if (status == STATUS_OK) {
        const struct stand *middle = &asking.stands[positions_place(asking.count, 50.0)];
        status = fare_in_full(&asking, middle, verdict);
    }
    if (status == STATUS_OK) {
        read_stands(&asking, verdict);
    }
    asking_close(&asking);
    return status;
}

/* ---- The SNR that is needed. ---- */

/* The margin at the asked place rises with the SNR, nearly dB for dB while noise rules, and the
 * secant is next to the answer: first that of the one position at the place, by its estimate. There
 * all positions are looked at again, for with another SNR their order changes, and from then on
 * only those around the place and the middle: a step of the SNR brings none there that was further
 * off than APART_MOST times the step, as no margin gains so much more a dB than another. Where the
 * verdict's SNR is some dB off, its margins tell how far their gains do differ on the way, and what
 * is APART_TIMES as much is enough. The middle
 * is solved in full each time, for what its estimate lacks changes with the SNR as well, by a tenth
 * of a dB over ten where rays move. */
#define APART_MOST 3.0
#define APART_TIMES 3.0
#define APART_TELLING_DB 1.0
#define ROUNDS_MAX 12
#define SOME_MORE_DB 3.0
#define CLOSE_DB 1e-3 /* of SNR */
#define CLOSE_SLOPE_LEAST 0.25
#define SHORT_DB 0.5 /* margins of so much less are no answer */
#define SLOPE_LEAST \
    0.02 /* dB a dB: where less is gained echoes or motion rule, and none suffices */
/* After a smaller step the middle may be another position, whose estimate lacks more or less than
 * the step brought: it tells no slope. */
#define TELLING_STEP_DB 0.1

/* The asked place and the middle, where the verdict solves in full, and between which positions,
 * best first, the next step looks for both. */
struct seeking {
    struct asking *asking;
    struct verdict *middle; /* room for its solution */
    int place, better, worse;
    int first, last;
    double snr_db;               /* at which they stand so; NAN: they stand anyhow */
    double slope;                /* dB of margin a dB of SNR, as the last telling step had it */
    double apart;                /* of two positions' gains, dB a dB, at most */
    const struct verdict *known; /* margins of all at another SNR; NULL: none are known */
    int one;                     /* the position at the place where the search begins */
};

/* Leaves those out that a step to another SNR cannot bring to the places. */
static void narrow(struct seeking *seeking, double snr_db)
{
    const struct stand *stands = seeking->asking->stands;
    double off_db = seeking->apart * fabs(snr_db - seeking->snr_db);
    double most_db = stands[seeking->better].margin_db + off_db;
    double least_db = stands[seeking->worse].margin_db - off_db;
    while (seeking->first < seeking->better && stands[seeking->first].margin_db > most_db) {
        seeking->first++;
    }
    while (seeking->last > seeking->worse && stands[seeking->last].margin_db < least_db) {
        seeking->last--;
    }
}

/* How far apart the gains of all that stand are, from the verdict's SNR to this one. */
static double apart_at_most(const struct seeking *seeking, double snr_db)
{
    const struct verdict *known = seeking->known;
    const struct asking *asking = seeking->asking;
    float gains_db[POSITIONS_MAX];
    double most = 0.0;
    if (known == NULL) {
        return APART_MOST;
    }
    double step_db = snr_db - known->conditions.snr_db;
    if (fabs(step_db) < APART_TELLING_DB) {
        return APART_MOST;
    }
    for (int i = 0; i < asking->count; i++) {
        gains_db[known->order[i]] = -known->margins_db[i];
    }
    for (int i = 0; i < asking->count; i++) {
        gains_db[asking->stands[i].position] += (float)asking->stands[i].margin_db;
    }
    /* Nothing is told by margins that are not told exactly. */
    float at_place_db = gains_db[asking->stands[seeking->place].position];
    for (int i = 0; i < asking->count; i++) {
        const struct stand *stand = &asking->stands[i];
        double apart_db = stand->margin_db < asking->least_db
                              ? 0.0
                              : fabsf(gains_db[stand->position] - at_place_db);
        most = isfinite(apart_db) ? fmax(most, apart_db) : INFINITY;
    }
    return fmin(APART_MOST, APART_TIMES * most / fabs(step_db));
}

static enum status margin_of_seeking_one(struct seeking *seeking, double snr_db, double *margin_db)
{
    struct stand stand = {.position = seeking->one};
    enum status status = margin_of_one(seeking->asking, snr_db, &stand);
    *margin_db = stand.margin_db;
    return status;
}

/* Where margins that are too small to count need not be told exactly, and turn out to count, it is
 * done again. */
static enum status rank_in_time(struct seeking *seeking, double snr_db)
{
    struct asking *asking = seeking->asking;
    int count = seeking->last - seeking->first + 1;
    enum status status = rank(asking, snr_db, seeking->first, count);
    if (status == STATUS_OK && asking->stands[seeking->worse].margin_db < asking->least_db) {
        asking->least_db = -INFINITY;
        status = rank(asking, snr_db, seeking->first, count);
    }
    return status;
}

/* As the verdict has it at that SNR: what its estimate lacks in the middle all others lack. */
static enum status margin_of_all(struct seeking *seeking, double snr_db, double *margin_db)
{
    struct asking *asking = seeking->asking;
    const struct stand *middle = &asking->stands[positions_place(asking->count, 50.0)];
    bool anyhow = isnan(seeking->snr_db);
    narrow(seeking, snr_db);
    seeking->snr_db = snr_db;
    enum status status = rank_in_time(seeking, snr_db);
    if (status == STATUS_OK && anyhow) {
        seeking->apart = apart_at_most(seeking, snr_db);
    }
    asking->least_db = -INFINITY;
    if (status == STATUS_OK) {
        seeking->middle->conditions.snr_db = snr_db;
        status = fare_in_full(asking, middle, seeking->middle);
    }
    *margin_db = asking->stands[seeking->place].margin_db;
    if (status == STATUS_OK && isfinite(middle->margin_db)) {
        *margin_db += seeking->middle->margin_db - middle->margin_db;
    }
    return status;
}

/* From one SNR on; INFINITY: none suffices. Where the margin leaps over 0 it is the least SNR met
 * that decodes. */
static enum status seek(struct seeking *seeking,
                        enum status (*margin_at)(struct seeking *, double snr_db,
                                                 double *margin_db),
                        double snr_db, double *needed_db)
{
    double margin_db, last_db = NAN, last_margin_db = NAN;
    *needed_db = INFINITY;
    for (int i = 0; i < ROUNDS_MAX && snr_db <= SNR_MOST_DB; i++) {
        enum status status = margin_at(seeking, snr_db, &margin_db);
        if (status != STATUS_OK) {
            return status;
        }
        bool telling = i > 0 && fabs(snr_db - last_db) > TELLING_STEP_DB;
        seeking->slope = telling ? (margin_db - last_margin_db) / (snr_db - last_db)
                                 : fmin(seeking->slope, 1.0); /* more was a leap */
        bool close =
            fabs(margin_db) < CLOSE_DB * fmin(fmax(seeking->slope, CLOSE_SLOPE_LEAST), 1.0);
        if (close || margin_db >= 0.0) {
            *needed_db = close ? snr_db : fmin(*needed_db, snr_db);
        }
        if (close || !isfinite(margin_db) || (margin_db < 0.0 && seeking->slope < SLOPE_LEAST)) {
            break;
        }
        last_db = snr_db;
        last_margin_db = margin_db;
        snr_db -= margin_db / fmax(seeking->slope, SLOPE_LEAST);
    }
    return STATUS_OK;
}

/* Whether the SNR of physics' limit suffices at the asked place. Where estimates are margins
 * already none is looked at that cannot turn the answer. */
static enum status most_suffices(struct seeking *seeking, const struct verdict *verdict,
                                 bool *suffices)
{
    struct asking *asking = seeking->asking;
    enum status status = STATUS_OK;
    if (!asking->reception->system->margin_is_full) {
        double margin_db;
        status = margin_of_all(seeking, SNR_MOST_DB, &margin_db);
        *suffices = margin_db >= 0.0;
        return status;
    }
    int decoding = 0, failing = 0;
    asking->least_db = 0.0; /* by how much it fails does not matter */
    while (decoding <= seeking->place && failing < asking->count - seeking->place &&
           status == STATUS_OK) {
        int next = asking->count - 1 - decoding - failing; /* the worst first: they decide */
        struct stand stand = {.position = verdict->known ? verdict->order[next] : next};
        status = margin_of_one(asking, SNR_MOST_DB, &stand);
        *(stand.margin_db >= 0.0 ? &decoding : &failing) += 1;
    }
    asking->least_db = -INFINITY;
    *suffices = decoding > seeking->place;
    return status;
}

static void look_at_all(struct seeking *seeking)
{
    struct asking *asking = seeking->asking;
    for (int i = 0; i < asking->count; i++) {
        asking->stands[i] = (struct stand){.position = i};
    }
    seeking->first = 0;
    seeking->last = asking->count - 1;
    seeking->snr_db = NAN;
}

/* Where more SNR leaves less margin, as while wrong decisions grow with it, no secant leads on:
 * from one that fails in growing steps up to one that decodes, as the most does, and between by
 * halves. */
static enum status climb(struct seeking *seeking, double low_db, double high_db, double *needed_db)
{
    double step_db = SOME_MORE_DB;
    enum status status = STATUS_OK;
    while (status == STATUS_OK && high_db - low_db > CLOSE_DB && low_db < SNR_MOST_DB) {
        bool up = isinf(high_db);
        double margin_db,
            snr_db = up ? fmin(low_db + step_db, SNR_MOST_DB) : 0.5 * (low_db + high_db);
        seeking->snr_db = up ? NAN : seeking->snr_db; /* a longer step may bring any of them */
        status = margin_of_all(seeking, snr_db, &margin_db);
        *(margin_db >= 0.0 ? &high_db : &low_db) = snr_db;
        step_db *= 2.0;
    }
    *needed_db = high_db;
    return status;
}

/* From where the one position's search ended, at `snr_db` where it found none. */
static enum status required_over_all(struct seeking *seeking, const struct verdict *verdict,
                                     double snr_db, double *needed_db)
{
    bool asked = !isfinite(*needed_db), suffices = true;
    bool works = verdict->known && verdict->works && verdict->positions == seeking->asking->count;
    enum status status = STATUS_OK;
    look_at_all(seeking);
    if (asked) { /* none suffices for the one: nor may any for the others */
        status = most_suffices(seeking, verdict, &suffices);
        seeking->slope = 1.0;
    }
    if (status == STATUS_OK && suffices) {
        /* One position has nothing to spare here, and so has the place, nearly. */
        seeking->asking->least_db = asked ? -INFINITY : -SHORT_DB;
        status = seek(seeking, margin_of_all, asked ? snr_db : *needed_db, needed_db);
    }
    if (status != STATUS_OK || !suffices || isfinite(*needed_db)) {
        return status;
    }
    look_at_all(seeking);
    if (!asked) {
        status = most_suffices(seeking, verdict, &suffices);
    }
    if (status == STATUS_OK && suffices) {
        status =
            climb(seeking, works ? SNR_LEAST_DB : snr_db, works ? snr_db : INFINITY, needed_db);
    }
    return status;
}

static enum status required_of_many(struct asking *asking, const struct verdict *verdict,
                                    struct verdict *room, double *needed_db)
{
    bool known = verdict->known && verdict->positions == asking->count;
    double snr_db =
        known ? verdict->conditions.snr_db : verdict->reception.needed_input_db + SOME_MORE_DB;
    int place = positions_place(asking->count, verdict->conditions.position_percent);
    int middle = positions_place(asking->count, 50.0);
    enum status status = known ? STATUS_OK : rank_all(asking, snr_db);
    struct seeking seeking = {.asking = asking,
                              .middle = room,
                              .place = place,
                              .better = place < middle ? place : middle,
                              .worse = place < middle ? middle : place,
                              .last = asking->count - 1,
                              .snr_db = NAN,
                              .slope = 1.0,
                              .apart = APART_MOST,
                              .known = known ? verdict : NULL,
                              .one =
                                  known ? verdict->order[place] : asking->stands[place].position};
    if (status == STATUS_OK) {
        status = seek(&seeking, margin_of_seeking_one, snr_db, needed_db);
    }
    if (status != STATUS_OK) {
        return status;
    }
    *room = *verdict;
    return required_over_all(&seeking, verdict, snr_db, needed_db);
}

enum status positions_required_db(const struct verdict *verdict, double *snr_db)
{
    struct asking asking;
    struct verdict *room = malloc(sizeof *room);
    enum status status = asking_open(verdict, &asking);
    status = room == NULL ? STATUS_NO_MEMORY : status;
    *snr_db = NAN;
    if (status == STATUS_OK && asking.count > 1) {
        status = required_of_many(&asking, verdict, room, snr_db);
    } else if (status == STATUS_OK) {
        channel_draw(asking.channel, 0, asking.drawn);
        status = asking.reception->system->required(asking.reception, asking.drawn, snr_db);
        if (status == STATUS_NO_SOLUTION) {
            *snr_db = INFINITY;
            status = STATUS_OK;
        }
    }
    asking_close(&asking);
    free(room);
    return status;
}

/* ---- Beside the other, and over time. ---- */

void positions_beside(const struct verdict *verdict, const struct verdict *other,
                      struct channel *channel)
{
    *channel = verdict->channel;
    if (other->known && other->positions > 1 && verdict->positions == other->positions) {
        int middle = positions_place(other->positions, 50.0);
        channel_draw(&verdict->conditions.channel, (uint64_t)other->order[middle], channel);
    }
}

enum status positions_fare(const struct verdict *verdict, const struct channel *channel,
                           struct fare *fare)
{
    const struct reception *reception = &verdict->reception;
    double snr_db = verdict->conditions.snr_db, within_db = within(snr_db);
    enum status status = reception->system->fare(reception, channel, within_db, NULL, fare);
    fare->snr_db = snr_db;
    fare->left_db += snr_db - within_db;
    fare->margin_db += snr_db - within_db;
    return status;
}

enum status positions_over_time(const struct verdict *verdict, const struct channel *from,
                                double seconds, size_t count, double *margin_db)
{
    struct asking asking;
    enum status status = asking_open(verdict, &asking);
    for (size_t i = 0; i < count && status == STATUS_OK; i++) {
        double at = count > 1 ? seconds * (double)i / (double)(count - 1) : 0.0;
        struct stand stand = {.margin_db = NAN};
        channel_advance(from, at, asking.drawn);
        status = margin_of_drawn(&asking, verdict->conditions.snr_db, &stand);
        margin_db[i] = stand.margin_db;
    }
    asking_close(&asking);
    return status;
}
