/* ITU-R P.1546 over land. Idea: curves drawn through many measurements, for three frequencies,
 * three shares of time and eight heights, and rules between and beyond them.
 *
 * In the order of the Recommendation's Annex 6: for each nominal time, frequency and height the
 * distance is interpolated, then height, frequency and time,
 *     E = Ea + (Eb - Ea) log(x / xa) / log(xb / xa)
 * in distance, height and frequency, and linear in the normal quantile of the time. Above 1200 m
 * and below 100 MHz the nearest two are carried on. Below 10 m: E0 = E10 + 0.5 (E10 - E20 +
 * Ch(-10)),  E = E0 + 0.1 h (E10 - E0),  below ground E0 + Ch(h), Ch = 6.03 - J(K atan(-h / 9000)
 * in degrees),  K = 1.35, 3.31, 6.00 at 100, 600, 2000 MHz. The receiving height stands against the
 * clutter around it, R = 10 m (open land, suburbs), 20 m (towns), 30 m (dense towns), of which R' =
 * (1000 d R - 15 h1) / (1000 d - 15) is met: open land: Kh log(h2 / 10), Kh = 3.2 + 6.2 log f;
 *     else, below R': 6.03 - J(0.0108 sqrt(f) sqrt(hd atan(hd / 27) in degrees)), hd = R' - h2;
 *     from R' on: Kh log(h2 / R'); and where R' < 10: less Kh log(10 / R').
 * Short paths: the way is longer than the ground below it, by 20 log(d / slope); nearer than 1 km
 * linear in the log of the slope to free space at 40 m. Nothing exceeds 106.9 - 20 log(slope).
 *
 * Heights are over mean terrain, and for want of a profile also those above ground. Where the
 * ground is known (terrain.h) heights count from it, the clearance angle's correction is added to
 * the curves, an antenna lower than the ground before it gets Ch of its own clearance angle instead
 * of atan(-h / 9000), and the field is not below that of troposcatter, 24.4 - 20 log d - 10 theta -
 * Lf + 0.15 325 + 10.1 (-log(0.02 t))^0.7, theta = 180 d / (pi 4/3 6370) + both elevations >= 0, Lf
 * = 5 log f - 2.5 (log f - 3.3)^2. Without a profile there is none (the curves hold what was
 * measured). No sea, no clutter around the transmitter. Curves: editions -2 to -6; short and slope
 * paths as in -5 and -6. Validity: 30-4000 MHz, to 1000 km, to 3000 m, 1-50 % of the time. Worked
 * number: 615 MHz, 50 %, 365 m, 90 km: 27.95 dBuV/m for 1 kW. */
#include "physics/air/p1546.h"

#include <math.h>

#include "base/normal.h"
#include "base/units.h"
#include "physics/air/p1546_table.h"

#define REFRACTIVITY 325.0 /* of the surface, median of the world */

static const double frequencies_mhz[P1546_FREQUENCIES] = {100.0, 600.0, 2000.0};
static const double sunk_factor[P1546_FREQUENCIES] = {1.35, 3.31, 6.00};
static const double times_percent[P1546_TIMES] = {1.0, 10.0, 50.0};
static const double heights_m[P1546_HEIGHTS] = {10.0,  20.0,  37.5,  75.0,
                                                150.0, 300.0, 600.0, 1200.0};

/* The Recommendation rounds free space's 106.92. */
static double most_dbuvm(double slope_km)
{
    return 106.9 - 20.0 * log10(slope_km);
}

static double slope_km(double distance_km, double mast_m, double receive_height_m)
{
    return hypot(distance_km, 1e-3 * (mast_m - receive_height_m));
}

/* The transmitting antenna over the ground at the place. */
static double mast_of(const struct path *path)
{
    const struct terrain *terrain = path->terrain;
    return terrain ? path->mast_m + terrain_height_m(terrain, 0.0) -
                         terrain_height_m(terrain, path->distance_km)
                   : path->transmit_height_m;
}

