/* Keeps the values of a picture, and puts ticks with readable numbers on its axes. */
#include "present/picture/picture.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void picture_free(struct picture *picture)
{
    for (size_t i = 0; i < picture->series_count; i++) {
        free(picture->series[i].x);
        free(picture->series[i].y);
        free(picture->series[i].names);
    }
    *picture = (struct picture){0};
}

bool picture_copy(const struct picture *from, struct picture *to)
{
    *to = *from;
    to->series_count = 0;
    for (size_t i = 0; i < from->series_count; i++) {
        const struct series *series = &from->series[i];
        struct series *copy =
            picture_add_series(to, series->kind, series->role, series->label, series->count);
        if (!copy) {
            picture_free(to);
            return false;
        }
        copy->glyph = series->glyph;
        copy->tile_x = series->tile_x;
        copy->tile_y = series->tile_y;
        for (size_t k = 0; k < series->count; k++) {
            copy->x[k] = series->x[k];
            copy->y[k] = series->y[k];
        }
        for (size_t k = 0; k < series->count && series->names; k++) {
            if (!series_name(copy, k, series->names[k])) {
                picture_free(to);
                return false;
            }
        }
    }
    return true;
}

struct series *picture_add_series(struct picture *picture, enum series_kind kind, enum role role,
                                  const char *label, size_t count)
{
    if (picture->series_count == PICTURE_SERIES_MAX) {
        return NULL;
    }
    double *x = calloc(count ? count : 1, sizeof *x);
    double *y = calloc(count ? count : 1, sizeof *y);
    if (!x || !y) {
        free(x);
        free(y);
        return NULL;
    }
    struct series *series = &picture->series[picture->series_count++];
    *series = (struct series){.kind = kind, .role = role, .count = count, .x = x, .y = y};
    text_format(series->label, sizeof series->label, "%s", label);
    return series;
}

bool series_name(struct series *series, size_t i, const char *name)
{
    if (!series->names) {
        series->names = calloc(series->count ? series->count : 1, sizeof *series->names);
    }
    if (series->names) {
        text_format(series->names[i], sizeof series->names[i], "%s", name);
    }
    return series->names != NULL;
}

/* ---- Series that coincide. ---- */

