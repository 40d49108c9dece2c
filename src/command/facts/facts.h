#ifndef COMMAND_FACTS_FACTS_H
#define COMMAND_FACTS_FACTS_H

#include <stddef.h>

#include "present/picture/pictures.h"
#include "present/table/table.h"

/* The constants and tables in use, each read from where the program itself takes it. */

struct fact {
    const char *name;
    const char *summary;
    const char *source; /* document and table; "from memory" where it was not seen in print */
    struct table (*make)(void);
    enum pair pair; /* whose; PAIR_COUNT: of both. With another one a word of that has the name. */
};

size_t fact_count(void);
const struct fact *fact_row(size_t i);
const struct fact *fact_find(const char *name); /* NULL: none */

/* The kind of picture of this name or title; NULL: none. */
const struct picture_kind *fact_picture(const char *words);

/* standard.c */
struct table fact_vsb(void);
struct table fact_numerology(void);
struct table fact_carriers(void);
struct table fact_guard(void);
struct table fact_pilots(void);
struct table fact_boosts(void);
struct table fact_cells(void);
struct table fact_preamble(void);
struct table fact_l1(void);
struct table fact_structures(void);
struct table fact_layers(void);
struct table fact_codes(void);
struct table fact_constellations(void);
struct table fact_interleavers(void);
struct table fact_channels(void);

/* dvb.c */
struct table fact_dvbt(void);
struct table fact_dvbt_rates(void);
struct table fact_dvbt_thresholds(void);
struct table fact_dvbt2(void);
struct table fact_dvbt2_pilots(void);
struct table fact_dvbt2_codes(void);
struct table fact_dvbt2_thresholds(void);

/* reception.c */
struct table fact_thresholds(void);
struct table fact_receiver(void);
struct table fact_equaliser(void);
struct table fact_planning(void);
struct table fact_noise(void);
struct table fact_buildings(void);
struct table fact_locations(void);
struct table fact_methods(void);
struct table fact_keys(void);

#endif
