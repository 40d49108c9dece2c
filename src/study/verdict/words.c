/* Why one generation decodes and the other does not, in plain words from the computed figures. */
#include <math.h>
#include <stdbool.h>

#include "base/units.h"
#include "study/verdict/verdict.h"

int verdict_percent(const struct verdict *verdict)
{
    double share = verdict->positions_share;
    int percent = (int)lround(100.0 * share);
    return share >= 1.0 ? 100 : share <= 0.0 ? 0 : percent < 1 ? 1 : percent > 99 ? 99 : percent;
}

/* "decodes at 62 % of the positions", "fails all the time"; `of`: "of the positions",
 * or nothing where that is clear. */
static void share_words(const struct verdict *verdict, bool moves, const char *of, struct text *out)
{
    double share = verdict->positions_share;
    if (share >= 1.0 || share <= 0.0) {
        text_printf(out, "%s %s", share > 0.0 ? "decodes" : "fails",
                    moves        ? "all the time"
                    : of[0] == 0 ? "at all"
                                 : "at all positions");
    } else {
        text_printf(out, "decodes %s%d %%%s", moves ? "" : "at ", verdict_percent(verdict), of);
    }
}

/* Half is what is asked where nothing else is said; where another share is, and some decode but too
 * few, that is said. */
static void asked_words(const struct verdict *verdict, bool moves, struct text *out)
{
    double asked_percent = verdict->conditions.position_percent;
    if (!verdict->works && verdict->positions_share > 0.0 && asked_percent != 50.0) {
        text_printf(out, ", %s than the %.3g %% asked for", moves ? "less" : "fewer",
                    asked_percent);
    }
}

bool verdict_is_over_time(const struct verdict *verdict)
{
    return channel_moves(&verdict->conditions.channel);
}

void verdict_words_short(const struct verdict *verdict, struct text *out)
{
    if (!verdict->known) {
        text_append(out, "has no known SNR");
    } else if (verdict->conditions.headroom_db < 0.0) {
        text_printf(out, "is overloaded by %.1f dB, so no margin holds",
                    -verdict->conditions.headroom_db);
    } else if (verdict->positions > 1) {
        bool moves = verdict_is_over_time(verdict);
        share_words(verdict, moves, moves ? " of the time" : " of the positions", out);
        asked_words(verdict, moves, out);
        if (verdict->fare.lost) {
            text_append(out, ", it cannot follow the motion");
        } else if (isfinite(verdict->margin_db)) {
            text_printf(out, ", %.1f dB %s %s", fabs(verdict->margin_db),
                        verdict->margin_db >= 0.0 ? "to spare" : "short",
                        moves ? "half of it" : "at half of them");
        }
    } else if (verdict->works) {
        text_printf(out, "decodes, %.1f dB to spare", verdict->margin_db);
    } else if (verdict->fare.lost) {
        text_append(out, "fails, it cannot follow the motion");
    } else if (isfinite(verdict->margin_db)) {
        text_printf(out, "fails, %.1f dB short", -verdict->margin_db);
    } else {
        text_append(out, isinf(verdict->reception.needed_db) ? "fails, no SNR suffices"
                                                             : "fails, the rays cancel each other");
    }
}

void verdict_words_line(const struct verdict *verdict, bool follows, struct text *out)
{
    if (!verdict->known || verdict->positions == 1 || verdict->conditions.headroom_db < 0.0) {
        verdict_words_short(verdict, out);
        return;
    }
    bool moves = verdict_is_over_time(verdict);
    share_words(verdict, moves, follows ? "" : moves ? " of the time" : " of positions", out);
    if (isfinite(verdict->margin_db) && !verdict->fare.lost) {
        text_printf(out, " (%+.1f dB)", as_shown(verdict->margin_db, 1));
    }
}

void verdict_words(const struct verdicts *verdicts, struct text *out)
{
    if (!verdicts->of[GENERATION_FIRST].known && !verdicts->of[GENERATION_SECOND].known) {
        text_append(out, "No verdict: no SNR is known. Give a measured SNR, a level or a "
                         "station.");
        return;
    }
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct verdict *verdict = &verdicts->of[i];
        text_printf(out, "%s%s ", i > 0 ? " " : "", verdict->reception.system->name);
        verdict_words_short(verdict, out);
        text_append(out, ".");
    }
}

