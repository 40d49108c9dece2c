#ifndef BASE_COMPLEX_H
#define BASE_COMPLEX_H

#include <complex.h>

/* C11's CMPLX, which glibc 2.36 hides from clang. */
#ifndef CMPLX
#define CMPLX(real, imaginary) __builtin_complex((double)(real), (double)(imaginary))
#endif

#endif
