/* Builds the pictures of echoes from a verdict: reaches and rays, carriers, what is borne,
 * margins over delay. */
#include "present/picture/echo.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "study/verdict/positions.h"

static const struct verdict *first_of(const struct verdicts *verdicts)
{
    return &verdicts->of[GENERATION_FIRST];
}

static const struct verdict *second_of(const struct verdicts *verdicts)
{
    return &verdicts->of[GENERATION_SECOND];
}

/* ---- Rays. ---- */

#define FLOOR_DB (-40.0)

/* The spans of delays of both; low and high grow to hold them. */
static void add_reaches(const struct verdicts *verdicts, bool where_they_stand, double *low_us,
                        double *high_us, struct picture *out)
{
    for (int g = 0; g < GENERATION_COUNT; g++) {
        const struct verdict *verdict = &verdicts->of[g];
        const struct system *system = verdict->reception.system;
        struct reach reaches[REACHES_MAX];
        int count =
            system->reaches(&verdict->reception, where_they_stand ? &verdict->fare : NULL, reaches);
        for (int i = 0; i < count; i++) {
            char label[64];
            double length_us = reaches[i].to_us - reaches[i].from_us;
            if (where_they_stand) {
                text_format(label, sizeof label, "%s %s %.1f us", system->name, reaches[i].name,
                            length_us);
            } else {
                text_format(label, sizeof label, "%s %s", system->name, reaches[i].name);
            }
            picture_add_band(out,
                             reaches[i].minor ? ROLE_DIM : role_of_generation((enum generation)g),
                             label, reaches[i].from_us, reaches[i].to_us);
            if (!reaches[i].minor) {
                *low_us = fmin(*low_us, reaches[i].from_us);
                *high_us = fmax(*high_us, reaches[i].to_us);
            }
        }
    }
}

static bool add_rays(const struct scenario *scenario, const struct verdicts *verdicts,
                     struct picture *out)
{
    const struct verdict *second = second_of(verdicts);
    const struct channel *channel = &second->conditions.channel;
    size_t count = (size_t)channel->count;
    char label[64];
    text_format(label, sizeof label, "useful in %s", second->reception.system->name);
    struct series *whole = picture_add_series(out, SERIES_STEMS, ROLE_WARN, "ray", count);
    struct series *useful = picture_add_series(out, SERIES_POINTS, ROLE_SECOND, label, count);
    if (!whole || !useful) {
        return false;
    }
    whole->glyph = 'x';
    useful->glyph = 'o';
    bool named = true;
    for (size_t i = 0; i < count; i++) {
        const struct ray *ray = &channel->rays[i];
        const char *words;
        double share =
            second->reception.system->ray_share(&second->reception, &second->fare, ray, &words);
        whole->x[i] = useful->x[i] = ray->delay_us;
        whole->y[i] = 20.0 * log10(ray->gain);
        useful->y[i] = share > 0.0 ? whole->y[i] + db_from_ratio(share) : NAN;
        named = named &&
                series_name(whole, i, conditions_ray_name(scenario, GENERATION_SECOND, (int)i));
    }
    return named;
}

#define EDGE 0.25 /* of what the rays take, beside them */

