/* Adding, removing, sliding and typing echoes; every value by its field. */
#include "explorer/echo/edit.h"

#include <math.h>

#include "base/text.h"
#include "scenario/section.h"

static const struct section *echoes(void)
{
    return section_find("echo");
}

const struct field *echo_field(int row, enum echo_column column)
{
    return row == ECHO_ROW_SNR ? field_named("receiver.snr_db")
                               : section_field_at(echoes(), (int)column);
}

/* What a field's offset counts in. */
static void *base_of(struct scenario *scenario, int row)
{
    return row == ECHO_ROW_SNR ? scenario : section_item_of(echoes(), scenario, row);
}

double echo_value(const struct scenario *scenario, int row, enum echo_column column)
{
    return field_number(echo_field(row, column),
                        row == ECHO_ROW_SNR ? scenario : section_item(echoes(), scenario, row));
}

bool echo_edit_add(struct scenario *scenario)
{
    double latest_us = 0.0;
    for (int i = 0; i < scenario->echo_count; i++) {
        latest_us = fmax(latest_us, scenario->echoes[i].delay_us);
    }
    char name[NAME_MAX_BYTES];
    int number = scenario->echo_count;
    do {
        text_format(name, sizeof name, "%d", ++number);
    } while (section_item_find(echoes(), scenario, name) >= 0);
    struct echo *echo = section_add(echoes(), scenario, name);
    if (!echo) {
        return false;
    }
    echo->delay_us = fmin(ceil(latest_us) + 5.0, ECHO_DELAY_MAX_US);
    echo->level_db = -10.0;
    return true;
}

void echo_edit_remove(struct scenario *scenario, int row)
{
    section_remove(echoes(), scenario, row);
}

void echo_edit_step(struct scenario *scenario, int row, enum echo_column column, int direction,
                    bool coarse)
{
    const struct field *field = echo_field(row, column);
    field_put(field, base_of(scenario, row),
              field_stepped(field, echo_value(scenario, row, column), direction, coarse));
}

enum status echo_edit_set(struct scenario *scenario, int row, enum echo_column column,
                          const char *text, struct fault *fault)
{
    const struct field *field = echo_field(row, column);
    char place[FIELD_TEXT_BYTES];
    field_name(field, place, sizeof place);
    return field_take(field, base_of(scenario, row), place, text, fault);
}
