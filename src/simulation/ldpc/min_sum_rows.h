/* The min-sum update of block rows for any kind of vector instructions. Included by each kernel's
 * source file with KERNEL, the layout and the functions that layers.h names, and these besides:
 *
 *   vec_splat, vec_size (|x|, -128 becomes 128 unsigned), vec_smaller, vec_larger, vec_less_offset
 *   (unsigned; the last stops at 0), vec_signed_like(size, sign): -size where sign < 0,
 *   vec_choose(q, least, other, second): second where |q| equals least, else other,
 *   CHAINS: 1 or 2 chains of minima.
 *
 * The rule itself is told in min_sum_plain.c, whose results these equal bit for bit. */
#include "simulation/ldpc/prepare.h"

typedef int8_t element;

#define FAR 127

static inline bool is_negative(element value)
{
    return value < 0;
}

#include "simulation/ldpc/layers.h"

static void prepare(const float *llr, void *elements, int count)
{
    quantise_steps(llr, elements, count);
}

/* The two smallest sizes so far. */
struct smallest {
    vec least, second;
};

/* With two chains even and odd edges have a pair each, so that no edge waits for the one before it;
 * what both pairs hold together is what one pair would. A trial with AVX-512 gained 4 to 5 % by it;
 * AVX2, with half as many registers, loses 1 to 4 %; NEON was not timed. */
static inline __attribute__((always_inline)) struct smallest join_chains(const struct smallest *all,
                                                                         int chains)
{
    struct smallest one = all[0], other = all[chains - 1];
    if (chains == 1) {
        return one;
    }
    return (struct smallest){.least = vec_smaller(one.least, other.least),
                             .second = vec_smaller(vec_larger(one.least, other.least),
                                                   vec_smaller(one.second, other.second))};
}

static inline __attribute__((always_inline)) void update_vectors(const struct ldpc_work *work,
                                                                 const struct ldpc_place *places,
                                                                 unsigned char *messages,
                                                                 const int degree, const int chains)
{
    const vec limit = vec_splat(work->limit + work->offset), offset = vec_splat(work->offset);
    unsigned char *const posterior = work->posterior; /* no store can change it here */
    for (int vector = 0; vector < VECTORS; vector++) {
        vec to_check[DEGREE_MAX], signs = vec_splat(0);
        struct smallest sizes[2] = {{limit, limit}, {limit, limit}};
#pragma GCC unroll 32
        for (int i = 0; i < degree; i++) {
            vec now = slot_read_turned(posterior + (size_t)places[i].slot * 8, places[i].rotation);
            vec q = vec_sub(now, slot_read(messages + (size_t)i * sizeof(vec)));
            vec size = vec_size(q);
            struct smallest *chain = &sizes[i % chains];
            to_check[i] = q;
            chain->second = vec_smaller(chain->second, vec_larger(chain->least, size));
            chain->least = vec_smaller(chain->least, size);
            signs = vec_xor(signs, q);
        }
        struct smallest all = join_chains(sizes, chains);
        vec own = vec_less_offset(all.second, offset);
        vec other = vec_smaller(vec_less_offset(all.least, offset), vec_less_offset(own, offset));
        own = vec_signed_like(own, signs);
        other = vec_signed_like(other, signs);
#pragma GCC unroll 32
        for (int i = 0; i < degree; i++) {
            vec q = to_check[i];
            vec after = vec_add(q, vec_signed_like(vec_choose(q, all.least, other, own), q));
            vec message = vec_sub(after, q);
            slot_write(posterior + (size_t)places[i].slot * 8, after);
            memcpy(messages + (size_t)i * sizeof(vec), &message, sizeof message);
        }
        places += degree;
        messages += (size_t)degree * sizeof(vec);
    }
}

/* Degrees of most block rows get loops of their own, whose values stay in registers; the loop for
 * any other degree cannot tell even from odd without looking, and has one chain. */
static void update_row(const struct ldpc_work *work, const struct ldpc_place *places,
                       unsigned char *messages, int degree)
{
#define OWN_LOOP(d)                                        \
    case d:                                                \
        update_vectors(work, places, messages, d, CHAINS); \
        break
    switch (degree) {
        OWN_LOOP(3);
        OWN_LOOP(4);
        OWN_LOOP(5);
        OWN_LOOP(6);
        OWN_LOOP(7);
        OWN_LOOP(8);
        OWN_LOOP(9);
        OWN_LOOP(10);
        OWN_LOOP(11);
        OWN_LOOP(12);
        OWN_LOOP(13);
        OWN_LOOP(14);
        OWN_LOOP(16);
        OWN_LOOP(17);
        OWN_LOOP(22);
    default:
        update_vectors(work, places, messages, degree, 1);
    }
#undef OWN_LOOP
}
