#include "explorer/explorer.h"

static const struct view *const views[] = {
    &view_main, &view_echo, &view_weigh, &view_read, &view_place, &view_prove,
};

_Static_assert(sizeof views / sizeof views[0] <= VIEWS_MAX, "room for the state of every view");

int view_count(void)
{
    return (int)(sizeof views / sizeof views[0]);
}

const struct view *view_row(int i)
{
    return views[i];
}