static bool draw_rays(const struct scenario *scenario, const struct verdicts *verdicts,
                      struct picture *out)
{
    const struct channel *channel = &second_of(verdicts)->conditions.channel;
    double low = 0.0, high = 0.0, lowest = -20.0, highest = 0.0, low_us = 0.0, high_us = 0.0;
    for (int i = 0; i < channel->count; i++) {
        double level_db = 20.0 * log10(channel->rays[i].gain);
        low = fmin(low, channel->rays[i].delay_us);
        high = fmax(high, channel->rays[i].delay_us);
        lowest = fmin(lowest, level_db - 3.0);
        highest = fmax(highest, level_db);
    }
    text_format(out->title, sizeof out->title, "Rays, and what each generation makes of them");
    text_format(out->note, sizeof out->note,
                "Self-interference is the part of a ray that is not useful. The FFT window stands "
                "where it serves best.");
    add_reaches(verdicts, true, &low_us, &high_us, out);
    if (low == high) { /* a lone ray says nothing of a scale */
        low = low_us;
        high = high_us;
    }
    double edge = EDGE * (high - low);
    out->x = (struct axis){.label = "delay", .unit = "us", .low = low - edge, .high = high + edge};
    out->y = (struct axis){
        .label = "level", .unit = "dB", .low = fmax(lowest, FLOOR_DB), .high = highest + 3.0};
    if (!add_rays(scenario, verdicts, out)) {
        picture_free(out);
        return false;
    }
    return true;
}

/* Solves what could not be for want of an SNR. */
static bool place_receivers(struct verdicts *verdicts)
{
    for (int i = 0; i < GENERATION_COUNT; i++) {
        struct verdict *verdict = &verdicts->of[i];
        if (!verdict->known) {
            verdict->conditions.snr_db = PICTURE_UNKNOWN_SNR_DB;
            if (verdict_solve(verdict, NULL) != STATUS_OK) {
                return false;
            }
        }
    }
    return true;
}

bool picture_echo_rays(const struct scenario *scenario, const struct verdicts *verdicts,
                       struct picture *out)
{
    *out = (struct picture){0};
    struct verdicts *placed = malloc(sizeof *placed);
    bool made = placed != NULL;
    if (made) {
        *placed = *verdicts;
        made = place_receivers(placed) && draw_rays(scenario, placed, out);
    }
    free(placed);
    return made;
}

/* ---- Carriers. ---- */

#define CARRIER_GROUPS 240
#define CARRIERS_LOOKED_AT 4800
#define SPECTRUM_POINTS 240

#define CARRIERS_ALIKE_DB 0.3 /* strongest and weakest would be drawn on each other */

/* Of the second generation strongest and weakest of neighbouring carriers, one line where they are
 * alike. */
static bool add_carriers(const struct verdict *second, struct picture *out, const double *mhz,
                         const double *snrs, int count)
{
    int groups = count < CARRIER_GROUPS ? count : CARRIER_GROUPS;
    const char *name = second->reception.system->name;
    double apart_db = 0.0;
    char label[64];
    text_format(label, sizeof label, "%s, strongest carriers", name);
    struct series *best = picture_add_series(out, SERIES_LINE, ROLE_DIM, label, (size_t)groups);
    struct series *worst =
        picture_add_series(out, SERIES_LINE, ROLE_SECOND, "weakest carriers", (size_t)groups);
    if (!best || !worst) {
        return false;
    }
    for (int g = 0; g < groups; g++) {
        int from = (int)((long)g * count / groups), to = (int)((long)(g + 1) * count / groups);
        best->x[g] = worst->x[g] = 0.5 * (mhz[from] + mhz[to - 1]);
        best->y[g] = worst->y[g] = snrs[from];
        for (int i = from + 1; i < to; i++) {
            best->y[g] = fmax(best->y[g], snrs[i]);
            worst->y[g] = fmin(worst->y[g], snrs[i]);
        }
        apart_db = fmax(apart_db, best->y[g] - worst->y[g]);
        out->y.high = fmax(out->y.high, best->y[g] + 2.0);
        out->y.low = fmin(out->y.low, fmax(worst->y[g] - 2.0, second->conditions.snr_db - 30.0));
    }
    if (apart_db < CARRIERS_ALIKE_DB) {
        memcpy(best->y, worst->y, (size_t)groups * sizeof *best->y);
        text_format(best->label, sizeof best->label, "%s, its carriers", name);
        picture_join_alike(out);
        text_format(best->label, sizeof best->label, "%s, its carriers", name);
    }
    return true;
}

