/* Where a curve is asked next. Idea: between two neighbours that differ by more than CLOSE the one
 * halfway is wanted, the greatest difference first; where one has an answer and the other none the
 * difference is as great as can be. Worked number: an edge of a curve over 400 us, 41 even points:
 * seven more put it within 0.08 us. */
#include "study/verdict/curve.h"

#include <math.h>
#include <string.h>

#define CLOSE 0.5       /* dB: less is no bend worth a point */
#define FINEST 1.0e-3   /* of the whole span: a dot of a picture on paper */
#define NO_ANSWER 100.0 /* as a difference */

static void insert(struct curve *curve, size_t at, double x)
{
    memmove(curve->x + at + 1, curve->x + at, (curve->count - at) * sizeof curve->x[0]);
    memmove(curve->y + at + 1, curve->y + at, (curve->count - at) * sizeof curve->y[0]);
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

static double difference(const struct curve *curve, size_t i)
{
    double a = curve->y[i], b = curve->y[i + 1];
    return isnan(a) && isnan(b)   ? 0.0
           : isnan(a) || isnan(b) ? NO_ANSWER
                                  : fmin(fabs(a - b), NO_ANSWER);
}

bool curve_next(struct curve *curve, double *x)
{
    if (curve->known < curve->count) { /* in their order, so that neighbours follow each other */
        curve->asked = curve->known;
        *x = curve->x[curve->asked];
        return true;
    }
    double greatest = CLOSE;
    size_t where = curve->count;
    for (size_t i = 0; i + 1 < curve->count; i++) {
        if (curve->x[i + 1] - curve->x[i] >= 2.0 * curve->finest &&
            difference(curve, i) > greatest) {
            greatest = difference(curve, i);
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
    curve->y[curve->asked] = y;
    curve->known++;
}

double curve_near(const struct curve *curve)
{
    double left = curve->asked > 0 ? curve->y[curve->asked - 1] : NAN;
    double right = curve->asked + 1 < curve->known ? curve->y[curve->asked + 1] : NAN;
    return isnan(left) ? right : left;
}
