#include "support/longway.h"

#include <math.h>

enum status facts_with(const struct scenario *scenario, const struct transmission *transmission,
                       struct facts *facts, struct fault *fault)
{
    struct scenario other = *scenario;
    other.transmission = *transmission;
    return system_of(&other, GENERATION_SECOND)->describe(&other, PIPE_MOST_ROBUST, facts, fault);
}

double margin_at_db(const struct scenario *scenario, const struct place_station *station,
                    double distance_km)
{
    double snr_db = place_snr_at_db(scenario, station, distance_km);
    const struct verdict *here = &station->verdict;
    if (here->conditions.channel.count == 1) { /* alone, each dB of SNR is one of margin */
        return here->margin_db + snr_db - here->conditions.snr_db;
    }
    struct verdict there = *here;
    verdict_hold_position(&there);
    there.conditions.snr_db = snr_db;
    return verdict_solve(&there, NULL) == STATUS_OK ? there.margin_db : NAN;
}
