#ifndef PHYSICS_INFORMATION_LAYERS_H
#define PHYSICS_INFORMATION_LAYERS_H

#include "physics/information/curve.h"

/* Two layers sent one upon the other, the enhanced one `injection_db` below the core: what SNR of
 * the whole signal (both layers over noise) each needs, from what its code needs alone. */

/* The other layer counts as noise. INFINITY: no SNR suffices, as the layer above is too strong. */
double layered_core_snr_db(double alone_db, double injection_db);
/* After the core is decoded and taken away without a rest. */
double layered_enhanced_snr_db(double alone_db, double injection_db);

/* The curve of a layer: from one of the constellation alone. */
struct information_curve layered_core_curve(struct information_curve alone, double injection_db);
struct information_curve layered_enhanced_curve(struct information_curve alone,
                                                double injection_db);

#endif
