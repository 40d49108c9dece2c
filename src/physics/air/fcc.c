/* The curves of 47 CFR 73.699. Idea: tables read off the charts, and between their points the
 * surface of Akima's Algorithm 474 (Communications of the ACM 17(1), 1974) over distance in km and
 * height in m, both linear: at each point slopes along both axes and a twist, each a mean of the
 * differences on its two sides weighted by how little the differences beyond change; within a
 * rectangle the bicubic surface that has them at its corners. Beyond an edge differences go on
 * linearly.
 *
 *     F(50,t) = F(50,50) + (F(50,10) - F(50,50)) Q(t) / Q(10 %)
 *
 * with Q the normal quantile of what is exceeded, which is the rule's F(50,90) = F(50,50) -
 * (F(50,10) - F(50,50)) (73.619(b)(1)). The routine's own rules: below 1.5 km free space, 106.92 -
 * 20 log d; below 15 km F(50,10) = F(50,50); heights from 30 to 1600 m; to 300 km, F(50,10) to 500.
 * The regulation warns that UHF curves rest on no measurements beyond 48 km (73.683(b), before
 * 2024). Worked number: UHF, 300 m, 50 km: 46.66, 49.70 and 43.63 dBuV/m for F(50,50), F(50,10),
 * F(50,90). */
#include "physics/air/fcc.h"

#include <math.h>
#include <stddef.h>

#include "base/normal.h"
#include "base/units.h"
#include "physics/air/fcc_table.h"
#include "physics/air/p1546.h"

#define FREE_SPACE_KM 1.5
#define SAME_TIMES_KM 15.0
#define HIGHEST_M 1600.0
#define RECEIVE_LOW_M 9.1 /* 30 ft */
#define RECEIVE_HIGH_M 10.0

/* A table over distance x and height y. */
struct surface {
    const double *x, *y;
    int columns; /* distances */
    const float (*z)[FCC_HEIGHTS];
};

static int clamp(int i, int most)
{
    return i < 0 ? 0 : i > most ? most : i;
}

/* Difference along x between distances i and i + 1, carried on linearly beyond the ends. */
static double along_x(const struct surface *s, int i, int j)
{
    int most = s->columns - 2, k = clamp(i, most);
    if (k != i) {
        int step = i < 0 ? 1 : -1;
        double edge = along_x(s, k, j), next = along_x(s, k + step, j);
        return edge + (edge - next) * (i < 0 ? -i : i - most);
    }
    return ((double)s->z[k + 1][j] - (double)s->z[k][j]) / (s->x[k + 1] - s->x[k]);
}

static double along_y(const struct surface *s, int i, int j)
{
    int most = FCC_HEIGHTS - 2, k = clamp(j, most);
    if (k != j) {
        int step = j < 0 ? 1 : -1;
        double edge = along_y(s, i, k), next = along_y(s, i, k + step);
        return edge + (edge - next) * (j < 0 ? -j : j - most);
    }
    return ((double)s->z[i][k + 1] - (double)s->z[i][k]) / (s->y[k + 1] - s->y[k]);
}

/* The difference along y of the differences along x, carried on likewise. */
static double along_both(const struct surface *s, int i, int j)
{
    int most = FCC_HEIGHTS - 2, k = clamp(j, most);
    if (k != j) {
        int step = j < 0 ? 1 : -1;
        double edge = along_both(s, i, k), next = along_both(s, i, k + step);
        return edge + (edge - next) * (j < 0 ? -j : j - most);
    }
    return (along_x(s, i, k + 1) - along_x(s, i, k)) / (s->y[k + 1] - s->y[k]);
}

/* How much the differences on either side of a point count: Akima's weights, of sum 1. */
struct weights {
    double before, after;
};

static struct weights weights_of(double far_before, double before, double after, double far_after)
{
    double w_before = fabs(far_after - after), w_after = fabs(before - far_before);
    double sum = w_before + w_after;
    return sum > 0.0 ? (struct weights){w_before / sum, w_after / sum} : (struct weights){0.5, 0.5};
}

static double mean(struct weights weights, double before, double after)
{
    return weights.before * before + weights.after * after;
}

struct corner {
    double z, zx, zy, zxy;
};

