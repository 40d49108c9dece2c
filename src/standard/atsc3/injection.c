/* Levels of the enhanced layer of layered division multiplexing.
 *
 * Idea: what is sent is x = beta (core + alpha enhanced), with both constellations of unit power,
 * alpha = 10^(-IL/20) and beta = 1/sqrt(1 + alpha^2), so that x has unit power (ATSC A/322:2024-04
 * section 6.4, Tables 6.15 and 6.16). Codes 0 to 10 of L1D_plp_ldm_injection_level are 0 to 5 dB by
 * 0.5, codes 11 to 30 are 6 to 25 dB by 1 (Table 9.24 of the 2024 edition); code 31 is reserved.
 * Worked number: 4 dB: alpha 0.6309573, beta 0.8457262, the core has 0.7153 of the power. */
#include "standard/atsc3/injection.h"

#include <math.h>

#include "base/units.h"

#define FINE_CODES 11 /* half a dB apart */

double injection_db(int code)
{
    return code < FINE_CODES ? 0.5 * code : code - FINE_CODES + 6.0;
}

int injection_code(double db)
{
    for (int code = 0; code < INJECTION_LEVELS; code++) {
        if (injection_db(code) == db) {
            return code;
        }
    }
    return -1;
}

double injection_alpha(int code)
{
    return sqrt(ratio_from_db(-injection_db(code)));
}

double injection_beta(int code)
{
    double alpha = injection_alpha(code);
    return 1.0 / sqrt(1.0 + alpha * alpha);
}

double injection_core_share(double db)
{
    return 1.0 / (1.0 + ratio_from_db(-db));
}

double injection_enhanced_share(double db)
{
    return 1.0 - injection_core_share(db);
}
