#ifndef SIMULATION_LDPC_KERNEL_H
#define SIMULATION_LDPC_KERNEL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "simulation/ldpc/schedule.h"
#include "standard/ldpc.h"

/* Between decoder.c and the hot loops: one kernel for each algorithm and kind of vector
 * instructions, all with the same verbs. */

#define DEGREE_MAX 96 /* edges of a block row, at most */

/* What a decoder works on. Element: int8_t for min-sum, int16_t for box-plus, float for
 * sum-product. */
struct ldpc_work {
    const struct ldpc_code *code;
    struct ldpc_schedule schedule; /* empty where values lie in their natural order */
    unsigned char *posterior;      /* a-posteriori values: channel plus all messages */
    unsigned char *messages;       /* from checks to bits, in the order they are visited */
    int offset;                    /* min-sum: taken off a message's size, in steps */
    int limit;                     /* min-sum: the largest size of a message, in steps */
};

struct ldpc_kernel {
    struct ldpc_layout layout; /* vectors 0: values lie in their natural order */
    size_t element_bytes;
    size_t register_bytes; /* a message register */
    /* Ratios to elements. */
    void (*prepare)(const float *llr, void *elements, int count);
    /* Sets the a-posteriori values to N elements. Messages are cleared by the caller. */
    void (*load)(struct ldpc_work *work, const void *elements);
    /* One pass over all block rows. */
    void (*iterate)(struct ldpc_work *work);
    /* Whether the signs of the a-posteriori values satisfy every parity check. */
    bool (*check)(const struct ldpc_work *work);
    /* Signs as bits. */
    void (*store)(const struct ldpc_work *work, uint8_t *bits);
};

extern const struct ldpc_kernel ldpc_min_sum_plain, ldpc_sum_product_plain, ldpc_box_plus_plain;
#if defined(__x86_64__)
extern const struct ldpc_kernel ldpc_min_sum_avx2, ldpc_sum_product_avx2, ldpc_box_plus_avx2;
extern const struct ldpc_kernel ldpc_min_sum_avx512, ldpc_sum_product_avx512, ldpc_box_plus_avx512;
#elif defined(__aarch64__)
extern const struct ldpc_kernel ldpc_min_sum_neon, ldpc_sum_product_neon;
#endif

#endif
