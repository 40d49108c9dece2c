#ifndef SUPPORT_NEAR_H
#define SUPPORT_NEAR_H

/* cmocka with checks that say more: every test file includes this first. */

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* Where a check stands. With COMPARISONS set in the environment, each check also adds a line to the
 * file of that name: what tests/published/accuracy.md tells is made from these
 * (tests/support/tell-accuracy).
 */
struct near_place {
    const char *what, *file, *test;
    int line;
};
#define NEAR_PLACE(got)                    \
    &(const struct near_place)             \
    {                                      \
#got, __FILE__, __func__, __LINE__ \
    }

/* |got - expected| <= tolerance, in double precision (cmocka 1.1.5 compares floats); prints both
 * and the source of the expected value. NAN never passes. */
#define assert_near(got, expected, tolerance, source) \
    near_check(got, expected, tolerance, source, NEAR_PLACE(got))
void near_check(double got, double expected, double tolerance, const char *source,
                const struct near_place *place);

/* low <= got <= high. */
#define assert_between(got, low, high, source) \
    between_check(got, low, high, source, NEAR_PLACE(got))
void between_check(double got, double low, double high, const char *source,
                   const struct near_place *place);

/* What the comparisons that follow in this function take as given: a sentence for the accuracy
 * page, where each test has one. */
#define assumes(sentence) near_assumes(sentence, NEAR_PLACE(sentence))
void near_assumes(const char *sentence, const struct near_place *place);

#endif
