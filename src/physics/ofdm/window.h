#ifndef PHYSICS_OFDM_WINDOW_H
#define PHYSICS_OFDM_WINDOW_H

#include <stdbool.h>

#include "base/complex.h"
#include "physics/channel.h"
#include "standard/ofdm_grid.h"

/* Where an OFDM receiver's FFT window stands among the rays, and what each ray then gives. */

/* Share of a ray's power that is useful, `after_us` after the ray that the window is cut for
 * (negative: ahead of it): 1 within the guard interval, falling with the square outside (EBU
 * Technical Review 295, 2003; ITU-R BT.2254). 0 to 1. */
double ofdm_weight(double after_us, double guard_us, double useful_us);

/* Share of a ray's amplitude that the interpolation between pilots passes, `place` from the middle
 * of the span of delays that pilots resolve, in lengths of it: 1 up to 0.45, a half at 0.5, 0 from
 * 0.55 on. */
double ofdm_reach_share(double place);

enum ofdm_fate {
    OFDM_RAY_WHOLE,        /* within the guard interval: all of it useful */
    OFDM_RAY_LATE,         /* after it: useful in part */
    OFDM_RAY_EARLY,        /* ahead of it: useful in part */
    OFDM_RAY_AT_EDGE,      /* within it; the interpolation between pilots passes it in part */
    OFDM_RAY_OUT_OF_REACH, /* less than half of it passes the interpolation between pilots */
    OFDM_RAY_TOO_FAST,     /* changes faster than the pilots follow: interference only */
    OFDM_FATE_COUNT
};
const char *ofdm_fate_words(enum ofdm_fate fate);

/* A ray: the main signal or an echo. */
struct ofdm_ray {
    double delay_us;
    double power;        /* over the main signal's */
    double phase;        /* radians, at the channel's centre; 0 of a ray that has waves */
    double cosine, sine; /* of the phase */
    double offset_hz;    /* Doppler against the mean that the receiver's tuning follows */
    int filter;          /* of its transmitter, where the grid has filters: meeting.h */
    int number;          /* which ray of the channel it is; its first wave, where it has some */

    /* By motion, whatever the window. */
    double coherent; /* share of its power left on its own carrier, 0 to 1 */
    double turned;   /* power, over its own, of the estimate's error where time is interpolated */
    bool too_fast;   /* for interpolation in time */

    /* By the window. */
    double outside_us; /* how far outside the guard interval; negative: ahead; at most Tu */
    double known;      /* share of its amplitude that the channel estimate holds, 0 to 1 */
    double mistaken;   /* amplitude, over its own, of what the estimate holds wrongly of it */
    double weight;     /* useful share of its power by window and estimate, 0 to 1 */
    enum ofdm_fate fate;
};

struct ofdm_rays {
    int count;
    struct ofdm_ray rays[CHANNEL_RAYS_MAX]; /* by delay, earliest first */
    int waves; /* of each ray, which motion has scattered (channel.h); 0: none was. Power and offset
                  are then means */
    struct ofdm_wave {
        double phase, offset_hz;
    } wave[CHANNEL_RAYS_MAX]; /* by number, those of a ray one after the other */
    double tuned_hz;          /* what the receiver's tuning follows */
};

/* A part of the carriers, lowest frequency first, 0 to 1; both 0: all of them. */
struct ofdm_part {
    double from, to;
};

/* The channel's rays without a window yet. */
void ofdm_rays_make(const struct ofdm_grid *grid, const struct channel *channel,
                    struct ofdm_rays *rays);

/* Phases and waves as they stand in the same channel at another position. */
void ofdm_rays_stand(struct ofdm_rays *rays, const struct channel *channel);

/* The sum of a ray's waves `at_ms` later, on the channel's centre. */
double complex ofdm_ray_sum(const struct ofdm_rays *rays, int i, double at_ms);

/* Powers over the main signal's: means over the carriers, the rays taken one by one. */
struct ofdm_window {
    double start_us;                   /* delay of the ray that the window is cut for */
    double guard_end_us;               /* start + guard interval: up to here nothing is lost */
    double reach_from_us, reach_to_us; /* delays that the pilots resolve */
    bool time_interpolation;
    double useful;
    double self_interference; /* of rays outside the guard interval, or not in the estimate */
    double moved;             /* interference between carriers from motion within a symbol */
    double mistaken;          /* error of the channel estimate by echoes and motion */
};

/* Windows worth trying, best first by useful power; each fills weights for `rays` by
 * ofdm_window_apply. Between two places where a ray meets an edge of the guard interval useful
 * power is convex, so one of these places is best. Returns how many, at most `most`. */
int ofdm_window_candidates(const struct ofdm_grid *grid, struct ofdm_rays *rays,
                           bool time_interpolation, struct ofdm_window *windows, int most);

/* True where the receiver has nothing to choose and nothing is lost: every ray at rest and, through
 * some window, useful and known as a whole. Grids then differ in their carriers only. */
bool ofdm_window_is_plain(const struct ofdm_grid *grid, const struct channel *channel);

/* Sets weights and fates of the rays for a window that starts at `start_us`; the span of delays
 * that pilots resolve is placed where it holds most. */
struct ofdm_window ofdm_window_apply(const struct ofdm_grid *grid, struct ofdm_rays *rays,
                                     bool time_interpolation, double start_us);

#endif
