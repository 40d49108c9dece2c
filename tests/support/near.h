#ifndef SUPPORT_NEAR_H
#define SUPPORT_NEAR_H

/* cmocka with checks that say more: every test file includes this first. */

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* |got - expected| <= tolerance, in double precision (cmocka 1.1.5 compares floats); prints both
 * and the source of the expected value. NAN never passes. */
#define assert_near(got, expected, tolerance, source) \
    near_check(got, expected, tolerance, source, #got, __FILE__, __LINE__)
void near_check(double got, double expected, double tolerance, const char *source, const char *what,
                const char *file, int line);

/* low <= got <= high. */
#define assert_between(got, low, high, source) \
    between_check(got, low, high, source, #got, __FILE__, __LINE__)
void between_check(double got, double low, double high, const char *source, const char *what,
                   const char *file, int line);

#endif
