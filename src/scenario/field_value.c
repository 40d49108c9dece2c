/* Values of fields: as numbers in a scenario, as text, and their steps. */
#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/number.h"
#include "base/text.h"
#include "scenario/field.h"
#include "scenario/section.h"
#include "scenario/use.h"

#define NOT_SAID "none" /* where a row has no word for it */

/* ---- As numbers. ---- */

/* Enumerations have the size of int with every compiler that this project supports. */
enum any_choice { ANY_CHOICE };
_Static_assert(sizeof(enum any_choice) == sizeof(int), "choices are stored as int");

/* What stands for NAN among whole numbers: 0 where that is no value, else -1. */
static int unsaid(const struct field *field)
{
    return field->low > 0.0 ? 0 : -1;
}

bool field_is_text(const struct field *field)
{
    return field->type == FIELD_TEXT || field->type == FIELD_PATH;
}

/* What a text has room for, its end included. */
static size_t room_of(const struct field *field)
{
    return field->type == FIELD_PATH ? PATH_MAX_BYTES : NAME_MAX_BYTES;
}

double field_number(const struct field *field, const void *base)
{
    const char *at = (const char *)base + field->offset;
    double number;
    int whole;
    bool yes;
    switch (field->type) {
    case FIELD_NUMBER:
        memcpy(&number, at, sizeof number);
        return number;
    case FIELD_YES_NO:
        memcpy(&yes, at, sizeof yes);
        return yes;
    case FIELD_TEXT:
    case FIELD_PATH:
        return NAN;
    default:
        memcpy(&whole, at, sizeof whole);
        return whole == unsaid(field) ? NAN : whole;
    }
}

void field_put(const struct field *field, void *base, double number)
{
    char *at = (char *)base + field->offset;
    int whole = isnan(number) ? unsaid(field) : (int)number;
    bool yes = number == 1.0;
    if (field->put) {
        field->put(base, number);
    } else if (field_is_text(field)) {
        memset(at, 0, room_of(field)); /* a text has no number: nothing is said */
    } else if (field->type == FIELD_NUMBER) {
        memcpy(at, &number, sizeof number);
    } else if (field->type == FIELD_YES_NO) {
        memcpy(at, &yes, sizeof yes);
    } else {
        memcpy(at, &whole, sizeof whole);
    }
}

static const char *text_of(const struct field *field, const void *base)
{
    return (const char *)base + field->offset;
}

void field_clear(const struct field *field, void *base)
{
    field_put(field, base, field->plain);
}

bool field_is_said(const struct field *field, const void *base)
{
    if (section_has_instead(field, base)) {
        return false;
    }
    if (field_is_text(field)) {
        return text_of(field, base)[0] != '\0';
    }
    if (field->instead_of) {
        return isnan(field_number(field_beside(field, field->instead_of), base));
    }
    return !isnan(field_number(field, base)) || (field->word && !isnan(field->plain));
}

bool field_is_same(const struct field *field, const void *a, const void *b)
{
    if (field_is_text(field)) {
        return strcmp(text_of(field, a), text_of(field, b)) == 0;
    }
    double one = field_number(field, a), other = field_number(field, b);
    return one == other || (isnan(one) && isnan(other));
}

static bool is_in_range(const struct field *field, double number)
{
    return number >= field->low && number <= field->high;
}

/* NAN may stand there. */
static bool may_be_unsaid(const struct field *field)
{
    bool may = field->word != NULL;
    for (size_t i = 0; i < field_count() && !may; i++) {
        const struct field *other = field_at(i);
        may = other->instead_of && strcmp(other->instead_of, field->name) == 0 &&
              field_beside(field, other->name) == other;
    }
    return may;
}

/* The same where it hangs on what else `base` says. */
static void field_allowed_at(const struct field *field, const void *base, char *buffer, size_t size)
{
    if (field->may_be != NULL) {
        (void)field->may_be(base, field->low, buffer, size);
    } else {
        field_allowed(field, buffer, size);
    }
}

enum status field_check(const struct field *field, const void *base, const char *place,
                        struct fault *fault)
{
    double number = field_number(field, base);
    if (field_is_text(field)) {
        return STATUS_OK;
    }
    if (field_may_be(field, base, number) || (isnan(number) && may_be_unsaid(field))) {
        return STATUS_OK;
    }
    char allowed[384];
    field_allowed_at(field, base, allowed, sizeof allowed);
    if (isnan(number)) {
        return fault_set(fault, STATUS_OUT_OF_RANGE, place, allowed, "is missing");
    }
    return fault_set(fault, STATUS_OUT_OF_RANGE, place, allowed, "%g%s%s is out of range", number,
                     field->unit[0] ? " " : "", field->unit);
}

