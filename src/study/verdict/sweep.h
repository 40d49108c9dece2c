#ifndef STUDY_VERDICT_SWEEP_H
#define STUDY_VERDICT_SWEEP_H

#include <stddef.h>

#include "study/verdict/verdict.h"

/* Delays of a sweep over -span_us to span_us: `count` of them, at least two, evenly apart, but the
 * one nearest to `now_us` moved onto it, so that a curve passes through the present state. NAN:
 * nothing is present. */
double echo_sweep_at_us(double span_us, size_t i, size_t count, double now_us);

/* Margins of both with one echo slid to `delay_us`, the others as they are. */
struct echo_margins {
    double delay_us;
    double db[GENERATION_COUNT]; /* NAN: no solution, or no SNR known */
};
enum status echo_sweep_margins(const struct verdicts *verdicts, int echo, double from_us,
                               double to_us, size_t count, struct echo_margins *margins);

/* The strongest lone echo at each delay with which each generation still decodes: dB over the main
 * signal, at most ECHO_TOLERATED_MOST_DB (it is then tolerated as strong as the main signal), NAN
 * where even ECHO_TOLERATED_LEAST_DB is too much. The worst of a few phases counts. */
#define ECHO_TOLERATED_MOST_DB 0.0
#define ECHO_TOLERATED_LEAST_DB (-40.0)
struct echo_tolerated {
    double delay_us;
    double db[GENERATION_COUNT];
};
enum status echo_sweep_tolerated(const struct verdicts *verdicts, double from_us, double to_us,
                                 size_t count, struct echo_tolerated *tolerated);

/* ---- Two transmitters of a single-frequency network. */

struct echo_transmitter {
    double distance_km; /* from the receiver, > 0 */
    double power_kw;    /* ERP towards the receiver, > 0 */
    double delay_us;    /* set at the transmitter */
};

/* The other transmitter as an echo of the main one: by the difference of paths, and in free space
 * by power over distance squared. */
struct echo echo_from_transmitter(const struct echo_transmitter *main_one,
                                  const struct echo_transmitter *other);

#endif
