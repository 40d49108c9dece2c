#ifndef STUDY_PAGE_SETTLING_H
#define STUDY_PAGE_SETTLING_H

#include "study/page/page.h"

/* The state of settling a page for one PLP, shared by settle.c and the pairs' terms. Private to
 * study/page. */

struct settling {
    const struct page *page;
    struct page_settled *settled; /* gets `scenario` in the end */
    struct scenario scenario;
    int plp, subframe;
    bool given[FIELDS_MAX];           /* by the field's number: on the page */
    bool contested[FIELDS_MAX];       /* and said in two ways */
    size_t readings_apart;            /* of these, what is no choice of the mode */
    bool speaks_of[GENERATION_COUNT]; /* a setting of that generation's system stands there */
    int channel_before;               /* before anything of the page was taken */
    bool failed;
};

#define ADD(s, lines, ...) ((s)->failed |= page_add_line(lines, __VA_ARGS__) != STATUS_OK)
#define CONTRADICT(s, ...) ADD(s, &(s)->settled->contradictions, __VA_ARGS__)

/* The first entry with this key that is said of this PLP and subframe, or of all; NULL: none. */
const struct page_entry *settling_entry(const struct settling *s, const char *key);
bool settling_is_given(const struct settling *s, const char *key);
/* A setting of this section stands on the page. */
void settling_speak(struct settling *s, const char *section);
void settling_give(struct settling *s, const char *key, double number);

/* A guard interval given as time: 1 % is closer than any two of them are. */
#define GUARD_TIME_TOLERANCE 0.01

#endif
