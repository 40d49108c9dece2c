#ifndef PHYSICS_OFDM_WORK_H
#define PHYSICS_OFDM_WORK_H

#include "physics/ofdm/carriers.h"
#include "physics/ofdm/echo.h"

/* One channel looked at through one window: what is made on the way from rays to SNRs by carrier.
 * For physics/ofdm/echo.c only. */

#define OFDM_WINDOWS_MOST 8
#define OFDM_ASKED_MOST 3 /* numbers of carriers: some for a window, for a quick look, all */

/* How two rays of amplitude 1 add: power += cosine x cos(phase - other phase) + sine x sin(..),
 * later ray less earlier one. */
struct ofdm_pair {
    double cosine, sine;
};

/* A window's, whatever the phases: amplitudes that are useful, and the least that disturbs. */
struct ofdm_bound {
    double useful[CHANNEL_RAYS_MAX], disturbance;
};

struct ofdm_work {
    /* By carrier. */
    int room;
    int count;
    struct ofdm_look look;
    float *snrs;

    /* Each ray alone on carriers that were asked for more than once. */
    int asked_count;
    struct ofdm_asked {
        int most, times; /* so many carriers; how often in this channel, 2 and more alike */
        size_t room;
        struct phasors *turned; /* made when asked again */
    } asked[OFDM_ASKED_MOST];
    int ray_room;
    struct phasors *rays_room; /* for one block of carriers */

    /* Of the channel last seen, whatever its phases: kept while neither it nor the grid change. */
    bool kept;
    struct ofdm_grid grid;
    double span_ms;
    struct ofdm_part part; /* of the carriers that counts */
    struct channel channel;
    int pair_room;
    struct ofdm_pair *pairs;  /* in the occupied band, over the receiver's span of time */
    struct ofdm_pair *means;  /* on the carriers that windows are chosen by */
    struct ofdm_pair *passed; /* of rays that have waves at this position, each with itself too */
    bool means_known;
    int window_count;
    struct ofdm_window windows[OFDM_WINDOWS_MOST]; /* worth trying */
    struct ofdm_bound bounds[OFDM_WINDOWS_MOST];   /* theirs, where they are several */
    bool turns;                                    /* rays turn within the span */

    /* Of the present position. */
    struct ofdm_rays rays;
    struct ofdm_passage *passage; /* where rays have waves */
    struct ofdm_window window;
    double received_power;

    struct gain_spread spread;
    struct gain_raster raster;
};

/* Keeps what phases do not change of a channel, unless it is kept already. */
enum status ofdm_work_keep(struct ofdm_work *work, const struct ofdm_reception *reception,
                           const struct channel *channel);

/* Sets rays, received power and window for the channel as it stands. */
enum status ofdm_work_place(struct ofdm_work *work, const struct ofdm_reception *reception,
                            const struct channel *channel, double snr_db);

/* Looks at the carriers through the window, each at an instant of its own in the span where
 * something turns: at most about `carriers_most`; 0: all of them. */
enum status ofdm_work_look(struct ofdm_work *work, int carriers_most);

/* What disturbs, added to the noise. */
struct ofdm_disturbance {
    bool self, moved, mistaken;
};

/* SNRs by carrier and their spread, with noise over the main signal's power. */
void ofdm_work_spread(struct ofdm_work *work, double noise, const struct ofdm_disturbance *counted,
                      struct gain_spread *spread);

#endif
