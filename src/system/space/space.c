/* What modes of all spaces have in common. */
#include "system/space/space.h"

#include "base/text.h"
#include "scenario/field.h"

double space_used_share(const struct space_geometry *geometry, const struct space_code *code)
{
    if (!code->whole_blocks) {
        return 1.0;
    }
    long blocks = geometry->cells / code->block_cells;
    return (double)(blocks * code->block_cells) / (double)geometry->cells;
}

void space_name(const struct system_space *space, const uint8_t *geometry, const uint8_t *code,
                bool whole, char *buffer, size_t size)
{
    size_t used = 0;
    text_format(buffer, size, "%s", "");
    for (int c = 0; c < space->choice_count; c++) {
        const struct space_choice *choice = &space->choices[c];
        bool given = choice->of_code ? code != NULL : geometry != NULL;
        if (!given || (choice->folds && !whole)) {
            continue;
        }
        int number = choice->of_code ? code[c] : geometry[c];
        char value[FIELD_TEXT_BYTES];
        field_write(field_named(choice->key), number, value, sizeof value);
        used += text_format(buffer + used, size - used, "%s%s", used > 0 ? choice->before : "",
                            choice->marks ? choice->marks[number] : value);
    }
}

void space_put(const struct system_space *space, const uint8_t *geometry, const uint8_t *code,
               struct scenario *scenario)
{
    for (int c = 0; c < space->choice_count; c++) {
        const uint8_t *numbers = space->choices[c].of_code ? code : geometry;
        if (numbers != NULL) {
            field_put(field_named(space->choices[c].key), scenario, numbers[c]);
        }
    }
}
