#ifndef PHYSICS_AIR_PROPAGATION_H
#define PHYSICS_AIR_PROPAGATION_H

#include <stdbool.h>

#include "base/status.h"
#include "physics/air/terrain.h"

/* Field strength from the tower to the place by open methods that know no terrain. Fields are
 * medians in dBuV/m; powers are ERP (over a half-wave dipole) in kW. */

/* What stands around the receiving antenna: fields, single houses, a town, its dense middle. */
enum surroundings {
    SURROUNDINGS_OPEN,
    SURROUNDINGS_SUBURBAN,
    SURROUNDINGS_URBAN,
    SURROUNDINGS_DENSE,
    SURROUNDINGS_COUNT
};

struct path {
    double center_mhz;
    double transmit_height_m; /* above average terrain */
    double receive_height_m;
    double distance_km; /* along the ground */
    bool vertical;      /* polarisation */
    enum surroundings surroundings;
    double time_percent; /* of the time the field is exceeded; methods of the median alone ask not
                            for it */
    /* NULL: even ground, of which nothing more is known. ITU-R P.1546 alone asks for it. */
    const struct terrain *terrain;
    double mast_m; /* with terrain: of the transmitting antenna above the ground it stands on */
};

/* The way of the ray, longer than the ground below it. */
double path_slant_km(const struct path *path);

/* E = 106.92 + 10 log10(kW) - 20 log10(km), ITU-R P.525. */
double free_space_field_dbuvm(double erp_kw, double distance_km);

/* 4.12 (sqrt(h1) + sqrt(h2)) km: the effective earth has 4/3 of the radius, about 8500 km. */
double radio_horizon_km(double transmit_height_m, double receive_height_m);

/* Loss over free space of a smooth sphere: 0 where the path clears the earth by 0.55 of a Fresnel
 * zone, the diffraction loss beyond the horizon, and ITU-R P.526's own interpolation between. */
double smooth_earth_loss_db(const struct path *path);

/* Its pieces (ITU-R P.526). `earth_km` is the effective radius; G is not below 2 + 20 log10 K. */
double diffraction_distance_term_db(double x);                  /* F(X) */
double diffraction_height_term_db(double b, double admittance); /* G(B), K */
double diffraction_loss_db(const struct path *path, double earth_km);

/* Okumura-Hata (ITU-R P.1546-3 Annex 7): 150-1500 MHz, base 30-200 m, mobile 1-10 m, 1-20 km and
 * by its extension 100 km. */
#define HATA_MIN_KM 1.0
#define HATA_MAX_KM 100.0

/* STATUS_OUT_OF_RANGE, with what is out of which range in `fault`, where Hata does not hold. */
enum status hata_check(const struct path *path, struct fault *fault);
double hata_field_dbuvm(const struct path *path, double erp_kw);

#endif
