/* The SNR at which a receiver is at its threshold, found from counts of lost segments: for
 * decisions.c and survivors.c.
 *
 * Idea. By the trellis decoder's feedback errors come in falls, some of which last to the end of
 * their field: a hundred segments at once, once in a minute where the rate of lost segments is that
 * of the threshold. No simulation waits for that. But fields with a fall can be counted where they
 * are one of thirty, and their number falls with SNR nearly as exp(-b SNR dB): b and the place are
 * fitted by maximum likelihood, and carried on to where falls, at so many segments each, make the
 * threshold's rate. Without lasting falls all that is seen, and little is carried on.
 *
 * Validity: log-linear over two decades; where the fall gets steeper, what is told is high. */
#ifndef TESTS_PROOF_SEARCH_H
#define TESTS_PROOF_SEARCH_H

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>

#include "physics/information/published_snr.h"

#define SEARCH_LEAST_DB 10.0
#define SEARCH_MOST_DB 40.0
#define SEARCH_POINTS_MAX 64
#define SEARCH_FIELDS 32 /* at an SNR */
#define SEARCH_FALLS 6   /* fields with lost segments that suffice at one */
#define SEARCH_BLOCK 4   /* fields sent at once */
#define SEARCH_STEP_DB 0.4
#define SEARCH_FINE 2 /* steps of the last one */

struct search_counts {
    int fields, fallen; /* sent, with lost segments */
    long lost;          /* segments */
};

struct search_point {
    double snr_db;
    struct search_counts counts;
};

struct search {
    /* Sends fields number `from` to `from` + `count` - 1 at an SNR. */
    struct search_counts (*send)(void *context, double snr_db, int from, int count);
    void *context;
    int segments; /* of a field */
    int count;
    struct search_point points[SEARCH_POINTS_MAX];
};

/* The rate of lost segments at an SNR. */
static inline double search_point(struct search *search, double snr_db)
{
    struct search_counts sum = {0};
    if (search->count == SEARCH_POINTS_MAX) {
        fprintf(stderr, "a search has no end\n");
        exit(1);
    }
    while (sum.fields < SEARCH_FIELDS && sum.fallen < SEARCH_FALLS) {
        struct search_counts counts =
            search->send(search->context, snr_db, sum.fields, SEARCH_BLOCK);
        sum.fields += counts.fields;
        sum.fallen += counts.fallen;
        sum.lost += counts.lost;
    }
    search->points[search->count++] = (struct search_point){snr_db, sum};
    return (double)sum.lost / sum.fields / search->segments;
}

/* Down or up from a guess to where hardly a field in SEARCH_FIELDS falls, the last step in finer
 * ones. False: none up to SEARCH_MOST_DB. */
static inline bool search_walk(struct search *search, double guess_db)
{
    double snr_db = guess_db, rate = search_point(search, snr_db), first = rate;
    while (rate < 0.1 && snr_db > SEARCH_LEAST_DB) {
        snr_db -= SEARCH_STEP_DB;
        rate = search_point(search, snr_db);
    }
    for (snr_db = guess_db, rate = first; rate > 0.0; rate = search_point(search, snr_db)) {
        snr_db += rate > 0.9 ? 2.0 * SEARCH_STEP_DB : SEARCH_STEP_DB;
        if (snr_db > SEARCH_MOST_DB) {
            return false;
        }
    }
    /* Between the highest SNR with falls and the next above it without. */
    double low_db = -INFINITY, high_db = INFINITY;
    for (int i = 0; i < search->count; i++) {
        const struct search_point *point = &search->points[i];
        low_db = point->counts.fallen > 0 ? fmax(low_db, point->snr_db) : low_db;
    }
    for (int i = 0; i < search->count; i++) {
        const struct search_point *point = &search->points[i];
        high_db = point->snr_db > low_db ? fmin(high_db, point->snr_db) : high_db;
    }
    for (int i = 1; i < SEARCH_FINE && isfinite(low_db); i++) {
        search_point(search, low_db + (high_db - low_db) * i / SEARCH_FINE);
    }
    return true;
}

/* The logarithm of the falls' likelihood, a field falling with the chance 1 - exp(-exp(-b (SNR -
 * at))), and of how likely a `b` of so many per dB is at all. */
static inline double search_likelihood(const struct search *search, double at_db, double b)
{
    double off = log(b / 4.0) / 0.7, sum = -0.5 * off * off;
    for (int i = 0; i < search->count; i++) {
        const struct search_counts *counts = &search->points[i].counts;
        double hazard = exp(fmin(-b * (search->points[i].snr_db - at_db), 30.0));
        double fallen = -expm1(-hazard);
        sum +=
            counts->fallen * log(fmax(fallen, 1e-300)) - (counts->fields - counts->fallen) * hazard;
    }
    return sum;
}

/* Lost segments of a fallen field, of the highest SNRs at which some fell. */
static inline double search_lost(const struct search *search)
{
    double lost = 0.0, fallen = 0.0, below_db = INFINITY;
    while (fallen < SEARCH_FALLS) {
        double next_db = -INFINITY;
        const struct search_point *next = NULL;
        for (int i = 0; i < search->count; i++) {
            const struct search_point *point = &search->points[i];
            if (point->snr_db < below_db && point->snr_db > next_db) {
                next_db = point->snr_db;
                next = point;
            }
        }
        if (next == NULL) {
            break;
        }
        lost += (double)next->counts.lost;
        fallen += next->counts.fallen;
        below_db = next_db;
    }
    return fallen > 0.0 ? lost / fallen : 1.0;
}

/* The SNR of the threshold, from a guess: the mean over what the falls' likelihood leaves open, and
 * its deviation. NAN: none up to SEARCH_MOST_DB. */
static inline double search_threshold(struct search *search, double guess_db, double *error_db)
{
    *error_db = NAN;
    if (!search_walk(search, guess_db)) {
        return NAN;
    }
    double needed = PUBLISHED_SEGMENT_ERROR_RATE * search->segments / search_lost(search);
    double best = -INFINITY, low_db = INFINITY, high_db = -INFINITY;
    for (int i = 0; i < search->count; i++) {
        low_db = fmin(low_db, search->points[i].snr_db);
        high_db = fmax(high_db, search->points[i].snr_db);
    }
    double sum = 0.0, mean = 0.0, square = 0.0;
    for (double b = 0.7; b < 40.0; b *= 1.05) {
        for (double at_db = low_db - 1.0; at_db < high_db + 1.0; at_db += 0.02) {
            double likelihood = search_likelihood(search, at_db, b);
            double snr_db = at_db - log(needed) / b, weight = exp(likelihood - best);
            if (likelihood > best) { /* all before against this one */
                double before = exp(best - likelihood);
                sum *= before;
                mean *= before;
                square *= before;
                best = likelihood;
                weight = 1.0;
            }
            sum += weight;
            mean += weight * snr_db;
            square += weight * snr_db * snr_db;
        }
    }
    mean /= sum;
    *error_db = sqrt(fmax(square / sum - mean * mean, 0.0));
    return mean;
}

#endif
