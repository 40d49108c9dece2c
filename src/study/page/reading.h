#ifndef STUDY_PAGE_READING_H
#define STUDY_PAGE_READING_H

#include "study/page/page.h"
#include "study/report/report.h"
#include "study/weigh/weigh.h"

/* What a receiver's page amounts to for one PLP: the mode with its figures, the margin at the
 * reported SNR, what would break it, and what the broadcaster gave up for it. */

struct reading {
    struct page_settled settled; /* owned */
    int plp;                     /* -1: the page names none */
    bool known;                  /* there is a legal mode: the rest is filled */
    struct report report;
    bool on_frontier;
    double better_mbps;   /* of the best mode that is as robust in all; its own when none is */
    double fastest_mbps;  /* of the fastest mode at no more SNR, whatever its echo and speed */
    double possible_mbps; /* of the best mode as robust to echo and speed, at the reported SNR;
                             NAN where none was reported */
};

/* `space` is kept between calls while bandwidth and the like stay the same; start with a zeroed one
 * and end with weigh_space_free. Faults: STATUS_NO_MEMORY, or as report_make. */
enum status reading_make(const struct page *page, int plp, const struct scenario *base,
                         struct weigh_space *space, struct reading *reading, struct fault *fault);
void reading_free(struct reading *reading);

/* "FFT size 16K: ..." in a sentence, or with the longer explanation, formula and source. */
void reading_write_meaning(const struct page_entry *entry, const struct reading *reading,
                           bool longer, struct text *out);

/* Each a few sentences in plain words, without line feeds. */
void reading_write_verdict(const struct reading *reading, struct text *out);
void reading_write_limits(const struct reading *reading, struct text *out); /* what breaks it */
void reading_write_cost(const struct reading *reading, struct text *out);   /* what was given up */

#endif
