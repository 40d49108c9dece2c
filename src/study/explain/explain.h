#ifndef STUDY_EXPLAIN_EXPLAIN_H
#define STUDY_EXPLAIN_EXPLAIN_H

#include "base/text.h"
#include "scenario/scenario.h"
#include "study/report/report.h"

/* Words about every setting and every quantity: one sentence, one paragraph, the formula with the
 * numbers of a scenario in it, and the source. The one place for the explorer, `facts` and `read`.
 *
 * Names: a setting is called as in a profile ("mode.fft", "echo.delay_us"), a quantity as in JSON
 * with its part before it ("second.echo_us", "first.output_snr_db", "rf.band", "place.cn_db",
 * "simulate.fer"). A quantity that repeats a setting shares its entry ("second.fft"). */

struct explanation {
    const char *name;
    const char *title;     /* of a quantity, "reach"; NULL: of a setting, whose field has it */
    const char *sentence;  /* one sentence */
    const char *paragraph; /* the longer explanation */
    const char *formula;   /* with {names} for numbers, {mode.fft} for a setting's value; written
                              out by explain_formula */
    const char *source;
};

/* What the numbers in formulas are taken from; each may be NULL: its numbers are then "?". */
struct explain_context {
    const struct scenario *scenario;
    const struct report *report;
};

size_t explain_count(void);
const struct explanation *explain_at(size_t i);

/* The entry of a dotted name, or of a bare one ("fft", "echo_us"): then the first that fits of the
 * parts mode, second, first, rf, site, receiver, station, place, echo, simulate, page. Ignores
 * case. NULL where there is none. */
const struct explanation *explain_find(const char *name);

/* The same where this pair is compared: quantities and settings of a generation in that pair's
 * words. */
const struct explanation *explain_find_in(enum pair pair, const char *name);

/* The entry of what stands on a screen, in a table or in a picture: titles and labels of settings
 * and figures, steps of accounts, axes; of names too. Ignores case and what is no letter. NULL:
 * none. */
const struct explanation *explain_find_words(const char *words);

/* Titles that hold these words, as many as fit; "": none. */
void explain_near_words(const char *words, char *buffer, size_t size);

/* "guard interval". */
const char *explain_title(const struct explanation *entry);

/* Appends the formula with its numbers. False where it names a number that does not exist: a bug
 * that a test looks for. */
bool explain_formula(const struct explanation *entry, const struct explain_context *context,
                     struct text *out);

#endif