static struct corner corner_at(const struct surface *s, int i, int j)
{
    struct weights wx = weights_of(along_x(s, i - 2, j), along_x(s, i - 1, j), along_x(s, i, j),
                                   along_x(s, i + 1, j));
    struct weights wy = weights_of(along_y(s, i, j - 2), along_y(s, i, j - 1), along_y(s, i, j),
                                   along_y(s, i, j + 1));
    return (struct corner){
        .z = s->z[i][j],
        .zx = mean(wx, along_x(s, i - 1, j), along_x(s, i, j)),
        .zy = mean(wy, along_y(s, i, j - 1), along_y(s, i, j)),
        .zxy = mean(wy, mean(wx, along_both(s, i - 1, j - 1), along_both(s, i, j - 1)),
                    mean(wx, along_both(s, i - 1, j), along_both(s, i, j))),
    };
}

/* The cubic from 0 to 1 with these values and slopes at its ends. */
static double cubic(double u, double at_0, double at_1, double slope_0, double slope_1)
{
    double change = at_1 - at_0;
    return at_0 + u * (slope_0 + u * (3.0 * change - 2.0 * slope_0 - slope_1 +
                                      u * (slope_0 + slope_1 - 2.0 * change)));
}

static int cell_of(const double *values, int count, double x)
{
    int i = 0;
    while (i < count - 2 && x >= values[i + 1]) {
        i++;
    }
    return i;
}

static double surface_at(const struct surface *s, double x, double y)
{
    int i = cell_of(s->x, s->columns, x), j = cell_of(s->y, FCC_HEIGHTS, y);
    double dx = s->x[i + 1] - s->x[i], dy = s->y[j + 1] - s->y[j];
    double u = (x - s->x[i]) / dx, v = (y - s->y[j]) / dy;
    double z[2], zy[2];
    for (int k = 0; k < 2; k++) {
        struct corner near = corner_at(s, i, j + k), far = corner_at(s, i + 1, j + k);
        z[k] = cubic(u, near.z, far.z, near.zx * dx, far.zx * dx);
        zy[k] = cubic(u, near.zy, far.zy, near.zxy * dx, far.zxy * dx);
    }
    return cubic(v, z[0], z[1], zy[0] * dy, zy[1] * dy);
}

double fcc_farthest_km(double time_percent)
{
    return time_percent == FCC_TIME_MIN_PERCENT ? 500.0 : 300.0;
}

double fcc_curve_dbuvm(enum band band, double height_m, double distance_km, double time_percent)
{
    if (distance_km > fcc_farthest_km(time_percent)) {
        return NAN;
    }
    if (distance_km < FREE_SPACE_KM) {
        return free_space_field_dbuvm(1.0, distance_km);
    }
    double y = fmin(fmax(height_m, fcc_height_m[0]), HIGHEST_M);
    struct surface half = {fcc_50_km, fcc_height_m, FCC_50_DISTANCES, fcc_50_dbuvm[band]};
    struct surface tenth = {fcc_10_km, fcc_height_m, FCC_10_DISTANCES, fcc_10_dbuvm[band]};
    double share =
        normal_quantile(time_percent / 100.0) / normal_quantile(FCC_TIME_MIN_PERCENT / 100.0);
    double at_half =
        share < 1.0 || distance_km < SAME_TIMES_KM ? surface_at(&half, distance_km, y) : 0.0;
    if (distance_km < SAME_TIMES_KM) {
        return at_half;
    }
    return (1.0 - share) * at_half + share * surface_at(&tenth, distance_km, y);
}

static double receive_db(const struct path *path)
{
    struct path from = *path, to = *path;
    from.surroundings = SURROUNDINGS_OPEN;
    from.receive_height_m = fmin(fmax(path->receive_height_m, RECEIVE_LOW_M), RECEIVE_HIGH_M);
    from.distance_km = to.distance_km = fmax(path->distance_km, 1.0);
    return p1546_receive_db(&to) - p1546_receive_db(&from);
}

double fcc_field_dbuvm(const struct path *path, double erp_kw)
{
    double curve = fcc_curve_dbuvm(rf_band(path->center_mhz), path->transmit_height_m,
                                   path->distance_km, path->time_percent);
    double most = free_space_field_dbuvm(1.0, path->distance_km);
    return isnan(curve) ? NAN : fmin(curve + receive_db(path), most) + db_from_ratio(erp_kw);
}
