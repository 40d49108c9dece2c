#ifndef PHYSICS_INFORMATION_ROTATED_SURFACE_H
#define PHYSICS_INFORMATION_ROTATED_SURFACE_H

#include <stdint.h>

/* Mutual information of a set whose two parts, real and imaginary, meet SNRs of their own, sampled
 * over both: what a rotated constellation carries where its parts fade apart. An SNR is that of a
 * whole cell that fades as this part does; at equal ones the set carries what it does unrotated. */

/* Node 0 is a part that is lost altogether; node k stands at FIRST_DB + (k - 1) * STEP_DB. */
#define SURFACE_FIRST_DB (-28.0)
#define SURFACE_STEP_DB 2.0
#define SURFACE_NODES 48
#define SURFACE_SAMPLES (SURFACE_NODES * (SURFACE_NODES + 1) / 2)

/* Millionths of a bit by nodes i >= k, at i (i + 1) / 2 + k: both parts are alike. Constant data.
 */
struct information_surface {
    int32_t microbits[SURFACE_SAMPLES];
};

/* The SNR of node k in dB; -INFINITY at node 0. */
double surface_node_db(int node);

/* How an SNR is made of nodes: shares of SURFACE_REACH neighbours, from `first` on. Below node
 * LOWEST a part carries in proportion to its SNR: that share of it, and the rest of node 0; above
 * HIGHEST it carries as there. */
#define SURFACE_LOWEST 3
#define SURFACE_HIGHEST (SURFACE_NODES - 3)
#define SURFACE_REACH 6
struct surface_place {
    int first;
    double shares[SURFACE_REACH];
};
struct surface_place surface_place(double snr_db);

/* Parts of many SNRs as shares of the nodes, to be cleared first. */
struct surface_spread {
    double shares[SURFACE_NODES];
};
void surface_add(struct surface_spread *spread, const struct surface_place *place, double share);

/* What a cell carries, in bits, by the node of one part, where the other part is any of a spread;
 * and the mean of that over another spread. */
void surface_against(const struct information_surface *surface, const struct surface_spread *spread,
                     double bits[SURFACE_NODES]);
double surface_mean(const struct information_surface *surface, const struct surface_spread *spread);

/* Bits a cell at one pair of SNRs. */
double surface_bits(const struct information_surface *surface, double re_db, double im_db);

#endif