/* Of the first what arrives there too, where its SNR is known. */
static bool add_spectrum(const struct verdicts *verdicts, struct picture *out)
{
    double mhz[SPECTRUM_POINTS], snrs[SPECTRUM_POINTS];
    const struct verdict *first = first_of(verdicts);
    const struct system *system = first->reception.system;
    struct channel channel;
    struct fare *fare = malloc(sizeof *fare);
    enum status status = fare ? STATUS_OK : STATUS_NO_MEMORY;
    char label[64];
    int count = 0;
    positions_beside(first, second_of(verdicts), &channel);
    if (fare && first->known) {
        status = positions_fare(first, &channel, fare);
    }
    if (status == STATUS_OK && first->known) {
        count = system->spectrum(&first->reception, &channel, fare, SPECTRUM_POINTS, mhz, snrs);
    }
    text_format(label, sizeof label, "%s, as it arrives", system->name);
    struct series *line =
        count > 0 ? picture_add_series(out, SERIES_LINE, ROLE_FIRST, label, (size_t)count) : NULL;
    for (int i = 0; line != NULL && i < count; i++) {
        line->x[i] = mhz[i];
        line->y[i] = fmax(snrs[i], first->conditions.snr_db - 30.0);
    }
    bool made = status != STATUS_NO_MEMORY && (count == 0 || line != NULL);
    free(fare);
    return made;
}

static void set_axes(const struct verdict *second, double half_mhz, struct picture *out)
{
    out->x = (struct axis){
        .label = "from the channel's centre", .unit = "MHz", .low = -half_mhz, .high = half_mhz};
    out->y = (struct axis){.label = "SNR",
                           .unit = "dB",
                           .low = fmin(second->reception.needed_db, second->fare.left_db) - 3.0,
                           .high = second->conditions.snr_db + 3.0};
}

bool picture_echo_carriers(const struct verdicts *verdicts, struct picture *out)
{
    *out = (struct picture){0};
    const struct verdict *second = second_of(verdicts);
    double *mhz = malloc(2 * CARRIERS_LOOKED_AT * sizeof *mhz);
    if (!mhz) {
        return false;
    }
    double *snrs = mhz + CARRIERS_LOOKED_AT;
    int count = second->reception.system->spectrum(&second->reception, &second->channel,
                                                   &second->fare, CARRIERS_LOOKED_AT, mhz, snrs);
    text_format(out->title, sizeof out->title, "SNR by carrier");
    text_format(out->note, sizeof out->note,
                "Noise and interference included%s%s%s. Effective: the steady SNR in which cells "
                "carry the same mean information.",
                second->positions == 1         ? ""
                : verdict_is_over_time(second) ? ", all at the moment of "
                                               : ", all at the position of ",
                second->positions > 1 ? second->reception.system->name : "",
                second->positions > 1 ? "'s account" : "");
    set_axes(second, fmax(-mhz[0], mhz[count - 1]), out);
    char label[64];
    text_format(label, sizeof label, "effective %.1f dB", second->fare.left_db);
    picture_add_mark(out, second->works ? ROLE_GOOD : ROLE_BAD, label, false, second->fare.left_db);
    text_format(label, sizeof label, "needed %.1f dB", second->reception.needed_db);
    picture_add_mark(out, ROLE_WARN, label, false, second->reception.needed_db);
    bool made = add_carriers(second, out, mhz, snrs, count) && add_spectrum(verdicts, out);
    free(mhz);
    if (!made) {
        picture_free(out);
    }
    return made;
}

/* ---- Sweeps. ---- */

double picture_echo_span_us(const struct verdicts *verdicts)
{
    const struct channel *channel = &first_of(verdicts)->conditions.channel;
    double span_us = 0.0;
    for (int g = 0; g < GENERATION_COUNT; g++) {
        const struct reception *reception = &verdicts->of[g].reception;
        struct reach reaches[REACHES_MAX];
        reception->system->reaches(reception, NULL, reaches);
        span_us = fmax(span_us, fmax(-reaches[0].from_us, reaches[0].to_us));
    }
    for (int i = 0; i < channel->count; i++) {
        span_us = fmax(span_us, fabs(channel->rays[i].delay_us));
    }
    return ceil(span_us * 1.25 / 10.0) * 10.0;
}

