/* The verdict as pictures: what it is made of, how it is spread over positions, and how it changes
 * in time. All of it is the report's own verdict; nothing is solved anew but the moments in time.
 */
#include "present/picture/verdict.h"

#include <math.h>

#include "study/verdict/positions.h"

static const enum role roles[GENERATION_COUNT] = {ROLE_FIRST, ROLE_SECOND};

static bool any_known(const struct verdicts *verdicts)
{
    return verdicts->of[GENERATION_FIRST].known || verdicts->of[GENERATION_SECOND].known;
}

static const char *name_of(const struct verdict *verdict)
{
    return verdict->reception.system->name;
}

static void widen(struct axis *axis, double value)
{
    if (isfinite(value)) {
        axis->low = fmin(axis->low, value);
        axis->high = fmax(axis->high, value);
    }
}

/* Zero of a margin, and room above and below. */
static void finish_margins(struct picture *out)
{
    double edge = 0.08 * (out->y.high - out->y.low) + 0.2;
    out->y.low -= edge;
    out->y.high += edge;
    picture_add_mark(out, ROLE_WARN, "decodes from here on", false, 0.0);
}

/* ---- The account: a stair down and to the left for each generation, one under the other. A row is
 * a step: from the SNR before it to that after it; the last one, from what is left to what is
 * needed, is what is to spare. ---- */

#define NOTABLE_DB 0.05
#define ROOM_LEFT 0.45 /* for names beside the stairs, over what the stairs take */
#define ROOM_RIGHT 0.75

static void add_point(struct series *series, double snr_db, double row, const char *name,
                      struct picture *out)
{
    size_t i = series->count++;
    series->x[i] = snr_db;
    series->y[i] = row;
    series_name(series, i, name);
    widen(&out->x, snr_db);
    widen(&out->y, row);
}

static void label_of(const struct verdict *verdict, char *label, size_t size)
{
    if (verdict->fare.lost) { /* what is left then is no figure */
        text_format(label, size, "%s cannot follow the motion", name_of(verdict));
    } else {
        text_format(label, size, "%s, %.1f dB %s", name_of(verdict), fabs(verdict->margin_db),
                    verdict->margin_db >= 0.0 ? "to spare" : "short");
    }
}

/* From what is left to what is needed. */
static void add_last_step(const struct verdict *verdict, double row, struct series *series,
                          struct picture *out)
{
    char spare[PICTURE_NAME_BYTES], needs[PICTURE_NAME_BYTES];
    text_format(spare, sizeof spare, "%.1f dB %s", fabs(verdict->margin_db),
                verdict->margin_db >= 0.0 ? "to spare" : "short");
    text_format(needs, sizeof needs, "needs %.1f dB", verdict->reception.needed_db);
    add_point(series, verdict->fare.left_db, row, spare, out);
    add_point(series, verdict->reception.needed_db, row, needs, out);
}

/* Its steps from `row` down; where they end, or NAN. */
static double add_stair(const struct verdict *verdict, enum role role, double row,
                        struct picture *out)
{
    char name[PICTURE_NAME_BYTES], label[64];
    label_of(verdict, label, sizeof label);
    struct series *series =
        picture_add_series(out, SERIES_LINE, role, label, 2 * (LOSS_KIND_COUNT + 2));
    if (series == NULL || !series_name(series, 0, "")) { /* room for as many as there can be */
        return NAN;
    }
    double snr_db = verdict->fare.snr_db;
    series->count = 0;
    text_format(name, sizeof name, "%s, SNR %.1f dB", name_of(verdict), snr_db);
    add_point(series, snr_db, row, name, out);
    for (int kind = 0; kind < LOSS_KIND_COUNT; kind++) {
        double loss_db = verdict_loss_db(verdict, (enum loss_kind)kind);
        if (!(fabs(loss_db) >= NOTABLE_DB)) { /* NAN: it has none of the kind */
            continue;
        }
        row -= 1.0;
        if (verdict->fare.lost && kind == LOSS_MOTION) {
            add_point(series, snr_db, row, "motion, not followed", out);
            return row;
        }
        text_format(name, sizeof name, "%s %+.1f dB", loss_kind_name((enum loss_kind)kind),
                    -loss_db);
        add_point(series, snr_db, row, name, out);
        snr_db -= loss_db;
        add_point(series, snr_db, row, "", out);
    }
    row -= 1.0;
    add_last_step(verdict, row, series, out);
    return row;
}

