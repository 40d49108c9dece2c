/* Builds the picture of bit rate against SNR from a weighed space: the best at each SNR, and
 * modes to point at. */
#include "present/picture/rate.h"

#include <math.h>

#define COLUMNS 400 /* steps of the lines: finer than any screen's braille dots */

/* What is of interest where nothing is zoomed. */
#define SNR_LOW_DB (-6.0)
#define SNR_HIGH_DB 40.0

static double snr_of_column(const struct axis *x, int column)
{
    return x->low + (x->high - x->low) * column / (COLUMNS - 1);
}

/* The first column whose SNR is enough for a mode. */
static int column_of_snr(const struct axis *x, double snr_db)
{
    double place = (snr_db - x->low) / (x->high - x->low) * (COLUMNS - 1);
    return place <= 0.0 ? 0 : place > COLUMNS - 1 ? COLUMNS : (int)ceil(place - 1e-9);
}

/* Most net rate at each SNR: by column, then carried on to higher SNRs. NAN where none is. */
static void fill_most(const struct picture_rate *shown, bool within, const struct axis *x,
                      double *most)
{
    for (int i = 0; i < COLUMNS; i++) {
        most[i] = NAN;
    }
    for (size_t i = 0; i < shown->space->count; i++) {
        const struct weighed *mode = &shown->space->modes[i];
        int column = column_of_snr(x, mode->snr_db);
        if (column < COLUMNS && !(mode->net_mbps <= most[column]) &&
            (!within || weigh_keeps(shown->space, shown->wish, i))) {
            most[column] = mode->net_mbps;
        }
    }
    for (int i = 1; i < COLUMNS; i++) {
        if (!(most[i] >= most[i - 1]) && !isnan(most[i - 1])) {
            most[i] = most[i - 1];
        }
    }
}

static bool add_most(const struct picture_rate *shown, bool within, enum role role,
                     const char *label, struct picture *out)
{
    struct series *series = picture_add_series(out, SERIES_LINE, role, label, COLUMNS);
    if (!series) {
        return false;
    }
    fill_most(shown, within, &out->x, series->y);
    for (int i = 0; i < COLUMNS; i++) {
        series->x[i] = snr_of_column(&out->x, i);
    }
    return true;
}

static bool add_point(struct picture *out, enum role role, char glyph, const char *label,
                      double snr_db, double net_mbps)
{
    struct series *series = picture_add_series(out, SERIES_POINTS, role, label, 1);
    if (!series) {
        return false;
    }
    series->glyph = glyph;
    series->x[0] = snr_db;
    series->y[0] = net_mbps;
    return true;
}

static bool add_list(const struct picture_rate *shown, struct picture *out)
{
    if (!shown->list || shown->list->count == 0) {
        return true;
    }
    struct series *series =
        picture_add_series(out, SERIES_POINTS, ROLE_PLAIN, "listed", shown->list->count);
    if (!series) {
        return false;
    }
    series->glyph = '+';
    for (size_t i = 0; i < shown->list->count; i++) {
        const struct weighed *mode = &shown->space->modes[shown->list->rows[i].mode];
        series->x[i] = mode->snr_db;
        series->y[i] = mode->net_mbps;
    }
    return true;
}

static double snr_of(const struct weigh_space *space, const struct report *report)
{
    const struct facts *facts = report_facts(report, GENERATION_SECOND);
    return space->snr_kind == SNR_IDEAL      ? facts->ideal_snr_db
           : space->snr_kind == SNR_RAYLEIGH ? facts->ideal_rayleigh_snr_db
                                             : facts->required_snr_db;
}

static bool has_limits(const struct weigh_wish *wish)
{
    bool any = wish && wish->fixed != 0;
    for (int i = 0; wish && i < LIMIT_COUNT; i++) {
        any = any || !isnan(wish->limits[i]);
    }
    return any;
}

