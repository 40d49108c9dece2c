#ifndef PRESENT_PICTURE_PICTURES_DIVIDE_H
#define PRESENT_PICTURE_PICTURES_DIVIDE_H

#include "present/picture/pictures.h"
#include "study/divide/divide.h"

/* The frame: time across, each PLP's share of its subframe's cells up, layers within their core,
 * the preamble shaded. */
bool pictures_frame(const struct picture_case *shown, struct picture *out);

/* Rate of the service that must work at the lowest SNR against that of the one at the highest, the
 * others as they ask: what each way of dividing the channel reaches. Nothing with one service. */
bool pictures_divide(const struct picture_case *shown, struct picture *out);

/* The same where the best divisions are known. */
bool picture_divisions(const struct scenario *scenario, const struct divisions *divisions,
                       struct picture *out);

#endif
