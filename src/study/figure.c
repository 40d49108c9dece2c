/* Values of results by their rows: found, read, and written as people read them. */
#include "study/figure.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "base/units.h"

const struct figure *figure_find(const struct figure_table *table, const char *name)
{
    for (size_t i = 0; i < table->count; i++) {
        if (strcmp(table->rows[i].name, name) == 0) {
            return &table->rows[i];
        }
    }
    return NULL;
}

struct figure_list figures_named(const struct figure_table *table, const char *const *names)
{
    struct figure_list list = {0};
    for (; *names != NULL; names++) {
        const struct figure *figure = figure_find(table, *names);
        assert(figure != NULL && list.count < FIGURES_MAX);
        list.rows[list.count++] = figure;
    }
    return list;
}

struct figure_list figures_all(const struct figure_table *table)
{
    struct figure_list list = {0};
    assert(table->count <= FIGURES_MAX);
    for (size_t i = 0; i < table->count; i++) {
        list.rows[list.count++] = &table->rows[i];
    }
    return list;
}

double figure_number(const struct figure *figure, const void *result)
{
    double number = NAN;
    if (figure->number != NULL) {
        number = figure->number(result);
    } else if (figure->kind != FIGURE_WORD) {
        memcpy(&number, (const char *)result + figure->offset, sizeof number);
    }
    return number;
}

const char *figure_word(const struct figure *figure, const void *result)
{
    const char *word = NULL;
    if (figure->word != NULL) {
        word = figure->word(result);
    } else if (figure->kind == FIGURE_WORD) {
        memcpy(&word, (const char *)result + figure->offset, sizeof word);
    }
    return word;
}

void figure_number_text(double number, const char *unit, int decimals, char *buffer, size_t size)
{
    if (number == -INFINITY && unit != NULL && strcmp(unit, "dB") == 0) {
        text_format(buffer, size, "none");
    } else if (!isfinite(number)) {
        text_format(buffer, size, "-");
    } else {
        text_format(buffer, size, "%.*f", decimals, as_shown(number, decimals));
    }
}

void figure_text(const struct figure *figure, const void *result, char *buffer, size_t size)
{
    if (figure->text != NULL) {
        figure->text(result, buffer, size);
        return;
    }
    if (figure->kind == FIGURE_WORD) {
        const char *word = figure_word(figure, result);
        text_format(buffer, size, "%s", word != NULL ? word : "-");
        return;
    }
    double number = figure_number(figure, result);
    if (figure->kind == FIGURE_YES_NO && isfinite(number)) {
        text_format(buffer, size, number != 0.0 ? "yes" : "no");
    } else if (figure->kind == FIGURE_RATE && isfinite(number)) {
        text_format(buffer, size, number > 0.0 ? "%.*e" : "0", figure->decimals, number);
    } else {
        figure_number_text(number, figure->unit, figure->decimals, buffer, size);
    }
}

const char *figure_label(const struct figure *figure, const void *result)
{
    const char *label = figure->label_of != NULL ? figure->label_of(result) : NULL;
    return label != NULL ? label : figure->label;
}

const char *figure_brief(const struct figure *figure)
{
    return figure->brief != NULL ? figure->brief : figure->label;
}
