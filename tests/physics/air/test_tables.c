/* The curves as tabulated, against themselves: no cell stands out from its neighbours.
 *
 * Each cell is foretold twice by a polynomial through its neighbours: along the distance and along
 * the height, both by their logarithms. Curves bend, and charts were read by eye, so one of the two
 * may be far off; a cell that was typed wrong is off in both. The limits are what the tables as
 * they were printed reach (computed here): a cell changed by 1 dB goes beyond P.1546's, one changed
 * by 2 dB beyond the regulation's, but for a few in a hundred whose neighbours err the other way.
 */
#include "support/near.h"

#include <math.h>

#include "physics/air/fcc_table.h"
#include "physics/air/p1546_table.h"

struct curves {
    const float *dbuvm; /* a line a distance */
    int distances, heights;
    const double *distance_km, *height_m;
};

/* The polynomial through the points nearest to point at, without it, there. */
static double foretold(const double *x, const float *y, int stride, int count, int at, int points)
{
    int first = at - points / 2;
    first = first < 0 ? 0 : first > count - points - 1 ? count - points - 1 : first;
    double sum = 0.0;
    for (int a = first; a <= first + points; a++) {
        double weight = a != at;
        for (int b = first; b <= first + points; b++) {
            weight *= b != a && b != at ? log(x[at] / x[b]) / log(x[a] / x[b]) : 1.0;
        }
        sum += weight * (double)y[(long)a * stride];
    }
    return sum;
}

/* How far the cell that stands out most does. */
static double stands_out_db(const struct curves *curves, int points)
{
    double most = 0.0;
    for (int d = 0; d < curves->distances; d++) {
        for (int h = 0; h < curves->heights; h++) {
            const float *line = curves->dbuvm + (long)d * curves->heights;
            double by_distance = foretold(curves->distance_km, curves->dbuvm + h, curves->heights,
                                          curves->distances, d, points);
            double by_height = foretold(curves->height_m, line, 1, curves->heights, h, points);
            most = fmax(
                most, fmin(fabs(by_distance - (double)line[h]), fabs(by_height - (double)line[h])));
        }
    }
    return most;
}

static void no_cell_of_p1546_stands_out(void **state)
{
    (void)state;
    static const double heights_m[P1546_HEIGHTS] = {10, 20, 37.5, 75, 150, 300, 600, 1200};
    for (int i = 0; i < P1546_TIMES * P1546_FREQUENCIES; i++) {
        const struct curves curves = {
            &p1546_land_dbuvm[i / P1546_FREQUENCIES][i % P1546_FREQUENCIES][0][0], P1546_DISTANCES,
            P1546_HEIGHTS, p1546_distance_km, heights_m};
        assert_true(stands_out_db(&curves, 4) < 0.25);
    }
}

static void no_cell_of_the_charts_stands_out(void **state)
{
    (void)state;
    static const double at_50_db[BAND_COUNT] = {0.57, 0.91, 0.61},
                        at_10_db[BAND_COUNT] = {0.50, 0.81, 0.46};
    for (int band = 0; band < BAND_COUNT; band++) {
        const struct curves at_50 = {&fcc_50_dbuvm[band][0][0], FCC_50_DISTANCES, FCC_HEIGHTS,
                                     fcc_50_km, fcc_height_m};
        const struct curves at_10 = {&fcc_10_dbuvm[band][0][0], FCC_10_DISTANCES, FCC_HEIGHTS,
                                     fcc_10_km, fcc_height_m};
        assert_true(stands_out_db(&at_50, 2) < at_50_db[band]);
        assert_true(stands_out_db(&at_10, 2) < at_10_db[band]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_cell_of_p1546_stands_out),
        cmocka_unit_test(no_cell_of_the_charts_stands_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