static bool is_alike(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static bool coincide(const struct series *one, const struct series *other)
{
    bool alike = one->kind == other->kind && one->count == other->count && one->count > 1 &&
                 !one->names && !other->names;
    for (size_t i = 0; i < one->count && alike; i++) {
        alike = is_alike(one->x[i], other->x[i]) && is_alike(one->y[i], other->y[i]);
    }
    return alike;
}

void picture_join_alike(struct picture *picture)
{
    for (size_t i = 0; i < picture->series_count; i++) {
        struct series *kept = &picture->series[i];
        for (size_t k = picture->series_count - 1; k > i; k--) {
            struct series *other = &picture->series[k];
            if (!coincide(kept, other)) {
                continue;
            }
            char label[sizeof kept->label];
            text_format(label, sizeof label, "%s; %s", kept->label, other->label);
            memcpy(kept->label, label, sizeof label);
            kept->role = kept->role == ROLE_FIRST ? ROLE_PLAIN : other->role;
            free(other->x);
            free(other->y);
            picture->series_count--;
            memmove(other, other + 1, (picture->series_count - k) * sizeof *other);
        }
    }
}

void picture_zoom(struct picture *picture, int steps)
{
    struct axis *x = &picture->x;
    double focus = fmin(fmax(x->focus, x->low), x->high), by = exp2(-steps);
    if (!x->logarithmic) {
        x->low = focus + by * (x->low - focus);
        x->high = focus + by * (x->high - focus);
    }
}

static size_t next_named(const struct series *series, size_t i)
{
    while (i < series->count && !series->names[i][0]) {
        i++;
    }
    return i;
}

bool series_tell_name(const struct series *series, size_t *i, char *buffer, size_t size)
{
    size_t named = next_named(series, *i);
    if (named == series->count) {
        return false;
    }
    *i = next_named(series, named + 1);
    text_format(buffer, size, "%s%s", series->names[named], *i < series->count ? "," : "");
    return true;
}

void picture_add_band(struct picture *picture, enum role role, const char *label, double low,
                      double high)
{
    if (picture->band_count == PICTURE_BANDS_MAX || !(low <= high)) {
        return;
    }
    struct band_area *band = &picture->bands[picture->band_count++];
    *band = (struct band_area){.role = role, .low = low, .high = high};
    text_format(band->label, sizeof band->label, "%s", label);
}

void picture_add_mark(struct picture *picture, enum role role, const char *label, bool vertical,
                      double at)
{
    if (picture->mark_count == PICTURE_MARKS_MAX || !isfinite(at)) {
        return;
    }
    struct mark *mark = &picture->marks[picture->mark_count++];
    *mark = (struct mark){.role = role, .vertical = vertical, .at = at};
    text_format(mark->label, sizeof mark->label, "%s", label);
}

/* Multiples of `step` inside [low, high]; writes at most `most`, returns how many there are. */
static int multiples(double low, double high, double step, int most, double *ticks)
{
    double slack = 1e-9 * (high - low);
    double first = ceil((low - slack) / step), last = floor((high + slack) / step);
    int count = (int)fmin(last - first + 1.0, 1e6);
    for (int i = 0; i < count && i < most; i++) {
        ticks[i] = (first + i) * step + 0.0;
    }
    return count;
}

int picture_ticks(double low, double high, int most, double *ticks)
{
    static const double steps[] = {1.0, 2.0, 5.0};
    if (most < 1 || !isfinite(low) || !isfinite(high) || !(low < high) || !isfinite(high - low)) {
        return 0;
    }
    /* Start too fine and go on to coarser steps until the ticks fit. */
    double decade = pow(10.0, floor(log10((high - low) / most)));
    for (int i = 0; i < 12; i++) {
        int decades = i / 3;
        double step = steps[i % 3] * decade * pow(10.0, decades);
        int count = multiples(low, high, step, most, ticks);
        if (count <= most) {
            return count > 0 ? count : 0;
        }
    }
    return 0;
}

/* Ticks of one fineness on a logarithmic axis: every `every`-th decade, or the given digits of each
 * one. */
static int decade_ticks(const struct axis *axis, int every, int digits, int most, double *ticks)
{
    static const double digit[] = {1.0, 2.0, 5.0};
    int count = 0;
    int first = (int)floor(log10(axis->low)), last = (int)ceil(log10(axis->high));
    for (int decade = first; decade <= last; decade++) {
        if (decade % every != 0) {
            continue;
        }
        for (int i = 0; i < digits; i++) {
            double tick = digit[i] * pow(10.0, decade);
            if (tick >= axis->low * (1 - 1e-9) && tick <= axis->high * (1 + 1e-9)) {
                if (count < most) {
                    ticks[count] = tick;
                }
                count++;
            }
        }
    }
    return count;
}

int picture_axis_ticks(const struct axis *axis, int most, double *ticks)
{
    if (axis->bare) {
        return 0;
    }
    if (!axis->logarithmic) {
        return picture_ticks(axis->low, axis->high, most, ticks);
    }
    if (!(axis->low > 0.0) || !(axis->low < axis->high) || !isfinite(axis->high) || most < 1) {
        return 0;
    }
    if (axis->high / axis->low < 5.0) {
        return picture_ticks(axis->low, axis->high, most, ticks);
    }
    int count = decade_ticks(axis, 1, 3, most, ticks);
    for (int every = 1; count > most && every <= 32; every++) {
        count = decade_ticks(axis, every, 1, most, ticks);
    }
    return count <= most ? count : 0;
}

/* "1e-5", "2e6": without the exponent's padding. */
static void powers_text(double value, char *buffer, size_t size)
{
    int exponent = (int)floor(log10(fabs(value)) + 1e-9);
    text_format(buffer, size, "%ge%d", round(value / pow(10.0, exponent) * 1e6) / 1e6, exponent);
}

void picture_tick_text(const struct axis *axis, const double *ticks, int count, int i, char *buffer,
                       size_t size)
{
    double size_of = fabs(ticks[i]), nearest = INFINITY;
    if (size_of >= 1e6 || (size_of > 0.0 && size_of < 1e-3)) {
        powers_text(ticks[i], buffer, size);
        return;
    }
    if (axis->logarithmic) {
        text_format(buffer, size, "%g", ticks[i]);
        return;
    }
    for (int k = 1; k < count; k++) {
        nearest = fmin(nearest, fabs(ticks[k] - ticks[k - 1]));
    }
    int decimals = 0;
    while (isfinite(nearest) && decimals < 6 && nearest * pow(10.0, decimals) < 0.99) {
        decimals++;
    }
    text_format(buffer, size, "%.*f", decimals, ticks[i]);
}

double picture_axis_place(const struct axis *axis, double value)
{
    if (axis->logarithmic) {
        if (!(value > 0.0) || !(axis->low > 0.0)) {
            return NAN;
        }
        return log(value / axis->low) / log(axis->high / axis->low);
    }
    return (value - axis->low) / (axis->high - axis->low);
}