/* The first generation beside the frontier of the second, where its need is told of that kind. */
static bool add_first(const struct picture_rate *shown, struct picture *out)
{
    const struct facts *first = report_facts(shown->current, GENERATION_FIRST);
    double snr_db =
        shown->space->snr_kind == SNR_RECEIVER ? first->required_snr_db : first->ideal_snr_db;
    return !isfinite(snr_db) ||
           add_point(out, ROLE_FIRST,
                     shown->current->verdicts.of[GENERATION_FIRST].reception.system->glyph,
                     shown->current->verdicts.of[GENERATION_FIRST].reception.system->name, snr_db,
                     first->net_mbps);
}

static bool add_modes(const struct picture_rate *shown, struct picture *out)
{
    bool added = add_list(shown, out);
    if (added && shown->pinned) {
        added = add_point(out, ROLE_PINNED, 'P', shown->pinned_name ? shown->pinned_name : "pinned",
                          snr_of(shown->space, shown->pinned),
                          report_facts(shown->pinned, GENERATION_SECOND)->net_mbps);
    }
    if (added && shown->current) {
        added = add_first(shown, out);
    }
    if (added && shown->current) {
        added = add_point(out, ROLE_SECOND,
                          shown->current->verdicts.of[GENERATION_SECOND].reception.system->glyph,
                          shown->current_name ? shown->current_name : "now",
                          snr_of(shown->space, shown->current),
                          report_facts(shown->current, GENERATION_SECOND)->net_mbps);
    }
    if (added && shown->selected >= 0) {
        const struct weighed *mode = &shown->space->modes[shown->selected];
        added = add_point(out, ROLE_SELECTED, 'X', "selected", mode->snr_db, mode->net_mbps);
    }
    return added;
}

/* The rates that the lines reach in the part shown. */
static void fit_rates(struct picture *out)
{
    double low = INFINITY, high = 0.0;
    for (size_t s = 0; s < out->series_count; s++) {
        for (size_t i = 0; i < out->series[s].count; i++) {
            double x = out->series[s].x[i], y = out->series[s].y[i];
            if (isfinite(y) && x >= out->x.low && x <= out->x.high) {
                low = fmin(low, y);
                high = fmax(high, y);
            }
        }
    }
    out->y.low = isfinite(low) ? floor(low * 0.95) : 0.0;
    out->y.high = high > out->y.low ? ceil(high * 1.05) : out->y.low + 1.0;
}

bool picture_rate_make(const struct picture_rate *shown, struct picture *out)
{
    *out = (struct picture){0};
    text_format(out->title, sizeof out->title, "Net rate against required SNR (%s)",
                snr_kind_name(shown->space->snr_kind));
    bool limits = has_limits(shown->wish);
    text_format(out->note, sizeof out->note, "%s. Noise alone, no echoes.",
                limits ? "Lines: the most that any legal mode carries at an SNR, and that one "
                         "within the limits does"
                       : "The line: the most that any legal mode carries at an SNR");
    out->x = (struct axis){.label = "required SNR",
                           .unit = "dB",
                           .low = isnan(shown->snr_low_db) ? SNR_LOW_DB : shown->snr_low_db,
                           .high = isnan(shown->snr_high_db) ? SNR_HIGH_DB : shown->snr_high_db};
    out->y = (struct axis){.label = "net rate", .unit = "Mbit/s"};
    if (!add_most(shown, false, limits ? ROLE_DIM : ROLE_GOOD, "all modes", out) ||
        (limits && !add_most(shown, true, ROLE_GOOD, "within the limits", out)) ||
        !add_modes(shown, out)) {
        picture_free(out);
        return false;
    }
    fit_rates(out);
    if (shown->wish && !isnan(shown->wish->limits[LIMIT_SNR])) {
        picture_add_mark(out, ROLE_WARN, "limit", true, shown->wish->limits[LIMIT_SNR]);
    }
    if (shown->wish && !isnan(shown->wish->limits[LIMIT_RATE])) {
        picture_add_mark(out, ROLE_WARN, "limit", false, shown->wish->limits[LIMIT_RATE]);
    }
    return true;
}
