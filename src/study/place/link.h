#ifndef STUDY_PLACE_LINK_H
#define STUDY_PLACE_LINK_H

#include <stdbool.h>

#include "scenario/scenario.h"
#include "standard/rf.h"
#include "study/place/method.h"

/* The way of a station's signal to the receiver's input, before anything is asked of the signal. */
struct link {
    struct station tower;
    double center_mhz;
    enum band band;
    struct method_choice choice; /* the method in use, and why */
    bool vertical;               /* the vertically polarised part is the stronger one */
    double field_dbuvm;
    double error_db; /* to expect of the field: a standard deviation */
    double horizon_km;
    double entry_loss_db;
    double level_dbm, noise_dbm, cn_db;
    double location_db; /* taken off the C/N for the share of locations */
};

/* The station must be in range (scenario_check). */
struct link link_make(const struct scenario *scenario, const struct station *station);

/* Field at another distance, all else equal; NAN where the method does not reach. */
double link_field_at_dbuvm(const struct scenario *scenario, const struct link *link,
                           double distance_km);

#endif
