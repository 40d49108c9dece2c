/* Noise, level and planning factors.
 *
 * Thermal noise is k T B at 290 K: 6 MHz give -106.2 dBm. The receiver adds its own (noise figure),
 * the surroundings add man-made noise: Fam = c - 27.7 log10(MHz) dB above k T B at the antenna's
 * terminals (ITU-R P.372 Part 6, 0.3 to 250 MHz). Above 250 MHz it is carried on, where it falls
 * below the thermal noise; for a city edition -8 had a branch of its own, 44.3 - 12.3 log10(MHz)
 * from 200 to 900 MHz, 10.0 dB at 615 MHz (one witness; later editions left it out, and ITU-R
 * BT.2033 plans with 0 to 1 dB in UHF): it is taken, as the safer one. Noise is taken to come from
 * everywhere, so that the antenna's gain does not change it.
 *
 * Fam is all that the antenna hears, so behind a line of loss l the sum is f = fr + (fa - 1) / l
 * (P.372 Part 2, all else at 290 K): what the antenna hears beyond warmth. Where fa is below 1 the
 * sky and the ground still give warmth.
 *
 * Field and level: a half-wave dipole (2.15 dBi) in a field E gives into its matched load
 * P = E^2 / Z0 x wavelength^2 / (4 pi) x gain, that is dBuV/m - 20 log10(MHz) - 75.07 in dBm.
 *
 * Planning factors: FCC OET Bulletin 69 Table 3 and Canadian BPR-10 Appendix 8; in ITU Region 1
 * those of fixed reception at 200 and 650 MHz (GE06, from memory), with the noise figure of ITU-R
 * BT.2033 and noise in the 7.61 of 8 MHz that carriers occupy; 2 dB of man-made noise in VHF.
 * Worked number: C/N 15 dB in UHF at 615 MHz: 15 + 130.8 - 10 + 4 - 106.2 + 7 = 40.6 dBuV/m. */
#include "physics/air/noise.h"

#include <math.h>
#include <stdbool.h>

#include "base/units.h"

#define BOLTZMANN_J_K 1.380649e-23 /* exact, BIPM, The International System of Units */
#define REFERENCE_K 290.0
#define MAN_MADE_SLOPE_DB 27.7
#define MAN_MADE_MAX_MHZ 250.0
#define FREE_SPACE_OHM 376.730313668
#define DIPOLE_DBI 2.15
#define PLANNING_NOISE_DBM (-106.2) /* OET Bulletin 69, in its 6 MHz */
#define PLANNING_NOISE_MHZ 6.0

double noise_thermal_dbm(double bandwidth_mhz)
{
    return db_from_ratio(BOLTZMANN_J_K * REFERENCE_K * bandwidth_mhz * 1e6 * 1e3);
}

double noise_man_made_db(enum man_made_noise kind, double center_mhz)
{
    static const double offset_db[MAN_MADE_COUNT] = {[MAN_MADE_NONE] = -INFINITY,
                                                     [MAN_MADE_RURAL] = 67.2,
                                                     [MAN_MADE_RESIDENTIAL] = 72.5,
                                                     [MAN_MADE_CITY] = 76.8};
    if (kind == MAN_MADE_CITY && center_mhz > MAN_MADE_MAX_MHZ) {
        return 44.3 - 12.3 * log10(center_mhz);
    }
    return offset_db[kind] - MAN_MADE_SLOPE_DB * log10(center_mhz);
}

double noise_total_dbm(const struct receiver *receiver, double bandwidth_mhz, double center_mhz)
{
    double heard = ratio_from_db(noise_man_made_db(receiver->man_made, center_mhz));
    double factor = ratio_from_db(receiver->noise_figure_db) +
                    fmax(heard - 1.0, 0.0) * ratio_from_db(-receiver->line_loss_db);
    return noise_thermal_dbm(bandwidth_mhz) + db_from_ratio(factor);
}

/* Of the channel's width, what carriers occupy: 7.61 of 8 MHz. */
#define OCCUPIED_SHARE (6817.0 / 8192.0 * 8.0 / 7.0)

static const struct {
    const char *source;
    struct planning_factors bands[BAND_COUNT];
    bool follows[BAND_COUNT]; /* the dipole factor is corrected for the frequency */
    bool occupied;            /* noise counts in what carriers occupy of the channel */
} plans[PLAN_COUNT] = {
    [PLAN_US] = {"FCC OET Bulletin 69",
                 {[BAND_LOW_VHF] = {69.0, -111.8, 4.0, 1.0, 10.0, 0.0},
                  [BAND_HIGH_VHF] = {194.0, -120.8, 6.0, 2.0, 10.0, 0.0},
                  [BAND_UHF] = {615.0, -130.8, 10.0, 4.0, 7.0, 0.0}},
                 {false, false, true},
                 false},
    [PLAN_REGION_1] = {"GE06 and ITU-R BT.2033",
                       {[BAND_LOW_VHF] = {200.0, -121.1, 7.0, 2.0, 6.0, 2.0},
                        [BAND_HIGH_VHF] = {200.0, -121.1, 7.0, 2.0, 6.0, 2.0},
                        [BAND_UHF] = {650.0, -131.3, 11.0, 4.0, 6.0, 0.0}},
                       {true, true, true},
                       true},
};

const struct planning_factors *planning_factors(enum channel_plan plan, enum band band)
{
    return &plans[plan].bands[band];
}

const char *planning_source(enum channel_plan plan)
{
    return plans[plan].source;
}

double noise_bandwidth_mhz(enum channel_plan plan, double bandwidth_mhz)
{
    return plans[plan].occupied ? OCCUPIED_SHARE * bandwidth_mhz : bandwidth_mhz;
}

double planning_field_dbuvm(enum channel_plan plan, double cn_db, double center_mhz,
                            double bandwidth_mhz)
{
    enum band band = rf_band(center_mhz);
    const struct planning_factors *factors = planning_factors(plan, band);
    double adjustment_db =
        plans[plan].follows[band] ? 20.0 * log10(factors->mean_mhz / center_mhz) : 0.0;
    double noise_dbm = plans[plan].occupied
                           ? noise_thermal_dbm(noise_bandwidth_mhz(plan, bandwidth_mhz))
                           : PLANNING_NOISE_DBM + db_from_ratio(bandwidth_mhz / PLANNING_NOISE_MHZ);
    return cn_db - factors->dipole_db - adjustment_db - factors->gain_dbd + factors->line_db +
           noise_dbm + factors->noise_figure_db + factors->man_made_db;
}

double level_from_field_dbm(double field_dbuvm, double center_mhz, double gain_dbd, double line_db)
{
    double wavelength_m = SPEED_OF_LIGHT_M_S / (center_mhz * 1e6);
    double area_m2 = wavelength_m * wavelength_m / (4.0 * PI);
    /* 1 uV/m: 1e-12 / Z0 watts a square metre, 1e3 milliwatts a watt. */
    double unit_dbm = db_from_ratio(1e-12 / FREE_SPACE_OHM * area_m2 * 1e3);
    return field_dbuvm + unit_dbm + DIPOLE_DBI + gain_dbd - line_db;
}