/* ---- As text. ---- */

void field_write(const struct field *field, double number, char *buffer, size_t size)
{
    char digits[32];
    if (isnan(number)) {
        text_format(buffer, size, "%s", field->word ? field->word : NOT_SAID);
    } else if (field->choice) {
        text_format(buffer, size, "%s", field->choice((int)number));
    } else {
        number_write_double(digits, sizeof digits, number);
        text_format(buffer, size, "%s%s", digits, field->type == FIELD_RATE ? "/15" : "");
    }
}

void field_format(const struct field *field, const void *base, char *buffer, size_t size)
{
    if (field_is_text(field)) {
        const char *text = text_of(field, base);
        text_format(buffer, size, "%s", text[0] == '\0' && field->word ? field->word : text);
        return;
    }
    field_write(field, field_number(field, base), buffer, size);
}

void field_format_unit(const struct field *field, const void *base, char *buffer, size_t size)
{
    char value[FIELD_TEXT_BYTES];
    field_format(field, base, value, sizeof value);
    bool unit = field->unit[0] && !isnan(field_number(field, base));
    text_format(buffer, size, "%s%s%s", value, unit ? " " : "", unit ? field->unit : "");
}

static bool read_number(const struct field *field, const char *text, double *number)
{
    (void)field;
    return number_read_double(text, number);
}

static bool read_whole(const struct field *field, const char *text, double *number)
{
    (void)field;
    int whole;
    if (!number_read_int(text, &whole)) {
        return false;
    }
    *number = whole;
    return true;
}

static bool read_rate(const struct field *field, const char *text, double *number)
{
    char numerator[16];
    const char *slash = strchr(text, '/');
    int denominator;
    if (!slash || slash - text >= (long)sizeof numerator ||
        !number_read_int(slash + 1, &denominator) || denominator != 15) {
        return false;
    }
    text_format(numerator, sizeof numerator, "%.*s", (int)(slash - text), text);
    return read_whole(field, numerator, number);
}

static bool read_text(const struct field *field, const char *text, double *number)
{
    *number = NAN;
    return section_text_is_usable(text, room_of(field));
}

static bool read_choice(const struct field *field, const char *text, double *number)
{
    for (int i = 0; i <= (int)field->high; i++) {
        if (strcasecmp(text, field->choice(i)) == 0) {
            *number = i;
            return true;
        }
    }
    return false;
}

static const struct {
    bool (*read)(const struct field *field, const char *text, double *number);
    const char *wrong;
} types[FIELD_TYPE_COUNT] = {
    [FIELD_NUMBER] = {read_number, "is not a number"},
    [FIELD_WHOLE] = {read_whole, "is not a whole number"},
    [FIELD_YES_NO] = {read_choice, "is neither yes nor no"},
    [FIELD_CHOICE] = {read_choice, "is not one of the choices"},
    [FIELD_RATE] = {read_rate, "is not a code rate"},
    [FIELD_TEXT] = {read_text, "is not a usable name"},
    [FIELD_PATH] = {read_text, "is not a usable name of a file"},
};

static bool is_word(const struct field *field, const char *text)
{
    return field->word && strcasecmp(text, field->word) == 0;
}

enum status field_read(const struct field *field, const char *text, double *number)
{
    double read;
    if (is_word(field, text)) {
        *number = NAN;
        return STATUS_OK;
    }
    if (!types[field->type].read(field, text, &read)) {
        return STATUS_MALFORMED;
    }
    if (!field_is_text(field) && !is_in_range(field, read)) {
        return STATUS_OUT_OF_RANGE;
    }
    *number = read + 0.0; /* no negative zero */
    return STATUS_OK;
}

