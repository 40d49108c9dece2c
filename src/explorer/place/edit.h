#ifndef EXPLORER_PLACE_EDIT_H
#define EXPLORER_PLACE_EDIT_H

#include "scenario/field.h"
#include "study/place/place.h"

/* The rows of the place view: settings of a station, in the order of their fields, then what
 * follows from them. */

enum place_row {
    PLACE_ROW_GENERATION,
    PLACE_ROW_CHANNEL,
    PLACE_ROW_ERP,
    PLACE_ROW_ERP_VERTICAL,
    PLACE_ROW_HEIGHT,
    PLACE_ROW_DISTANCE,
    PLACE_ROW_BEARING,
    PLACE_ROW_NETWORK,
    PLACE_ROW_DELAY,
    PLACE_ROW_TERRAIN,
    PLACE_ROW_MARGIN, /* first: short screens show no more than it */
    PLACE_ROW_REACH,
    PLACE_ROW_FIELD,
    PLACE_ROW_LEVEL,
    PLACE_ROW_NOISE,
    PLACE_ROW_INTERFERENCE,
    PLACE_ROW_CN,
    PLACE_ROW_NEEDED,
    PLACE_ROW_DOPPLER,
    PLACE_ROW_COUNT
};
#define PLACE_SETTINGS PLACE_ROW_MARGIN

const struct field *place_row_field(int row); /* NULL: it is no setting */
void place_row_label(int row, char *buffer, size_t size);
/* The name that the explanations know it by: "station.erp_kw", "place.cn_db". */
void place_row_name(int row, char *buffer, size_t size);

void place_row_text(int row, const struct place_station *station, char *buffer, size_t size);

/* One step of a setting. */
void place_edit_step(struct scenario *scenario, int which, int row, int direction);

/* A copy of the station (or a first one) under a name and on a channel of its own; false where
 * eight stand. */
bool place_edit_add(struct scenario *scenario, int like);
void place_edit_remove(struct scenario *scenario, int which);

#endif
