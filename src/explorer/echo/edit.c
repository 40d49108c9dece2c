/* Adding, removing, sliding and typing echoes; every field by its row in the table of keys. */
#include "explorer/echo/edit.h"

#include <math.h>
#include <string.h>

#include "base/text.h"
#include "study/verdict/sweep.h"

#define FIRST_STEP_SNR_DB 20.0 /* where the first step starts while no SNR is known */

static const char *const field_keys[ECHO_FIELD_COUNT] = {
    [ECHO_DELAY] = "delay_us",
    [ECHO_LEVEL] = "level_db",
    [ECHO_PHASE] = "phase_deg",
    [ECHO_DOPPLER] = "doppler_hz",
};

const struct key_row *echo_field_key(int row, enum echo_field field)
{
    return row == ECHO_ROW_SNR ? key_find("receiver", "snr_db")
                               : key_find("echo", field_keys[field]);
}

/* What a key's offset counts in. */
static void *base_of(struct scenario *scenario, int row)
{
    return row == ECHO_ROW_SNR ? (void *)scenario : (void *)&scenario->echoes[row];
}

double echo_field_value(const struct scenario *scenario, int row, enum echo_field field)
{
    const char *base = row == ECHO_ROW_SNR ? (const void *)scenario : &scenario->echoes[row];
    double value;
    memcpy(&value, base + echo_field_key(row, field)->offset, sizeof value);
    return value;
}

static bool name_is_taken(const struct scenario *scenario, const char *name)
{
    for (int i = 0; i < scenario->echo_count; i++) {
        if (strcmp(scenario->echo_names[i], name) == 0) {
            return true;
        }
    }
    return false;
}

bool echo_edit_add(struct scenario *scenario)
{
    if (scenario->echo_count == ECHOES_MAX) {
        return false;
    }
    int row = scenario->echo_count;
    double latest_us = 0.0;
    for (int i = 0; i < row; i++) {
        latest_us = fmax(latest_us, scenario->echoes[i].delay_us);
    }
    char name[NAME_MAX_BYTES];
    int number = row;
    do {
        text_format(name, sizeof name, "%d", ++number);
    } while (name_is_taken(scenario, name));
    memset(scenario->echo_names[row], 0, sizeof scenario->echo_names[row]);
    text_format(scenario->echo_names[row], sizeof scenario->echo_names[row], "%s", name);
    scenario->echoes[row] = (struct echo){
        .delay_us = fmin(ceil(latest_us) + 5.0, ECHO_DELAY_MAX_US), .level_db = -10.0};
    scenario->echo_count++;
    return true;
}

void echo_edit_remove(struct scenario *scenario, int row)
{
    int last = --scenario->echo_count;
    for (int i = row; i < last; i++) {
        scenario->echoes[i] = scenario->echoes[i + 1];
        memcpy(scenario->echo_names[i], scenario->echo_names[i + 1],
               sizeof scenario->echo_names[0]);
    }
    scenario->echoes[last] = (struct echo){0};
    memset(scenario->echo_names[last], 0, sizeof scenario->echo_names[last]);
}

/* Fine near the main signal, where nanoseconds count. */
static double delay_step_us(double delay_us, int direction)
{
    /* Leaving a decade's edge towards 0 takes the finer step. */
    double towards = delay_us + direction * 1e-6 * fabs(delay_us);
    double size = fabs(towards);
    return size < 0.2 - 1e-9 ? 0.01 : size < 2.0 - 1e-9 ? 0.1 : 1.0;
}

void echo_edit_step(struct scenario *scenario, int row, enum echo_field field, int direction,
                    bool coarse)
{
    static const double steps[ECHO_FIELD_COUNT] = {
        [ECHO_LEVEL] = 0.5, [ECHO_PHASE] = 5.0, [ECHO_DOPPLER] = 0.5};
    const struct key_row *key = echo_field_key(row, field);
    double value = echo_field_value(scenario, row, field);
    double step = row == ECHO_ROW_SNR   ? 0.5
                  : field == ECHO_DELAY ? delay_step_us(value, direction)
                                        : steps[field];
    step *= coarse ? 10.0 : 1.0;
    double from = !isnan(value) ? value : row == ECHO_ROW_SNR ? FIRST_STEP_SNR_DB : 0.0;
    double next = (round(from / step) + direction) * step;
    if (!coarse && fabs(next - from) < 0.5 * step) {
        next += direction * step;
    }
    if (row != ECHO_ROW_SNR && field == ECHO_PHASE) {
        next = next >= 360.0 ? next - 360.0 : next < 0.0 ? next + 360.0 : next;
    }
    next = fmin(fmax(round(next * 1e6) / 1e6 + 0.0, key->low), key->high);
    memcpy((char *)base_of(scenario, row) + key->offset, &next, sizeof next);
}

enum status echo_edit_set(struct scenario *scenario, int row, enum echo_field field,
                          const char *text, struct fault *fault)
{
    const struct key_row *key = echo_field_key(row, field);
    char place[128];
    text_format(place, sizeof place, "%s.%s", key->section, key->key);
    return key_parse(key, base_of(scenario, row), place, text, fault);
}
