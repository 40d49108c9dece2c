/* Gauss-Hermite nodes are the eigenvalues of the symmetric tridiagonal matrix with zeros on the
 * diagonal and sqrt(k / 2) beside it (Golub and Welsch, Math. Comp. 23, 1969). Each is found by
 * bisection on the count of eigenvalues below x (Sturm sequence), which cannot miss one, to the
 * last bit. Its weight is 1 / sum of h_k(x)^2, h_k the Hermite functions orthonormal under
 * exp(-t^2) / sqrt(pi): h_0 = 1, h_(k+1) = (x h_k - sqrt(k / 2) h_(k-1)) / sqrt((k + 1) / 2).
 * Worked number: n = 2 gives nodes +-sqrt(1/2), weights 1/2. */
#include "physics/information/gauss_hermite.h"

#include <assert.h>
#include <math.h>

/* How many eigenvalues of the n x n matrix lie below x. */
static int eigenvalues_below(int n, double x)
{
    int below = 0;
    double pivot = -x;
    for (int k = 0; k < n; k++) {
        if (k > 0) {
            pivot = -x - 0.5 * k / pivot;
        }
        if (pivot == 0.0) {
            pivot = 1e-300;
        }
        below += pivot < 0.0;
    }
    return below;
}

static double eigenvalue(int n, int index)
{
    double bound = sqrt(2.0 * n + 1.0);
    double low = -bound, high = bound;
    for (;;) {
        double middle = 0.5 * (low + high);
        if (middle <= low || middle >= high || high - low < 1e-16) {
            return middle;
        }
        if (eigenvalues_below(n, middle) > index) {
            high = middle;
        } else {
            low = middle;
        }
    }
}

static double weight_at(int n, double x)
{
    double before = 0.0, now = 1.0, sum = 1.0;
    for (int k = 0; k + 1 < n; k++) {
        double next = (x * now - sqrt(0.5 * k) * before) / sqrt(0.5 * (k + 1));
        before = now;
        now = next;
        sum += now * now;
    }
    return 1.0 / sum;
}

void gauss_hermite(int n, double *nodes, double *weights)
{
    assert(n >= 1 && n <= GAUSS_HERMITE_ORDER_MAX);
    for (int i = 0; i < n / 2; i++) {
        double x = eigenvalue(n, i);
        nodes[i] = x;
        nodes[n - 1 - i] = -x;
        weights[i] = weights[n - 1 - i] = weight_at(n, x);
    }
    if (n % 2 == 1) {
        nodes[n / 2] = 0.0;
        weights[n / 2] = weight_at(n, 0.0);
    }
}
