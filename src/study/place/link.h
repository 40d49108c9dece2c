#ifndef STUDY_PLACE_LINK_H
#define STUDY_PLACE_LINK_H

#include <stdbool.h>

#include "scenario/scenario.h"
#include "standard/rf.h"
#include "study/place/method.h"

/* The way of a station's signal to the receiver's input, and what it meets there, before anything
 * is asked of the signal. */

/* Another station, or a third-order product of two of them ("One + Two"). */
struct interferer {
    char name[2 * NAME_MAX_BYTES + 4];
    int offset;       /* channels from the wanted one; of a product, the nearer station's */
    double level_dbm; /* at the input; of a product, the product's on the wanted channel */
    bool is_product;
    double dbm; /* as noise on the wanted channel */
};
/* Of seven others in at most three channels that pair: 3 x 4 products. */
#define INTERFERERS_MAX 24

struct link {
    struct station tower;
    double center_mhz;
    enum band band;
    struct method_choice choice; /* the method in use, and why */
    bool vertical;               /* the vertically polarised part is the stronger one */
    double field_dbuvm;
    double error_db; /* to expect of the field: a standard deviation */
    /* Where the ground is known, else NAN: the antenna over its mean towards the place; by
     * ITU-R P.1546 the clearance angle at the place (NAN beyond the profile's end), and what it
     * adds to the field. */
    double effective_height_m, clearance_deg, terrain_db;
    double horizon_km;
    double entry_loss_db;
    double discrimination_db; /* what the antenna's direction takes */
    double level_dbm;
    double headroom_db; /* below the levels that receivers are made for; negative: overload */
    int member_count;   /* the other transmitters of its network, heard beside it */
    double member_dbm[STATIONS_MAX];
    double network_dbm;     /* power of all of them with its own; without a network its own */
    double network_gain_db; /* that over the strongest one's: medians, as powers */
    double network_gain_served_db; /* the same at the share of locations, by k-LNM */
    double noise_dbm;
    int interferer_count;
    struct interferer interferers[INTERFERERS_MAX];
    double strongest_other_dbm; /* at the input; -INFINITY: there is none */
    double interference_dbm;    /* of all of them, as noise on the channel; -INFINITY: none */
    double interference_db;     /* what it takes of the C/N in noise alone, 0 or more */
    double cn_db;               /* over noise and interference */
    double location_db;         /* taken off the C/N for the share of locations */
};

/* Of a generation's channel, what noise is counted in: noise_bandwidth_mhz of its plan. */
double link_noise_mhz(const struct scenario *scenario, enum generation generation);

/* The station must be in range (scenario_check). */
struct link link_make(const struct scenario *scenario, const struct station *station);

/* No more than the way: from the tower to the level, by a method and for a share of time. */
void link_send(const struct scenario *scenario, const struct station *station,
               enum field_method method, double time_percent, struct link *link);

/* Field at another distance, all else equal; NAN where the method does not reach. */
double link_field_at_dbuvm(const struct scenario *scenario, const struct link *link,
                           double distance_km);

/* C/N less the allowance for the share of locations at another distance, the interferers as strong
 * as they are; NAN where the method does not reach. */
double link_snr_at_db(const struct scenario *scenario, const struct link *link, double distance_km);

#endif
