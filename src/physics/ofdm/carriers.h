#ifndef PHYSICS_OFDM_CARRIERS_H
#define PHYSICS_OFDM_CARRIERS_H

#include <stddef.h>

#include "physics/ofdm/phasors.h"
#include "physics/ofdm/window.h"

/* What a window leaves on each carrier: the rays' sum there, not their mean. Powers over the main
 * signal's; noise and the leak by motion are alike on all carriers and not among them. */
struct ofdm_powers {
    double useful;
    double self;     /* rays outside the guard interval or not in the estimate */
    double mistaken; /* error of the estimate */
};

/* On the carrier `hz` from the channel's centre, `at_ms` after the phases given. */
struct ofdm_powers ofdm_carrier_powers(const struct ofdm_grid *grid, const struct ofdm_rays *rays,
                                       double hz, double at_ms);

/* Which carriers are looked at and when: one out of every `step`, its place in the step drawn at
 * random, each at an instant of its own where they are spread over a span of time. A choice of few
 * may fall between carriers, at parts of the spacing, so that it is the same set of frequencies
 * however far carriers are apart. */
struct ofdm_choice {
    int parts;          /* of the spacing: 1, 2, 4, .. */
    int first;          /* from the channel's centre, in such parts */
    int carriers, step; /* likewise */
    int count;          /* how many are chosen */
    double span_ms;     /* 0: as the phases are given */
};

/* All carriers, or an even choice of at most about `most`; 0: all, and where `span_ms` is not 0 as
 * many as tell the same. */
struct ofdm_choice ofdm_choice_make(const struct ofdm_grid *grid, int most, double span_ms);
/* The same of a part of the channel. */
struct ofdm_choice ofdm_choice_of_part(const struct ofdm_grid *grid, struct ofdm_part part,
                                       int most, double span_ms);
int ofdm_choice_count(const struct ofdm_choice *choice);

/* Each ray alone on the chosen carriers, which neither phases nor a window change: made once for as
 * many positions as there are. */
size_t ofdm_turned_count(const struct ofdm_rays *rays, const struct ofdm_choice *choice);
void ofdm_turned_make(const struct ofdm_grid *grid, const struct ofdm_rays *rays,
                      const struct ofdm_choice *choice, struct phasors *turned);

/* Rays that have waves, at instants evenly over a span: amplitudes on the channel's centre. */
#define OFDM_INSTANTS 48
struct ofdm_passage {
    double re[CHANNEL_RAYS_MAX][OFDM_INSTANTS], im[CHANNEL_RAYS_MAX][OFDM_INSTANTS];
};
void ofdm_passage_make(const struct ofdm_rays *rays, double span_ms, struct ofdm_passage *passage);

/* Powers by chosen carrier, of rays as they stand or, where they have waves, as they pass. From
 * `turned` or, where that is NULL, the same to the last bit but slower, for which `room` has place
 * for each ray. A look has place for whole blocks of PHASORS_BLOCK carriers. */
struct ofdm_look {
    float *useful, *self, *mistaken;
};
void ofdm_carriers_fill(const struct ofdm_grid *grid, const struct ofdm_rays *rays,
                        const struct ofdm_passage *passage, const struct ofdm_choice *choice,
                        struct phasors *room, const struct phasors *turned,
                        const struct ofdm_look *look);

#endif
