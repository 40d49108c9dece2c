#ifndef EXPLORER_PLACE_EDIT_H
#define EXPLORER_PLACE_EDIT_H

#include "study/place/place.h"

/* The rows of the place view: settings of a station, then what follows from them. */

enum place_row {
    PLACE_ROW_GENERATION,
    PLACE_ROW_CHANNEL,
    PLACE_ROW_ERP,
    PLACE_ROW_HEIGHT,
    PLACE_ROW_DISTANCE,
    PLACE_ROW_FIELD,
    PLACE_ROW_LEVEL,
    PLACE_ROW_NOISE,
    PLACE_ROW_CN,
    PLACE_ROW_NEEDED,
    PLACE_ROW_MARGIN,
    PLACE_ROW_REACH,
    PLACE_ROW_DOPPLER,
    PLACE_ROW_COUNT
};
#define PLACE_SETTINGS PLACE_ROW_FIELD

const char *place_row_label(enum place_row row);
/* The name that the explanations know it by: "station.erp_kw", "place.cn_db"; NULL: none. */
const char *place_row_name(enum place_row row);
/* The key of a setting in a profile: "erp_kw". */
const char *place_row_key(enum place_row row);

void place_row_text(enum place_row row, const struct place_station *station, char *buffer,
                    size_t size);

/* One step of a setting: 1 channel, 1 dB of power, a tenth of height or distance; within range. */
void place_edit_step(struct station *station, enum place_row row, int direction);

/* A copy of the station (or a first one) under a name of its own; false where eight stand. */
bool place_edit_add(struct scenario *scenario, int like);
void place_edit_remove(struct scenario *scenario, int which);

#endif
