#ifndef FUZZ_FUZZ_H
#define FUZZ_FUZZ_H

#include <stddef.h>
#include <stdint.h>

/* One function a target; each aborts where something does not hold. */
int fuzz_profile(const uint8_t *data, size_t size);
int fuzz_page(const uint8_t *data, size_t size);
int fuzz_lesson(const uint8_t *data, size_t size);
int fuzz_terrain(const uint8_t *data, size_t size);
int fuzz_options(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#endif
