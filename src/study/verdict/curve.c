/* Where a curve is asked next. Idea: a straight line of width w is off by w^2 / 8 times the second
 * derivative, which three neighbours tell, on either side; and by a part of what it was seen to be
 * off before it was halved: a quarter of it on a parabola, half of it at a corner. At first nothing
 * was seen, and a line that rises is doubted: steps look alike from afar. The line that may be off
 * most is halved, until none is by more than CLOSE; where one end has an answer and the other none
 * it is off as much as can be. Worked number: an edge of a curve over 400 us, 41 even points: seven
 * more put it within 0.08 us. */
#include "study/verdict/curve.h"

#include <math.h>
#include <string.h>

#define CLOSE 0.07      /* dB: what a line may be off, as far as its neighbours tell */
#define FINEST 1.0e-3   /* of the whole span: a dot of a picture on paper */
#define NO_ANSWER 100.0 /* as a difference */

static void insert(struct curve *curve, size_t at, double x)
{
    size_t behind = (curve->count - at) * sizeof(double);
    memmove(curve->x + at + 1, curve->x + at, behind);
    memmove(curve->y + at + 1, curve->y + at, behind);
    memmove(curve->doubt + at + 1, curve->doubt + at, behind);
    curve->x[at] = x;
    curve->y[at] = NAN;
    curve->count++;
}

void curve_begin(struct curve *curve, double low, double high, size_t even, const double *places,
                 size_t place_count, size_t most)
{
    *curve = (struct curve){.most = most < CURVE_POINTS_MAX ? most : CURVE_POINTS_MAX,
                            .finest = FINEST * (high - low)};
    for (size_t i = 0; i < even; i++) {
        insert(curve, i, low + (high - low) * (double)i / (double)(even - 1));
    }
    for (size_t i = 0; i < place_count && curve->count < curve->most; i++) {
        size_t at = 0;
        while (at < curve->count && curve->x[at] < places[i]) {
            at++;
        }
        if (at > 0 && at < curve->count && curve->x[at] != places[i]) {
            insert(curve, at, places[i]);
        }
    }
}

static double width(const struct curve *curve, size_t i)
{
    return curve->x[i + 1] - curve->x[i];
}

static bool is_finest(const struct curve *curve, size_t i)
{
    return width(curve, i) < 2.0 * curve->finest;
}

/* Of three neighbours from `i` on: how the slope changes; nothing at a step, found as finely as it
 * can be. */
static double bend(const struct curve *curve, size_t i)
{
    const double *x = curve->x + i, *y = curve->y + i;
    return is_finest(curve, i) || is_finest(curve, i + 1)
               ? 0.0
               : fabs((y[2] - y[1]) / width(curve, i + 1) - (y[1] - y[0]) / width(curve, i)) /
                     (x[2] - x[0]);
}

/* How far the line from point `i` to the next may be off halfway. */
static double departure(const struct curve *curve, size_t i)
{
    double a = curve->y[i], b = curve->y[i + 1];
    if (isnan(a) || isnan(b)) {
        return isnan(a) && isnan(b) ? 0.0 : NO_ANSWER;
    }
    double before = i > 0 ? bend(curve, i - 1) : NAN;
    double after = i + 2 < curve->count ? bend(curve, i) : NAN;
    double bent = fmax(before, after) * 0.25 * width(curve, i) * width(curve, i);
    return fmax(fmin(bent, NO_ANSWER), fmin(curve->doubt[i], NO_ANSWER));
}

/* What is known of all lines once the first points have been answered. */
static void doubt_all(struct curve *curve)
{
    for (size_t i = 0; i + 1 < curve->count; i++) {
        double rise = fabs(curve->y[i + 1] - curve->y[i]);
        curve->doubt[i] = isnan(rise) ? 0.0 : 0.25 * rise;
    }
}

bool curve_next(struct curve *curve, double *x)
{
    if (curve->known < curve->count) { /* in their order, so that neighbours follow each other */
        curve->asked = curve->known;
        *x = curve->x[curve->asked];
        return true;
    }
    if (!curve->refines) {
        doubt_all(curve);
        curve->refines = true;
    }
    double greatest = CLOSE;
    size_t where = curve->count;
    for (size_t i = 0; i + 1 < curve->count; i++) {
        if (!is_finest(curve, i) && departure(curve, i) > greatest) {
            greatest = departure(curve, i);
            where = i;
        }
    }
    if (where == curve->count || curve->count >= curve->most) {
        return false;
    }
    *x = 0.5 * (curve->x[where] + curve->x[where + 1]);
    curve->asked = where + 1;
    insert(curve, curve->asked, *x);
    return true;
}

void curve_answer(struct curve *curve, double y)
{
    size_t i = curve->asked;
    curve->y[i] = y;
    curve->known++;
    if (curve->refines) { /* halves are off by a quarter of the whole, at a corner by half */
        double off = 0.5 * fabs(y - 0.5 * (curve->y[i - 1] + curve->y[i + 1]));
        curve->doubt[i - 1] = curve->doubt[i] = isnan(off) ? 0.0 : off;
    }
}

double curve_near(const struct curve *curve)
{
    double left = curve->asked > 0 ? curve->y[curve->asked - 1] : NAN;
    double right = curve->asked + 1 < curve->known ? curve->y[curve->asked + 1] : NAN;
    return isnan(left) ? right : left;
}
