/* Made by `make thresholds` (tools/thresholds.c); do not edit. */
#include "physics/thresholds.h"

const char threshold_decoder[] = "sum-product";
const int threshold_iterations = 50;
const uint64_t threshold_seed = 322;

const struct threshold threshold_table[] = {{0}};
const size_t threshold_count = 0;
