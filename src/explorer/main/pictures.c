#include "explorer/main/pictures.h"

#include <string.h>

#include "present/picture/pictures.h"

int main_picture_count(void)
{
    int count = 0;
    for (size_t i = 0; i < picture_kind_count(); i++) {
        const char *view = picture_kind_row(i)->view;
        count += view && strcmp(view, view_main.name) == 0;
    }
    return count < MAIN_PICTURES_MAX ? count : MAIN_PICTURES_MAX;
}

const char *main_picture_name(int which)
{
    return picture_kind_row((size_t)which)->title;
}

bool main_picture_make(int which, const struct explorer *explorer, struct picture *out)
{
    const struct picture_case shown = {.scenario = &explorer->profile.scenario,
                                       .report = &explorer->report,
                                       .pinned =
                                           explorer->pinned ? &explorer->pinned_report : NULL};
    *out = (struct picture){0};
    return explorer->report_known &&
           picture_kind_make(picture_kind_row((size_t)which), &shown, out);
}
