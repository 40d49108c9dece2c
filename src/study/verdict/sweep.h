#ifndef STUDY_VERDICT_SWEEP_H
#define STUDY_VERDICT_SWEEP_H

#include <stddef.h>

#include "study/verdict/curve.h"
#include "study/verdict/verdict.h"

/* Margins of both with one echo slid to `delay_us`, the others as they are. */
struct echo_margins {
    double delay_us;
    double db[GENERATION_COUNT]; /* NAN: no solution, or no SNR known */
};
enum status echo_sweep_margins(const struct verdicts *verdicts, int echo, double from_us,
                               double to_us, size_t count, struct echo_margins *margins);

/* The strongest lone echo at each delay with which each generation still decodes: dB over the main
 * signal, at most ECHO_TOLERATED_MOST_DB (it is then tolerated as strong as the main signal), NAN
 * where even ECHO_TOLERATED_LEAST_DB is too much. It decodes at the level told and at all below,
 * and fails 0.1 dB above it: at the worst of two opposite phases, and for a single carrier of five
 * stands, on whole and half symbols (a tenth of a microsecond), which nobody knows of a delay. At a
 * stand between it may bear some tenths of a decibel less (sweep.c). */
#define ECHO_TOLERATED_MOST_DB 0.0
#define ECHO_TOLERATED_LEAST_DB (-40.0)
struct echo_tolerated {
    double delay_us;
    double db[GENERATION_COUNT];
};
enum status echo_sweep_tolerated(const struct verdicts *verdicts, double from_us, double to_us,
                                 size_t count, struct echo_tolerated *tolerated);

/* The same as lines to draw, each generation with delays of its own: so near to each
 * other that the line between is right within a few tenths of a decibel, and with a point at the
 * ends of each reach and at `now_us` (NAN: nothing is present). */
enum echo_lines_kind { ECHO_LINES_MARGINS, ECHO_LINES_TOLERATED };
struct echo_lines_wish {
    enum echo_lines_kind kind;
    int echo; /* that slides, for margins */
    double from_us, to_us, now_us;
    bool (*is_stopped)(const void *asker); /* NULL: never; a line that was stopped is short */
    const void *asker;
};
struct echo_lines {
    struct curve of[GENERATION_COUNT]; /* y: dB */
};
enum status echo_lines_make(const struct verdicts *verdicts, const struct echo_lines_wish *wish,
                            struct echo_lines *lines);

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
