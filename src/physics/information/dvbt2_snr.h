#ifndef PHYSICS_INFORMATION_DVBT2_SNR_H
#define PHYSICS_INFORMATION_DVBT2_SNR_H

#include "physics/information/curve.h"
#include "physics/information/published_snr.h"
#include "physics/information/required_snr.h"
#include "standard/dvbt2/code.h"

/* What a code and constellation of DVB-T2 need, as the SNR of a data cell. */

/* A rotated set's is that of its unrotated one where both parts of a cell arrive alike, and counts
 * parts that fade apart where carriers differ. */
struct information_curve t2_curve(const struct t2_code *code);
double t2_limit_db(const struct t2_code *code, enum fading fading);
struct ideal_snr t2_ideal_snr(const struct t2_code *code, enum fading fading);

/* ETSI TS 102 831 table 44, long codes: simulated with a demapper that knows a cell's other bits
 * (genie-aided), so no bound of a real one. NAN for short codes. */
struct published_snr t2_published_snr(const struct t2_code *code, enum fading fading);

#endif
