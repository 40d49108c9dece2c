/* How a value becomes the next one, by its field: what it may be, a step of it, what moves with it.
 */
#include "explorer/desk/value/value.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "explorer/desk/value/follows.h"
#include "system/space/space.h"
#include "system/system.h"

struct value value_of(const struct field *field)
{
    return (struct value){section_find(field->section), field, 0};
}

bool value_at(const struct section *section, int item, int n, struct value *value)
{
    *value = (struct value){section, n > 0 ? section_field_at(section, n - 1) : NULL, item};
    return n == 0 || value->field != NULL;
}

static const void *base_of(const struct value *value, const struct scenario *scenario)
{
    return section_item(value->section, scenario, value->item);
}

static void *base_in(const struct value *value, struct scenario *scenario)
{
    return section_item_of(value->section, scenario, value->item);
}

static double number_of(const struct value *value, const struct scenario *scenario)
{
    return field_number(value->field, base_of(value, scenario));
}

/* ---- Words. ---- */

void value_label(const struct value *value, char *buffer, size_t size)
{
    text_format(buffer, size, "%s", value->field ? field_label(value->field) : "name");
    buffer[0] = (char)toupper((unsigned char)buffer[0]);
}

void value_name(const struct value *value, char *buffer, size_t size)
{
    buffer[0] = '\0';
    if (value->field) {
        field_name(value->field, buffer, size);
    }
}

void value_text(const struct value *value, const struct scenario *scenario, char *buffer,
                size_t size)
{
    const struct field *field = value->field;
    if (field && !field_is_text(field) && !field->word &&
        isnan(number_of(value, scenario))) { /* another key stands in its place */
        buffer[0] = '\0';
    } else if (field) {
        field_format_unit(field, base_of(value, scenario), buffer, size);
    } else {
        text_format(buffer, size, "%s", section_item_name(value->section, scenario, value->item));
    }
    if (buffer[0] == '\0') {
        text_format(buffer, size, "-");
    }
}

void value_typed(const struct value *value, const struct scenario *scenario, char *buffer,
                 size_t size)
{
    buffer[0] = '\0';
    if (!value->field) {
        value_text(value, scenario, buffer, size);
    } else if (field_is_text(value->field) || !isnan(number_of(value, scenario))) {
        field_format(value->field, base_of(value, scenario), buffer, size);
    }
}

void value_allowed(const struct value *value, char *buffer, size_t size)
{
    if (value->field) {
        field_allowed(value->field, buffer, size);
    } else {
        text_format(buffer, size, "a name");
    }
}

/* ---- Choices. ---- */

enum value_kind value_kind(const struct value *value)
{
    const struct field *field = value->field;
    if (!field || (field_is_text(field) && !field->names_of)) {
        return VALUE_TYPED;
    }
    bool many = field->type == FIELD_WHOLE && field->high - field->low >= CHOICES_FEW;
    return field->type == FIELD_NUMBER || many ? VALUE_NUMBER : VALUE_CHOSEN;
}

/* Sections stand in place of what [mode] says of its one PLP. */
static bool has_sections_of_its_own(const struct scenario *scenario)
{
    for (size_t i = 0; i < section_count(); i++) {
        const struct section *section = section_at(i);
        if (section->leave != NULL && section_counts_in(section, scenario->site.pair) &&
            section_items(section, scenario) > 0) {
            return true;
        }
    }
    return false;
}

/* What has sections of its own must find room too; repair sees to the plain case. */
static enum status check_room(const struct scenario *scenario, struct fault *fault)
{
    return has_sections_of_its_own(scenario)
               ? system_of(scenario, GENERATION_SECOND)->space->carry(scenario, NULL, fault)
               : STATUS_OK;
}

