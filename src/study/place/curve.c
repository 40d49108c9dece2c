/* Margins along the distance. Idea: of all that a margin follows from, only the SNR changes with
 * the distance, and the margin is a smooth curve over it: each dB of SNR is one of margin while
 * noise rules, and none where echoes do. So it is solved at a few SNRs and a parabola laid through
 * three neighbours; where the halves of a stretch do not lie on its parabola within CLOSE_DB, it is
 * parted (adaptive as Simpson's rule). A parabola's error falls with the cube of the spacing, so
 * what lies between the points that were found close is eight times closer. Without echoes, and
 * beyond the SNRs that physics is asked for, each dB of SNR is one of margin. */
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "study/place/place.h"

#define CLOSE_DB 0.01
#define NODES_MAX 513 /* 2 n + 1 */
#define DEPTH_MAX 8

struct curve {
    int count; /* odd: every other node ends a parabola */
    enum status status;
    double snr_db[NODES_MAX], margin_db[NODES_MAX];
};

static double margin_at(struct curve *curve, struct verdict *verdict, double snr_db)
{
    verdict->conditions.snr_db = snr_db;
    if (curve->status == STATUS_OK) {
        curve->status = verdict_solve(verdict, NULL);
    }
    return verdict->margin_db;
}

static void append(struct curve *curve, double snr_db, double margin_db)
{
    curve->snr_db[curve->count] = snr_db;
    curve->margin_db[curve->count++] = margin_db;
}

/* From `low` to `high`, both known, `middle` too: appends what lies after `low`. */
static void refine(struct curve *curve, struct verdict *verdict, const double snr_db[3],
                   const double margin_db[3], int depth)
{
    double left = 0.5 * (snr_db[0] + snr_db[1]), right = 0.5 * (snr_db[1] + snr_db[2]);
    double at_left = margin_at(curve, verdict, left), at_right = margin_at(curve, verdict, right);
    double left_guess = (3.0 * margin_db[0] + 6.0 * margin_db[1] - margin_db[2]) / 8.0;
    double right_guess = (3.0 * margin_db[2] + 6.0 * margin_db[1] - margin_db[0]) / 8.0;
    bool close = fabs(at_left - left_guess) < CLOSE_DB && fabs(at_right - right_guess) < CLOSE_DB;
    bool full = curve->count + 8 + 4 * DEPTH_MAX > NODES_MAX;
    if (close || depth == 0 || full || curve->status != STATUS_OK) {
        append(curve, left, at_left);
        append(curve, snr_db[1], margin_db[1]);
        append(curve, right, at_right);
        append(curve, snr_db[2], margin_db[2]);
        return;
    }
    refine(curve, verdict, (const double[]){snr_db[0], left, snr_db[1]},
           (const double[]){margin_db[0], at_left, margin_db[1]}, depth - 1);
    refine(curve, verdict, (const double[]){snr_db[1], right, snr_db[2]},
           (const double[]){margin_db[1], at_right, margin_db[2]}, depth - 1);
}

static void curve_make(struct curve *curve, struct verdict *verdict, double low_db, double high_db)
{
    double middle_db = 0.5 * (low_db + high_db);
    double low = margin_at(curve, verdict, low_db), middle = margin_at(curve, verdict, middle_db);
    double high = margin_at(curve, verdict, high_db);
    curve->count = 0;
    append(curve, low_db, low);
    refine(curve, verdict, (const double[]){low_db, middle_db, high_db},
           (const double[]){low, middle, high}, DEPTH_MAX);
}

static double curve_at(const struct curve *curve, double snr_db)
{
    int from = 0;
    while (from + 4 < curve->count && snr_db > curve->snr_db[from + 2]) {
        from += 2;
    }
    const double *x = &curve->snr_db[from], *y = &curve->margin_db[from];
    double u = (snr_db - x[1]) / (x[2] - x[1]); /* -1 to 1 */
    return y[1] + 0.5 * u * (y[2] - y[0] + u * (y[2] + y[0] - 2.0 * y[1]));
}

/* Those of the SNRs that physics is asked for. */
static void find_span(const double *snr_db, size_t count, double *low_db, double *high_db)
{
    *low_db = SNR_MOST_DB;
    *high_db = SNR_LEAST_DB;
    for (size_t i = 0; i < count; i++) {
        double within_db = fmin(fmax(snr_db[i], SNR_LEAST_DB), SNR_MOST_DB);
        *low_db = isnan(snr_db[i]) ? *low_db : fmin(*low_db, within_db);
        *high_db = isnan(snr_db[i]) ? *high_db : fmax(*high_db, within_db);
    }
}

/* Else each dB of SNR is one of margin, or none is left whatever the SNR. */
static bool is_curved(const struct verdict *here)
{
    return here->conditions.channel.count > 1 && isfinite(here->margin_db);
}

static void fill_margins(const struct verdict *here, const struct curve *curve, size_t count,
                         double *db)
{
    double low_db = curve->snr_db[0], high_db = curve->snr_db[curve->count - 1];
    for (size_t i = 0; i < count; i++) {
        if (!is_curved(here)) {
            db[i] += here->margin_db - here->conditions.snr_db;
        } else {
            double within_db = fmin(fmax(db[i], low_db), high_db);
            db[i] += curve_at(curve, within_db) - within_db;
        }
    }
}

enum status place_margins_at_db(const struct scenario *scenario,
                                const struct place_station *station, const double *distance_km,
                                size_t count, double *margin_db)
{
    double low_db, high_db;
    for (size_t i = 0; i < count; i++) {
        margin_db[i] = place_snr_at_db(scenario, station, distance_km[i]);
    }
    struct curve *curve = calloc(1, sizeof *curve);
    struct verdict *verdict = malloc(sizeof *verdict);
    enum status status = curve != NULL && verdict != NULL ? STATUS_OK : STATUS_NO_MEMORY;
    if (status == STATUS_OK) {
        *verdict = station->verdict;
        verdict_hold_position(verdict);
        find_span(margin_db, count, &low_db, &high_db);
        curve->count = 1;
        if (is_curved(&station->verdict)) {
            curve_make(curve, verdict, low_db, fmax(high_db, low_db + CLOSE_DB));
        }
        fill_margins(&station->verdict, curve, count, margin_db);
        status = curve->status;
    }
    free(curve);
    free(verdict);
    return status;
}
