#ifndef STUDY_VERDICT_CURVE_H
#define STUDY_VERDICT_CURVE_H

#include <stdbool.h>
#include <stddef.h>

/* A curve that is asked for point by point, and tells where it wants to be asked next: first evenly
 * and at places given, then halfway where the line between neighbours may be off, so that an edge
 * is as sharp as the drawing of it can be and a straight stretch costs little. */

#define CURVE_POINTS_MAX 160

struct curve {
    size_t count, known, most;
    double finest;                                   /* nearer to each other no two points stand */
    double x[CURVE_POINTS_MAX], y[CURVE_POINTS_MAX]; /* ascending; NAN: none there */
    double doubt[CURVE_POINTS_MAX]; /* by which the line to the next is off, as far as was seen */
    size_t asked;                   /* where curve_next asked */
    bool refines;                   /* the first points have been answered */
};

/* `even` points over low to high, both among them, and the places that lie between; `most` points
 * in all. */
void curve_begin(struct curve *curve, double low, double high, size_t even, const double *places,
                 size_t place_count, size_t most);

/* Where to ask; false: fine enough. curve_answer follows each true. */
bool curve_next(struct curve *curve, double *x);
void curve_answer(struct curve *curve, double y);

/* The answer nearest to what is asked; NAN: none yet. */
double curve_near(const struct curve *curve);

#endif
