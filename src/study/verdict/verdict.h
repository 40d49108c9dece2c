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
 * - Where phases are any, or run through as rays or the receiver move, the answer is over positions
 *   drawn evenly: margin_db is the one that half of them reach, and the account is that of the very
 *   position where it stands. At each position the SNR is the same.
 * - Around a receiver that moves (receiver.speed_kmh) each ray is scattered: it arrives from all
 *   sides, beside what its own Doppler says, and its strength comes and goes. A position is one
 *   draw of that field, as long as what the system decodes of it takes: a field of 8-VSB, a time
 *   interleaver's span of OFDM. The SNR is that of the mean power meanwhile.
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
    struct facts facts;     /* what was said of the transmission itself, whatever the place */
    struct channel channel; /* at the position of the account */
    struct fare fare;       /* there; left_db NAN: no SNR is known, or the rays cancel each other */
    bool known;             /* an SNR is known, so margins are */
    bool works;             /* at conditions.position_percent of the positions */
    double margin_db;       /* at half of the positions; NAN: not known */
    double margin_90_db, margin_99_db; /* at so many of the positions */
    double positions_share;            /* of the positions that decode, 0 to 1 */
    int positions;                     /* 1: nothing is left to chance */
    float margins_db[POSITIONS_MAX];   /* of all positions, best first */
    short order[POSITIONS_MAX];        /* and their numbers */
    double margin_noise_db;            /* NAN: not known */
    double required_cn_db; /* NAN until somebody asks verdict_required_db and keeps the answer */
};

/* STATUS_ILLEGAL for an illegal transmission, STATUS_OUT_OF_RANGE for numbers out of range,
 * STATUS_NO_MEMORY. Without an SNR it is STATUS_OK, not known, and margins are NAN; where the rays
 * cancel each other margin_db is -INFINITY. */
enum status verdict_make(const struct scenario *scenario, enum generation generation,
                         struct verdict *verdict, struct fault *fault);

/* The same of one pipe of a system that has some: its own needs, in the same conditions, but for
 * facts.ideal_exact_snr_db, which takes its time: who tells of it asks for it. */
void verdict_make_exact(const struct scenario *scenario, enum generation generation, int pipe,
                        struct verdict *verdict);
enum status verdict_make_pipe(const struct scenario *scenario, enum generation generation, int pipe,
                              struct verdict *verdict, struct fault *fault);

/* All but solving it, which takes the time: no margin is known yet. */
enum status verdict_prepare(const struct scenario *scenario, enum generation generation,
                            struct verdict *verdict, struct fault *fault);

/* The same from conditions and reception as they stand in `verdict`, for who changes them. */
enum status verdict_solve(struct verdict *verdict, struct fault *fault);

/* From now on it is that of the one position where its account stands, for who draws a curve
 * through its margin: 256 positions at every point would cost too much. */
void verdict_hold_position(struct verdict *verdict);

/* The SNR from which on it decodes in these conditions, at position_percent of the positions;
 * INFINITY: none suffices. */
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
/* One generation's part of it, without a full stop: "decodes, 9.8 dB to spare", "decodes at 62 % of
 * the positions, 1.3 dB to spare at half of them". */
void verdict_words_short(const struct verdict *verdict, struct text *out);
/* The same for a line of a screen: "decodes at 62 % of positions (+1.3 dB)"; where it `follows`
 * another generation's, without saying of what. */
void verdict_words_line(const struct verdict *verdict, bool follows, struct text *out);
/* Its share in whole %: 100 and 0 stand for all and none alone. */
int verdict_percent(const struct verdict *verdict);
/* True where a share is one of time, for rays or the receiver move. */
bool verdict_is_over_time(const struct verdict *verdict);
/* How one system fares, step by step. */
void verdict_words_steps(const struct verdict *verdict, struct text *out);
/* What decides between them, in a sentence or two. */
void verdict_words_decision(const struct verdicts *verdicts, struct text *out);
/* Where the SNR comes from: "measured SNR 20.0 dB". */
void verdict_words_snr(const struct conditions *conditions, struct text *out);
/* The same for both in a sentence, once where it is alike. */
void verdicts_words_snr(const struct verdicts *verdicts, struct text *out);

#endif
