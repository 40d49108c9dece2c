#ifndef SYSTEM_SPACE_SPACE_H
#define SYSTEM_SPACE_SPACE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "physics/information/curve.h"
#include "scenario/scenario.h"
#include "standard/ofdm_grid.h"
#include "system/facts.h"

/* The legal modes of a system, for who weighs them all. A mode is a choice for each of some keys of
 * a profile. Choices fall into two parts that know nothing of each other: a geometry (symbols,
 * pilots, carriers, frame) and a code (with its constellation); every geometry goes with every
 * code. What is no choice (an outer code, the length of a frame) is the scenario's. A mode's
 * figures follow from what its two parts give: net rate     = cell rate (geometry) x payload bits a
 * cell (code) 1/SNR needed = 10^(-ideal/10) (code) / loss (geometry) - 10^(backstop/10) (code)
 */

#define SPACE_CHOICES_MAX 10
#define SPACE_CODES_MAX 120
#define SPACE_WAVEFORMS_MAX 81 /* of which modes differ in more than what folds */

struct space_choice {
    const char *key;          /* "mode.fft" */
    const char *word;         /* of it in a sentence on what changes: "FFT" */
    const char *before;       /* its value where it stands in a mode's name: " b" */
    const char *const *marks; /* what stands there for each value; NULL: as in a profile */
    bool of_code;             /* else of a geometry */
    bool folds;               /* modes that differ in such choices alone are told as one */
};

struct space_geometry {
    uint8_t numbers[SPACE_CHOICES_MAX]; /* of its choices: field_number's */
    struct facts facts;                 /* complete but for what a code decides */
    struct ofdm_grid grid;
    long cells; /* in a frame */
    double duration_ms;
    double cell_rate_hz;
    double loss_db;    /* receiver over ideal SNR, without the receiver's own noise */
    double loss_ratio; /* the same as a ratio */
    double packing;    /* of net bits, over what its code carries */
    int which;         /* waveform: the same where only choices differ that fold */
    int look;          /* the same where a channel does the same to the carriers */
    int band;          /* the same where that band is about the same */
};

struct space_code {
    uint8_t numbers[SPACE_CHOICES_MAX];
    struct facts facts; /* what the code decides, and nothing else */
    struct information_curve curve;
    double backstop_db; /* the receiver's own noise that it meets */
    long block_cells;
    bool whole_blocks;         /* a frame holds none in part */
    double plp_bits, net_bits; /* payload bits for each cell */
    int interleaver;           /* which its cells go through: the row's own */
    int fold;                  /* the first code that differs in choices that fold alone */
};

struct space_pipe {
    const char *name;
    const struct space_code *code;
    long cells; /* 0: all that there are */
};

struct system_space {
    const struct space_choice *choices;
    int choice_count;
    /* Which of them say how long symbols and guard intervals are, shortest first, and so on. */
    int fft, guard, pilots, constellation;
    size_t geometries_most;
    /* `plain` has one pipe; returns how many there are, waveforms and looks one after the other. */
    size_t (*geometries)(const struct scenario *plain, struct space_geometry *geometries);
    int (*codes)(const struct scenario *plain, struct space_code *codes);
    int looks; /* of how many kinds */
    int bands;
    /* That a code block's cells are spread over in time. */
    double (*span_ms)(const struct scenario *plain, const struct space_geometry *geometry,
                      const struct space_code *code);
    /* Settings that follow from both parts, after the choices were put; NULL: none does. */
    void (*settle)(const struct space_geometry *geometry, const struct space_code *code,
                   struct scenario *mode);
    /* ---- For who divides a channel among pipes. */
    /* Cells and length of the geometry's frame that so many pipes part; 0: there is no room. */
    long (*cells_for)(const struct scenario *plain, const struct space_geometry *geometry,
                      int pipes, double *duration_ms);
    /* Pipes in place of the one that a scenario with the geometry's choices has. */
    void (*put_pipes)(const struct space_pipe *pipes, int count, struct scenario *plain);
    /* What each pipe is made of and carries, in the profile's order; no more is filled. NULL: only
     * whether all of them are legal and find room. */
    enum status (*carry)(const struct scenario *scenario, struct facts *facts, struct fault *fault);
    bool subframes;        /* its PLPs may lie in subframes, and over each other */
    const char *frame_key; /* for a frame without room: "mode.frame_ms" */
    /* In words: what is not weighed, how names are to be read, and what differs in a fold. */
    const char *kept, *names, *folded;
};

extern const struct system_space space_atsc3;
extern const struct system_space space_dvbt2;

/* A mode by the numbers of its two parts: "16K GI5_1024 SP12_2 256QAM 10/15s"; `whole` with what
 * folds too: "16K GI5_1024 SP12_2 b4c0 ..". NULL for a part leaves it out. */
void space_name(const struct system_space *space, const uint8_t *geometry, const uint8_t *code,
                bool whole, char *buffer, size_t size);

/* Choices by their numbers in place of the scenario's; NULL leaves a part as it is. */
void space_put(const struct system_space *space, const uint8_t *geometry, const uint8_t *code,
               struct scenario *scenario);

/* Cells of the geometry's frame that the code uses, over all; 0: not one block fits. */
double space_used_share(const struct space_geometry *geometry, const struct space_code *code);

#endif
