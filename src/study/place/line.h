#ifndef STUDY_PLACE_LINE_H
#define STUDY_PLACE_LINE_H

#include "base/text.h"
#include "scenario/scenario.h"
#include "study/verdict/curve.h"

/* Along the line between the first two transmitters of a single-frequency network: how both
 * generations fare where one lives there, each as if the network sent it. */

#define LINE_POINTS 25        /* evenly; words and pictures ask for more where the line bends */
#define LINE_POINTS_DRAWN 110 /* at most */
#define LINE_POSITIONS 5      /* drawn at each point */
#define LINE_LOWEST_DB (-40.0)

struct network_line {
    char names[2][NAME_MAX_BYTES];
    double length_km;
    struct curve margin_db[GENERATION_COUNT]; /* over km from the first; none below the lowest */
    size_t worst[GENERATION_COUNT];           /* the point of the smallest margin */
    double guard_us; /* of the second generation: longer differences of delay disturb */
};

/* `delay_us` is added to the static delay of the second transmitter; `most` points for each
 * generation. STATUS_ILLEGAL where no two stations are of one network; STATUS_NO_MEMORY and what
 * verdict_make says. */
enum status network_line_make(const struct scenario *scenario, double delay_us, size_t most,
                              struct network_line *line, struct fault *fault);

/* The worst point of each generation, how a static delay moves it, and the longest difference of
 * paths that the guard interval bears. Appends nothing where there is no network. */
enum status network_line_words(const struct scenario *scenario, struct text *out,
                               struct fault *fault);

#endif