bool picture_account(const struct verdicts *verdicts, struct picture *out)
{
    *out = (struct picture){0};
    text_format(out->title, sizeof out->title, "From the SNR to what is to spare");
    text_format(out->note, sizeof out->note,
                "Each step is a loss by its cause, losses of the receiver last, and the last one, "
                "down to what is needed, what is to spare. Of many positions, or "
                "moments, each generation stands at its own middle one.");
    out->x = (struct axis){.label = "SNR", .unit = "dB", .low = INFINITY, .high = -INFINITY};
    out->y =
        (struct axis){.label = "loss by loss", .low = INFINITY, .high = -INFINITY, .bare = true};
    out->every_name = true;
    double row = 0.0;
    for (int g = 0; g < GENERATION_COUNT; g++) {
        const struct verdict *verdict = &verdicts->of[g];
        if (!isnan(verdict->fare.left_db) && verdict->known) {
            row = add_stair(verdict, roles[g], row, out) - 1.0;
        }
    }
    double span_db = out->x.high - out->x.low;
    out->x.low -= ROOM_LEFT * span_db + 0.5;
    out->x.high += ROOM_RIGHT * span_db + 0.5;
    out->y.low -= 0.5;
    out->y.high += 0.5;
    bool drawn = !isnan(row) && out->series_count > 0;
    if (!drawn) {
        picture_free(out);
    }
    return drawn;
}

/* ---- Positions. ---- */

#define PIPES_SHOWN (PICTURE_SERIES_MAX - 1) /* beside the first generation */

/* A margin over the share of positions, that of each drawn to the end of its share. */
static bool add_spread(const struct verdict *verdict, enum role role, const char *name,
                       struct picture *out)
{
    char label[64];
    if (verdict->fare.lost) {
        text_format(label, sizeof label, "%s cannot follow the motion", name);
    } else {
        text_format(label, sizeof label, "%s, %d %% decode", name, verdict_percent(verdict));
    }
    size_t count = (size_t)verdict->positions;
    struct series *series = picture_add_series(out, SERIES_LINE, role, label, count + 1);
    if (series == NULL) {
        return false;
    }
    for (size_t i = 0; i <= count; i++) {
        size_t which = i < count ? i : count - 1;
        double margin_db = count == 1 ? verdict->margin_db : (double)verdict->margins_db[which];
        series->x[i] = 100.0 * (double)i / (double)count;
        series->y[i] = isfinite(margin_db) && !verdict->fare.lost ? margin_db : NAN;
        widen(&out->y, series->y[i]);
    }
    return true;
}

/* The system's one curve, or one for each of its pipes. */
static bool add_spreads(const struct verdict *verdict, enum role role, const struct verdict *pipes,
                        int count, struct picture *out)
{
    static const enum role roles_of_pipes[] = {ROLE_SECOND, ROLE_PINNED, ROLE_WARN};
    bool made = count > 0 || add_spread(verdict, role, name_of(verdict), out);
    for (int i = 0; i < count && i < PIPES_SHOWN; i++) {
        made = made && add_spread(&pipes[i], roles_of_pipes[i % 3], pipes[i].facts.plp, out);
    }
    return made;
}

