/* Reads and writes numbers without a locale: the same text everywhere. */
#include "base/number.h"

#include <errno.h>
#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *skip_spaces(const char *string)
{
    while (*string == ' ' || *string == '\t') {
        string++;
    }
    return string;
}

/* strtod and strtol also take what a user would not call a number: "0x1p3", "inf", "nan". */
static bool has_only(const char *string, const char *characters)
{
    return string[strspn(string, characters)] == '\0';
}

bool number_read_double(const char *string, double *value)
{
    string = skip_spaces(string);
    if (*string == '\0' || !has_only(string, "+-.0123456789eE \t")) {
        return false;
    }
    errno = 0;
    char *end;
    double read = strtod(string, &end);
    if (end == string || *skip_spaces(end) != '\0' || !isfinite(read)) {
        return false;
    }
    *value = read;
    return true;
}

bool number_read_int(const char *string, int *value)
{
    string = skip_spaces(string);
    if (*string == '\0' || !has_only(string, "+-0123456789 \t")) {
        return false;
    }
    errno = 0;
    char *end;
    long read = strtol(string, &end, 10);
    if (end == string || *skip_spaces(end) != '\0' || errno == ERANGE || read < INT_MIN ||
        read > INT_MAX) {
        return false;
    }
    *value = (int)read;
    return true;
}

void number_write_double(char *buffer, int size, double value)
{
    for (int digits = 1; digits <= 17; digits++) {
        snprintf(buffer, (size_t)size, "%.*g", digits, value);
        /* "40", not "4e+01": with fewer digits than the number has, %g turns to powers of ten. */
        if (strtod(buffer, NULL) == value && (digits >= 15 || !strstr(buffer, "e+"))) {
            return;
        }
    }
}
