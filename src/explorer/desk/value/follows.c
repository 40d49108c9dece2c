/* Each size asks the frame that follows: of a PLP the system, of subframes the transmission. */
#include "explorer/desk/value/follows.h"

#include <math.h>
#include <string.h>

#include "standard/atsc3/frame.h"
#include "system/space/space.h"
#include "system/system.h"

static double share_of_cells(const struct facts *plp)
{
    return 100.0 * plp->plp_share;
}

static double cells(const struct facts *plp)
{
    return plp->plp_cells;
}

static double cells_of_all(const struct facts *plp)
{
    return plp->pool_cells;
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
    double (*now)(const struct facts *plp);
    double (*most)(const struct facts *plp); /* NULL: the field's range decides */
    /* In the same places what the system's facts of a PLP do not tell. */
    double (*now_in)(const struct frame *frame, int item);
    double (*most_in)(const struct frame *frame, int item);
} rows[] = {
    {"plp", "share_percent", share_of_cells, NULL, NULL, NULL},
    {"plp", "cells", cells, cells_of_all, NULL, NULL},
    {"plp", "start", NULL, NULL, start, cells_most},
    {"plp", "subslice_interval", NULL, NULL, interval, cells_most},
    {"subframe", "symbols", NULL, NULL, symbols, symbols_most},
    {"subframe", "share_percent", NULL, NULL, share_of_time, NULL},
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

static double told(double (*of)(const struct facts *plp),
                   double (*in)(const struct frame *frame, int item),
                   const struct scenario *scenario, int item, double otherwise)
{
    const struct system *system = system_of(scenario, GENERATION_SECOND);
    struct facts plps[PLPS_MAX];
    struct frame frame;
    if (of != NULL) {
        return system->space->carry(scenario, plps, NULL) == STATUS_OK ? of(&plps[item])
                                                                       : otherwise;
    }
    return in != NULL && frame_build(&scenario->transmission, &frame, NULL) == STATUS_OK
               ? in(&frame, item)
               : otherwise;
}

double follows_number(const struct field *field, const struct scenario *scenario, int item)
{
    const struct row *row = row_of(field);
    return row ? told(row->now, row->now_in, scenario, item, NAN) : NAN;
}

double follows_most(const struct field *field, const struct scenario *scenario, int item)
{
    const struct row *row = row_of(field);
    return row ? told(row->most, row->most_in, scenario, item, INFINITY) : INFINITY;
}
