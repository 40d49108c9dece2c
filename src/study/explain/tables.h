#ifndef STUDY_EXPLAIN_TABLES_H
#define STUDY_EXPLAIN_TABLES_H

#include "study/explain/explain.h"

/* The rows behind explain.h, by subject. Private to study/explain*.c. */

struct explain_table {
    const struct explanation *rows;
    size_t count;
};

extern const struct explain_table explain_mode_table;     /* settings of [mode] */
extern const struct explain_table explain_dvb_table;      /* site.pair, [dvbt], [dvbt2] */
extern const struct explain_table explain_pair_table;     /* quantities of the second pair */
extern const struct explain_table explain_settings_table; /* settings of all other sections */
extern const struct explain_table
    explain_transmission_table;                         /* settings of frames, subframes, PLPs */
extern const struct explain_table explain_second_table; /* quantities: second generation */
extern const struct explain_table explain_first_table;  /* quantities: RF, first, echo verdicts */
extern const struct explain_table explain_place_table;  /* quantities: place, simulate */
extern const struct explain_table explain_fare_table;   /* quantities: conditions, how it fares */
extern const struct explain_table explain_divide_table; /* quantities: divisions */
extern const struct explain_table explain_page_table;   /* what a receiver's page can say */

/* Appends the number or word that `name` stands for, with `decimals` where it is a number; false
 * where there is no such name. */
bool explain_append_value(const char *name, size_t length, int decimals,
                          const struct explain_context *context, struct text *out);

#endif
