/* Builds the picture of a simulation: error rates with their intervals beside the thresholds
 * expected. */
#include "present/picture/proof.h"

#include <math.h>

#define RATE_LOW 1e-5 /* the axis reaches further down where points do */

static bool has_errors(const struct proof_point *point)
{
    return point->counts.frame_errors > 0;
}

static bool is_clean(const struct proof_point *point)
{
    return point->counts.frames > 0 && point->counts.frame_errors == 0;
}

static size_t count_points(const struct proof_sweep *sweep,
                           bool (*belongs)(const struct proof_point *))
{
    size_t count = 0;
    for (int i = 0; i < sweep->count; i++) {
        count += belongs(&sweep->points[i]);
    }
    return count;
}

/* Points, the line that joins them, and their intervals. */
static bool add_curve(const struct proof_sweep *sweep, size_t count, struct picture *out)
{
    enum role role = role_of_generation(sweep->choice.generation);
    struct series *line = picture_add_series(out, SERIES_LINE, role, "curve", count);
    struct series *bars = picture_add_series(out, SERIES_BARS, role, "95 % interval", 2 * count);
    struct series *dots = picture_add_series(out, SERIES_POINTS, role, "simulated", count);
    size_t at = 0;
    if (!line || !bars || !dots) {
        return false;
    }
    dots->glyph = 'o';
    for (int i = 0; i < sweep->count; i++) {
        const struct proof_point *point = &sweep->points[i];
        if (has_errors(point)) {
            struct interval interval = proof_interval(&point->counts);
            line->x[at] = dots->x[at] = point->snr_db;
            line->y[at] = dots->y[at] = run_frame_error_rate(&point->counts);
            bars->x[2 * at] = bars->x[2 * at + 1] = point->snr_db;
            bars->y[2 * at] = interval.low;
            bars->y[2 * at + 1] = interval.high;
            at++;
        }
    }
    return true;
}

static bool add_clean(const struct proof_sweep *sweep, size_t count, struct picture *out)
{
    struct series *dots =
        picture_add_series(out, SERIES_POINTS, role_of_generation(sweep->choice.generation),
                           "upper end, none wrong", count);
    size_t at = 0;
    if (!dots) {
        return false;
    }
    dots->glyph = 'v';
    for (int i = 0; i < sweep->count; i++) {
        const struct proof_point *point = &sweep->points[i];
        if (is_clean(point)) {
            dots->x[at] = point->snr_db;
            dots->y[at++] = proof_interval(&point->counts).high;
        }
    }
    return true;
}

/* The lower end of the axis: the whole decade at or below every point and bound. An interval that
 * reaches further down is clipped: with few errors it spans decades. */
static double lowest_rate(const struct proof_sweep *sweep)
{
    double lowest = RATE_LOW;
    for (int i = 0; i < sweep->count; i++) {
        const struct proof_point *point = &sweep->points[i];
        if (has_errors(point)) {
            lowest = fmin(lowest, run_frame_error_rate(&point->counts));
        } else if (is_clean(point)) {
            lowest = fmin(lowest, proof_interval(&point->counts).high);
        }
    }
    return pow(10.0, floor(log10(lowest) + 1e-9));
}

/* ---- Marks. ---- */

static void add_mark(struct picture *out, enum role role, const char *name, double snr_db)
{
    char label[64];
    text_format(label, sizeof label, "%s %.2f", name, snr_db);
    picture_add_mark(out, role, label, true, snr_db);
    if (isfinite(snr_db)) {
        out->x.low = fmin(out->x.low, snr_db);
        out->x.high = fmax(out->x.high, snr_db);
    }
}

static void add_marks(const struct scenario *scenario, const struct proof_sweep *sweep,
                      struct picture *out)
{
    static const enum role roles[] = {
        [MARK_LIMIT] = ROLE_BAD, [MARK_IDEAL] = ROLE_GOOD, [MARK_PUBLISHED] = ROLE_WARN};
    struct simulation_choice asked = proof_asked(&sweep->choice);
    struct simulation_mark marks[SIMULATION_MARKS_MAX];
    int count = 0;
    if (asked.channel == CHANNEL_CARRIERS) {
        add_mark(out, ROLE_GOOD, "predicted", sweep->expected_db);
    } else {
        count = proof_simulation(scenario, &sweep->choice)->marks(scenario, &asked, marks);
    }
    for (int i = 0; i < count; i++) {
        add_mark(out, roles[marks[i].kind], marks[i].name, marks[i].snr_db);
    }
    picture_add_mark(out, ROLE_DIM, "", false, sweep->error_rate);
}

/* What a reader of the picture alone must know. */
static void write_note(const struct scenario *scenario, const struct proof_sweep *sweep,
                       struct picture *out)
{
    const struct proof_choice *choice = &sweep->choice;
    bool echoes = choice->channel == CHANNEL_CARRIERS;
    char rate[32];
    picture_tick_text(&out->y, &sweep->error_rate, 1, 0, rate, sizeof rate);
    size_t size = sizeof out->note, used = 0;
    used += text_format(out->note, size, "Across: an error rate of %s.", rate);
    if (proof_has_decoders(scenario, choice) && choice->algorithm == LDPC_MIN_SUM) {
        used += text_format(out->note + used, size - used, " %s: by sum-product.",
                            echoes ? "Predicted" : "Ideal");
    }
    used += text_format(out->note + used, size - used, " The receiver knows the channel exactly.");
    const char *more = proof_echoes_note(scenario, choice);
    if (echoes && more[0] != '\0') {
        text_format(out->note + used, size - used, " %s", more);
    }
}

bool picture_proof_make(const struct scenario *scenario, const struct proof_sweep *sweep,
                        struct picture *out)
{
    const struct system_simulation *simulation = proof_simulation(scenario, &sweep->choice);
    size_t wrong = count_points(sweep, has_errors), clean = count_points(sweep, is_clean);
    *out = (struct picture){0};
    if (sweep->count == 0) {
        return true;
    }
    proof_describe(scenario, &sweep->choice, out->title, sizeof out->title);
    double step_db = sweep->count > 1 ? sweep->points[1].snr_db - sweep->points[0].snr_db : 0.1;
    out->x = (struct axis){.unit = "dB",
                           .low = sweep->points[0].snr_db,
                           .high = sweep->points[sweep->count - 1].snr_db};
    out->y = (struct axis){.low = lowest_rate(sweep), .high = 1.0, .logarithmic = true};
    write_note(scenario, sweep, out);
    text_format(out->x.label, sizeof out->x.label, "%s", simulation->snr);
    text_format(out->y.label, sizeof out->y.label, "%s error rate", simulation->count.rate);
    if ((wrong > 0 && !add_curve(sweep, wrong, out)) ||
        (clean > 0 && !add_clean(sweep, clean, out))) {
        picture_free(out);
        return false;
    }
    add_marks(scenario, sweep, out);
    out->x.low -= step_db;
    out->x.high += step_db;
    return true;
}
