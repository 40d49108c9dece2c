/* The names of the forms in which results are written. */
#include "present/table/format.h"

#include <string.h>

static const char *const names[FORMAT_COUNT] = {[FORMAT_TEXT] = "text",
                                                [FORMAT_JSON] = "json",
                                                [FORMAT_CSV] = "csv",
                                                [FORMAT_MARKDOWN] = "markdown"};

int format_from_name(const char *name)
{
    for (int i = 0; i < FORMAT_COUNT; i++) {
        if (strcmp(name, names[i]) == 0) {
            return i;
        }
    }
    return -1;
}
