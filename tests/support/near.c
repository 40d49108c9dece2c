#include "support/near.h"

#include <math.h>

/* fontconfig keeps what it read of the system's fonts until the process ends: not ours to free. */
const char *__lsan_default_suppressions(void); /* NOLINT(bugprone-reserved-identifier): its name */
const char *__lsan_default_suppressions(void)  /* NOLINT(bugprone-reserved-identifier) */
{
    return "leak:libfontconfig\n";
}

void near_check(double got, double expected, double tolerance, const char *source, const char *what,
                const char *file, int line)
{
    if (!(fabs(got - expected) <= tolerance)) {
        print_error("%s is %.10g, expected %.10g +- %g (%s)\n", what, got, expected, tolerance,
                    source);
        _fail(file, line);
    }
}

void between_check(double got, double low, double high, const char *source, const char *what,
                   const char *file, int line)
{
    if (!(got >= low && got <= high)) {
        print_error("%s is %.10g, expected %.10g to %.10g (%s)\n", what, got, low, high, source);
        _fail(file, line);
    }
}
