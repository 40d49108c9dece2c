/* Which settings the main view offers, and how a value becomes the next one. */
#include "explorer/desk/settings.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "scenario/section.h"
#include "system/system.h"

/* A group goes from its first field on until another group begins. Those of one generation tell
 * its system. */
static const struct {
    const char *first, *heading;
    bool of_system;
    enum generation generation;
} groups[] = {
    {"mode.fft", "Second generation", true, GENERATION_SECOND},
    {"site.rf_channel", "Channel", false, 0},
    {"receiver.snr_db", "Receiver", false, 0},
    {"place.receive_height_m", "Place", false, 0},
    {"first.threshold_db", "First-generation receiver", true, GENERATION_FIRST},
    {"mode.interleaver", "Frame and signalling", false, 0},
};

int setting_count(void)
{
    size_t count = 0;
    while (count < field_count() && section_find(field_at(count)->section)->most == 0) {
        count++;
    }
    return (int)count;
}

const struct field *setting_field(int i)
{
    return field_at((size_t)i);
}

static size_t group_at(int i)
{
    for (; i > 0; i--) {
        for (size_t g = 0; g < sizeof groups / sizeof groups[0]; g++) {
            if (setting_field(i) == field_named(groups[g].first)) {
                return g;
            }
        }
    }
    return 0;
}

const char *setting_group(int i)
{
    return groups[group_at(i)].heading;
}

void setting_heading(int i, const struct scenario *scenario, char *buffer, size_t size)
{
    size_t g = group_at(i);
    if (groups[g].of_system) {
        text_format(buffer, size, "%s (%s)", groups[g].heading,
                    system_of(scenario, groups[g].generation)->name);
    } else {
        text_format(buffer, size, "%s", groups[g].heading);
    }
}

void setting_label(int i, char *buffer, size_t size)
{
    text_format(buffer, size, "%s", field_label(setting_field(i)));
    buffer[0] = (char)toupper((unsigned char)buffer[0]);
}

void setting_name(int i, char *buffer, size_t size)
{
    field_name(setting_field(i), buffer, size);
}

void setting_text(int i, const struct scenario *scenario, char *buffer, size_t size)
{
    field_format_unit(setting_field(i), scenario, buffer, size);
}

bool setting_is_number(int i)
{
    const struct field *field = setting_field(i);
    return field->type == FIELD_NUMBER ||
           (field->type == FIELD_WHOLE && field->high - field->low >= SETTING_FEW);
}

enum status setting_set(int i, const struct scenario *scenario, const char *text,
                        struct scenario *next, struct fault *fault)
{
    char name[FIELD_TEXT_BYTES];
    setting_name(i, name, sizeof name);
    *next = *scenario;
    enum status status = field_take(setting_field(i), next, name, text, fault);
    if (status == STATUS_OK) {
        scenario_repair(next);
    }
    return status;
}

void setting_choices(int i, const struct scenario *scenario, struct setting_choices *choices)
{
    const struct field *field = setting_field(i);
    struct scenario trial;
    *choices = (struct setting_choices){.at = -1};
    if (field->choice && field->word) {
        choices->at = isnan(field_number(field, scenario)) ? 0 : -1;
        field_write(field, NAN, choices->text[choices->count++], sizeof choices->text[0]);
    }
    for (double n = field->low; n <= field->high && choices->count < SETTING_CHOICES_MAX; n++) {
        trial = *scenario;
        field_put(field, &trial, n);
        scenario_repair(&trial); /* what is moved back was not legal */
        if (field_number(field, &trial) == n) {
            if (field_number(field, scenario) == n) {
                choices->at = choices->count;
            }
            field_write(field, n, choices->text[choices->count++], sizeof choices->text[0]);
        }
    }
}

double setting_position(int i, const struct scenario *scenario)
{
    const struct field *field = setting_field(i);
    double number = field_number(field, scenario);
    return isnan(number) ? NAN : (number - field->low) / (field->high - field->low);
}

static bool set_number(int i, const struct scenario *scenario, double number, struct scenario *next)
{
    const struct field *field = setting_field(i);
    *next = *scenario;
    field_put(field, next, number);
    scenario_repair(next);
    return !field_is_same(field, scenario, next);
}

bool setting_step(int i, const struct scenario *scenario, int direction, struct scenario *next)
{
    if (!setting_is_number(i)) {
        struct setting_choices choices;
        setting_choices(i, scenario, &choices);
        return setting_set_choice(i, scenario, choices.at + direction, next);
    }
    const struct field *field = setting_field(i);
    double number = field_stepped(field, field_number(field, scenario), direction, false);
    return set_number(i, scenario, number, next);
}

bool setting_set_share(int i, const struct scenario *scenario, double share, struct scenario *next)
{
    return set_number(i, scenario, field_at_share(setting_field(i), share), next);
}

bool setting_set_choice(int i, const struct scenario *scenario, int choice, struct scenario *next)
{
    struct setting_choices choices;
    setting_choices(i, scenario, &choices);
    return choice >= 0 && choice < choices.count && choice != choices.at &&
           setting_set(i, scenario, choices.text[choice], next, NULL) == STATUS_OK;
}

void setting_moved(int i, const struct scenario *before, const struct scenario *after, char *buffer,
                   size_t size)
{
    size_t used = 0;
    buffer[0] = '\0';
    for (int k = 0; k < setting_count(); k++) {
        char was[64], is[64];
        setting_text(k, before, was, sizeof was);
        setting_text(k, after, is, sizeof is);
        if (k != i && strcmp(was, is) != 0) {
            char label[32];
            setting_label(k, label, sizeof label);
            used += text_format(buffer + used, size - used, "%s%s %s", used ? ", " : "", label, is);
        }
    }
}
