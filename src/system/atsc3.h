#ifndef SYSTEM_ATSC3_H
#define SYSTEM_ATSC3_H

#include "standard/atsc3/code.h"
#include "system/system.h"

/* What weighing takes apart: facts that follow from a code, made once for many structures. Those
 * that follow from a structure, made once for many codes, are atsc3_describe_plp's. */

/* Length, rate, constellation and what the pair needs of an ideal receiver. */
void atsc3_describe_code(const struct code *code, struct facts *facts);

#endif