/* The lower of the two neighbours of x, or of the two at an end that it lies beyond. */
static size_t below(const double *values, size_t count, double x)
{
    size_t low = 0, high = count - 1;
    while (high - low > 1) {
        size_t middle = (low + high) / 2;
        if (x < values[middle]) {
            high = middle;
        } else {
            low = middle;
        }
    }
    return low;
}

static double between(double low, double high, double x, double at_low, double at_high)
{
    return at_low + (at_high - at_low) * log(x / low) / log(high / low);
}

double p1546_knife_edge_db(double nu)
{
    return fmax(6.9 + 20.0 * log10(hypot(nu - 0.1, 1.0) + nu - 0.1), 0.0);
}

static double degrees(double radians)
{
    return radians * 180.0 / PI;
}

static double sunk_db(double elevation_deg, size_t frequency)
{
    return 6.03 - p1546_knife_edge_db(sunk_factor[frequency] * elevation_deg);
}

double p1546_sunk_db(double height_m, size_t frequency)
{
    return sunk_db(degrees(atan(-height_m / 9000.0)), frequency);
}

/* A curve of one time, frequency and height. */
static double at_distance(size_t time, size_t frequency, size_t height, double distance_km)
{
    size_t i = below(p1546_distance_km, P1546_DISTANCES, distance_km);
    const float(*rows)[P1546_HEIGHTS] = p1546_land_dbuvm[time][frequency];
    return between(p1546_distance_km[i], p1546_distance_km[i + 1], distance_km, rows[i][height],
                   rows[i + 1][height]);
}

static double below_ground_db(const struct path *path, size_t frequency)
{
    double clear_deg =
        path->terrain
            ? terrain_elevation_from_station_deg(path->terrain, path->mast_m, path->distance_km)
            : NAN;
    return isnan(clear_deg) ? p1546_sunk_db(path->transmit_height_m, frequency)
                            : sunk_db(clear_deg, frequency);
}

static double at_low_height(size_t time, size_t frequency, const struct path *path)
{
    double at_10 = at_distance(time, frequency, 0, path->distance_km);
    double at_20 = at_distance(time, frequency, 1, path->distance_km);
    double at_0 = at_10 + 0.5 * (at_10 - at_20 + p1546_sunk_db(-10.0, frequency));
    return path->transmit_height_m >= 0.0 ? at_0 + 0.1 * path->transmit_height_m * (at_10 - at_0)
                                          : at_0 + below_ground_db(path, frequency);
}

static double at_height(size_t time, size_t frequency, const struct path *path)
{
    double height_m = path->transmit_height_m, distance_km = path->distance_km;
    if (height_m < heights_m[0]) {
        return at_low_height(time, frequency, path);
    }
    size_t i = below(heights_m, P1546_HEIGHTS, height_m);
    double field = between(heights_m[i], heights_m[i + 1], height_m,
                           at_distance(time, frequency, i, distance_km),
                           at_distance(time, frequency, i + 1, distance_km));
    return fmin(field, most_dbuvm(distance_km));
}

static double at_frequency(size_t time, const struct path *path)
{
    double mhz = path->center_mhz;
    size_t i = below(frequencies_mhz, P1546_FREQUENCIES, mhz);
    double field = between(frequencies_mhz[i], frequencies_mhz[i + 1], mhz,
                           at_height(time, i, path), at_height(time, i + 1, path));
    return fmin(field, most_dbuvm(path->distance_km));
}

static double exceedance(double percent)
{
    return -normal_quantile(percent / 100.0);
}

double p1546_curve_dbuvm(const struct path *path)
{
    size_t i = below(times_percent, P1546_TIMES, path->time_percent);
    double rarer = exceedance(times_percent[i]), commoner = exceedance(times_percent[i + 1]);
    double share = (exceedance(path->time_percent) - commoner) / (rarer - commoner);
    return share * at_frequency(i, path) + (1.0 - share) * at_frequency(i + 1, path);
}

