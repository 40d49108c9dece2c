#ifndef STANDARD_ATSC3_INJECTION_H
#define STANDARD_ATSC3_INJECTION_H

/* Layered division multiplexing: how far the enhanced layer lies below the core. */

#define INJECTION_LEVELS 31
#define INJECTION_MAX_DB 25.0

double injection_db(int code); /* 0..30; Table 9.24 */
int injection_code(double db); /* -1: not a level */

/* Linear factors of Tables 6.15 and 6.16: sent is beta (core + alpha enhanced). */
double injection_alpha(int code);
double injection_beta(int code);

/* Shares of the power, which add up to 1. */
double injection_core_share(double db);
double injection_enhanced_share(double db);

#endif
