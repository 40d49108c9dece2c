#ifndef STUDY_VERDICT_VERDICT_H
#define STUDY_VERDICT_VERDICT_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"
#include "study/verdict/conditions.h"
#include "system/system.h"

/* The verdict: does it come in, with how much to spare, and why. There is one, made here from one
 * set of conditions, and every command, picture and view shows it.
 *
 * Two margins, never one for the other: margin_db under all conditions (echoes, motion), and
 * margin_noise_db in white noise of the same SNR. What is assumed:
 * - The SNR is total received power, all rays, over noise.
 * - A receiver that moves (receiver.speed_kmh) meets rays evenly from all around, the main signal
 *   from ahead; an echo with a Doppler of its own keeps it.
 * - Each system's receiver is that of its row (system/system.h). */

/* A step of the account: the SNR after it, and what the step changed. */
struct account_step {
    const char *step; /* "SNR of all rays", "Echoes, ideal equaliser", ... */
    double snr_db;
    double change_db; /* what it adds; 0 where is_loss is false */
    bool is_loss;
};
#define ACCOUNT_STEPS_MAX (FARE_LOSSES_MAX + 5)
struct account {
    int count;
    struct account_step steps[ACCOUNT_STEPS_MAX];
};

struct verdict {
    struct conditions conditions;
    struct reception reception;
    struct facts facts; /* what was said of the transmission itself, whatever the place */
    struct fare fare;   /* where an SNR is known */
    bool known;         /* an SNR is known, so margins are */
    bool works;
    double margin_db;                  /* NAN: not known */
    double margin_90_db, margin_99_db; /* at so many of the positions */
    double positions_share;            /* of the positions that decode, 0 to 1 */
    int positions;                     /* 1: nothing is left to chance */
    double margin_noise_db;            /* NAN: not known */
    double required_cn_db; /* NAN until somebody asks verdict_required_db and keeps the answer */
};

/* STATUS_ILLEGAL for an illegal transmission, STATUS_OUT_OF_RANGE for numbers out of range,
 * STATUS_NO_SOLUTION where the rays cancel each other, STATUS_NO_MEMORY. Without an SNR it is
 * STATUS_OK, not known, and margins are NAN. */
enum status verdict_make(const struct scenario *scenario, enum generation generation,
                         struct verdict *verdict, struct fault *fault);

/* The same of one pipe of a system that has some: its own needs, in the same conditions. */
enum status verdict_make_pipe(const struct scenario *scenario, enum generation generation, int pipe,
                              struct verdict *verdict, struct fault *fault);

/* All but solving it, which takes the time: no margin is known yet. */
enum status verdict_prepare(const struct scenario *scenario, enum generation generation,
                            struct verdict *verdict, struct fault *fault);

/* The same from conditions and reception as they stand in `verdict`, for who changes them. */
enum status verdict_solve(struct verdict *verdict, struct fault *fault);

/* The SNR from which on it decodes in these conditions; INFINITY: none suffices. */
enum status verdict_required_db(const struct verdict *verdict, double *snr_db, struct fault *fault);

/* From the SNR at the input, loss by loss, to what is left, what is needed and what is to spare.
 * Empty where no SNR is known. */
void verdict_account(const struct verdict *verdict, struct account *account);

/* A loss of one kind in dB; NAN where the system has none of the kind, or no SNR is known. */
double verdict_loss_db(const struct verdict *verdict, enum loss_kind kind);

/* Both generations of the scenario's pair. Large: keep it off small stacks. */
struct verdicts {
    struct verdict of[GENERATION_COUNT];
};
enum status verdicts_make(const struct scenario *scenario, struct verdicts *verdicts,
                          struct fault *fault);

/* ---- Words: words.c. Each appends full sentences. */

/* "8-VSB fails, 2.1 dB short. OFDM decodes, 9.8 dB to spare." */
void verdict_words(const struct verdicts *verdicts, struct text *out);
/* One generation's part of it, without a full stop: "decodes, 9.8 dB to spare". */
void verdict_words_short(const struct verdict *verdict, struct text *out);
/* How one system fares, step by step. */
void verdict_words_steps(const struct verdict *verdict, struct text *out);
/* What decides between them, in a sentence or two. */
void verdict_words_decision(const struct verdicts *verdicts, struct text *out);
/* Where the SNR comes from: "measured SNR 20.0 dB". */
void verdict_words_snr(const struct conditions *conditions, struct text *out);
/* The same for both in a sentence, once where it is alike. */
void verdicts_words_snr(const struct verdicts *verdicts, struct text *out);

#endif
