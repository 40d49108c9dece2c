#ifndef PHYSICS_AIR_PROPAGATION_H
#define PHYSICS_AIR_PROPAGATION_H

#include "base/status.h"

/* Field strength from the tower to the place by open methods that know neither terrain nor
 * clutter. Fields are medians in dBuV/m; powers are ERP (over a half-wave dipole) in kW. */

struct path {
    double center_mhz;
    double transmit_height_m; /* above average terrain */
    double receive_height_m;
    double distance_km;
};

enum propagation {
    PROPAGATION_FREE_SPACE,
    PROPAGATION_PLANE_EARTH,
    PROPAGATION_SMOOTH_EARTH, /* within the horizon, the first Fresnel zone being touched */
    PROPAGATION_DIFFRACTION,  /* beyond the horizon */
    PROPAGATION_HATA,
    PROPAGATION_COUNT
};

/* "free space (ITU-R P.525)", ... */
const char *propagation_name(enum propagation method);

/* E = 106.92 + 10 log10(kW) - 20 log10(km), ITU-R P.525. */
double free_space_field_dbuvm(double erp_kw, double distance_km);

/* 4.12 (sqrt(h1) + sqrt(h2)) km: the effective earth has 4/3 of the radius, about 8500 km. */
double radio_horizon_km(double transmit_height_m, double receive_height_m);

/* Loss over free space of a flat, perfectly reflecting ground at grazing incidence: -20 log10(2
 * sin(2 pi h1 h2 / (wavelength d))) beyond the last point where that is 0 dB, 0 before it (the
 * lobes nearer in are left out, so that the loss never falls with distance). */
double plane_earth_loss_db(const struct path *path);

/* Loss over free space of a smooth sphere: 0 where the path clears the earth by 0.55 of a Fresnel
 * zone, the diffraction loss beyond the horizon, and ITU-R P.526's own interpolation between. */
double smooth_earth_loss_db(const struct path *path);

/* Its pieces (ITU-R P.526, from memory). `earth_km` is the effective radius. */
double diffraction_distance_term_db(double x); /* F(X) */
double diffraction_height_term_db(double y);   /* G(Y) */
double diffraction_loss_db(const struct path *path, double earth_km);

/* The larger of the two losses above and which method rules: there is no jump between them. */
double open_earth_loss_db(const struct path *path, enum propagation *ruling);

/* Okumura-Hata as in ITU-R P.529 (from memory): 150-1500 MHz, base 30-200 m, mobile 1-10 m, 1-20
 * km and by its extension 100 km. */
enum surroundings { SURROUNDINGS_OPEN, SURROUNDINGS_SUBURBAN, SURROUNDINGS_URBAN };
#define HATA_MIN_KM 1.0
#define HATA_MAX_KM 100.0

/* STATUS_OUT_OF_RANGE, with what is out of which range in `fault`, where Hata does not hold. */
enum status hata_check(const struct path *path, struct fault *fault);
double hata_field_dbuvm(const struct path *path, double erp_kw, enum surroundings surroundings);

#endif
