/* Each size asks the frame that follows from the transmission. */
#include "explorer/desk/value/follows.h"

#include <math.h>
#include <string.h>

#include "standard/atsc3/frame.h"

static double share_of_cells(const struct frame *frame, int plp)
{
    const struct slot *slot = &frame->slots[plp];
    return 100.0 * (double)slot->cells / (double)frame->pools[slot->subframe].cells;
}

static double cells(const struct frame *frame, int plp)
{
    return (double)frame->slots[plp].cells;
}

static double start(const struct frame *frame, int plp)
{
    return (double)frame->slots[plp].start;
}

static double interval(const struct frame *frame, int plp)
{
    return (double)frame->slots[plp].interval;
}

static double cells_most(const struct frame *frame, int plp)
{
    return (double)frame->pools[frame->slots[plp].subframe].cells;
}

static double symbols(const struct frame *frame, int subframe)
{
    return frame->pools[subframe].symbols;
}

static double symbols_most(const struct frame *frame, int subframe)
{
    double whole_ms = frame->duration_ms, own_ms = frame->pools[subframe].duration_ms;
    return floor(symbols(frame, subframe) * whole_ms / own_ms);
}

static double share_of_time(const struct frame *frame, int subframe)
{
    return 100.0 * frame->pools[subframe].duration_ms /
           (frame->duration_ms - frame->pools[0].start_ms);
}

static const struct row {
    const char *section, *name;
    double (*now)(const struct frame *frame, int item);
    double (*most)(const struct frame *frame, int item); /* NULL: the field's range decides */
} rows[] = {
    {"plp", "share_percent", share_of_cells, NULL},
    {"plp", "cells", cells, cells_most},
    {"plp", "start", start, cells_most},
    {"plp", "subslice_interval", interval, cells_most},
    {"subframe", "symbols", symbols, symbols_most},
    {"subframe", "share_percent", share_of_time, NULL},
};

static const struct row *row_of(const struct field *field)
{
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (strcmp(field->name, rows[i].name) == 0 &&
            strcmp(field->section, rows[i].section) == 0) {
            return &rows[i];
        }
    }
    return NULL;
}

double follows_number(const struct field *field, const struct scenario *scenario, int item)
{
    struct frame frame;
    const struct row *row = row_of(field);
    return row && frame_build(&scenario->transmission, &frame, NULL) == STATUS_OK
               ? row->now(&frame, item)
               : NAN;
}

double follows_most(const struct field *field, const struct scenario *scenario, int item)
{
    struct frame frame;
    const struct row *row = row_of(field);
    return row && row->most && frame_build(&scenario->transmission, &frame, NULL) == STATUS_OK
               ? row->most(&frame, item)
               : INFINITY;
}