void verdict_words_steps(const struct verdict *verdict, struct text *out)
{
    const struct reception *reception = &verdict->reception;
    if (!verdict->known) {
        text_append(out, "Without an SNR nothing can be said of a margin.");
        return;
    }
    if (isnan(verdict->fare.left_db)) {
        text_append(out, "The rays cancel each other: nothing arrives to be decoded.");
        return;
    }
    if (verdict->positions > 1) {
        text_printf(
            out,
            "Of %d %s drawn this is the one in the middle: its margin is what half of them reach. ",
            verdict->positions, verdict_is_over_time(verdict) ? "moments" : "positions");
    }
    reception->system->words(reception, &verdict->channel, &verdict->fare, out);
    if (verdict->fare.lost) {
        return;
    }
    text_printf(out, " %.1f dB are left", verdict->fare.left_db);
    if (isinf(reception->needed_db)) {
        text_append(out, ", but no SNR suffices.");
    } else {
        text_printf(out, " where %.1f dB are needed.", reception->needed_db);
    }
}

void verdict_words_snr(const struct conditions *conditions, struct text *out)
{
    switch (conditions->source) {
    case SNR_MEASURED:
        text_printf(out, "measured SNR %.1f dB", conditions->snr_db);
        break;
    case SNR_LEVEL:
        text_printf(out, "SNR %.1f dB, from the level less the receiver's noise of %.1f dBm",
                    conditions->snr_db, conditions->noise_dbm);
        break;
    case SNR_STATION:
        text_printf(out,
                    "SNR %.1f dB, give or take %.0f dB, predicted for the station, less noise of "
                    "%.1f dBm",
                    conditions->snr_db, conditions->error_db, conditions->noise_dbm);
        break;
    default:
        text_append(out, "no SNR known: give receiver.snr_db, receiver.level_dbm or a station");
    }
    if (conditions->interference_db >= 0.05) {
        text_printf(out, ", interference counted (%.1f dB)", conditions->interference_db);
    }
    if (conditions->headroom_db < 0.0) {
        text_printf(
            out,
            "; overload: %.1f dB above what receivers are made for, which no margin counts: "
            "attenuate",
            -conditions->headroom_db);
    }
}

static bool is_same_snr(const struct conditions *a, const struct conditions *b)
{
    return a->source == b->source && (a->snr_db == b->snr_db || a->source == SNR_NONE);
}

void verdicts_words_snr(const struct verdicts *verdicts, struct text *out)
{
    bool same = is_same_snr(&verdicts->of[GENERATION_FIRST].conditions,
                            &verdicts->of[GENERATION_SECOND].conditions);
    for (int i = 0; i < (same ? 1 : GENERATION_COUNT); i++) {
        text_printf(out, "%s%s: ", i > 0 ? "; " : "",
                    same ? "Both" : verdicts->of[i].reception.system->name);
        verdict_words_snr(&verdicts->of[i].conditions, out);
    }
    text_append(out, verdicts->of[0].known ? "; all rays counted." : ".");
}

/* "these echoes", "motion", or nothing: what the conditions hold beside noise. */
static const char *causes(const struct verdicts *verdicts)
{
    const struct conditions *conditions = &verdicts->of[GENERATION_FIRST].conditions;
    bool echoes = conditions->channel.count > 1;
    bool motion = channel_moves(&conditions->channel);
    return echoes && motion ? " to these echoes and motion"
           : echoes         ? " to these echoes"
           : motion         ? " to motion"
                            : "";
}

/* What echoes and motion take, as words have it: what rounds to nothing is nothing. A receiver's
 * own fixed losses are part of what it needs. */
static double loss_db(const struct verdict *verdict)
{
    double db = verdict->margin_noise_db - verdict->conditions.interference_db - verdict->margin_db;
    return fabs(db) < 0.05 ? 0.0 : db;
}

/* Where one of them follows nothing, or decodes nowhere, there is no loss to weigh. False: both do.
 */
static bool lost_decision(const struct verdicts *verdicts, struct text *out)
{
    bool lost = false;
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct verdict *verdict = &verdicts->of[i];
        if (verdict->fare.lost) {
            text_printf(out, "%s%s cannot follow the motion, at any SNR.", lost ? " " : "",
                        verdict->reception.system->name);
            lost = true;
        } else if (isinf(verdict->reception.needed_db)) {
            text_printf(out, "%s%s decodes at no SNR, whatever the channel.", lost ? " " : "",
                        verdict->reception.system->name);
            lost = true;
        }
    }
    return lost;
}

