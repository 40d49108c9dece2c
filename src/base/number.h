#ifndef BASE_NUMBER_H
#define BASE_NUMBER_H

#include <stdbool.h>

/* Strict readings of a whole string: no locale, no leading or trailing text but spaces, no hex,
 * no infinity, no NaN, no overflow. False leaves `value` alone. */
bool number_read_double(const char *string, double *value);
bool number_read_int(const char *string, int *value);

/* Writes `value` into `buffer` with as many digits as are
 * needed to read the same double again, without trailing zeros. `size` of 32 always suffices. */
void number_write_double(char *buffer, int size, double value);

#endif
