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

/* ---- The account. ---- */

#define NOTABLE_DB 0.05

/* The kinds of losses that either generation has, in their order. */
static int kinds_met(const struct verdicts *verdicts, enum loss_kind *kinds)
{
    int count = 0;
    for (int kind = 0; kind < LOSS_KIND_COUNT; kind++) {
        bool met = false;
        for (int g = 0; g < GENERATION_COUNT; g++) {
            double db = verdict_loss_db(&verdicts->of[g], (enum loss_kind)kind);
            met = met || fabs(db) >= NOTABLE_DB; /* NAN is not */
        }
        if (met) {
            kinds[count++] = (enum loss_kind)kind;
        }
    }
    return count;
}

static bool add_steps(const struct verdict *verdict, enum role role, const enum loss_kind *kinds,
                      int count, struct picture *out)
{
    char label[64];
    bool lost =
        verdict->fare.lost; /* what is left then is no figure: the line leaves the picture */
    if (lost) {
        text_format(label, sizeof label, "%s cannot follow the motion", name_of(verdict));
    } else {
        text_format(label, sizeof label, "%s, %.1f dB %s", name_of(verdict),
                    fabs(verdict->margin_db), verdict->margin_db >= 0.0 ? "to spare" : "short");
    }
    struct series *series = picture_add_series(out, SERIES_STEPS, role, label, (size_t)count + 2);
    if (series == NULL) {
        return false;
    }
    double snr_db = verdict->fare.snr_db;
    for (int i = 0; i <= count + 1; i++) {
        double loss_db = i > 0 && i <= count ? verdict_loss_db(verdict, kinds[i - 1]) : 0.0;
        snr_db -= isnan(loss_db) ? 0.0 : loss_db;
        series->x[i] = i;
        series->y[i] = i == count + 1 ? verdict->fare.left_db : snr_db;
        widen(&out->y, lost && snr_db < 0.0 ? NAN : series->y[i]);
    }
    text_format(label, sizeof label, "%s needs %.1f dB", name_of(verdict),
                verdict->reception.needed_db);
    picture_add_mark(out, role, label, false, verdict->reception.needed_db);
    widen(&out->y, verdict->reception.needed_db);
    return true;
}

bool picture_account(const struct verdicts *verdicts, struct picture *out)
{
    enum loss_kind kinds[LOSS_KIND_COUNT];
    int count = kinds_met(verdicts, kinds);
    *out = (struct picture){0};
    text_format(out->title, sizeof out->title, "From the SNR to what is left");
    text_format(
        out->note, sizeof out->note,
        "Each step down is a loss by its cause, losses of the receiver last; what ends above "
        "its line decodes. Of many positions each stands at its own middle one.");
    out->x = (struct axis){.label = "loss by loss", .low = 0.0, .high = count + 1.6, .bare = true};
    out->y = (struct axis){.label = "SNR", .unit = "dB", .low = INFINITY, .high = -INFINITY};
    bool made = true, any = false;
    for (int g = 0; g < GENERATION_COUNT; g++) {
        const struct verdict *verdict = &verdicts->of[g];
        if (isfinite(verdict->fare.left_db) && verdict->known) {
            any = true;
            made = made && add_steps(verdict, roles[g], kinds, count, out);
        }
    }
    for (int i = 0; i < count; i++) {
        picture_add_mark(out, ROLE_DIM, loss_kind_name(kinds[i]), true, i + 1.0);
    }
    out->y.low -= 1.0;
    out->y.high += 1.0;
    if (!made || !any) {
        picture_free(out);
    }
    return made && any;
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
    text_format(
        out->note, sizeof out->note,
        "%d drawn, phases equally likely, the SNR the same at each. So many of them have at "
        "least this margin.",
        verdicts->of[GENERATION_SECOND].positions);
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
                second->positions > 1 ? " Both begin at the position of " : "",
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
