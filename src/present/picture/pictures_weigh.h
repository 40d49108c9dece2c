#ifndef PRESENT_PICTURE_PICTURES_WEIGH_H
#define PRESENT_PICTURE_PICTURES_WEIGH_H

#include "present/picture/pictures.h"

/* The best bit rate that any legal mode carries at each required SNR, and the best of those that
 * bear the scenario's echoes as long as its own mode does, with the modes in use marked. */
bool pictures_frontier(const struct picture_case *shown, struct picture *out);

#endif
