/* A surface of mutual information read between its samples, and its mean over parts that fade
 * apart.
 *
 * Idea: an interpolation that is one of both directions in turn, I(a, b) = sum over nodes i and k
 * of c_i(a) c_k(b) I_ik, makes means simple: where the parts' SNRs are independent, each spread as
 * shares w of SNRs, the mean is the same sum with the shares of the nodes, W_i = sum of w c_i, in
 * place of c. A spread of any number of carriers costs six multiplications a carrier and one sum
 * over pairs of nodes.
 *
 * The shares are those of a cubic Hermite polynomial with slopes from fourth-order differences, two
 * decibels apart (tests/physics/information/test_rotated.c measures what it errs by).
 *
 * Source: of the sets, ETSI EN 302 755 clause 6.3; of mean information as what a long code needs,
 * curve.h. Worked number: 64QAM rotated by 8.6 degrees at 30 dB carries 6 bit where both
 * parts arrive and 4.169 where one of them is lost, of which a set that is not rotated keeps 3; at
 * 12 dB 3.780 and 1.699, where the other keeps 1.890. */
#include "physics/information/rotated/surface.h"

#include <math.h>
#include <string.h>

#include "base/units.h"

#define MICRO 1e-6
#define EDGE 2 /* nodes at each end that serve slopes only */

double surface_node_db(int node)
{
    return node == 0 ? -INFINITY : SURFACE_FIRST_DB + (node - 1) * SURFACE_STEP_DB;
}

/* The cubic between its third and fourth node, by how far it is from the one to the other. */
static void fill_shares(double t, double *shares)
{
    double value_d = t * t * (3.0 - 2.0 * t), value_c = 1.0 - value_d;
    double slope_c = t * (1.0 - t) * (1.0 - t) / 12.0, slope_d = t * t * (t - 1.0) / 12.0;
    shares[0] = slope_c;
    shares[1] = slope_d - 8.0 * slope_c;
    shares[2] = value_c - 8.0 * slope_d;
    shares[3] = value_d + 8.0 * slope_c;
    shares[4] = 8.0 * slope_d - slope_c;
    shares[5] = -slope_d;
}

struct surface_place surface_place(double snr_db)
{
    struct surface_place place = {0};
    double position = 1.0 + (snr_db - SURFACE_FIRST_DB) / SURFACE_STEP_DB;
    if (!(position > SURFACE_LOWEST)) {
        place.shares[SURFACE_LOWEST] = ratio_from_db(snr_db - surface_node_db(SURFACE_LOWEST));
        place.shares[0] = 1.0 - place.shares[SURFACE_LOWEST];
    } else if (position >= SURFACE_HIGHEST) {
        place.first = SURFACE_NODES - SURFACE_REACH;
        place.shares[SURFACE_HIGHEST - place.first] = 1.0;
    } else {
        place.first = (int)position - EDGE;
        fill_shares(position - floor(position), place.shares);
    }
    return place;
}

void surface_add(struct surface_spread *spread, const struct surface_place *place, double share)
{
    for (int i = 0; i < SURFACE_REACH; i++) {
        spread->shares[place->first + i] += share * place->shares[i];
    }
}

void surface_against(const struct information_surface *surface, const struct surface_spread *spread,
                     double bits[SURFACE_NODES])
{
    const int32_t *row = surface->microbits;
    memset(bits, 0, sizeof *bits * SURFACE_NODES);
    for (int i = 0; i < SURFACE_NODES; row += ++i) {
        double own = 0.0, share = MICRO * spread->shares[i];
        for (int k = 0; k < i; k++) {
            own += spread->shares[k] * row[k];
            bits[k] += share * row[k];
        }
        bits[i] += MICRO * own + share * row[i];
    }
}

/* Each pair of nodes once; four sums, so that no addition waits for the one before. */
double surface_mean(const struct information_surface *surface, const struct surface_spread *spread)
{
    const int32_t *row = surface->microbits;
    double mean = 0.0;
    int first = 0, last = SURFACE_NODES - 1; /* only where there are shares */
    while (first < last && spread->shares[first] == 0.0) {
        first++;
    }
    while (last > first && spread->shares[last] == 0.0) {
        last--;
    }
    row += first * (first + 1) / 2;
    for (int i = first; i <= last; row += ++i) {
        double sums[4] = {0.0, 0.0, 0.0, 0.0};
        int k = first;
        for (; k + 4 <= i; k += 4) {
            for (int n = 0; n < 4; n++) {
                sums[n] += spread->shares[k + n] * row[k + n];
            }
        }
        for (; k < i; k++) {
            sums[0] += spread->shares[k] * row[k];
        }
        double others = sums[0] + sums[1] + (sums[2] + sums[3]);
        mean += spread->shares[i] * (2.0 * others + spread->shares[i] * row[i]);
    }
    return MICRO * mean;
}

double surface_bits(const struct information_surface *surface, double re_db, double im_db)
{
    struct surface_spread one = {{0.0}};
    struct surface_place re = surface_place(re_db), im = surface_place(im_db);
    double bits[SURFACE_NODES], sum = 0.0;
    surface_add(&one, &im, 1.0);
    surface_against(surface, &one, bits);
    for (int i = 0; i < SURFACE_REACH; i++) {
        sum += re.shares[i] * bits[re.first + i];
    }
    return sum;
}
