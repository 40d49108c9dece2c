#ifndef STANDARD_DVBT2_TABLE_CONTINUAL_H
#define STANDARD_DVBT2_TABLE_CONTINUAL_H

#include <stdint.h>

#include "standard/dvbt2/waveform.h"

/* Continual pilots as ETSI EN 302 755 V1.4.1 prints them, for pilots.c. */

#define T2_CONTINUAL_GROUPS 6

struct t2_pilot_list {
    int count;
    const uint16_t *carriers;
};

extern const struct t2_pilot_list t2_continual[T2_PILOTS_COUNT][T2_CONTINUAL_GROUPS];
extern const struct t2_pilot_list t2_continual_extended[T2_FFT_COUNT][T2_PILOTS_COUNT];

#endif
