/* Goes through a profile line by line, keeps where each value stands, and refuses what is not
 * plain. */
#include "profile/scan.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/utf8.h"

struct scanner {
    const char *text;
    struct scan *scan;
    struct fault *fault;
    int line;
    size_t line_at, line_end; /* without line feed */
    size_t section;           /* index of the open section's item + 1; 0: none */
};

static enum status refuse(const struct scanner *scanner, enum status status, const char *allowed,
                          const char *wrong)
{
    char place[32];
    text_format(place, sizeof place, "line %d", scanner->line);
    return fault_set(scanner->fault, status, place, allowed, "%s", wrong);
}

static bool is_space(char c)
{
    return c == ' ' || c == '\t' || c == '\r';
}

static void trim(const char *text, size_t *at, size_t *end)
{
    while (*at < *end && is_space(text[*at])) {
        ++*at;
    }
    while (*end > *at && is_space(text[*end - 1])) {
        --*end;
    }
}

static enum status add_item(struct scanner *scanner, enum item_kind kind, size_t name_at,
                            size_t name_end, size_t at, size_t end)
{
    struct scan *scan = scanner->scan;
    if (scan->count == scan->capacity) {
        size_t capacity = scan->capacity ? 2 * scan->capacity : 32;
        struct item *items = realloc(scan->items, capacity * sizeof *items);
        if (!items) {
            return fault_of_status(scanner->fault, STATUS_NO_MEMORY);
        }
        scan->items = items;
        scan->capacity = capacity;
    }
    struct item *item = &scan->items[scan->count++];
    *item = (struct item){.kind = kind,
                          .line = scanner->line,
                          .line_at = scanner->line_at,
                          .line_end = scanner->line_end,
                          .at = at,
                          .end = end};
    text_format(item->name, sizeof item->name, "%.*s", (int)(name_end - name_at),
                scanner->text + name_at);
    return STATUS_OK;
}

/* iniparser ignores case, so "[Echo hill]" and "[echo Hill]" are one section. */
static enum status refuse_double(struct scanner *scanner, enum item_kind kind, size_t from,
                                 const char *name)
{
    const struct scan *scan = scanner->scan;
    for (size_t i = from; i + 1 < scan->count; i++) {
        if (scan->items[i].kind == kind && strcasecmp(scan->items[i].name, name) == 0) {
            char place[128], allowed[64];
            if (kind == ITEM_KEY) {
                text_format(place, sizeof place, "%s.%s", scan->items[scanner->section - 1].name,
                            name);
            } else {
                text_format(place, sizeof place, "%s", name);
            }
            text_format(allowed, sizeof allowed, "once; first in line %d", scan->items[i].line);
            return fault_set(scanner->fault, STATUS_MALFORMED, place, allowed,
                             "stands twice, again in line %d", scanner->line);
        }
    }
    return STATUS_OK;
}

static enum status scan_section(struct scanner *scanner, size_t at, size_t end)
{
    const char *text = scanner->text;
    if (text[end - 1] != ']') {
        return refuse(scanner, STATUS_MALFORMED, "[NAME] alone on its line",
                      "the section is not closed");
    }
    size_t name_at = at + 1, name_end = end - 1;
    trim(text, &name_at, &name_end);
    if (name_at == name_end) {
        return refuse(scanner, STATUS_MALFORMED, "[NAME]", "the section has no name");
    }
    if (name_end - name_at >= SECTION_BYTES_MAX) {
        return refuse(scanner, STATUS_MALFORMED, "at most 63 bytes",
                      "the section's name is too long");
    }
    for (size_t i = name_at; i < name_end; i++) {
        if (strchr("[]:;#=\"'\\", text[i])) {
            return refuse(scanner, STATUS_MALFORMED, "no [ ] : ; # = \" ' \\",
                          "a character that no section's name may have");
        }
    }
    enum status status = add_item(scanner, ITEM_SECTION, name_at, name_end, name_at, name_end);
    if (status != STATUS_OK) {
        return status;
    }
    scanner->section = scanner->scan->count;
    return refuse_double(scanner, ITEM_SECTION, 0, scanner->scan->items[scanner->section - 1].name);
}

/* The value's bytes: up to a comment, or a quoted text and nothing but a comment after it. */
static enum status find_value(struct scanner *scanner, size_t *at, size_t *end)
{
    const char *text = scanner->text;
    trim(text, at, end);
    if (*at < *end && (text[*at] == '"' || text[*at] == '\'')) {
        const char *close = memchr(text + *at + 1, text[*at], *end - *at - 1);
        if (!close) {
            return refuse(scanner, STATUS_MALFORMED, "the same quote at the end",
                          "the quote is not closed");
        }
        size_t after = (size_t)(close - text) + 1;
        size_t rest = after;
        while (rest < *end && is_space(text[rest])) {
            rest++;
        }
        if (rest < *end && text[rest] != ';' && text[rest] != '#') {
            return refuse(scanner, STATUS_MALFORMED, "a comment begins with ; or #",
                          "text after the closing quote");
        }
        *end = after;
        return STATUS_OK;
    }
    for (size_t i = *at; i < *end; i++) {
        if (text[i] == ';' || text[i] == '#') {
            *end = i;
            break;
        }
    }
    trim(text, at, end);
    return STATUS_OK;
}

