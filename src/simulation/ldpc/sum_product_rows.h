/* The sum-product update of block rows for any kind of vector instructions; the rule is told in
 * ldpc_sum_product.h. Included by each kernel's source file after ldpc_layers.h, with AT_ONCE, a
 * divisor of VECTORS, and these functions besides: vec_splat, vec_fused(a, b, c) = a b + c rounded
 * once, vec_times, vec_over, vec_size_within(value, limit), vec_sign (keeps the sign bit alone);
 * and, on the bits as whole numbers, vec_bits(constant), bits_plus, bits_minus, bits_up_23 (shifted
 * left by 23), bits_value (as a float), bits_mantissa (with the exponent of 1). */

static inline __attribute__((always_inline)) vec exp_minus(vec size)
{
    const vec rounder = vec_splat(EXP_ROUNDER), scale = vec_splat(-LOG2_E);
    vec rounded = vec_fused(size, scale, rounder);
    vec rest = vec_fused(size, scale, vec_sub(rounder, rounded));
    vec square = vec_times(rest, rest);
    vec middle = vec_fused(rest, vec_splat(EXP_3), vec_splat(EXP_2));
    vec first = vec_fused(rest, vec_splat(EXP_1), vec_splat(EXP_0));
    middle = vec_fused(square, vec_splat(EXP_4), middle);
    return bits_plus(vec_fused(square, middle, first), bits_up_23(rounded));
}

static inline __attribute__((always_inline)) vec log_of(vec value)
{
    vec line = bits_value(bits_minus(value, vec_bits(LOG_ONE)));
    vec rest = bits_mantissa(value), square = vec_times(rest, rest);
    vec sum = vec_fused(rest, vec_splat(LOG_5), vec_splat(LOG_4));
    vec middle = vec_fused(rest, vec_splat(LOG_3), vec_splat(LOG_2));
    vec first = vec_fused(rest, vec_splat(LOG_1), vec_splat(LOG_0));
    sum = vec_fused(square, vec_fused(square, sum, middle), first);
    return vec_fused(line, vec_splat(LOG_SCALE), sum);
}

/* A fraction n / d of each of the registers that are worked on at once, to fill the pipelines. */
struct fractions {
    vec n[AT_ONCE], d[AT_ONCE];
};

static inline __attribute__((always_inline)) void fractions_add(struct fractions *all,
                                                                const vec *ratios)
{
    for (int v = 0; v < AT_ONCE; v++) {
        vec before = all->n[v];
        all->n[v] = vec_fused(ratios[v], all->d[v], before);
        all->d[v] = vec_fused(ratios[v], before, all->d[v]);
    }
}

static inline __attribute__((always_inline)) void fractions_clear(struct fractions *all)
{
    for (int v = 0; v < AT_ONCE; v++) {
        all->n[v] = vec_splat(0.0F);
        all->d[v] = vec_splat(1.0F);
    }
}

static void update_vectors(const struct ldpc_work *work, const struct ldpc_place *places,
                           unsigned char *messages, int degree)
{
    unsigned char *const posterior = work->posterior; /* no store can change it here */
    vec to_check[DEGREE_MAX][AT_ONCE], ratios[DEGREE_MAX][AT_ONCE], signs[AT_ONCE];
    struct fractions before[DEGREE_MAX], sum;
    const vec limit = vec_splat(SIZE_LIMIT);
    fractions_clear(&sum);
    for (int v = 0; v < AT_ONCE; v++) {
        signs[v] = vec_splat(0.0F);
    }
    for (int i = 0; i < degree; i++) {
        before[i] = sum;
        for (int v = 0; v < AT_ONCE; v++) {
            struct ldpc_place place = places[v * degree + i];
            vec now = slot_read_turned(posterior + (size_t)place.slot * 8, place.rotation);
            vec q = vec_sub(now, slot_read(messages + (size_t)(v * degree + i) * sizeof(vec)));
            to_check[i][v] = q;
            ratios[i][v] = exp_minus(vec_size_within(q, limit));
            signs[v] = vec_xor(signs[v], vec_sign(q));
        }
        fractions_add(&sum, ratios[i]);
    }
    fractions_clear(&sum);
    for (int i = degree - 1; i >= 0; i--) {
        for (int v = 0; v < AT_ONCE; v++) {
            vec q = to_check[i][v], nf = before[i].n[v], df = before[i].d[v];
            vec n = vec_fused(nf, sum.d[v], vec_times(df, sum.n[v]));
            vec d = vec_fused(df, sum.d[v], vec_times(nf, sum.n[v]));
            vec message = vec_xor(log_of(vec_over(d, n)), vec_xor(signs[v], vec_sign(q)));
            struct ldpc_place place = places[v * degree + i];
            slot_write(posterior + (size_t)place.slot * 8, vec_add(q, message));
            slot_write(messages + (size_t)(v * degree + i) * sizeof(vec), message);
        }
        fractions_add(&sum, ratios[i]);
    }
}

static void update_row(const struct ldpc_work *work, const struct ldpc_place *places,
                       unsigned char *messages, int degree)
{
    for (int vector = 0; vector < VECTORS; vector += AT_ONCE) {
        update_vectors(work, places, messages, degree);
        places += AT_ONCE * degree;
        messages += (size_t)(AT_ONCE * degree) * sizeof(vec);
    }
}
