/* Values of keys as text and back. */
#include <math.h>
#include <stdbool.h>
#include <string.h>
#include <strings.h>

#include "base/number.h"
#include "base/text.h"
#include "scenario/keys.h"
#include "scenario/scenario.h"

#define NOT_KNOWN "none"

static double get_double(const struct key_row *row, const void *base)
{
    double value;
    memcpy(&value, (const char *)base + row->offset, sizeof value);
    return value;
}

static void set_double(const struct key_row *row, void *base, double value)
{
    memcpy((char *)base + row->offset, &value, sizeof value);
}

/* Enumerations have the size of int with every compiler that this project supports. */
_Static_assert(sizeof(enum guard) == sizeof(int), "choices are stored as int");

static int get_int(const struct key_row *row, const void *base)
{
    int value;
    memcpy(&value, (const char *)base + row->offset, sizeof value);
    return value;
}

static void set_int(const struct key_row *row, void *base, int value)
{
    memcpy((char *)base + row->offset, &value, sizeof value);
}

static bool get_bool(const struct key_row *row, const void *base)
{
    bool value;
    memcpy(&value, (const char *)base + row->offset, sizeof value);
    return value;
}

static void set_bool(const struct key_row *row, void *base, bool value)
{
    memcpy((char *)base + row->offset, &value, sizeof value);
}

void key_format(const struct key_row *row, const void *base, char *buffer, size_t size)
{
    char number[32];
    switch (row->type) {
    case KEY_DOUBLE:
    case KEY_OPTIONAL_DOUBLE:
        if (isnan(get_double(row, base))) {
            text_format(buffer, size, NOT_KNOWN);
        } else {
            number_write_double(number, sizeof number, get_double(row, base));
            text_format(buffer, size, "%s", number);
        }
        break;
    case KEY_INT:
        if (get_int(row, base) == 0 && row->low > 0) {
            text_format(buffer, size, NOT_KNOWN);
        } else {
            text_format(buffer, size, "%d", get_int(row, base));
        }
        break;
    case KEY_BOOL:
        text_format(buffer, size, "%s", get_bool(row, base) ? "yes" : "no");
        break;
    case KEY_CHOICE:
        text_format(buffer, size, "%s", row->choice_name(get_int(row, base)));
        break;
    case KEY_RATE:
        text_format(buffer, size, "%d/15", get_int(row, base));
        break;
    }
}

void key_allowed(const struct key_row *row, char *buffer, size_t size)
{
    size_t used = 0;
    buffer[0] = '\0';
    const char *space = row->unit[0] ? " " : "";
    switch (row->type) {
    case KEY_DOUBLE:
        text_format(buffer, size, "%g to %g%s%s", row->low, row->high, space, row->unit);
        break;
    case KEY_OPTIONAL_DOUBLE:
        text_format(buffer, size, "%g to %g%s%s, or " NOT_KNOWN, row->low, row->high, space,
                    row->unit);
        break;
    case KEY_INT:
        if (row->high - row->low <= 2) {
            for (int i = (int)row->low; i <= (int)row->high; i++) {
                used += text_format(buffer + used, size - used, "%s%d", used ? "|" : "", i);
            }
        } else {
            used = text_format(buffer, size, "%d to %d", (int)row->low, (int)row->high);
        }
        text_format(buffer + used, size - used, "%s%s", space, row->unit);
        break;
    case KEY_BOOL:
        text_format(buffer, size, "yes|no");
        break;
    case KEY_CHOICE:
        for (int i = 0; i < row->choice_count; i++) {
            used += text_format(buffer + used, size - used, "%s%s", used ? "|" : "",
                                row->choice_name(i));
        }
        break;
    case KEY_RATE:
        text_format(buffer, size, "%d/15 to %d/15", (int)row->low, (int)row->high);
        break;
    }
}

/* The readings below return NULL or what is wrong. */
static const char *read_double(const struct key_row *row, const char *value, double *number)
{
    if (row->type == KEY_OPTIONAL_DOUBLE && strcasecmp(value, NOT_KNOWN) == 0) {
        *number = NAN;
        return NULL;
    }
    if (!number_read_double(value, number)) {
        return "is not a number";
    }
    *number += 0.0; /* no negative zero */
    return *number >= row->low && *number <= row->high ? NULL : "is out of range";
}

static const char *read_int(const struct key_row *row, const char *value, int *number)
{
    if (!number_read_int(value, number)) {
        return "is not a whole number";
    }
    return *number >= row->low && *number <= row->high ? NULL : "is out of range";
}

static const char *read_rate(const struct key_row *row, const char *value, int *number)
{
    char numerator[16];
    const char *slash = strchr(value, '/');
    int denominator;
    if (!slash || slash - value >= (long)sizeof numerator ||
        !number_read_int(slash + 1, &denominator)) {
        return "is not a code rate";
    }
    text_format(numerator, sizeof numerator, "%.*s", (int)(slash - value), value);
    if (!number_read_int(numerator, number) || denominator != 15) {
        return "is not a code rate";
    }
    return *number >= row->low && *number <= row->high ? NULL : "is out of range";
}

static const char *read_choice(const struct key_row *row, const char *value, int *number)
{
    for (int i = 0; i < row->choice_count; i++) {
        if (strcasecmp(value, row->choice_name(i)) == 0) {
            *number = i;
            return NULL;
        }
    }
    return "is not one of the choices";
}

/* A site's values hang together: see scenario.h. */
static void store_int(const struct key_row *row, void *base, int number)
{
    if (strcmp(row->section, "site") == 0 && strcmp(row->key, "rf_channel") == 0) {
        scenario_set_channel(base, number);
    } else if (strcmp(row->section, "site") == 0 && strcmp(row->key, "bandwidth_mhz") == 0) {
        scenario_set_bandwidth(base, number);
    } else {
        set_int(row, base, number);
    }
}

static void store_double(const struct key_row *row, void *base, double number)
{
    if (strcmp(row->section, "site") == 0) {
        scenario_set_center(base, number);
    } else {
        set_double(row, base, number);
    }
}

enum status key_parse(const struct key_row *row, void *base, const char *place, const char *value,
                      struct fault *fault)
{
    const char *wrong = NULL;
    double real = 0.0;
    int number = 0;
    switch (row->type) {
    case KEY_DOUBLE:
    case KEY_OPTIONAL_DOUBLE:
        wrong = read_double(row, value, &real);
        break;
    case KEY_INT:
        wrong = read_int(row, value, &number);
        break;
    case KEY_RATE:
        wrong = read_rate(row, value, &number);
        break;
    case KEY_CHOICE:
        wrong = read_choice(row, value, &number);
        break;
    case KEY_BOOL:
        number = strcasecmp(value, "yes") == 0;
        wrong = number || strcasecmp(value, "no") == 0 ? NULL : "is neither yes nor no";
        break;
    }
    if (wrong) {
        char allowed[384];
        key_allowed(row, allowed, sizeof allowed);
        enum status status = strstr(wrong, "range") ? STATUS_OUT_OF_RANGE : STATUS_MALFORMED;
        if (value[0] == '\0') {
            return fault_set(fault, STATUS_MALFORMED, place, allowed, "has no value");
        }
        return fault_set(fault, status, place, allowed, "\"%s\" %s", value, wrong);
    }
    if (row->type == KEY_DOUBLE || row->type == KEY_OPTIONAL_DOUBLE) {
        store_double(row, base, real);
    } else if (row->type == KEY_BOOL) {
        set_bool(row, base, number != 0);
    } else {
        store_int(row, base, number);
    }
    return STATUS_OK;
}
