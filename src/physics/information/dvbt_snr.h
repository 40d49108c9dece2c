#ifndef PHYSICS_INFORMATION_DVBT_SNR_H
#define PHYSICS_INFORMATION_DVBT_SNR_H

#include "physics/information/curve.h"
#include "physics/information/published_snr.h"
#include "physics/information/required_snr.h"
#include "standard/dvbt/signal.h"

/* What DVB-T's stream in question needs, as the SNR of a data cell. */

/* Of its bits of a cell. */
struct information_curve dvbt_curve(const struct dvbt *mode);
/* Mutual information equals code rate times bits. */
double dvbt_limit_db(const struct dvbt *mode, enum fading fading);
/* Bit error rate 2e-4 after the inner decoder, as the document counts. */
struct ideal_snr dvbt_ideal_snr(const struct dvbt *mode, enum fading fading);

/* EN 300 744 V1.6.1 table A.1, pilots' power counted: white noise, and the fixed Rayleigh channel
 * P1 of annex B; NAN for a hierarchy. */
struct published_snr dvbt_published_snr(const struct dvbt *mode, enum fading fading);

#endif
