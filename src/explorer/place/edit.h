#ifndef EXPLORER_PLACE_EDIT_H
#define EXPLORER_PLACE_EDIT_H

#include "explorer/desk/value/value.h"
#include "study/place/place.h"

/* The rows of the place view: settings of a station in the order of their fields, what follows from
 * them in an order in which it adds up, then what the stations share: place and receiver. What
 * terrain does comes last, where a station has a file of it. */

#define PLACE_ROW_ERP 2 /* where the selection begins */

int place_row_count(const struct scenario *scenario);
/* The setting of a row, of that station; false: it follows from others. */
bool place_row_value(int row, int station, struct value *value);
bool place_row_is_shared(int row); /* a setting of the place or the receiver: one for all */
int place_row_of_margin(void);

void place_row_label(int row, char *buffer, size_t size);
/* The name that the explanations know it by: "station.erp_kw", "place.cn_db". */
void place_row_name(int row, char *buffer, size_t size);

/* Of the scenario's settings; of what follows where it is known. */
void place_row_text(int row, const struct scenario *scenario, int station,
                    const struct place_station *known, char *buffer, size_t size);

/* A copy of the station (or a first one) under a name and on a channel of its own; false where
 * eight stand. */
bool place_edit_add(struct scenario *scenario, int like);
void place_edit_remove(struct scenario *scenario, int which);

#endif