static void decision(const struct verdicts *verdicts, struct text *out)
{
    if (lost_decision(verdicts, out)) {
        return;
    }
    const struct verdict *first = &verdicts->of[GENERATION_FIRST];
    const struct verdict *second = &verdicts->of[GENERATION_SECOND];
    double first_db = first->reception.needed_input_db;
    double second_db = second->reception.needed_input_db;
    double by_needs = first_db - second_db;
    double by_losses = loss_db(first) - loss_db(second);
    double by_snr = second->fare.snr_db - first->fare.snr_db;
    const char *cause = causes(verdicts);
    if (fabs(loss_db(first)) < 0.05 && fabs(loss_db(second)) < 0.05) {
        text_printf(out, "In noise alone %s needs %.1f dB, %s %.1f dB, and neither loses any: ",
                    first->reception.system->name, first_db, second->reception.system->name,
                    second_db);
    } else {
        text_printf(out,
                    "In noise alone %s needs %.1f dB, and it loses %.1f dB%s; %s needs %.1f dB and "
                    "loses %.1f dB: ",
                    first->reception.system->name, first_db, loss_db(first), cause,
                    second->reception.system->name, second_db, loss_db(second));
    }
    const char *ahead =
        (by_needs + by_losses + by_snr > 0.0 ? second : first)->reception.system->name;
    if (fabs(by_needs + by_losses + by_snr) < 0.1) {
        text_append(out, "the two come out even.");
    } else if (fabs(by_snr) > fabs(by_losses) && fabs(by_snr) > fabs(by_needs)) {
        text_printf(out, "what puts %s ahead is the stronger signal.", ahead);
    } else if (fabs(by_losses) >= fabs(by_needs)) {
        text_printf(out, "what puts %s ahead is how it bears the channel.", ahead);
    } else {
        text_printf(out,
                    "what puts %s ahead is how little SNR it asks for, more than how it bears "
                    "the channel.",
                    ahead);
    }
}

static void steadiness_words(const struct verdict *verdict, struct text *out)
{
    text_printf(out, "%s ", verdict->reception.system->name);
    if (isinf(verdict->reception.needed_db)) {
        text_append(out, "decodes at no SNR");
    } else if (isinf(verdict->margin_90_db)) {
        text_append(out, "may meet rays that cancel each other");
    } else if (verdict->margin_90_db >= 0.0) {
        text_printf(out, "has at least %.1f dB to spare", verdict->margin_90_db);
    } else {
        text_printf(out, "is at most %.1f dB short", -verdict->margin_90_db);
    }
}

/* How dependable each is: half of the positions say little of the other half. */
static void steadiness(const struct verdicts *verdicts, struct text *out)
{
    const struct verdict *first = &verdicts->of[GENERATION_FIRST];
    const struct verdict *second = &verdicts->of[GENERATION_SECOND];
    bool neither = first->fare.lost && second->fare.lost;
    if (neither || (first->positions == 1 && second->positions == 1)) {
        return;
    }
    text_append(out, verdict_is_over_time(first) ? " Nine tenths of the time "
                                                 : " At nine of ten positions ");
    for (int i = 0; i < GENERATION_COUNT; i++) {
        if (!verdicts->of[i].fare.lost) {
            text_append(out, i > 0 && !first->fare.lost ? ", " : "");
            steadiness_words(&verdicts->of[i], out);
        }
    }
    text_append(out, ".");
}

/* Who decodes as often as is asked. */
static void who_words(const struct verdicts *verdicts, struct text *out)
{
    const struct verdict *first = &verdicts->of[GENERATION_FIRST];
    const struct verdict *second = &verdicts->of[GENERATION_SECOND];
    const struct verdict *many = first->positions > 1 ? first : second;
    bool share = many->positions > 1, any = first->works || second->works;
    if (first->works != second->works) {
        text_printf(out, "Only %s decodes",
                    (first->works ? first : second)->reception.system->name);
    } else {
        text_append(out, any ? "Both decode" : share ? "Neither decodes" : "Both fail");
    }
    if (share) {
        bool moves = verdict_is_over_time(many);
        text_printf(out, " %s%.3g %% of the %s%s", moves ? "" : "at ",
                    many->conditions.position_percent, moves ? "time" : "positions",
                    any ? " or more" : "");
    }
    text_append(out, ". ");
}

/* Whether the margin that is solved in full, the one in the middle, is the one that is asked. */
static bool middle_is_asked(const struct verdict *verdict)
{
    return verdict->positions == 1 || verdict->conditions.position_percent == 50.0;
}

void verdict_words_decision(const struct verdicts *verdicts, struct text *out)
{
    const struct verdict *first = &verdicts->of[GENERATION_FIRST];
    const struct verdict *second = &verdicts->of[GENERATION_SECOND];
    if (!first->known || !second->known) {
        text_append(out, "Without an SNR for both it is open which of them decodes.");
        return;
    }
    who_words(verdicts, out);
    decision(verdicts, out);
    steadiness(verdicts, out);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct verdict *verdict = &verdicts->of[i];
        double ideal_db =
            verdict->reception.system->ideal_margin_db(&verdict->reception, &verdict->fare);
        if (!verdict->works && middle_is_asked(verdict) && ideal_db >= 0.0) {
            text_printf(out,
                        " An ideal receiver of %s would have %.1f dB to spare: what fails here are "
                        "a real one's faults.",
                        verdict->reception.system->name, ideal_db);
        }
    }
}
