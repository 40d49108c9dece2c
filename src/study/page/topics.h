#ifndef STUDY_PAGE_TOPICS_H
#define STUDY_PAGE_TOPICS_H

#include "study/page/atoms.h"
#include "study/page/page.h"

/* What a page can speak of, the labels that announce it, and how its values are written. Private
 * to study/page*.c. */

enum topic {
    TOPIC_NOTHING, /* a label without meaning of its own: "parameter", "value" */
    TOPIC_FFT,
    TOPIC_GUARD,
    TOPIC_PILOTS,
    TOPIC_BOOST,
    TOPIC_EXTENDED,
    TOPIC_ROTATION,
    TOPIC_EFFICIENCY, /* of the baseband frames */
    TOPIC_HIERARCHY,
    TOPIC_PRIORITY,
    TOPIC_L1_POST,
    TOPIC_FRAME_SYMBOLS,
    TOPIC_REDUCTION,
    TOPIC_BANDWIDTH,
    TOPIC_CHANNEL,
    TOPIC_RF,      /* a channel, a frequency or a level, by its unit */
    TOPIC_VIRTUAL, /* the number that viewers see */
    TOPIC_FREQUENCY,
    TOPIC_SNR,
    TOPIC_LEVEL,
    TOPIC_QUALITY,
    TOPIC_CONSTELLATION,
    TOPIC_RATE,
    TOPIC_LOW_RATE, /* of a hierarchy's second stream */
    TOPIC_LENGTH,
    TOPIC_OUTER,
    TOPIC_PLP,
    TOPIC_PLP_COUNT,
    TOPIC_SUBFRAME,
    TOPIC_SUBFRAME_COUNT,
    TOPIC_L1_BASIC,
    TOPIC_L1_DETAIL,
    TOPIC_L1, /* both */
    TOPIC_FIRST_BOUNDARY,
    TOPIC_LAST_BOUNDARY,
    TOPIC_FRAME,
    TOPIC_SYMBOLS,
    TOPIC_CARRIERS,
    TOPIC_INTERLEAVER,
    TOPIC_SYSTEM,
    TOPIC_LOCK,
    TOPIC_ERROR_RATE, /* nobody says before or after which code */
    TOPIC_ERROR_RATE_BEFORE,
    TOPIC_ERROR_RATE_INNER, /* after the first of two codes */
    TOPIC_ERROR_RATE_AFTER,
    TOPIC_ERRORS,
    TOPIC_CORRECTED,
    TOPIC_ITERATIONS,
    TOPIC_MARGIN, /* the receiver's own idea of what is to spare */
    TOPIC_NEEDED, /* and of what is needed */
    TOPIC_LAYER,
    TOPIC_INJECTION,
    TOPIC_CELLS,
    TOPIC_BLOCKS, /* code blocks of a PLP in a frame */
    TOPIC_SHARE,
    TOPIC_BIT_RATE,
    TOPIC_SNR_BEFORE, /* the equaliser: echoes count in it */
    TOPIC_IDENTITY,
    TOPIC_UNMODELLED, /* MISO, PAPR reduction: known, not computed with */
    TOPIC_COUNT
};

enum unit {
    UNIT_NONE,
    UNIT_DB,
    UNIT_DBM,
    UNIT_DBUV,
    UNIT_DBMV,
    UNIT_PERCENT,
    UNIT_HZ,
    UNIT_KHZ,
    UNIT_MHZ,
    UNIT_US,
    UNIT_MS,
    UNIT_KBPS,
    UNIT_MBPS,
    UNIT_K,
    UNIT_OTHER /* a unit that fits nothing here: dBuV/m, kW */
};

enum fit { FIT_NONE, FIT_READ, FIT_WRONG };

struct value {
    const char *key; /* of the entry */
    char text[48];
    double number;
    char wrong[160]; /* for FIT_WRONG */
    int first, last; /* the atoms that it took */
};

/* Atoms [from, to) of a line. */
struct span {
    const char *line;
    struct atom *atoms;
    int from, to;
    enum unit hint; /* a unit given with the label */
    bool labelled;
    enum pair pair; /* by whose terms it is read */
    bool of_mode;   /* the line is of a mode: bare fractions in it are no dates */
};

/* Reads the first value of the topic in the span and marks its atoms as consumed. */
enum fit topic_read(enum topic topic, const struct span *span, struct value *value);

/* Reads a value that needs no label ("GI5_1024", "256QAM", "-57 dBm") at atom `at`; the first one
 * nothing that is a number and a unit, which a label behind it may claim. */
enum fit topic_read_unmistakable(const struct span *span, int at, struct value *value);
enum fit topic_read_evident(const struct span *span, int at, struct value *value);

/* Whether values under a PLP's heading are that PLP's, and whether the topic is a choice, of which
 * a second and different value on the page is a contradiction. */
bool topic_is_of_plp(enum topic topic);
bool topic_is_choice(enum topic topic);

/* The receiver measures it: there is one at a time. */
bool topic_is_reading(enum topic topic);

/* The label alone says yes: "rotated". */
bool topic_is_statement(enum topic topic);

/* The topic is part of the mode; so is a value without a label (TOPIC_NOTHING). */
bool topic_is_of_mode(enum topic topic);

/* The unit that starts at an atom; `taken` receives its number of atoms. */
enum unit unit_at(const struct span *span, int at, int *taken);

/* A phrase of the vocabulary and what it announces. */
struct label {
    const char *phrase;
    enum topic topic;
};
extern const struct label page_labels[];
extern const size_t page_label_count;

/* The longest label that starts at atom `at` of `count`: its topic, and the atoms it takes. 0 taken
 * where no label starts. */
enum topic label_at(const struct atom *atoms, int count, int at, int *taken);

/* Atoms that a phrase takes at `at`; 0 where it does not stand there. */
int label_match(const char *phrase, const struct atom *atoms, int count, int at);

/* A word of a label, or of a value ("qpsk"). */
bool word_is_known(const char *word);

/* Words that say nothing: "technical", "information", "mode". */
bool word_is_noise(const char *word);

#endif
