/* Noise, level and field strength. Thermal noise is kTB at 290 K; a receiver adds its noise figure;
 * man-made noise (ITU-R P.372, c - 27.7 log10(MHz) dB over kTB, constants from memory) comes in by
 * the antenna and loses what the line loses. The planning factors are those of FCC OET Bulletin 69:
 * E = C/N - Kd - Ka - G + L + Nt + Ns. Worked number: C/N 15 dB at 615 MHz asks for 15 + 130.8 - 10
 * + 4 - 106.2 + 7 = 40.6, printed as 41 dBuV/m in 47 CFR 73.622. */
#include "physics/noise.h"

#include <math.h>

#include "base/units.h"

#define BOLTZMANN_J_K 1.380649e-23 /* exact by the definition of the kelvin */
#define ROOM_K 290.0
#define PLANNING_THERMAL_DBM (-106.2) /* OET Bulletin 69, 6 MHz */

double noise_thermal_dbm(double bandwidth_mhz)
{
    return db_from_ratio(BOLTZMANN_J_K * ROOM_K * bandwidth_mhz * 1e6 * 1e3);
}

/* ITU-R P.372, from memory. */
static const double man_made_constant_db[MAN_MADE_COUNT] = {
    [MAN_MADE_RURAL] = 67.2, [MAN_MADE_RESIDENTIAL] = 72.5, [MAN_MADE_CITY] = 76.8};

double noise_man_made_db(enum man_made_noise kind, double center_mhz)
{
    return kind == MAN_MADE_NONE ? -INFINITY
                                 : man_made_constant_db[kind] - 27.7 * log10(center_mhz);
}

double noise_total_dbm(const struct receiver *receiver, double bandwidth_mhz, double center_mhz)
{
    double own = ratio_from_db(receiver->noise_figure_db);
    double man_made =
        ratio_from_db(noise_man_made_db(receiver->man_made, center_mhz) - receiver->line_loss_db);
    return noise_thermal_dbm(bandwidth_mhz) + db_from_ratio(own + man_made);
}

/* FCC OET Bulletin 69. */
static const struct planning_factors factors[BAND_COUNT] = {
    [BAND_LOW_VHF] = {69.0, -111.8, 4.0, 1.0, 10.0},
    [BAND_HIGH_VHF] = {194.0, -120.8, 6.0, 2.0, 10.0},
    [BAND_UHF] = {615.0, -130.8, 10.0, 4.0, 7.0},
};

const struct planning_factors *planning_factors(enum band band)
{
    return &factors[band];
}

double planning_field_dbuvm(double cn_db, double center_mhz)
{
    enum band band = rf_band(center_mhz);
    const struct planning_factors *row = planning_factors(band);
    double adjustment_db = band == BAND_UHF ? 20.0 * log10(row->mean_mhz / center_mhz) : 0.0;
    return cn_db - row->dipole_db - adjustment_db - row->gain_dbd + row->line_db +
           PLANNING_THERMAL_DBM + row->noise_figure_db;
}

double level_from_field_dbm(double field_dbuvm, double center_mhz, double gain_dbd, double line_db)
{
    return field_dbuvm - 20.0 * log10(center_mhz) - 75.07 + gain_dbd - line_db;
}
