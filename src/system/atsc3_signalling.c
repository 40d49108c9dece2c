/* Signalling against payload.
 *
 * Required SNR of L1: computed by decoding the shortened and punctured codes of A/322:2024-04
 * section 6.5 (sum-product, 50 iterations) until one block of 1000 is lost; +-0.2 dB. Between
 * counted lengths of L1-Detail the SNR follows the logarithm of the length, beyond them it stays.
 * A/327 Table 4.10 has -9.2 dB for mode 1 of L1-Basic, which agrees. The bootstrap decodes at -9.5
 * dB or lower (A/327). L1 has no time interleaving, so it should be at least 3 dB better than the
 * payload: that figure is a choice of this project. */
#include "system/atsc3_signalling.h"

#include <math.h>

#include "base/units.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/signalling.h"
#include "system/atsc3_plps.h"

#define L1_MODES 7
#define HEADROOM_DB 3.0

static const double l1_basic_snr_db[L1_MODES] = {-9.62, -3.09, 0.45, 5.00, 9.08, 14.11, 20.12};

/* Counted lengths and their SNR; the others are as the one before. */
#define LENGTHS 3
static const struct {
    int count;
    double bits[LENGTHS], snr_db[LENGTHS];
} l1_detail_rows[L1_MODES] = {
    {3, {200, 320, 1200}, {-8.18, -8.06, -8.02}},
    {2, {200, 320}, {-2.10, -1.78}},
    {3, {200, 320, 1200}, {0.18, 0.65, 1.50}},
    {2, {200, 320}, {4.92, 5.3}},
    {2, {200, 320}, {8.7, 9.40}},
    {1, {320}, {14.2}},
    {1, {320}, {21.1}},
};

double atsc3_l1_basic_snr_db(int mode)
{
    return l1_basic_snr_db[mode - 1];
}

double atsc3_l1_detail_snr_db(int mode, int bits)
{
    const double *lengths = l1_detail_rows[mode - 1].bits,
                 *snr_db = l1_detail_rows[mode - 1].snr_db;
    int last = l1_detail_rows[mode - 1].count - 1, i = 0;
    if (bits >= lengths[last]) {
        return snr_db[last];
    }
    if (bits <= lengths[0]) {
        return snr_db[0];
    }
    while (bits > lengths[i + 1]) {
        i++;
    }
    double part = log(bits / lengths[i]) / log(lengths[i + 1] / lengths[i]);
    return snr_db[i] + part * (snr_db[i + 1] - snr_db[i]);
}

double atsc3_signalling_snr_db(const struct transmission *transmission)
{
    const struct signalling *signalling = &transmission->signalling;
    int bits = signalling->l1_detail_bits > 0 ? signalling->l1_detail_bits
                                              : signalling_detail_bits(transmission);
    double basic_db = atsc3_l1_basic_snr_db(signalling->l1_basic_mode);
    double detail_db = atsc3_l1_detail_snr_db(signalling->l1_detail_mode, bits);
    return fmax(BOOTSTRAP_SNR_DB, fmax(basic_db, detail_db));
}

/* It disturbs like noise of its power: g / (1 - g 10^(-IL/10)) is needed in place of g. */
double atsc3_identification_loss_db(double snr_db, double below_db)
{
    double disturbed = ratio_from_db(snr_db - below_db);
    return disturbed < 1.0 ? -db_from_ratio(1.0 - disturbed) : INFINITY;
}

void atsc3_signalling_words(const struct scenario *scenario, struct text *out)
{
    const struct transmission *transmission = &scenario->transmission;
    struct frame frame;
    struct atsc3_plp plp;
    if (frame_build(transmission, &frame, NULL) != STATUS_OK) {
        return;
    }
    atsc3_plp_make(transmission, &frame, atsc3_most_robust(transmission, &frame), &plp);
    double signalling_db = atsc3_signalling_snr_db(transmission);
    text_printf(out, "Signalling: bootstrap, L1-Basic and L1-Detail decode from %.1f dB on",
                signalling_db);
    if (signalling_db > plp.ideal_db - HEADROOM_DB) {
        text_printf(out,
                    ", WARNING: less than %.0f dB below the %.1f dB (ideal) of the most robust "
                    "PLP; a fade takes the signalling first, and with it all. Choose more robust "
                    "modes of L1.",
                    HEADROOM_DB, plp.ideal_db);
    } else {
        text_printf(out, ", %.1f dB below the most robust PLP (ideal receivers).",
                    plp.ideal_db - signalling_db);
    }
    text_printf(
        out,
        " A transmitter's identification (TxID) costs it %.2f dB where it is strongest, %.0f "
        "dB below, and PLPs nothing.",
        atsc3_identification_loss_db(signalling_db, IDENTIFICATION_STRONGEST_DB),
        IDENTIFICATION_STRONGEST_DB);
    int structure = signalling_structure(transmission);
    if (structure >= 0) {
        text_printf(out, " The bootstrap tells preamble structure %d.", structure);
    } else {
        text_append(out, " No preamble structure tells of L1-Basic modes 6 and 7: such a frame "
                         "cannot be announced.");
    }
}
