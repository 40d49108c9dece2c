#ifndef BASE_MANY_H
#define BASE_MANY_H

/* Functions of many numbers at once, in single precision, a few times as fast as one by one. From
 * and to may be the same array. */

/* Logarithms to base 2 of positive finite numbers: within 2e-7. Those of numbers that are not
 * normal come out below -126. */
void many_log2(const float *values, float *logs, int count);

/* Cosines and sines of angles that are given in turns, between -1e6 and 1e6: within 5e-7, beside
 * the angles' own rounding. */
void many_turns(const float *turns, float *cosines, float *sines, int count);

#endif
