#ifndef EXPLORER_DESK_SETTINGS_H
#define EXPLORER_DESK_SETTINGS_H

#include "scenario/field.h"
#include "scenario/scenario.h"

/* The settings that the main view offers: the fields of all sections that stand once, in the order
 * of their table and in groups. */

int setting_count(void);
const struct field *setting_field(int i);
const char *setting_group(int i); /* neighbours of one group have the same pointer */
/* Its heading on tall screens: "Receiver". */
void setting_heading(int i, const struct scenario *scenario, char *buffer, size_t size);
void setting_label(int i, char *buffer, size_t size); /* "Guard"; at most 14 columns */

/* "mode.guard". */
void setting_name(int i, char *buffer, size_t size);

/* The value with its unit: "16K", "250 ms", "none". */
void setting_text(int i, const struct scenario *scenario, char *buffer, size_t size);

/* Typed in, not chosen from a few. */
bool setting_is_number(int i);

/* The choices that are legal now, earlier settings (FFT size before guard interval before pilots,
 * code length before constellation) staying as they are. Not for numbers. */
#define SETTING_CHOICES_MAX 40
#define SETTING_FEW 16 /* whole numbers of which there are more are typed in */
struct setting_choices {
    int count, at; /* at: the present one */
    char text[SETTING_CHOICES_MAX][20];
};
void setting_choices(int i, const struct scenario *scenario, struct setting_choices *choices);

/* Where a number stands in its range, 0..1; NAN when it is not known. */
double setting_position(int i, const struct scenario *scenario);

/* Makes `next` from `scenario` with another value; moves what no longer goes with it. */
enum status setting_set(int i, const struct scenario *scenario, const char *text,
                        struct scenario *next, struct fault *fault);

/* The value one step up (+1) or down (-1), or where a share 0..1 of the range points (numbers), or
 * the n-th legal choice. False when there is none. */
bool setting_step(int i, const struct scenario *scenario, int direction, struct scenario *next);
bool setting_set_share(int i, const struct scenario *scenario, double share, struct scenario *next);
bool setting_set_choice(int i, const struct scenario *scenario, int choice, struct scenario *next);

/* "Guard GI7_2048, Pilots SP6_2": what else than setting `i` differs. */
void setting_moved(int i, const struct scenario *before, const struct scenario *after, char *buffer,
                   size_t size);

#endif
