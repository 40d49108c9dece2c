/* Rows of the main view from the one table of figures. */
#include "explorer/desk/quantities.h"

#include <math.h>
#include <string.h>

#include "base/text.h"
#include "study/explain/explain.h"

int quantity_count(void)
{
    return (int)figures_grouped().count;
}

const struct figure *quantity_row(int i)
{
    return figures_grouped().rows[i];
}

void quantity_name(int i, char *buffer, size_t size)
{
    const char *name = quantity_row(i)->name;
    text_format(buffer, size, "second.%s", name);
    if (explain_find(buffer) == NULL) {
        text_format(buffer, size, "first.%s", name);
    }
}

void quantity_change(int i, const struct report *report, const struct report *pinned, char *buffer,
                     size_t size)
{
    const struct figure *figure = quantity_row(i);
    double change = figure_number(figure, &report->verdicts.of[GENERATION_SECOND]) -
                    figure_number(figure, &pinned->verdicts.of[GENERATION_SECOND]);
    if (!isfinite(change)) {
        buffer[0] = '\0';
        return;
    }
    text_format(buffer, size, "%+.*f", figure->decimals, change);
    if (strspn(buffer, "+-0.") == strlen(buffer)) {
        text_format(buffer, size, "same");
    }
}
