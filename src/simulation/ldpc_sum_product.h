#ifndef SIMULATION_LDPC_SUM_PRODUCT_H
#define SIMULATION_LDPC_SUM_PRODUCT_H

/* Sum-product, exact to single precision, without a hyperbolic tangent.
 *
 * Idea: of two independent bits with likelihood ratios e^-|a| = ra and e^-|b| = rb (each at most 1)
 * the sum has (ra + rb) / (1 + ra rb); its sign is the product of signs. Kept as a fraction n / d,
 * one more bit costs two multiply-adds and no division, and nothing ever cancels:
 *     n' = n + r d        d' = d + r n        starting from 0 / 1, the bit that is surely 0.
 * A check needs, for each of its bits, the sum of all others: fractions from the first bit on and
 * fractions from the last bit on, joined in the middle,
 *     n = nf db + df nb   d = df db + nf nb,
 * and the message's size is ln(d / n). This equals 2 atanh of the product of tanh(|q| / 2)
 * (R. Gallager, "Low-density parity-check codes", 1963; F. Kschischang, B. Frey and H.-A. Loeliger,
 * IEEE Trans. Inf. Theory 47, 2001), without its loss of digits at large ratios.
 *
 * Validity: sizes are limited to SIZE_LIMIT, so that products of two e^-size are no denormals; d
 * grows by at most 2 a bit, 2^86 for the standard's largest check.
 *
 * Worked number: |q| = 2 and 3: n / d = (0.135335 + 0.049787) / (1 + 0.006738) = 0.183883, size
 * 1.69345 = 2 atanh(tanh 1 tanh 1.5). */

#define SIZE_LIMIT 40.0F
#define FAR 1e4F /* a sure bit */

/* 2^f for -1/2 <= f <= 1/2, relative error 7.5e-8 (own minimax fit). e^-x = 2^(k + f), k + f = -x
 * log2 e; adding EXP_ROUNDER leaves k in the low bits. */
#define LOG2_E 1.44269504F
#define EXP_ROUNDER 12582912.0F
#define EXP_0 1.0000000716546416F
#define EXP_1 0.693146967065265F
#define EXP_2 0.24022119723969168F
#define EXP_3 0.055507132728753655F
#define EXP_4 0.009675541331023284F
#define EXP_5 0.00132764721678272F

/* ln(1 + f) = f + f^2 P(f) for -1/4 <= f < 1/2, absolute error 4.4e-8 (own minimax fit). The
 * fraction's bits minus those of 3/4 give the exponent that brings the rest to 3/4..3/2. */
#define LOG_SPLIT 0x3F400000
#define LOG_EXPONENT (-0x800000)         /* all bits of sign and exponent */
#define LOG_SCALE 8.2629582881927490e-8F /* ln 2 / 2^23 */
#define LOG_0 (-0.5000023483926982F)
#define LOG_1 0.3332956921852012F
#define LOG_2 (-0.24976501010948812F)
#define LOG_3 0.20121770196535005F
#define LOG_4 (-0.1738598252812636F)
#define LOG_5 0.14019637804449359F
#define LOG_6 (-0.06471027307847206F)

#define DEGREE_MAX 96

#endif
