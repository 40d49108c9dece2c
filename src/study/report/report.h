#ifndef STUDY_REPORT_REPORT_H
#define STUDY_REPORT_REPORT_H

#include "standard/rf.h"
#include "study/figure.h"
#include "study/verdict/verdict.h"

/* Both generations side by side: what each withstands, carries and needs, and how it fares here.
 * What the figures assume, each system says in its row (system/system.h); field strengths are
 * outdoors, with the planning factors of the band, at the median location. */

struct report_rf {
    double channel; /* of the site, or its plan's channel there; NAN: none */
    double center_mhz;
    enum band band;
    int bandwidth_mhz;
};

/* Large: keep it off small stacks. */
struct report {
    struct report_rf rf;
    struct verdicts verdicts; /* under the scenario's conditions, with each one's facts */
};

/* STATUS_ILLEGAL where the mode is none or its frame has no room for data. */
enum status report_make(const struct scenario *scenario, struct report *report,
                        struct fault *fault);

/* The same without verdicts, which take the time: no margin is known. */
enum status report_describe(const struct scenario *scenario, struct report *report,
                            struct fault *fault);

static inline const struct facts *report_facts(const struct report *report,
                                               enum generation generation)
{
    return &report->verdicts.of[generation].facts;
}

/* Each pipe of a generation with a verdict of its own, in the order of the profile: pipes.c. The
 * owner frees them. */
struct pipes {
    int count; /* 0: the system has none */
    struct verdict *verdicts;
};
enum status pipes_make(const struct scenario *scenario, enum generation generation,
                       struct pipes *pipes, struct fault *fault);
void pipes_free(struct pipes *pipes);
/* " Of OFDM's 3 PLPs 2 decode; its margin is that of talk, the most robust.": of the verdict on
 * the most robust pipe, where there are others and an SNR is known; else nothing. */
void pipes_words(const struct pipes *pipes, const struct verdict *told, struct text *out);

/* "RF channel 9, 189.000 MHz, high VHF". */
void report_words_rf(const struct report_rf *rf, struct text *out);

/* ---- The accounts of both, step beside step: account.c. */

struct account_row {
    const char *step;            /* "motion" */
    double db[GENERATION_COUNT]; /* of a loss what it changes; NAN: not a step of this one */
    bool is_loss;
};
#define ACCOUNT_ROWS_MAX (LOSS_KIND_COUNT + 5)
struct account_rows {
    int count; /* 0: no SNR is known for either */
    struct account_row rows[ACCOUNT_ROWS_MAX];
};
/* What stands there, to read: "all" for a loss of everything. */
void account_row_text(const struct account_row *row, enum generation generation, char *buffer,
                      size_t size);
void accounts_beside(const struct verdicts *verdicts, struct account_rows *beside);

/* ---- Figures: figures.c. The names of JSON are a contract: see DEVELOPERS.md. */

extern const struct figure_table rf_figures;         /* of struct report_rf */
extern const struct figure_table conditions_figures; /* of struct verdict */
extern const struct figure_table account_figures;    /* of struct account_step */
/* All that is told of one generation, of struct verdict. Rows are gathered by group. */
extern const struct figure_table generation_figures;

/* Those that stand in every comparison of first and second. */
struct figure_list figures_compared(void);

/* Those that a system shows of itself, and that comparisons do not have. */
struct figure_list figures_of_detail(const struct system *system);

/* What was chosen, for who has no other place to show it. */
struct figure_list figures_of_choice(void);

/* The rows that screens show under headings. */
struct figure_list figures_grouped(void);

#endif
