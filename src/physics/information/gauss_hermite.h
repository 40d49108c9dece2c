#ifndef PHYSICS_INFORMATION_GAUSS_HERMITE_H
#define PHYSICS_INFORMATION_GAUSS_HERMITE_H

/* Means over normally distributed noise by few points. */

#define GAUSS_HERMITE_ORDER_MAX 64

/* Nodes (ascending) and weights of an n-point Gauss-Hermite rule, n from 1 to the maximum: the sum
 * of weight * f(node) is the mean of f(t) over t with density exp(-t^2) / sqrt(pi). Weights add up
 * to 1. */
void gauss_hermite(int n, double *nodes, double *weights);

#endif
