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

/* As kinds: false without a station. */
bool pictures_place_field(const struct picture_case *shown, struct picture *out);
bool pictures_place_margin(const struct picture_case *shown, struct picture *out);

/* Margins of both generations along the line between two transmitters of a single-frequency
 * network; false where there is none. */
bool pictures_place_network(const struct picture_case *shown, struct picture *out);

/* Doppler of a moving reflector against its speed on the channel in use, and the limits of both
 * generations. */
bool pictures_place_motion(const struct picture_case *shown, struct picture *out);

#endif
