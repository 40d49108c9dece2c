#ifndef STUDY_READING_READING_H
#define STUDY_READING_READING_H

#include "study/page/page.h"
#include "study/verdict/verdict.h"
#include "study/weigh/weigh.h"

/* What a receiver's page amounts to: for each PLP its mode, figures and margin, as far as they
 * follow from what stands there; what the receiver's own errors say against the margin; what would
 * break or mend the reception; what the other generation would do at the same SNR. Margins are
 * those of the one verdict (study/verdict). What does not follow from the page is unknown: NAN or
 * NULL in the verdict's figures, and told as a span where one can be given. */

/* What of a mode is known, as far as figures depend on it. */
enum knowledge {
    KNOWS_FFT = 1 << 0,
    KNOWS_GUARD = 1 << 1,
    KNOWS_CONSTELLATION = 1 << 2,
    KNOWS_RATE = 1 << 3,
    KNOWS_CODE = KNOWS_CONSTELLATION | KNOWS_RATE,
    KNOWS_CHANNEL = 1 << 4,
    KNOWS_SHARE = 1 << 5,       /* of the frame's cells that the PLP has */
    KNOWS_LAYER = 1 << 6,       /* no other layer lies on its cells, which would be noise to it */
    KNOWS_NOTHING_MORE = 1 << 7 /* never there: what asks for it is known from the page alone */
};

/* The needed SNR of all codes that go with what is known of the code. */
struct code_span {
    bool open; /* constellation or rate is not known */
    double least_db, most_db;
    char least[24], most[24]; /* "QPSK 2/15" */
    char best[24];            /* the fastest that the SNR suffices for; "": none, or no SNR */
};

/* One PLP of the page, or the whole page where it names none. */
struct reading_pipe {
    int plp;                     /* -1: the page names none */
    int subframe;                /* -1: the page names none */
    struct page_settled settled; /* owned */
    unsigned known;              /* of enum knowledge */
    struct verdict verdict;      /* figures that do not follow from the page are unknown */
    struct code_span span;
    bool not_noise; /* the receiver shows errors that its SNR does not explain */
};

/* The other generation at the same SNR in the same room. */
struct reading_other {
    bool known;          /* its verdict stands in the report */
    double best_mbps;    /* of the second one: the fastest mode that this SNR suffices for */
    double same_rate_db; /* of the second one: the least SNR for the first one's bit rate */
};

struct reading {
    int pipe_count;
    struct reading_pipe *pipes; /* by PLP; owned */
    bool joined;                /* they are one transmission: */
    struct transmission transmission;
    struct dvbt2 dvbt2;
    int chosen; /* asked for, else the most robust */
    struct report
        report; /* of the chosen scenario, with what was assumed, where `other` is known */
    struct reading_other other;
    struct page_lines remarks; /* what the receiver's errors say against the margin; owned */
    bool weighed;              /* the rest is filled */
    bool on_frontier;
    double better_mbps;   /* of the best mode that is as robust in all; its own when none is */
    double fastest_mbps;  /* of the fastest mode at no more SNR, whatever its echo and speed */
    double possible_mbps; /* of the best mode as robust to echo and speed, at the reported SNR;
                             NAN where none was reported */
};

/* `plp` -1: the most robust. `space` is kept between calls while bandwidth and the like stay the
 * same; start with a zeroed one and end with weigh_space_free. Faults: STATUS_NO_MEMORY;
 * STATUS_UNKNOWN_NAME with the PLPs there are where the page does not name this one. */
enum status reading_make(const struct page *page, int plp, const struct scenario *base,
                         struct weigh_space *space, struct reading *reading, struct fault *fault);
void reading_free(struct reading *reading);

static inline const struct reading_pipe *reading_chosen(const struct reading *reading)
{
    return &reading->pipes[reading->chosen];
}

/* The generation that the page is not of. */
static inline enum generation reading_other_generation(const struct page_settled *settled)
{
    return settled->generation == GENERATION_FIRST ? GENERATION_SECOND : GENERATION_FIRST;
}

/* The net rates of all PLPs together; NAN where one is unknown. */
double reading_net_mbps(const struct reading *reading);

/* All that cannot be, of every PLP, each once; the caller frees the rows. */
enum status reading_contradictions(const struct reading *reading, const struct page *page,
                                   struct page_lines *lines);

/* ---- join.c: PLPs in one transmission. */

/* The subframe of a PLP; -1: the page names none. */
int reading_subframe_of(const struct page *page, int plp);
/* Makes the PLPs' verdicts again in their common transmission, where the page tells enough. */
enum status reading_join(const struct page *page, struct reading *reading, struct fault *fault);

/* ---- known.c: what follows from what is known. */

/* Blanks the figures of a verdict that do not follow from what is known. */
void known_blank(const struct page_settled *settled, unsigned known, struct verdict *verdict);

/* The span of needed SNR where the code is not wholly known. */
void known_span(const struct page_settled *settled, unsigned known, double snr_db,
                struct code_span *span);

/* ---- Words: each a few sentences, without line feeds. */

#define READING_TITLE_BYTES 80
/* "FFT size"; returns the buffer. */
const char *reading_title(const struct page_entry *entry, char *buffer, size_t size);

/* "FFT size 16K: ..." in a sentence, or with the longer explanation, formula and source. */
void reading_write_meaning(const struct page_entry *entry, const struct reading *reading,
                           bool longer, struct text *out);

void reading_write_verdict(const struct reading *reading, struct text *out);
/* One PLP in the trade's terms: its mode, rate and margin. */
void reading_write_pipe(const struct reading_pipe *pipe, struct text *out);
void reading_write_limits(const struct reading *reading, struct text *out);  /* what breaks it */
void reading_write_mending(const struct reading *reading, struct text *out); /* "": nothing to */
void reading_write_other(const struct reading *reading, struct text *out);
void reading_write_cost(const struct reading *reading, struct text *out);    /* what was given up */
void reading_write_assumed(const struct reading *reading, struct text *out); /* in one line */
void reading_write_basis(const struct reading *reading, struct text *out);   /* of SNR and need */

#endif
