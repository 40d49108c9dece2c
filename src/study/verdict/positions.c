/* Positions. Idea: margins differ from position to position by many decibels, and what is asked is
 * their order: which share decodes, and what half, 90 and 99 % of the positions reach. A row's
 * quick margin (system.h) is enough for that. The margin in the middle is the one that is shown
 * step by step, so it is solved in full; its estimate's error is taken off all others, so that the
 * shares, the margins and the account agree.
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
};

/* What is asked of one channel again and again. */
struct asking {
    const struct reception *reception;
    const struct channel *channel; /* phases that are any */
    struct channel *drawn;
    struct fare_work *work;
    int count;
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
                              .drawn = malloc(sizeof *asking->drawn),
                              .count = positions_of(conditions)};
    asking->stands = malloc((size_t)asking->count * sizeof *asking->stands);
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

/* Quick margins of the stands from `first` on, at their positions, put in order. */
static enum status rank(struct asking *asking, double snr_db, int first, int count)
{
    struct stand *stands = asking->stands + first;
    const struct system *system = asking->reception->system;
    for (int i = 0; i < count; i++) {
        channel_draw(asking->channel, (uint64_t)stands[i].position, asking->drawn);
        enum status status = system->margin(asking->reception, asking->drawn, within(snr_db),
                                            asking->work, &stands[i].margin_db);
        if (status == STATUS_NO_SOLUTION) {
            stands[i].margin_db = -INFINITY;
        } else if (status != STATUS_OK) {
            return status;
        }
        stands[i].margin_db += snr_db - within(snr_db);
    }
    qsort(stands, (size_t)count, sizeof *stands, best_first);
    return STATUS_OK;
}

static enum status rank_all(struct asking *asking, double snr_db)
{
    for (int i = 0; i < asking->count; i++) {
        asking->stands[i] = (struct stand){0.0, i};
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
 * secant is next to the answer. With another SNR the order changes a little, so of the positions
 * only those around the place are looked at again: a step of the SNR brings none there that was
 * further off than APART_MOST times the step, as no margin gains so much more a dB than another. */
#define APART_MOST 3.0
#define AROUND 8 /* of so many parts of the positions one is looked at to either side, at most */
#define ROUNDS_MAX 12
#define SOME_MORE_DB 3.0
#define CLOSE_DB 2e-3
#define SLOPE_LEAST \
    0.02 /* dB a dB: where less is gained echoes or motion rule, and none suffices */

struct seeking {
    struct asking *asking;
    int place, first, last;
    double more_db; /* what estimates lack */
};

/* Leaves those out that the next step cannot bring to the place. */
static void narrow(struct seeking *seeking, double step_db)
{
    const struct stand *stands = seeking->asking->stands;
    double place_db = stands[seeking->place].margin_db, off_db = APART_MOST * fabs(step_db);
    while (seeking->first < seeking->place &&
           stands[seeking->first].margin_db > place_db + off_db) {
        seeking->first++;
    }
    while (seeking->last > seeking->place && stands[seeking->last].margin_db < place_db - off_db) {
        seeking->last--;
    }
}

static enum status margin_at(struct seeking *seeking, double snr_db, double *margin_db)
{
    enum status status =
        rank(seeking->asking, snr_db, seeking->first, seeking->last - seeking->first + 1);
    *margin_db = seeking->asking->stands[seeking->place].margin_db + seeking->more_db;
    return status;
}

static enum status seek(struct seeking *seeking, double snr_db, double *needed_db)
{
    double margin_db,
        next_db = snr_db - seeking->asking->stands[seeking->place].margin_db - seeking->more_db;
    double last_db = snr_db, last_margin_db = snr_db - next_db;
    for (int i = 0; i < ROUNDS_MAX; i++) {
        if (!(next_db <= SNR_MOST_DB)) {
            break;
        }
        narrow(seeking, next_db - last_db);
        enum status status = margin_at(seeking, next_db, &margin_db);
        double slope = (margin_db - last_margin_db) / (next_db - last_db);
        *needed_db = next_db;
        if (status != STATUS_OK || fabs(margin_db) < CLOSE_DB) {
            return status;
        }
        if (!isfinite(margin_db) || (margin_db < 0.0 && slope < SLOPE_LEAST)) {
            break;
        }
        last_db = next_db;
        last_margin_db = margin_db;
        next_db -= margin_db / fmax(slope, SLOPE_LEAST);
    }
    *needed_db = INFINITY;
    return STATUS_OK;
}

/* As they stood when the verdict was made; only the one in the middle is asked again, for its
 * estimate. */
static enum status recall(struct asking *asking, const struct verdict *verdict, double *more_db)
{
    int middle = positions_place(asking->count, 50.0);
    for (int i = 0; i < asking->count; i++) {
        asking->stands[i] = (struct stand){(double)verdict->margins_db[i], verdict->order[i]};
    }
    *more_db = 0.0;
    if (!isfinite(verdict->margin_db)) {
        return STATUS_OK;
    }
    enum status status = rank(asking, verdict->conditions.snr_db, middle, 1);
    *more_db = verdict->margin_db - asking->stands[middle].margin_db;
    for (int i = 0; i < asking->count; i++) {
        asking->stands[i].margin_db -= i == middle ? 0.0 : *more_db;
    }
    return status;
}

static enum status required_of_many(struct asking *asking, const struct verdict *verdict,
                                    double *needed_db)
{
    const struct conditions *conditions = &verdict->conditions;
    double snr_db =
        verdict->known ? conditions->snr_db : verdict->reception.needed_input_db + SOME_MORE_DB;
    double more_db = 0.0;
    bool stand = verdict->known && verdict->positions == asking->count;
    enum status status = stand ? recall(asking, verdict, &more_db) : rank_all(asking, snr_db);
    if (status != STATUS_OK) {
        return status;
    }
    int place = positions_place(asking->count, conditions->position_percent);
    int reach = asking->count / AROUND;
    int first = place > reach ? place - reach : 0;
    int last = place + reach < asking->count ? place + reach : asking->count - 1;
    struct seeking seeking = {asking, place, first, last, more_db};
    return seek(&seeking, snr_db, needed_db);
}

enum status positions_required_db(const struct verdict *verdict, double *snr_db)
{
    struct asking asking;
    enum status status = asking_open(verdict, &asking);
    *snr_db = NAN;
    if (status == STATUS_OK && asking.count > 1) {
        status = required_of_many(&asking, verdict, snr_db);
    } else if (status == STATUS_OK) {
        channel_draw(asking.channel, 0, asking.drawn);
        status = asking.reception->system->required(asking.reception, asking.drawn, snr_db);
        if (status == STATUS_NO_SOLUTION) {
            *snr_db = INFINITY;
            status = STATUS_OK;
        }
    }
    asking_close(&asking);
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
    const struct system *system = verdict->reception.system;
    double snr_db = verdict->conditions.snr_db;
    enum status status = asking_open(verdict, &asking);
    for (size_t i = 0; i < count && status == STATUS_OK; i++) {
        double at = count > 1 ? seconds * (double)i / (double)(count - 1) : 0.0;
        channel_live(from, 0, at, asking.drawn);
        status = system->margin(&verdict->reception, asking.drawn, within(snr_db), asking.work,
                                &margin_db[i]);
        if (status == STATUS_NO_SOLUTION) {
            margin_db[i] = -INFINITY;
            status = STATUS_OK;
        }
        margin_db[i] += snr_db - within(snr_db);
    }
    asking_close(&asking);
    return status;
}
