/* The min-sum update of block rows for any kind of vector instructions. Included by each kernel's
 * source file with KERNEL, the layout and the functions that layers.h names, and these besides:
 *
 *   vec_splat, vec_size (|x|, -128 becomes 128 unsigned), vec_smaller, vec_larger, vec_less_offset
 *   (unsigned; the last stops at 0), vec_signed_like(size, sign): -size where sign < 0,
 *   vec_minus (wraps), vec_again(q): q, where |q| had better be worked out again than kept,
 *   vec_choose(q, least, other, second): second where |q| equals least, else other,
 *   PIPELINED: whether a register's answers are given while the next one's bits are heard,
 *   VEC_SETTLE(vec), which has it in a register.
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

/* What a check hears: the two smallest sizes, and the exclusive or of all q, whose sign is the
 * product of signs. */
struct heard {
    vec least, second, signs;
};

/* What it says: to the bit of the least size, and to all others, with the sign of all. */
struct said {
    vec least, own, other;
};

#define INLINE static inline __attribute__((always_inline))

INLINE vec without_message(const unsigned char *posterior, struct ldpc_place place,
                           const unsigned char *message)
{
    return vec_sub(place_read(posterior, place), slot_read(message));
}

/* No size counts for more than `limit`. */
INLINE struct heard heard_first(vec limit, vec q)
{
    return (struct heard){vec_smaller(limit, vec_size(q)), limit, q};
}

INLINE void hear(struct heard *heard, vec q)
{
    vec size = vec_size(q);
    heard->second = vec_smaller(heard->second, vec_larger(heard->least, size));
    heard->least = vec_smaller(heard->least, size);
    heard->signs = vec_xor(heard->signs, q);
}

INLINE struct said answer(vec offset, const struct heard *heard)
{
    vec own = vec_less_offset(heard->second, offset);
    vec other = vec_less_offset(vec_smaller(heard->least, own), offset);
    return (struct said){heard->least, vec_signed_like(own, heard->signs),
                         vec_signed_like(other, heard->signs)};
}

INLINE void tell(const struct said *said, vec q, unsigned char *posterior, struct ldpc_place place,
                 unsigned char *message)
{
    q = vec_again(q);
    vec size = vec_choose(q, said->least, said->other, said->own);
    vec after = vec_add(q, vec_signed_like(size, q)), difference = vec_minus(after, q);
    place_write(posterior, place, after);
    memcpy(message, &difference, sizeof difference);
}

/* Sizes that count for no more, and what is taken off them. */
struct bounds {
    vec limit, offset;
};

INLINE struct bounds bounds_of(const struct ldpc_work *work)
{
    return (struct bounds){vec_splat(work->limit + work->offset), vec_splat(work->offset)};
}

/* Hears one register by itself, and keeps q of each edge. */
INLINE struct said hear_register(const struct bounds *bounds, vec *to_check,
                                 const unsigned char *posterior, const struct ldpc_place *places,
                                 const unsigned char *messages, const int degree)
{
    to_check[0] = without_message(posterior, places[0], messages);
    struct heard heard = heard_first(bounds->limit, to_check[0]);
#pragma GCC unroll 32
    for (int i = 1; i < degree; i++) {
        to_check[i] = without_message(posterior, places[i], messages + (size_t)i * sizeof(vec));
        hear(&heard, to_check[i]);
    }
    return answer(bounds->offset, &heard);
}

INLINE void tell_register(const struct said *said, const vec *to_check, unsigned char *posterior,
                          const struct ldpc_place *places, unsigned char *messages,
                          const int degree)
{
#pragma GCC unroll 32
    for (int i = 0; i < degree; i++) {
        tell(said, to_check[i], posterior, places[i], messages + (size_t)i * sizeof(vec));
    }
}

INLINE void update_vectors(const struct ldpc_work *work, const struct ldpc_place *places,
                           unsigned char *messages, const int degree)
{
    const struct bounds bounds = bounds_of(work);
    unsigned char *const posterior = work->posterior; /* no store can change it here */
    for (int vector = 0; vector < VECTORS; vector++) {
        vec to_check[DEGREE_MAX];
        struct said said = hear_register(&bounds, to_check, posterior, places, messages, degree);
        tell_register(&said, to_check, posterior, places, messages, degree);
        places += degree;
        messages += (size_t)degree * sizeof(vec);
    }
}

