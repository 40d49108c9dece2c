#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* One line: near, between or assumes, file, test, what, source or sentence, got, and the two
 * numbers it is held to. */
static void keep_comparison(const char *kind, const struct near_place *place, const char *source,
                            const double numbers[3])
{
    const char *name = getenv("COMPARISONS");
    FILE *file = name == NULL ? NULL : fopen(name, "a");
    if (file != NULL) {
        fprintf(file, "%s\t%s\t%s\t%s\t%s\t%.17g\t%.17g\t%.17g\n", kind, place->file, place->test,
                place->what, source, numbers[0], numbers[1], numbers[2]);
        fclose(file);
    }
}

void near_assumes(const char *sentence, const struct near_place *place)
{
    keep_comparison("assumes", place, sentence, (const double[]){0.0, 0.0, 0.0});
}

void near_check(double got, double expected, double tolerance, const char *source,
                const struct near_place *place)
{
    keep_comparison("near", place, source, (const double[]){got, expected, tolerance});
    if (!(fabs(got - expected) <= tolerance)) {
        print_error("%s is %.10g, expected %.10g +- %g (%s)\n", place->what, got, expected,
                    tolerance, source);
        _fail(place->file, place->line);
    }
}

void between_check(double got, double low, double high, const char *source,
                   const struct near_place *place)
{
    keep_comparison("between", place, source, (const double[]){got, low, high});
    if (!(got >= low && got <= high)) {
        print_error("%s is %.10g, expected %.10g to %.10g (%s)\n", place->what, got, low, high,
                    source);
        _fail(place->file, place->line);
    }
}
