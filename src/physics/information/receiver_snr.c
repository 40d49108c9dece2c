/* The C/N that a real receiver needs: ATSC A/327 Annex B,
 *     C/N = -10 log10(10^-((ideal + A + Dpilot + IM) / 10) - 10^(BN / 10)),
 * A = 0.5 dB, IM = Lce + 0.5 dB, Lce = 10 log10(1 + g / scattered pilot power), g the mean noise
 * gain of linear interpolation over the Dy symbols: 3/4 for Dy = 2, 11/16 for Dy = 4. BN is the
 * receiver's own noise, which no signal level overcomes.
 *
 * The second pair is planned by the same shape with other constants (ETSI TS 102 831 clause 14, EBU
 * Tech 3348, from memory; their own numbers were not at hand): pilots, a fixed loss for real
 * channel estimation and implementation, then a noise floor at -33 dB. The fixed loss of 1.15 dB is
 * fitted: with the pilots of 32K (0.33 to 0.48 dB) it makes ITU-R BT.2033-2 table 2 of the ideal
 * SNRs, whose mean difference is 1.55 dB.
 *
 * Worked number: 64QAM 11/15 short code, 8K, SP4_4, boost 1: ideal 14.52, Lce 1.55, C/N 17.5 dB. */
#include <math.h>

#include "base/units.h"
#include "physics/information/required_snr.h"

#define ADDITIONAL_LOSS_DB 0.5       /* A */
#define IMPLEMENTATION_MARGIN_DB 0.5 /* the fixed part of IM */

double receiver_estimation_loss_db(const struct ofdm_grid *grid)
{
    double gain = grid->dy == 2 ? 3.0 / 4.0 : 11.0 / 16.0;
    return db_from_ratio(1.0 + gain / grid->pilot_power);
}

double receiver_backstop_db(enum constellation constellation)
{
    return constellation == QAM1024 || constellation == QAM4096 ? -38.0 : -33.0;
}

double receiver_loss_db(const struct ofdm_grid *grid)
{
    return ADDITIONAL_LOSS_DB + db_from_ratio(grid->mean_power) +
           receiver_estimation_loss_db(grid) + IMPLEMENTATION_MARGIN_DB;
}

#define PLANNING_FIXED_DB 1.15

static double above_floor_db(double snr_db, double floor_db)
{
    double noise = ratio_from_db(-snr_db) - ratio_from_db(floor_db);
    return noise > 0.0 ? -db_from_ratio(noise) : isnan(noise) ? NAN : INFINITY;
}

double receiver_planning_loss_db(const struct ofdm_grid *grid)
{
    return db_from_ratio(grid->mean_power) + PLANNING_FIXED_DB;
}

double receiver_planning_snr_db(const struct ofdm_grid *grid, double ideal_db)
{
    return above_floor_db(ideal_db + receiver_planning_loss_db(grid), RECEIVER_PLANNING_FLOOR_DB);
}

double receiver_snr_from_ideal_db(const struct ofdm_grid *grid, double backstop_db, double ideal_db)
{
    return above_floor_db(ideal_db + receiver_loss_db(grid), backstop_db);
}
