#ifndef PRESENT_PICTURE_PICTURES_PLACE_H
#define PRESENT_PICTURE_PICTURES_PLACE_H

#include "present/picture/pictures.h"
#include "study/place/place.h"

/* The pictures of stations at a place. Stations are told apart by the digit at their place. */

/* Field strength, and margin, against distance: a line for each station. */
bool picture_place_field(const struct scenario *scenario, const struct place_study *study,
                         struct picture *out);
bool picture_place_margin(const struct scenario *scenario, const struct place_study *study,
                          struct picture *out);

/* The same of one station by ITU-R P.1546 at half of the time and by the curves of 47 CFR 73.699 at
 * 50 and 90 %. */
bool picture_place_ways_field(const struct scenario *scenario, int which, struct picture *out);
bool picture_place_ways_margin(const struct scenario *scenario, int which, struct picture *out);

/* As kinds: false without a station; where one is shown it is the first. */
bool pictures_place_ways_field(const struct picture_case *shown, struct picture *out);
bool pictures_place_ways_margin(const struct picture_case *shown, struct picture *out);

bool pictures_place_field(const struct picture_case *shown, struct picture *out);
bool pictures_place_margin(const struct picture_case *shown, struct picture *out);

/* Margins of both generations along the line between two transmitters of a single-frequency
 * network; false where there is none. */
bool pictures_place_network(const struct picture_case *shown, struct picture *out);

/* A map of the stations and the place, hatched where each generation decodes; false without a
 * station. */
bool pictures_place_plan(const struct picture_case *shown, struct picture *out);

/* Doppler of a moving reflector against its speed on the channel in use, and the limits of both
 * generations. */
bool pictures_place_motion(const struct picture_case *shown, struct picture *out);

#endif
