#ifndef PRESENT_PICTURE_VERDICT_H
#define PRESENT_PICTURE_VERDICT_H

#include "present/picture/picture.h"
#include "study/verdict/verdict.h"

/* The verdict as pictures, both generations in each. False where no SNR is known for either. */

/* The account: from the SNR, loss by loss, to what is to spare, one generation under the other. */
bool picture_account(const struct verdicts *verdicts, struct picture *out);

/* How the margin is spread over positions, best first; of the second generation's pipes, where any
 * are given, each by itself. */
bool picture_positions(const struct verdicts *verdicts, const struct verdict *pipes, int count,
                       struct picture *out);

/* Margin against time over ten seconds, as rays and receiver move. */
bool picture_time(const struct verdicts *verdicts, struct picture *out);

#endif