static void add_choice(const struct value *value, const struct scenario *scenario, const char *text,
                       struct choices *choices)
{
    char now[FIELD_TEXT_BYTES];
    struct scenario trial;
    field_format(value->field, base_of(value, scenario), now, sizeof now);
    bool present = strcasecmp(now, text) == 0;
    if (choices->count == CHOICES_MAX) {
        return;
    }
    if (!present) { /* what is moved back is not legal, nor is what finds no room */
        char after[FIELD_TEXT_BYTES];
        if (value_set(value, scenario, text, &trial, NULL) != STATUS_OK ||
            check_room(&trial, NULL) != STATUS_OK) {
            return;
        }
        field_format(value->field, base_of(value, &trial), after, sizeof after);
        if (strcasecmp(after, text) != 0) {
            return;
        }
    }
    choices->at = present ? choices->count : choices->at;
    text_format(choices->text[choices->count++], sizeof choices->text[0], "%s", text);
}

void value_choices(const struct value *value, const struct scenario *scenario,
                   struct choices *choices)
{
    const struct field *field = value->field;
    *choices = (struct choices){.at = -1};
    if (field_is_text(field)) {
        const struct section *named = section_find(field->names_of);
        for (int i = 0; i < section_items(named, scenario); i++) {
            add_choice(value, scenario, section_item_name(named, scenario, i), choices);
        }
        return;
    }
    if (field->word) {
        add_choice(value, scenario, field->word, choices);
    }
    for (int n = (int)field->low; n <= (int)field->high; n++) {
        char text[FIELD_TEXT_BYTES];
        field_write(field, n, text, sizeof text);
        add_choice(value, scenario, text, choices);
    }
}

/* ---- Changes. ---- */

/* A key stands in place of another, never beside it. */
static void drop_other(const struct value *value, struct scenario *scenario)
{
    const struct field *field = value->field;
    if (field->instead_of && !field->put && !isnan(number_of(value, scenario))) {
        field_clear(field_beside(field, field->instead_of), base_in(value, scenario));
    }
}

enum status value_set(const struct value *value, const struct scenario *scenario, const char *text,
                      struct scenario *next, struct fault *fault)
{
    *next = *scenario;
    if (!value->field) {
        return section_rename(value->section, next, value->item, text, fault);
    }
    char title[NAME_MAX_BYTES + 16], place[NAME_MAX_BYTES + FIELD_TEXT_BYTES];
    section_item_title(value->section, scenario, value->item, title, sizeof title);
    text_format(place, sizeof place, "%s.%s", title, value->field->name);
    enum status status = field_take(value->field, base_in(value, next), place, text, fault);
    if (status == STATUS_OK) {
        drop_other(value, next);
        scenario_repair(next);
    }
    return status;
}

bool value_forget(const struct value *value, const struct scenario *scenario, struct scenario *next)
{
    const struct field *field = value->field;
    if (!field || (!field->word && !isnan(field->plain))) {
        return false;
    }
    *next = *scenario;
    field_put(field, base_in(value, next), NAN);
    scenario_repair(next);
    return !field_is_same(field, base_of(value, scenario), base_of(value, next));
}

/* Said, or else what it is because nothing is said. */
static double present(const struct value *value, const struct scenario *scenario)
{
    double number = number_of(value, scenario);
    return isnan(number) ? follows_number(value->field, scenario, value->item) : number;
}

static void put_number(const struct value *value, const struct scenario *scenario, double number,
                       struct scenario *next)
{
    *next = *scenario;
    field_put(value->field, base_in(value, next), number);
    drop_other(value, next);
    scenario_repair(next);
}

/* Numbers between which there is nothing to choose. */
static double grain(const struct field *field)
{
    double fine = field->finest > 0.0 ? field->finest : field->step / 50.0;
    return field->type == FIELD_WHOLE ? 1.0 : fmax(fine, 1e-3);
}

/* From a number that finds room towards one that does not: the last that does. */
static double as_far_as(const struct value *value, const struct scenario *scenario, double from,
                        double to)
{
    double step = to > from ? grain(value->field) : -grain(value->field);
    double good = 0.0, bad = ceil((to - from) / step);
    while (bad - good > 1.0) {
        struct scenario trial;
        double middle = floor((good + bad) / 2.0);
        put_number(value, scenario, from + middle * step, &trial);
        *(check_room(&trial, NULL) == STATUS_OK ? &good : &bad) = middle;
    }
    return from + good * step;
}

