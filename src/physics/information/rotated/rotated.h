#ifndef PHYSICS_INFORMATION_ROTATED_ROTATED_H
#define PHYSICS_INFORMATION_ROTATED_ROTATED_H

#include "physics/information/rotated/surface.h"
#include "standard/dvbt2/code.h"

/* The surface of a rotated constellation of DVB-T2: the committed table (rotated_table.c, made by
 * `make information`). */
const struct information_surface *rotated_surface(enum t2_constellation constellation);
extern const struct information_surface rotated_surfaces[T2_CONSTELLATION_COUNT];

/* The same by Gauss-Hermite quadrature of the given order (16 to 64), in bits a cell; a part of
 * -INFINITY dB is lost. Slow. */
double rotated_by_quadrature(enum t2_constellation constellation, double re_db, double im_db,
                             int order);

#endif
