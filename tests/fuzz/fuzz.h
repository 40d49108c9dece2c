#ifndef FUZZ_FUZZ_H
#define FUZZ_FUZZ_H

#include <stddef.h>
#include <stdint.h>

/* One function a target, in a file of its name; each aborts where something does not hold. A new
 * one gets a row in fuzz.c and a test in test_corpus.c. */
int fuzz_profile(const uint8_t *data, size_t size);
int fuzz_page(const uint8_t *data, size_t size);
int fuzz_plps(const uint8_t *data, size_t size);
int fuzz_lesson(const uint8_t *data, size_t size);
int fuzz_parts(const uint8_t *data, size_t size);
int fuzz_log(const uint8_t *data, size_t size);
int fuzz_terrain(const uint8_t *data, size_t size);
int fuzz_options(const uint8_t *data, size_t size);

#endif
