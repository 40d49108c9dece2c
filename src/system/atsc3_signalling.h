#ifndef SYSTEM_ATSC3_SIGNALLING_H
#define SYSTEM_ATSC3_SIGNALLING_H

#include "base/text.h"
#include "scenario/scenario.h"

/* The SNR in white noise from which on bootstrap, L1-Basic and L1-Detail are read, of an ideal
 * receiver, one of 1000 lost. Where the payload needs less, the signalling fails first. */
#define BOOTSTRAP_SNR_DB (-9.5)
double atsc3_l1_basic_snr_db(int mode);            /* 1..7 */
double atsc3_l1_detail_snr_db(int mode, int bits); /* 1..7, information bits */
double
atsc3_signalling_snr_db(const struct transmission *transmission); /* the worst of the three */

/* What a transmitter's identification, so far below the first preamble symbol, costs what needs so
 * much there; PLPs lose nothing by it. */
#define IDENTIFICATION_STRONGEST_DB 9.0
double atsc3_identification_loss_db(double snr_db, double below_db);

/* Whether the signalling outlives the payload, and whether it can be signalled at all. */
void atsc3_signalling_words(const struct scenario *scenario, struct text *out);

#endif
