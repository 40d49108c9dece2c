#ifndef COMMAND_SIMULATE_SIMULATE_H
#define COMMAND_SIMULATE_SIMULATE_H

#include "command/command.h"
#include "study/figure.h"
#include "study/proof/proof.h"

/* The pieces of `guardspan simulate`. */

#define SIMULATE_WORDS 160
#define SIMULATE_PARTS_MAX 1000000

/* The result at one SNR, as written to and read from JSON. */
struct simulate_row {
    long snr_mdb; /* thousandths of a dB: closer ones would share random numbers */
    struct run_counts counts;
    int seed;                  /* -1: several */
    char part[SIMULATE_WORDS]; /* "1/1" a whole run, "2/3" a part, "1,2/3" some parts; "": mixed */
};

struct simulate_rows {
    const struct system *system;  /* that was simulated; set before rows are written */
    char run[SIMULATE_WORDS];     /* what was simulated: rows of different runs are never added */
    char nothing[SIMULATE_WORDS]; /* why there are no rows */
    size_t count, capacity;
    struct simulate_row *rows;
};

enum status simulate_rows_add(struct simulate_rows *rows, const struct simulate_row *row);
void simulate_rows_free(struct simulate_rows *rows);

/* ---- request.c: what the options ask for. */

struct simulate_sweep {
    long from_mdb, step_mdb;
    int points;
};

struct simulate_request {
    struct proof_choice choice;
    struct run_limits limits;
    struct simulate_sweep sweep; /* not with --merge */
};

enum exit_status simulate_request_read(const struct invocation *invocation,
                                       struct simulate_request *request);

/* ---- merge.c: adds the rows of files in the form of --format json. */
enum exit_status simulate_merge(const struct invocation *invocation, struct simulate_rows *rows);

/* ---- watch.c: a run with progress on a terminal and Ctrl-C. */

struct simulate_task {
    const struct invocation *invocation;
    const struct proof_choice *choice;
    const struct run_limits *limits;
    double snr_db;
    int decimals;      /* of the SNR, for the progress line */
    int point, points; /* for the progress line: 1 of 7 */
};

/* From begin to end Ctrl-C is noted instead of ending the program: a sweep of many short points
 * must not lose it between two of them. A second one ends the program at once. */
void simulate_interrupts_begin(void);
bool simulate_is_interrupted(void);
void simulate_interrupts_end(void);

/* STATUS_STOPPED after Ctrl-C, with what was counted. */
enum status simulate_point(const struct simulate_task *task, struct run_counts *counts,
                           struct fault *fault);

/* ---- progress.c */

struct simulate_progress {
    const struct simulate_task *task;
    double elapsed_s;
    long frames, errors;
    long long bits;
};

/* The line of progress, in at most so many columns: what matters less is left out first. */
void simulate_progress_format(const struct simulate_progress *progress, int columns, char *line,
                              size_t size);

/* ---- write.c */
extern const struct figure_table simulate_figures; /* for who lists them */
enum status simulate_write(const struct invocation *invocation, const struct simulate_rows *rows,
                           struct text *out);

#endif
