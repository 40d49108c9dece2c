#ifndef STUDY_VERDICT_ECHO_STUDY_H
#define STUDY_VERDICT_ECHO_STUDY_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"
#include "physics/information/required_snr.h"
#include "physics/ofdm/echo.h"
#include "physics/vsb/echo.h"
#include "scenario/scenario.h"

/* The same echoes, both generations: who decodes, by how much, and why. What is assumed:
 * - The SNR is the same for both and counts all rays; without a measured SNR or level it is
 *   ECHO_ASSUMED_SNR_DB.
 * - A receiver that moves (receiver.speed_kmh) meets rays evenly from all around, the main signal
 *   from ahead; an echo with a Doppler of its own keeps it.
 * - First generation: ideal equaliser of the receiver's reach, its decisions free of errors, less
 *   the losses that the profile gives (physics/vsb/echo.h).
 * - Second generation: held against what a real receiver needs (ATSC A/327 Annex B). */

#define ECHO_ASSUMED_SNR_DB 20.0

enum echo_snr_source { ECHO_SNR_MEASURED, ECHO_SNR_FROM_LEVEL, ECHO_SNR_ASSUMED };

struct echo_input {
    double snr_db;
    enum echo_snr_source source;
    int count;
    struct echo echoes[ECHOES_MAX]; /* with the Doppler of the receiver's speed */
    double span_ms;                 /* of the time interleaver */
    struct first_receiver first_receiver;
    struct mode mode;
    double ideal_db, needed_db;
    enum ideal_source ideal_source;
    bool moving;       /* receiver.speed_kmh counts */
    int carriers_most; /* 0: all; see physics/ofdm/echo.h */
};

struct echo_study {
    struct echo_input input;
    struct vsb_echo_result first;
    struct ofdm_echo_result second;
    bool first_works, second_works;
};

/* STATUS_ILLEGAL for an illegal mode, STATUS_OUT_OF_RANGE for echoes and numbers out of range,
 * STATUS_NO_SOLUTION where the rays cancel each other, STATUS_NO_MEMORY. */
enum status echo_input_make(const struct scenario *scenario, struct echo_input *input,
                            struct fault *fault);
enum status echo_study_solve(const struct echo_input *input, struct echo_study *study,
                             struct fault *fault);
/* Only the second generation's part; the first's is left as it was. */
enum status echo_study_solve_second(const struct echo_input *input, struct echo_study *study,
                                    struct fault *fault);
enum status echo_study_make(const struct scenario *scenario, struct echo_study *study,
                            struct fault *fault);

/* ---- Losses, line by line: each sum leads from the first row to the last. */

#define ECHO_LOSSES_MAX 12

struct echo_loss {
    const char *label; /* "Echoes within reach" */
    double db;         /* an SNR, or what is taken off it (negative) */
    bool is_level;     /* an SNR rather than a step */
};

size_t echo_losses_first(const struct echo_study *study, struct echo_loss *losses);
size_t echo_losses_second(const struct echo_study *study, struct echo_loss *losses);

/* ---- Words: echo_words.c */

/* "First generation: fails, 2.1 dB short. Second: decodes, 9.8 dB margin." */
void echo_words_verdict(const struct echo_study *study, struct text *out);
void echo_words_first(const struct echo_study *study, struct text *out);
void echo_words_second(const struct echo_study *study, struct text *out);
/* What decides between them, in a sentence or two. */
void echo_words_decision(const struct echo_study *study, struct text *out);

/* ---- Sweeps: echo_sweep.c */

/* Delays of a sweep over -span_us to span_us: `count` of them, at least two, evenly apart, but the
 * one nearest to `now_us` moved onto it, so that a curve passes through the present state. NAN:
 * nothing is present. */
double echo_sweep_at_us(double span_us, size_t i, size_t count, double now_us);

/* Margins of both with one echo slid to `delay_us`, the others as they are. */
struct echo_margins {
    double delay_us;
    double first_db, second_db; /* NAN: no solution */
};
enum status echo_sweep_margins(const struct echo_input *input, int echo, double from_us,
                               double to_us, size_t count, struct echo_margins *margins);

/* The strongest lone echo at each delay with which each generation still decodes: dB over the main
 * signal, at most ECHO_TOLERATED_MOST_DB (it is then tolerated as strong as the main signal), NAN
 * where even ECHO_TOLERATED_LEAST_DB is too much. The worst of a few phases counts. */
#define ECHO_TOLERATED_MOST_DB 0.0
#define ECHO_TOLERATED_LEAST_DB (-40.0)
struct echo_tolerated {
    double delay_us;
    double first_db, second_db;
};
enum status echo_sweep_tolerated(const struct echo_input *input, double from_us, double to_us,
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