enum status field_take(const struct field *field, void *base, const char *place, const char *text,
                       struct fault *fault)
{
    double number;
    enum status status = field_read(field, text, &number);
    if (status == STATUS_OK && !isnan(number) && !field_may_be(field, base, number)) {
        status = STATUS_OUT_OF_RANGE;
    }
    if (status == STATUS_OK && field_is_text(field)) {
        field_put(field, base, NAN); /* what is compared as bytes has no old ones behind its end */
        text_format((char *)base + field->offset, room_of(field), "%s",
                    is_word(field, text) ? "" : text);
        return STATUS_OK;
    }
    if (status == STATUS_OK) {
        field_put(field, base, number);
        if (strcmp(field->section, "receiver") == 0 || strcmp(field->section, "place") == 0) {
            use_note_given(base, field);
        }
        return STATUS_OK;
    }
    char allowed[384];
    field_allowed_at(field, base, allowed, sizeof allowed);
    if (text[0] == '\0') {
        return fault_set(fault, status, place, allowed, "has no value");
    }
    return fault_set(fault, status, place, allowed, "\"%s\" %s", text,
                     status == STATUS_OUT_OF_RANGE ? "is out of range" : types[field->type].wrong);
}

void field_allowed(const struct field *field, char *buffer, size_t size)
{
    if (field_is_text(field)) {
        text_format(buffer, size, "%s",
                    field->type == FIELD_TEXT
                        ? "a name"
                        : "a file's name, 1 to 127 bytes without [ ] : ; # = \" ' \\");
        return;
    }
    if (field->told) {
        text_format(buffer, size, "%s", field->told);
        return;
    }
    bool few = field->choice != NULL;
    double low = field->turn > 0.0 ? 0.0 : field->low;
    char from[FIELD_TEXT_BYTES], to[FIELD_TEXT_BYTES];
    buffer[0] = '\0';
    for (int i = (int)field->low; few && i <= (int)field->high; i++) {
        field_write(field, field->type == FIELD_YES_NO ? 1.0 - i : i, to, sizeof to);
        text_join(buffer, size, to);
    }
    if (!few) {
        field_write(field, low, from, sizeof from);
        field_write(field, field->high, to, sizeof to);
        text_format(buffer, size, "%s to %s", from, to);
    }
    size_t used = strlen(buffer);
    text_format(buffer + used, size - used, "%s%s%s%s", field->unit[0] ? " " : "", field->unit,
                field->word ? ", or " : "", field->word ? field->word : "");
}

bool field_may_be(const struct field *field, const void *base, double number)
{
    char allowed[64];
    return is_in_range(field, number) &&
           (field->may_be == NULL || field->may_be(base, number, allowed, sizeof allowed));
}

/* ---- Steps. ---- */

/* A multiple of the step, without the crumbs of binary fractions. */
static double multiple_of(double step, double count)
{
    return step < 1.0 ? count / round(1.0 / step) : count * step;
}

/* Fine near 0, where nanoseconds count; leaving a decade's edge towards 0 takes the finer step. */
static double step_at(const struct field *field, double number, int direction)
{
    double step = field->step, size = fabs(number + direction * 1e-6 * fabs(number));
    while (field->finest > 0.0 && step > field->finest * 1.5 && size < 2.0 * step - 1e-9) {
        step /= 10.0;
    }
    return step;
}

static double within(const struct field *field, double number)
{
    number = field->type == FIELD_WHOLE ? round(number) : number;
    return fmin(fmax(number, field->low), field->high);
}

double field_stepped(const struct field *field, double number, int direction, bool coarse)
{
    if (isnan(number)) {
        return field_at_share(field, 0.5);
    }
    if (field->ratio > 0.0) {
        return within(field, number * pow(field->ratio, direction * (coarse ? 10 : 1)));
    }
    double step = step_at(field, number, direction) * (coarse ? 10.0 : 1.0), count = number / step;
    double to = direction > 0 ? floor(count + 1e-6) + 1.0 : ceil(count - 1e-6) - 1.0;
    double next = multiple_of(step, to);
    if (field->turn > 0.0) {
        next -= floor(next / field->turn) * field->turn;
    }
    return within(field, next + 0.0);
}

double field_stepped_at(const struct field *field, const void *base, double number, int direction,
                        bool coarse)
{
    double next = field_stepped(field, number, direction, coarse), before = NAN;
    while (!field_may_be(field, base, next) && next != before) {
        before = next;
        next = field_stepped(field, next, direction, false);
    }
    return field_may_be(field, base, next) ? next : number;
}

double field_at_share(const struct field *field, double share)
{
    double number = field->low + share * (field->high - field->low), step = field->step;
    return within(field, step > 0.0 ? multiple_of(step, round(number / step)) : number);
}