static enum status scan_key(struct scanner *scanner, size_t at, size_t end)
{
    const char *text = scanner->text;
    const char *equals = memchr(text + at, '=', end - at);
    if (!equals) {
        return refuse(scanner, STATUS_MALFORMED, "KEY = VALUE, [SECTION] or ; comment",
                      "there is no = in it");
    }
    size_t key_at = at, key_end = (size_t)(equals - text);
    size_t value_at = key_end + 1, value_end = end;
    trim(text, &key_at, &key_end);
    if (key_at == key_end || key_end - key_at >= KEY_BYTES_MAX) {
        return refuse(scanner, STATUS_MALFORMED, "KEY = VALUE",
                      key_at == key_end ? "there is no key before =" : "the key is too long");
    }
    for (size_t i = key_at; i < key_end; i++) {
        if (is_space(text[i]) || strchr("[]:;#\"'\\.", text[i])) {
            return refuse(scanner, STATUS_MALFORMED, "a key is one word",
                          "a character that no key may have");
        }
    }
    if (scanner->section == 0) {
        return refuse(scanner, STATUS_MALFORMED, "a [SECTION] line first",
                      "a key before the first section");
    }
    enum status status = find_value(scanner, &value_at, &value_end);
    if (status == STATUS_OK) {
        status = add_item(scanner, ITEM_KEY, key_at, key_end, value_at, value_end);
    }
    if (status != STATUS_OK) {
        return status;
    }
    return refuse_double(scanner, ITEM_KEY, scanner->section,
                         scanner->scan->items[scanner->scan->count - 1].name);
}

static enum status scan_line(struct scanner *scanner)
{
    size_t at = scanner->line_at, end = scanner->line_end;
    const char *text = scanner->text;
    if (end - at > PROFILE_LINE_BYTES_MAX) {
        return refuse(scanner, STATUS_MALFORMED, "at most 500 bytes", "the line is too long");
    }
    size_t count = end - at;
    if (utf8_valid_prefix(text + at, count) != count) {
        return refuse(scanner, STATUS_MALFORMED, "plain UTF-8 text", "bytes that are not UTF-8");
    }
    trim(text, &at, &end);
    for (size_t i = at, step; i < end; i += step) {
        if (utf8_is_control(text + i, &step) && text[i] != '\t') {
            return refuse(scanner, STATUS_MALFORMED, "plain UTF-8 text", "a control character");
        }
    }
    if (at == end || text[at] == ';' || text[at] == '#') {
        /* iniparser joins a line that ends in \ with the next one, comments included. */
        return at < end && text[end - 1] == '\\'
                   ? refuse(scanner, STATUS_MALFORMED, "each line by itself",
                            "a line must not end in \\")
                   : STATUS_OK;
    }
    if (text[end - 1] == '\\') {
        return refuse(scanner, STATUS_MALFORMED, "each line by itself",
                      "a line must not end in \\");
    }
    return text[at] == '[' ? scan_section(scanner, at, end) : scan_key(scanner, at, end);
}

enum status scan_text(const char *text, size_t length, struct scan *scan, struct fault *fault)
{
    struct scanner scanner = {.text = text, .scan = scan, .fault = fault};
    if (length > PROFILE_BYTES_MAX) {
        return fault_set(fault, STATUS_MALFORMED, "", "at most 262144 bytes",
                         "the file is too large");
    }
    if (memchr(text, '\0', length)) {
        return fault_set(fault, STATUS_MALFORMED, "", "plain UTF-8 text", "not a text file");
    }
    size_t next = length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    while (next < length) {
        const char *feed = memchr(text + next, '\n', length - next);
        scanner.line++;
        scanner.line_at = next;
        scanner.line_end = feed ? (size_t)(feed - text) : length;
        next = feed ? scanner.line_end + 1 : length;
        enum status status = scan_line(&scanner);
        if (status != STATUS_OK) {
            return status;
        }
    }
    for (size_t i = 0; i < scan->count; i++) {
        scan->items[i].line_end += scan->items[i].line_end < length ? 1 : 0;
    }
    return STATUS_OK;
}

void scan_free(struct scan *scan)
{
    free(scan->items);
    *scan = (struct scan){0};
}