static bool set_number(const struct value *value, const struct scenario *scenario, double number,
                       struct scenario *next, struct fault *short_of)
{
    struct fault fault = {0};
    double from = present(value, scenario);
    if (!isnan(number) && !field_may_be(value->field, base_of(value, scenario), number)) {
        *next = *scenario; /* as of channels between two bands */
        return false;
    }
    put_number(value, scenario, number, next);
    if (check_room(next, &fault) != STATUS_OK && !isnan(from)) {
        number = as_far_as(value, scenario, from, number);
        put_number(value, scenario, number, next);
    }
    if (short_of) {
        *short_of = fault;
    }
    return !field_is_same(value->field, base_of(value, scenario), base_of(value, next));
}

#define STEPS_OVER 4 /* of what is not legal */

bool value_step(const struct value *value, const struct scenario *scenario, int direction,
                struct scenario *next, struct fault *short_of)
{
    if (short_of) {
        *short_of = (struct fault){0};
    }
    if (value_kind(value) == VALUE_TYPED) {
        return false;
    }
    if (value_kind(value) == VALUE_CHOSEN) {
        struct choices choices;
        value_choices(value, scenario, &choices);
        return value_set_choice(value, scenario, choices.at + direction, next);
    }
    double number = present(value, scenario);
    bool changed = false;
    for (int i = 0; i < STEPS_OVER && !changed; i++) {
        number = field_stepped_at(value->field, base_of(value, scenario), number, direction, false);
        changed = set_number(value, scenario, number, next, short_of);
    }
    return changed;
}

/* The part of a range that there is room for. */
static double high_of(const struct value *value, const struct scenario *scenario)
{
    return fmin(value->field->high, follows_most(value->field, scenario, value->item));
}

double value_position(const struct value *value, const struct scenario *scenario)
{
    double number = number_of(value, scenario), low = value->field->low;
    double share = (number - low) / (high_of(value, scenario) - low);
    return isnan(number) ? NAN : fmin(share, 1.0);
}

bool value_set_share(const struct value *value, const struct scenario *scenario, double share,
                     struct scenario *next, struct fault *short_of)
{
    struct field part = *value->field;
    part.high = high_of(value, scenario);
    return set_number(value, scenario, field_at_share(&part, share), next, short_of);
}

bool value_set_choice(const struct value *value, const struct scenario *scenario, int choice,
                      struct scenario *next)
{
    struct choices choices;
    value_choices(value, scenario, &choices);
    return choice >= 0 && choice < choices.count && choice != choices.at &&
           value_set(value, scenario, choices.text[choice], next, NULL) == STATUS_OK;
}

/* ---- What moves with it. ---- */

static bool is_told_elsewhere(const struct field *field, const struct scenario *scenario)
{
    return field->same_as || section_has_instead(field, scenario);
}

/* "Guard GI7_2048", of an item with a name "Layer core (plp roof)". */
static size_t tell(const struct value *value, const struct scenario *after, char *buffer,
                   size_t size)
{
    char label[32], text[FIELD_TEXT_BYTES + 16], title[NAME_MAX_BYTES + 16];
    value_label(value, label, sizeof label);
    value_text(value, after, text, sizeof text);
    section_item_title(value->section, after, value->item, title, sizeof title);
    bool named = value->section->most > 0;
    return text_format(buffer, size, "%s %s%s%s%s", label, text, named ? " (" : "",
                       named ? title : "", named ? ")" : "");
}

void value_moved(const struct value *value, const struct scenario *before,
                 const struct scenario *after, char *buffer, size_t size)
{
    size_t used = 0;
    buffer[0] = '\0';
    for (size_t s = 0; s < section_count(); s++) {
        struct value other = {.section = section_at(s)};
        int items = section_items(other.section, after);
        if (items != section_items(other.section, before)) {
            continue; /* added or removed: said by who did it */
        }
        while ((other.field = section_field_after(other.section, other.field)) != NULL) {
            for (other.item = 0; other.item < items; other.item++) {
                bool own = other.field == value->field && other.item == value->item;
                if (!own && !is_told_elsewhere(other.field, after) &&
                    !field_is_same(other.field, base_of(&other, before), base_of(&other, after))) {
                    used += text_format(buffer + used, size - used, used ? ", " : "");
                    used += tell(&other, after, buffer + used, size - used);
                }
            }
        }
    }
}