/* A register that is heard in steps: the latest edge's q, the size of the one before, and the
 * larger of the size before that and the least then. */
struct hearing {
    struct heard heard;
    vec larger, size, q;
};

INLINE void measure(struct hearing *hearing)
{
    hearing->size = vec_size(hearing->q);
    VEC_SETTLE(hearing->size);
    hearing->heard.signs = vec_xor(hearing->heard.signs, hearing->q);
}

INLINE void compare(struct hearing *hearing)
{
    struct heard *heard = &hearing->heard;
    heard->second = vec_smaller(heard->second, hearing->larger);
    hearing->larger = vec_larger(heard->least, hearing->size);
    heard->least = vec_smaller(heard->least, hearing->size);
}

/* Tells a register while the next one is heard: they are never in one slot, as a block row's edges
 * lead into different columns. What waits for the answers stands beside what need not wait, and an
 * edge is heard in steps that stand beside those of other edges, for processors look past no more
 * than a few dozen instructions that wait. Settling keeps compilers from drawing the steps together
 * again. Edge i - lag is told beside edge i. What is given is the told register's; the next one's
 * places and messages follow. */
INLINE struct said tell_and_hear(const struct bounds *bounds, const struct said *said,
                                 vec *to_check, unsigned char *posterior,
                                 const struct ldpc_place *places, unsigned char *messages,
                                 const int degree, const int lag)
{
    const vec limit = bounds->limit;
    struct hearing next = {{limit, limit, vec_splat(0)}, limit, limit, vec_splat(0)};
    vec kept[DEGREE_MAX], *const heard = lag > 0 ? kept : to_check;
#pragma GCC unroll 32
    for (int i = 0; i < degree + 3; i++) {
        if (i == 2) {
            next.heard.least = vec_smaller(limit, next.size);
        } else if (i > 2 && i - 2 < degree) {
            compare(&next);
        }
        if (i > 0 && i - 1 < degree) {
            measure(&next);
        }
        if (i >= lag && i - lag < degree) {
            tell(said, to_check[i - lag], posterior, places[i - lag],
                 messages + (size_t)(i - lag) * sizeof(vec));
        }
        if (i < degree) {
            next.q = without_message(posterior, places[degree + i],
                                     messages + (size_t)(degree + i) * sizeof(vec));
            VEC_SETTLE(next.q);
            heard[i] = next.q;
        }
    }
    next.heard.second = vec_smaller(next.heard.second, next.larger);
#pragma GCC unroll 32
    for (int i = 0; lag > 0 && i < degree; i++) {
        /* cppcheck-suppress uninitvar ; where told later, they were heard into it */
        to_check[i] = kept[i];
    }
    return answer(bounds->offset, &next.heard);
}

/* q is the only thing kept, in a register for most degrees: that needs as many registers as AVX-512
 * has. */
INLINE void update_pipelined(const struct ldpc_work *work, const struct ldpc_place *places,
                             unsigned char *messages, const int degree, const int lag)
{
    const struct bounds bounds = bounds_of(work);
    unsigned char *const posterior = work->posterior;
    vec to_check[DEGREE_MAX];
    struct said said = hear_register(&bounds, to_check, posterior, places, messages, degree);
    for (int vector = 1; vector < VECTORS; vector++) {
        said = tell_and_hear(&bounds, &said, to_check, posterior, places, messages, degree, lag);
        places += degree;
        messages += (size_t)degree * sizeof(vec);
    }
    tell_register(&said, to_check, posterior, places, messages, degree);
}

INLINE void update_degree(const struct ldpc_work *work, const struct ldpc_place *places,
                          unsigned char *messages, const int degree, const int lag)
{
    if (PIPELINED) {
        update_pipelined(work, places, messages, degree, lag);
    } else {
        update_vectors(work, places, messages, degree);
    }
}

static void update_row(const struct ldpc_work *work, const struct ldpc_place *places,
                       unsigned char *messages, int degree)
{
    /* A lag moves all q kept from register to register, which is free, but not from memory. */
    enum { LAG = 2, NO_LAG = 0 };
#define OWN_LOOP(d)                                    \
    case d:                                            \
        update_degree(work, places, messages, d, LAG); \
        break;
    switch (degree) {
        EACH_OWN_DEGREE(OWN_LOOP)
    default:
        update_degree(work, places, messages, degree, NO_LAG);
    }
#undef OWN_LOOP
}