double p1546_troposcatter_dbuvm(double center_mhz, double distance_km, double time_percent,
                                double station_deg, double place_deg)
{
    double log_mhz = log10(center_mhz);
    double bent_deg = degrees(distance_km / (4.0 / 3.0 * 6370.0)) + station_deg + place_deg;
    double frequency_db = 5.0 * log_mhz - 2.5 * (log_mhz - 3.3) * (log_mhz - 3.3);
    double time_db = 10.1 * pow(fmax(-log10(0.02 * time_percent), 0.0), 0.7);
    return 24.4 - 20.0 * log10(distance_km) - 10.0 * (bent_deg < 0.0 ? 0.0 : bent_deg) -
           frequency_db + 0.15 * REFRACTIVITY + time_db;
}

/* With terrain: what its clearance angle takes, and no less than what the troposphere scatters. */
static double p1546_over_terrain_dbuvm(const struct path *path, double curve_dbuvm)
{
    const struct terrain *terrain = path->terrain;
    double km = path->distance_km, h2 = path->receive_height_m;
    if (terrain == NULL) {
        return curve_dbuvm;
    }
    double clearance_deg = terrain_clearance_deg(terrain, path->mast_m, h2, km);
    double scattered =
        p1546_troposcatter_dbuvm(path->center_mhz, km, path->time_percent,
                                 terrain_elevation_from_station_deg(terrain, path->mast_m, km),
                                 terrain_elevation_from_place_deg(terrain, h2, km));
    return fmax(curve_dbuvm + terrain_clearance_db(clearance_deg, path->center_mhz),
                scattered); /* NAN, where an elevation is not known, is never the larger one */
}

static const double clutter_m[SURROUNDINGS_COUNT] = {[SURROUNDINGS_OPEN] = 10.0,
                                                     [SURROUNDINGS_SUBURBAN] = 10.0,
                                                     [SURROUNDINGS_URBAN] = 20.0,
                                                     [SURROUNDINGS_DENSE] = 30.0};

double p1546_receive_db(const struct path *path)
{
    double mhz = path->center_mhz, h2 = path->receive_height_m, d_m = 1e3 * path->distance_km;
    double slope_db = 3.2 + 6.2 * log10(mhz);
    if (path->surroundings == SURROUNDINGS_OPEN) {
        return slope_db * log10(h2 / clutter_m[SURROUNDINGS_OPEN]);
    }
    double met_m = fmax(
        (d_m * clutter_m[path->surroundings] - 15.0 * path->transmit_height_m) / (d_m - 15.0), 1.0);
    double db = slope_db * log10(h2 / met_m);
    if (h2 < met_m) {
        double hidden_m = met_m - h2;
        db = 6.03 - p1546_knife_edge_db(0.0108 * sqrt(mhz) *
                                        sqrt(hidden_m * degrees(atan(hidden_m / 27.0))));
    }
    return met_m < 10.0 ? db - slope_db * log10(10.0 / met_m) : db;
}

#define NEAR_KM 0.04

double p1546_near_dbuvm(double distance_km, double mast_m, double receive_height_m,
                        double field_1_km_dbuvm)
{
    double here_km = slope_km(distance_km, mast_m, receive_height_m);
    double near_km = slope_km(NEAR_KM, mast_m, receive_height_m);
    if (distance_km <= NEAR_KM) {
        return most_dbuvm(here_km);
    }
    return between(near_km, slope_km(1.0, mast_m, receive_height_m), here_km, most_dbuvm(near_km),
                   field_1_km_dbuvm);
}

static double far_dbuvm(const struct path *path)
{
    double slope = slope_km(path->distance_km, mast_of(path), path->receive_height_m);
    double field = p1546_over_terrain_dbuvm(path, p1546_curve_dbuvm(path)) + p1546_receive_db(path);
    return fmin(field + 20.0 * log10(path->distance_km / slope), most_dbuvm(slope));
}

double p1546_field_dbuvm(const struct path *path, double erp_kw)
{
    double field = NAN;
    if (path->distance_km >= 1.0) {
        field = far_dbuvm(path);
    } else {
        struct path edge = *path;
        edge.distance_km = 1.0;
        if (path->terrain) {
            edge.transmit_height_m = terrain_effective_m(path->terrain, path->mast_m, 1.0);
        }
        field = p1546_near_dbuvm(path->distance_km, mast_of(path), path->receive_height_m,
                                 far_dbuvm(&edge));
    }
    return field + db_from_ratio(erp_kw);
}
