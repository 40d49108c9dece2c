#ifndef PHYSICS_AIR_MINIMUM_FIELD_H
#define PHYSICS_AIR_MINIMUM_FIELD_H

/* The field that reception asks for, by the chain that planners use. */

struct minimum_field {
    double center_mhz, bandwidth_mhz;
    double cn_db, noise_figure_db;
    double antenna_dbd, line_loss_db;
    double man_made_db;     /* what noise from outside adds to the receiver's */
    double height_loss_db;  /* from the antenna up to 10 m */
    double entry_loss_db;   /* of a building, its mean */
    double entry_spread_db; /* of it over buildings */
    double location_percent;
};

/* At the antenna, at half of the locations. */
double minimum_field_dbuvm(const struct minimum_field *asked);

/* The median at 10 m outdoors, so that the share of locations is served. */
double minimum_median_field_dbuvm(const struct minimum_field *asked);

#endif
