#ifndef SYSTEM_SYSTEM_H
#define SYSTEM_SYSTEM_H

#include "base/status.h"
#include "base/text.h"
#include "physics/channel.h"
#include "physics/ofdm/echo.h"
#include "physics/vsb/echo.h"
#include "scenario/scenario.h"
#include "system/facts.h"

/* A transmission system is a row: all that the rest of the program knows of it, joined from its
 * standard, its physics and what the scenario says of it. Study makes verdicts of what rows give;
 * no file outside a system's own folders and its row needs to know which one it is. */

/* What a receiver of the system makes of the scenario's signal, whatever the channel. */
struct reception {
    const struct system *system;
    double ideal_db;  /* SNR that white noise alone asks of an ideal receiver; NAN: not told */
    double needed_db; /* and of the receiver in question, at the decision: what is left is held
                         against it */
    double needed_input_db; /* the same at the receiver's input: with its fixed losses */
    union {
        struct first_receiver vsb;
        struct ofdm_reception ofdm;
    };
};

/* One loss on the way from the SNR at the input to what is left for the decision. Kinds are what
 * systems have in common, so that they can be told side by side. */
enum loss_kind {
    LOSS_ECHOES,
    LOSS_SELF_INTERFERENCE,
    LOSS_DECISIONS,
    LOSS_ADAPTATION,
    LOSS_MOTION,
    LOSS_ESTIMATION,
    LOSS_IMPLEMENTATION,
    LOSS_KIND_COUNT
};
const char *loss_kind_name(enum loss_kind kind); /* "echoes", "self-interference", ... */

struct loss {
    enum loss_kind kind;
    const char *cause; /* "Echoes, ideal equaliser" */
    double db;
};

/* A span of delays that a receiver bears or sees. */
struct reach {
    const char *name; /* "equaliser" */
    double from_us, to_us;
    bool minor; /* beside the main one */
};
#define REACHES_MAX 3
#define FARE_LOSSES_MAX 8

/* How the signal fares in one channel: input SNR less all losses is what is left. */
struct fare {
    double snr_db;
    int loss_count;
    struct loss losses[FARE_LOSSES_MAX];
    double left_db;   /* NAN: the rays cancel each other */
    double margin_db; /* left_db less needed_db */
    bool lost;        /* the receiver follows nothing: both are far below any that mean something */
    struct fare_facts facts;
    union {
        struct vsb_echo_result vsb;
        struct ofdm_echo_result ofdm;
    };
};

struct system_simulation; /* simulation.h */
struct system_space;      /* space.h */

/* What a row makes once for one channel and keeps while only phases and the SNR change; the row's
 * file alone knows what it is. */
struct fare_work;

/* In place of a pipe's number: the most robust one, with the rates of all together. */
#define PIPE_MOST_ROBUST (-1)

