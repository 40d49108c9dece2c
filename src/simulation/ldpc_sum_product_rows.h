/* The sum-product update of block rows for any kind of vector instructions; the rule is told in
 * ldpc_sum_product.h. Included by each kernel's source file after ldpc_layers.h, with these
 * functions besides: vec_splat, vec_fused(a, b, c) = a b + c rounded once, vec_times, vec_over,
 * vec_smaller, vec_larger; vec_size (clears the sign bit), vec_sign (keeps it alone);
 * and, on the bits as whole numbers, vec_bits(constant), bits_plus, bits_minus, bits_and,
 * bits_up_23 (shifted left by 23), bits_value (as a float). */

static inline __attribute__((always_inline)) vec exp_minus(vec size)
{
    const vec rounder = vec_splat(EXP_ROUNDER), scale = vec_splat(-LOG2_E);
    vec limited = vec_smaller(size, vec_splat(SIZE_LIMIT));
    vec rounded = vec_fused(limited, scale, rounder);
    vec rest = vec_fused(limited, scale, vec_sub(rounder, rounded));
    vec sum = vec_fused(rest, vec_splat(EXP_5), vec_splat(EXP_4));
    sum = vec_fused(rest, sum, vec_splat(EXP_3));
    sum = vec_fused(rest, sum, vec_splat(EXP_2));
    sum = vec_fused(rest, sum, vec_splat(EXP_1));
    sum = vec_fused(rest, sum, vec_splat(EXP_0));
    return bits_plus(sum, bits_up_23(rounded));
}

static inline __attribute__((always_inline)) vec log_of(vec value)
{
    vec exponent = bits_and(bits_minus(value, vec_bits(LOG_SPLIT)), vec_bits(LOG_EXPONENT));
    vec rest = vec_sub(bits_minus(value, exponent), vec_splat(1.0F));
    vec sum = vec_fused(rest, vec_splat(LOG_6), vec_splat(LOG_5));
    sum = vec_fused(rest, sum, vec_splat(LOG_4));
    sum = vec_fused(rest, sum, vec_splat(LOG_3));
    sum = vec_fused(rest, sum, vec_splat(LOG_2));
    sum = vec_fused(rest, sum, vec_splat(LOG_1));
    sum = vec_fused(rest, sum, vec_splat(LOG_0));
    sum = vec_fused(vec_times(rest, rest), sum, rest);
    return vec_fused(bits_value(exponent), vec_splat(LOG_SCALE), sum);
}

static void update_vector(const struct ldpc_work *work, const struct ldpc_place *places,
                          unsigned char *messages, int degree)
{
    vec to_check[DEGREE_MAX], ratio[DEGREE_MAX], over[DEGREE_MAX], under[DEGREE_MAX];
    vec n = vec_splat(0.0F), d = vec_splat(1.0F), signs = vec_splat(0.0F);
    for (int i = 0; i < degree; i++) {
        vec posterior = slot_read_turned(place_slot(work, places[i]), places[i].rotation);
        vec q = vec_sub(posterior, slot_read(messages + (size_t)i * sizeof(vec)));
        vec r = exp_minus(vec_size(q)), before = n;
        to_check[i] = q;
        ratio[i] = r;
        over[i] = n;
        under[i] = d;
        n = vec_fused(r, d, n);
        d = vec_fused(r, before, d);
        signs = vec_xor(signs, vec_sign(q));
    }
    n = vec_splat(0.0F);
    d = vec_splat(1.0F);
    for (int i = degree - 1; i >= 0; i--) {
        vec q = to_check[i], r = ratio[i], before = n;
        vec others_n = vec_fused(over[i], d, vec_times(under[i], n));
        vec others_d = vec_fused(under[i], d, vec_times(over[i], n));
        vec size = vec_larger(log_of(vec_over(others_d, others_n)), vec_splat(0.0F));
        vec message = vec_xor(size, vec_xor(signs, vec_sign(q)));
        slot_write(place_slot(work, places[i]), vec_add(q, message));
        memcpy(messages + (size_t)i * sizeof(vec), &message, sizeof message);
        n = vec_fused(r, d, n);
        d = vec_fused(r, before, d);
    }
}

static void update_row(const struct ldpc_work *work, const struct ldpc_place *places,
                       unsigned char *messages, int degree)
{
    for (int vector = 0; vector < VECTORS; vector++) {
        update_vector(work, places, messages, degree);
        places += degree;
        messages += (size_t)degree * sizeof(vec);
    }
}
