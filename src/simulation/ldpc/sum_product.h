#ifndef SIMULATION_LDPC_SUM_PRODUCT_H
#define SIMULATION_LDPC_SUM_PRODUCT_H

/* Sum-product, exact to about 1e-5 of a message's size, without a hyperbolic tangent.
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

/* 2^f for -1/2 <= f <= 1/2, relative error 2.6e-6 (own minimax fit). e^-x = 2^(k + f), k + f = -x
 * log2 e; adding EXP_ROUNDER leaves k in the low bits. */
#define LOG2_E 1.44269504F
#define EXP_ROUNDER 12582912.0F
#define EXP_0 0.9999992614469312F
#define EXP_1 0.6931218147429865F
#define EXP_2 0.24024744824991615F
#define EXP_3 0.05591786030632624F
#define EXP_4 0.009570102014633387F

/* A float's bits, less those of 1, are 2^23 log2 x with a straight line inside each octave; what
 * that lacks for 1 <= m < 2, ln m - (m - 1) ln 2, has absolute error 8.7e-6 (own minimax fit). */
#define LOG_ONE 0x3F800000
#define LOG_MANTISSA 0x7FFFFF
#define LOG_SCALE 8.2629582881927490e-8F /* ln 2 / 2^23 */
#define LOG_0 (-1.2479172267759802F)
#define LOG_1 2.8361577130924407F
#define LOG_2 (-2.4612219657608567F)
#define LOG_3 1.130626071066368F
#define LOG_4 (-0.2887399125139489F)
#define LOG_5 0.031104012078541524F

#define DEGREE_MAX 96

#endif
