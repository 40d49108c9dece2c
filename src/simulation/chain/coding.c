/* The codings of A/322 and of DVB-T2 by their standards' tables. */
#include "simulation/chain/coding.h"

#include <math.h>

#include "base/units.h"
#include "standard/atsc3/bit_interleaver.h"
#include "standard/atsc3/constellation.h"
#include "standard/atsc3/table/ldpc.h"

static void order_of_atsc3(const struct coding *coding, uint16_t *order)
{
    const struct code *code = &coding->of.atsc3;
    struct bit_interleaver interleaver =
        bit_interleaver_of(code->length, code->constellation, code->rate_15ths);
    bit_interleaver_fill(&interleaver, order);
}

static int points_of_atsc3(const struct coding *coding, double complex *points)
{
    const struct code *code = &coding->of.atsc3;
    double levels[CONSTELLATION_LEVELS_MAX];
    (void)constellation_fill(code->constellation, code->rate_15ths, points);
    return constellation_levels(code->constellation, code->rate_15ths, levels) > 0;
}

struct coding coding_of_atsc3(const struct code *code)
{
    bool legal = constellation_is_allowed(code->length, code->constellation);
    return (struct coding){
        .table = legal ? ldpc_table_find(code->length, code->rate_15ths) : NULL,
        .bits = code_length_bits(code->length),
        .correctable = 12,
        .cell_bits = constellation_bits(code->constellation),
        .fill_order = order_of_atsc3,
        .fill_points = points_of_atsc3,
        .of.atsc3 = *code,
    };
}

static void order_of_t2(const struct coding *coding, uint16_t *order)
{
    t2_bit_order(&coding->of.t2, order);
}

/* Even bits are the real axis's, as the first pair's odd ones are; which axis is which does not
 * matter to a product, so its points are put as the demapper has them. */
static int points_of_t2(const struct coding *coding, double complex *points)
{
    double levels[T2_LEVELS_MAX];
    (void)t2_levels(coding->of.t2.constellation, levels);
    for (int i = 0; i < 1 << coding->cell_bits; i++) {
        int axes[2] = {0, 0}; /* of the odd and the even bits */
        for (int y = 0; y < coding->cell_bits; y++) {
            int *axis = &axes[y % 2 == 0];
            *axis = *axis << 1 | (i >> (coding->cell_bits - 1 - y) & 1);
        }
        points[i] = CMPLX(levels[axes[0]], levels[axes[1]]);
    }
    return 1;
}

/* Clause 6.3: the set turned as a whole, its parts as the document has them. */
static int rotated_points_of_t2(const struct coding *coding, double complex *points)
{
    double angle = t2_rotation_degrees(coding->of.t2.constellation) * PI / 180.0;
    double complex turn = CMPLX(cos(angle), sin(angle));
    (void)points_of_t2(coding, points);
    for (int i = 0; i < 1 << coding->cell_bits; i++) {
        points[i] = turn * CMPLX(cimag(points[i]), creal(points[i]));
    }
    return 0;
}

struct coding coding_of_t2(const struct t2_code *code)
{
    return (struct coding){
        .table = t2_ldpc_table(code->length, code->rate),
        .bits = t2_length_bits(code->length),
        .correctable = t2_bch_correctable(code->length, code->rate),
        .cell_bits = t2_constellation_bits(code->constellation),
        .fill_order = order_of_t2,
        .axes_apart = code->rotation,
        .fill_points = code->rotation ? rotated_points_of_t2 : points_of_t2,
        .of.t2 = *code,
    };
}
