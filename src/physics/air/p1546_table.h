#ifndef PHYSICS_AIR_P1546_TABLE_H
#define PHYSICS_AIR_P1546_TABLE_H

/* The curves of ITU-R P.1546 over land. Private to p1546.c. */

#define P1546_TIMES 3       /* 1, 10, 50 % */
#define P1546_FREQUENCIES 3 /* 100, 600, 2000 MHz */
#define P1546_DISTANCES 78  /* 1 to 1000 km */
#define P1546_HEIGHTS 8     /* 10 to 1200 m */

extern const double p1546_distance_km[P1546_DISTANCES];
extern const float p1546_land_dbuvm[P1546_TIMES][P1546_FREQUENCIES][P1546_DISTANCES][P1546_HEIGHTS];

#endif