/* "SNR 20.0 dB", of each where they differ; nothing where none is known. */
static void snr_words(const struct verdicts *verdicts, char *buffer, size_t size)
{
    double first_db = first_of(verdicts)->conditions.snr_db;
    double second_db = second_of(verdicts)->conditions.snr_db;
    if (first_db == second_db || isnan(second_db)) {
        text_format(buffer, size, "SNR %.1f dB", first_db);
    } else if (isnan(first_db)) {
        text_format(buffer, size, "SNR %.1f dB", second_db);
    } else {
        text_format(buffer, size, "SNR %.1f dB for %s, %.1f dB for %s", first_db,
                    first_of(verdicts)->reception.system->name, second_db,
                    second_of(verdicts)->reception.system->name);
    }
}

#define TOLERATED_LOW_DB (-20.0) /* the axis goes on below where a line does */

static void describe_tolerated(const char *snr, struct picture *out)
{
    text_format(out->title, sizeof out->title, "Strongest echo borne, by its delay");
    text_format(out->note, sizeof out->note,
                "A lone echo at rest, %s, any phase. 0 dB: as strong as the main signal. "
                "No line: not even %g dB.",
                snr, ECHO_TOLERATED_LEAST_DB);
    out->y = (struct axis){.label = "level", .unit = "dB", .low = TOLERATED_LOW_DB, .high = 3.0};
}

static void describe_margins(const char *snr, const char *echo, double now_us, struct picture *out)
{
    text_format(out->title, sizeof out->title, "Margins as echo \"%s\" slides", echo);
    text_format(out->note, sizeof out->note,
                "Its level and phase, and the other echoes, stay as they are. %s.", snr);
    out->y = (struct axis){.label = "margin", .unit = "dB", .low = -5.0, .high = 5.0};
    picture_add_mark(out, ROLE_WARN, "decodes from here on", false, 0.0);
    picture_add_mark(out, ROLE_SELECTED, "now", true, now_us);
}

bool picture_echo_lines(const struct verdicts *verdicts, const struct echo_lines_wish *wish,
                        const char *echo, const struct echo_lines *lines, struct picture *out)
{
    *out = (struct picture){0};
    bool margins = wish->kind == ECHO_LINES_MARGINS;
    char snr[64];
    snr_words(verdicts, snr, sizeof snr);
    if (margins) {
        describe_margins(snr, echo, wish->now_us, out);
    } else {
        describe_tolerated(snr, out);
    }
    out->x =
        (struct axis){.label = "delay", .unit = "us", .low = wish->from_us, .high = wish->to_us};
    double low_us = 0.0, high_us = 0.0;
    add_reaches(verdicts, false, &low_us, &high_us, out);
    for (int g = 0; g < GENERATION_COUNT; g++) {
        const struct curve *curve = &lines->of[g];
        struct series *line =
            picture_add_series(out, SERIES_LINE, role_of_generation((enum generation)g),
                               verdicts->of[g].reception.system->name, curve->known);
        if (!line) {
            picture_free(out);
            return false;
        }
        for (size_t i = 0; i < curve->known; i++) { /* NAN leaves fmin and fmax alone */
            line->x[i] = curve->x[i];
            line->y[i] = curve->y[i];
            out->y.low = fmax(fmin(out->y.low, curve->y[i] - 1.0),
                              margins ? -30.0 : ECHO_TOLERATED_LEAST_DB);
            out->y.high = margins ? fmax(out->y.high, curve->y[i] + 1.0) : out->y.high;
        }
    }
    return true;
}
