#ifndef PHYSICS_AIR_INTERFERENCE_H
#define PHYSICS_AIR_INTERFERENCE_H

#include "standard/rf.h"

/* What a signal on this or another channel does to a digital television receiver, told as the power
 * of noise on the wanted channel that would do the same. Levels at the receiver's input. */

#define INTERFERENCE_OFFSET_MAX 15 /* channels; beyond, only third-order products count */

/* Desired over undesired power at which reception just holds of the signal that the plan's ratios
 * are of: 8-VSB, DVB-T with 64QAM 2/3. The offset is that of the undesired channel: -1 the lower
 * neighbour. -INFINITY where it is too large to matter. */
double interference_ratio_db(enum channel_plan plan, int offset, double desired_dbm);
double interference_as_noise_dbm(enum channel_plan plan, int offset, double undesired_dbm,
                                 double desired_dbm);
const char *interference_source(enum channel_plan plan);

/* The product on the wanted channel of two signals, the nearer one K channels away, the farther one
 * 2 K, in a receiver with this third-order intercept at its input. */
double interference_third_order_dbm(double near_dbm, double far_dbm, double intercept_dbm);

/* Ratio of desired to undesired power on the same channel at which a signal that needs `needed_db`
 * over noise just holds while noise alone leaves it `snr_db`; INFINITY where it needs all of it. */
double interference_co_channel_db(double needed_db, double snr_db);

/* Levels that receivers are made for: a desired signal, and each of several undesired ones. */
#define INPUT_DESIRED_MAX_DBM (-5.0)
#define INPUT_UNDESIRED_MAX_DBM (-8.0)

#endif