struct system {
    const char *name;  /* "8-VSB": for tables and pictures */
    const char *title; /* "8-VSB (ATSC A/53)" */
    char glyph;        /* of its point in a picture */
    /* The profile's section that says what is sent, where its signal is one pipe ("dvbt2"); NULL:
     * nothing can be chosen. */
    const char *section;
    /* What was chosen there, in words and numbers, legal or not; NULL: nothing can be. */
    void (*choices)(const struct scenario *scenario, struct facts *facts);
    const char *needs_by; /* whose model tells what its receiver needs, in noise alone */
    /* Errors that a receiver may show and lose nothing: after the inner code, where a second one
     * follows it, and after all codes that it counts behind. */
    double harmless_inner, harmless_after;
    bool one_mode;      /* nothing of its signal can be chosen: one rate, one robustness */
    double channel_mhz; /* width of its channel, whatever the site's is; 0: as wide as that */
    /* How many pipes it has, each received alone; NULL: the signal is one, whatever `pipe` says. */
    int (*pipes)(const struct scenario *scenario);
    /* Legal, with room for data in its frame. Faults name the profile's keys. */
    enum status (*receive)(const struct scenario *scenario, int pipe, struct reception *reception,
                           struct fault *fault);
    /* What it is made of, carries and withstands, whatever the place. */
    enum status (*describe)(const struct scenario *scenario, int pipe, struct facts *facts,
                            struct fault *fault);
    /* facts.ideal_exact_snr_db, which takes a second where large constellations lie over each
     * other; NULL: not told. */
    double (*exact_pipe_db)(const struct scenario *scenario, int pipe);
    /* For many questions on one channel: the owner closes it, NULL too. STATUS_NO_MEMORY. */
    enum status (*open)(const struct reception *reception, const struct channel *channel,
                        struct fare_work **work);
    void (*close)(struct fare_work *work);
    /* STATUS_NO_SOLUTION where the rays cancel each other, STATUS_NO_MEMORY, STATUS_OUT_OF_RANGE.
     * `work` of that channel, whatever its phases; NULL: made for this call. */
    enum status (*fare)(const struct reception *reception, const struct channel *channel,
                        double snr_db, struct fare_work *work, struct fare *fare);
    /* The margin alone, to put many positions in order by: as near to fare's as it is quick. Where
     * it is less than `least_db` any number from it up to that will do. */
    enum status (*margin)(const struct reception *reception, const struct channel *channel,
                          double snr_db, double least_db, struct fare_work *work,
                          double *margin_db);
    bool margin_is_full; /* it is fare's own: there is no quicker one */
    /* How long before an instant it must have come through as well, for the receiver goes on with
     * what it was taught then; 0: nothing changes meanwhile. NULL: it remembers nothing. */
    double (*memory_s)(const struct reception *reception, const struct channel *channel);
    /* Of a single carrier, whose margin swings with the part of a symbol by which an echo is late,
     * and with its phase at the pilot, a quarter of the symbol rate below the centre; NULL: none.
     */
    double (*symbol_us)(void);
    /* The SNR of all rays from which on it decodes in the channel; INFINITY: none suffices. */
    enum status (*required)(const struct reception *reception, const struct channel *channel,
                            double *snr_db);
    /* Sentences on how it came to what is left. */
    void (*words)(const struct reception *reception, const struct channel *channel,
                  const struct fare *fare, struct text *out);
    /* What else there is to know of how it fared, in sentences; may be NULL. */
    void (*fare_notes)(const struct fare *fare, struct text *out);
    /* SNR left if the receiver were ideal, in the same channel; for "an ideal one would decode". */
    double (*ideal_margin_db)(const struct reception *reception, const struct fare *fare);
    const struct system_simulation *simulation;
    /* Spans of delays, the main one first; returns how many. `fare` NULL: around the main signal,
     * whatever the channel. */
    int (*reaches)(const struct reception *reception, const struct fare *fare,
                   struct reach reaches[REACHES_MAX]);
    /* Share of a ray's power that is useful, 0 to 1, and in words what the receiver makes of it. */
    double (*ray_share)(const struct reception *reception, const struct fare *fare,
                        const struct ray *ray, const char **words);
    /* dB by which motion of each Doppler, rays from all sides alike, raises the need; NAN beyond
     * what the receiver follows, INFINITY where no SNR suffices. NULL: not told. */
    void (*motion_losses)(const struct reception *reception, int count, const double *doppler_hz,
                          double *loss_db);
    /* SNR over the channel's width, lowest frequency first: fills at most `most`, MHz from the
     * centre and dB; returns how many. */
    int (*spectrum)(const struct reception *reception, const struct channel *channel,
                    const struct fare *fare, int most, double *mhz, double *snr_db);
    const struct system_space *space; /* of its legal modes: space.h; NULL: it has none */
    /* ---- What it shows. ---- */
    /* What there is to know of its signalling and frame, in sentences; may be NULL. */
    void (*notes)(const struct scenario *scenario, struct text *out);
    const char *assumes; /* sentences on what its figures assume */
    /* What echoes and motion would break it, in a sentence; NULL: whatever passes the figures for
     * echo and speed. */
    void (*limit_words)(const struct facts *facts, struct text *out);
    /* Names of figures (study/report/figures.c), in order; each list ends in NULL. */
    const char *const *figures;      /* of itself at a place */
    const char *const *fare_figures; /* of how it fared there */
    const char *const *plp_figures;  /* of each of its pipes; NULL: it has none */
};

/* Two systems that the program compares: generations of one family. */
struct system_pair {
    const struct system *systems[GENERATION_COUNT];
};
const struct system *system_of(const struct scenario *scenario, enum generation generation);

/* Of the channel in use, as wide as the site says or the system is. */
double system_channel_mhz(const struct scenario *scenario, enum generation generation);

/* The system, of any pair, whose name these words begin with ("8-VSB, awgn"); NULL: none's. */
const struct system *system_named_in(const char *words);

/* ---- The rows: one file each. ---- */
extern const struct system system_vsb;
extern const struct system system_atsc3;
extern const struct system system_dvbt;
extern const struct system system_dvbt2;

#endif
