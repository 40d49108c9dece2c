/* The min-sum update of block rows for any kind of vector instructions. Included by each kernel's
 * source file with KERNEL, the layout and the functions that layers.h names, and these besides:
 *
 *   vec_splat, vec_size (|x|, -128 becomes 128 unsigned), vec_smaller, vec_larger, vec_less_offset
 *   (unsigned; the last stops at 0), vec_signed_like(size, sign): -size where sign < 0,
 *   vec_minus (wraps), vec_again(q): q, where |q| had better be worked out again than kept,
 *   vec_choose(q, least, other, second): second where |q| equals least, else other,
 *   PIPELINED: whether a register's answers are given while the next one's bits are heard.
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

INLINE struct heard heard_nothing(const struct ldpc_work *work)
{
    const vec limit = vec_splat(work->limit + work->offset);
    return (struct heard){limit, limit, vec_splat(0)};
}

INLINE vec without_message(const unsigned char *posterior, struct ldpc_place place,
                           const unsigned char *message)
{
    return vec_sub(place_read(posterior, place), slot_read(message));
}

INLINE void hear(struct heard *heard, vec q)
{
    vec size = vec_size(q);
    heard->second = vec_smaller(heard->second, vec_larger(heard->least, size));
    heard->least = vec_smaller(heard->least, size);
    heard->signs = vec_xor(heard->signs, q);
}

INLINE struct said answer(const struct ldpc_work *work, const struct heard *heard)
{
    const vec offset = vec_splat(work->offset);
    vec own = vec_less_offset(heard->second, offset);
    vec other = vec_smaller(vec_less_offset(heard->least, offset), vec_less_offset(own, offset));
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

INLINE void update_vectors(const struct ldpc_work *work, const struct ldpc_place *places,
                           unsigned char *messages, const int degree)
{
    unsigned char *const posterior = work->posterior; /* no store can change it here */
    for (int vector = 0; vector < VECTORS; vector++) {
        struct heard heard = heard_nothing(work);
        vec to_check[DEGREE_MAX];
#pragma GCC unroll 32
        for (int i = 0; i < degree; i++) {
            unsigned char *message = messages + (size_t)i * sizeof(vec);
            to_check[i] = without_message(posterior, places[i], message);
            hear(&heard, to_check[i]);
        }
        struct said said = answer(work, &heard);
#pragma GCC unroll 32
        for (int i = 0; i < degree; i++) {
            tell(&said, to_check[i], posterior, places[i], messages + (size_t)i * sizeof(vec));
        }
        places += degree;
        messages += (size_t)degree * sizeof(vec);
    }
}

/* The same, but that a register is told while the next one is heard: they are never in one slot, as
 * a block row's edges lead into different columns. What waits for the answers then stands beside
 * what need not wait, and q is the only thing kept, in a register for most degrees. Needs as many
 * registers as AVX-512 has. */
INLINE void update_pipelined(const struct ldpc_work *work, const struct ldpc_place *places,
                             unsigned char *messages, const int degree)
{
    unsigned char *const posterior = work->posterior;
    vec to_check[DEGREE_MAX];
    struct heard heard = heard_nothing(work);
#pragma GCC unroll 32
    for (int i = 0; i < degree; i++) {
        unsigned char *message = messages + (size_t)i * sizeof(vec);
        to_check[i] = without_message(posterior, places[i], message);
        hear(&heard, to_check[i]);
    }
    struct said said = answer(work, &heard);
    for (int vector = 1; vector < VECTORS; vector++) {
        const struct ldpc_place *next_places = places + degree;
        unsigned char *next_messages = messages + (size_t)degree * sizeof(vec);
        heard = heard_nothing(work);
#pragma GCC unroll 32
        for (int i = 0; i < degree; i++) {
            unsigned char *message = next_messages + (size_t)i * sizeof(vec);
            vec next = without_message(posterior, next_places[i], message);
            tell(&said, to_check[i], posterior, places[i], messages + (size_t)i * sizeof(vec));
            hear(&heard, next);
            to_check[i] = next;
        }
        said = answer(work, &heard);
        places = next_places;
        messages = next_messages;
    }
#pragma GCC unroll 32
    for (int i = 0; i < degree; i++) {
        tell(&said, to_check[i], posterior, places[i], messages + (size_t)i * sizeof(vec));
    }
}

INLINE void update_degree(const struct ldpc_work *work, const struct ldpc_place *places,
                          unsigned char *messages, const int degree)
{
    if (PIPELINED) {
        update_pipelined(work, places, messages, degree);
    } else {
        update_vectors(work, places, messages, degree);
    }
}

static void update_row(const struct ldpc_work *work, const struct ldpc_place *places,
                       unsigned char *messages, int degree)
{
#define OWN_LOOP(d)                               \
    case d:                                       \
        update_degree(work, places, messages, d); \
        break;
    switch (degree) {
        EACH_OWN_DEGREE(OWN_LOOP)
    default:
        update_degree(work, places, messages, degree);
    }
#undef OWN_LOOP
}