bool picture_positions(const struct verdicts *verdicts, const struct verdict *pipes, int count,
                       struct picture *out)
{
    *out = (struct picture){0};
    if (!any_known(verdicts)) {
        return false;
    }
    bool moves = verdict_is_over_time(&verdicts->of[GENERATION_FIRST]);
    text_format(out->title, sizeof out->title, "Margin over %s",
                moves ? "time, best first" : "positions, best first");
    int drawn = verdicts->of[GENERATION_SECOND].positions;
    if (drawn > 1) {
        bool on_the_way = verdicts->of[GENERATION_SECOND].conditions.channel.spread_hz > 0.0;
        text_format(out->note, sizeof out->note,
                    "%d drawn, %s, the SNR the same at each. So many of them have at least this "
                    "margin.",
                    drawn, on_the_way ? "rays from all sides" : "phases equally likely");
    } else {
        text_format(out->note, sizeof out->note,
                    "No phase is unknown here, so every position is alike.");
    }
    out->x = (struct axis){.label = "share", .unit = "%", .low = 0.0, .high = 100.0};
    text_format(out->x.label, sizeof out->x.label, "share of %s", moves ? "the time" : "positions");
    out->y = (struct axis){.label = "margin", .unit = "dB", .low = 0.0, .high = 0.0};
    bool made = true;
    for (int g = 0; g < GENERATION_COUNT; g++) {
        if (verdicts->of[g].known) {
            made = made && add_spreads(&verdicts->of[g], roles[g], pipes,
                                       g == GENERATION_SECOND ? count : 0, out);
        }
    }
    finish_margins(out);
    if (!made) {
        picture_free(out);
    }
    return made;
}

/* ---- Time. ---- */

#define SECONDS 10.0
#define MOMENTS 201

static bool add_moments(const struct verdict *verdict, const struct verdict *second, enum role role,
                        struct picture *out)
{
    double margins_db[MOMENTS];
    struct channel from;
    char label[64];
    text_format(label, sizeof label, "%s%s", name_of(verdict),
                verdict->fare.lost ? " cannot follow the motion" : "");
    struct series *series = picture_add_series(out, SERIES_LINE, role, label, MOMENTS);
    positions_beside(verdict, second, &from);
    if (series == NULL ||
        positions_over_time(verdict, &from, SECONDS, MOMENTS, margins_db) != STATUS_OK) {
        return false;
    }
    for (int i = 0; i < MOMENTS; i++) {
        series->x[i] = SECONDS * i / (MOMENTS - 1);
        bool told = isfinite(margins_db[i]) && !verdict->fare.lost;
        series->y[i] = told ? margins_db[i] : NAN;
        widen(&out->y, series->y[i]);
    }
    return true;
}

bool picture_time(const struct verdicts *verdicts, struct picture *out)
{
    *out = (struct picture){0};
    if (!any_known(verdicts)) {
        return false;
    }
    const struct verdict *second = &verdicts->of[GENERATION_SECOND];
    bool moves = verdict_is_over_time(&verdicts->of[GENERATION_FIRST]);
    text_format(out->title, sizeof out->title, "Margin over ten seconds");
    text_format(out->note, sizeof out->note, "%s%s%s%s",
                moves ? "As rays and receiver move, at the same SNR."
                      : "Nothing moves here, so nothing changes.",
                second->positions == 1 ? ""
                : moves                ? " Both begin at the moment of "
                                       : " Both begin at the position of ",
                second->positions > 1 ? name_of(second) : "",
                second->positions > 1 ? "'s account." : "");
    out->x = (struct axis){.label = "time", .unit = "s", .low = 0.0, .high = SECONDS};
    out->y = (struct axis){.label = "margin", .unit = "dB", .low = 0.0, .high = 0.0};
    bool made = true;
    for (int g = 0; g < GENERATION_COUNT; g++) {
        if (verdicts->of[g].known) {
            made = made && add_moments(&verdicts->of[g], second, roles[g], out);
        }
    }
    finish_margins(out);
    if (!made) {
        picture_free(out);
    }
    return made;
}
