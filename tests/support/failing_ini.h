#ifndef SUPPORT_FAILING_INI_H
#define SUPPORT_FAILING_INI_H

/* Beside failing.h, where profiles are read. iniparser 4.1 does not survive a failed allocation of
 * its own, which is not ours to mend: src/profile/ini.c sees to it that there is room before. So
 * its allocations do not fail. Include it after `#define _GNU_SOURCE`. */

#include <dlfcn.h>
#include <iniparser/iniparser.h>
#include <string.h>

#include "support/failing.h"

dictionary *iniparser_load(const char *path)
{
    dictionary *(*load)(const char *);
    void *symbol = dlsym(RTLD_NEXT, "iniparser_load");
    memcpy(&load, &symbol, sizeof load);
    long left = countdown;
    countdown = -1;
    dictionary *values = load(path);
    countdown = left;
    return values;
}

#endif
