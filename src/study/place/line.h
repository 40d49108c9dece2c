#ifndef STUDY_PLACE_LINE_H
#define STUDY_PLACE_LINE_H

#include "base/text.h"
#include "scenario/scenario.h"

/* Along the line between the first two transmitters of a single-frequency network: how both
 * generations fare where one lives there, each as if the network sent it. */

#define LINE_POINTS 25
#define LINE_POSITIONS 5 /* drawn at each point */

struct network_line {
    char names[2][NAME_MAX_BYTES];
    double length_km;
    double km[LINE_POINTS]; /* from the first */
    double margin_db[GENERATION_COUNT][LINE_POINTS];
    int worst[GENERATION_COUNT]; /* the point of the smallest margin */
    double guard_us;             /* of the second generation: longer differences of delay disturb */
};

/* `delay_us` is added to the static delay of the second transmitter. STATUS_ILLEGAL where no two
 * stations are of one network; STATUS_NO_MEMORY and what verdict_make says. */
enum status network_line_make(const struct scenario *scenario, double delay_us,
                              struct network_line *line, struct fault *fault);

/* The worst point of each generation, how a static delay moves it, and the longest difference of
 * paths that the guard interval bears. Appends nothing where there is no network. */
enum status network_line_words(const struct scenario *scenario, struct text *out,
                               struct fault *fault);

#endif
