/* Bytes from anywhere to text that is safe to draw and simple to read. Escape sequences are taken
 * out as ECMA-48 delimits them; marks that hide or turn text are dropped; the trade's punctuation
 * (micro, minus, full width forms, box drawing) becomes ASCII. */
#include <stdint.h>
#include <string.h>

#include "base/utf8.h"
#include "study/page/page.h"

/* More odd bytes than this share is not a page. */
#define ODD_SHARE 0.1
#define ODD_ALWAYS_ALLOWED 16

/* A line longer than this is cut at the next space: pages have no such lines, and what reads them
 * need not fear them. */
#define LINE_BYTES 2000

#define ESCAPE 0x1B
#define BELL 0x07
#define C1_CSI 0x9B

struct cleaner {
    const unsigned char *at, *end;
    struct text *out;
    size_t odd;
    size_t column;
};

static void put(struct cleaner *c, const char *bytes, size_t count)
{
    if (count == 1 && *bytes == ' ' && c->column >= LINE_BYTES) {
        bytes = "\n";
    } else if (c->column >= 2 * LINE_BYTES) {
        text_append(c->out, "\n");
        c->column = 0;
    }
    text_append_bytes(c->out, bytes, count);
    c->column = *bytes == '\n' ? 0 : c->column + count;
}

/* After "ESC [" or C1 CSI: parameters, intermediates, one final byte. */
static void skip_control_sequence(struct cleaner *c)
{
    while (c->at < c->end && *c->at >= 0x20 && *c->at <= 0x3F) {
        c->at++;
    }
    if (c->at < c->end && *c->at >= 0x40 && *c->at <= 0x7E) {
        c->at++;
    }
}

/* After "ESC ]" and its like: up to BEL or the string terminator, at most to the end of line. */
static void skip_string(struct cleaner *c)
{
    while (c->at < c->end && *c->at != '\n' && *c->at != '\r') {
        if (*c->at == BELL) {
            c->at++;
            return;
        }
        if (*c->at == ESCAPE) {
            c->at++;
            if (c->at < c->end && *c->at == '\\') {
                c->at++;
            }
            return;
        }
        c->at++;
    }
}

static void skip_escape(struct cleaner *c)
{
    if (c->at == c->end) {
        return;
    }
    unsigned char next = *c->at;
    if (next == '[') {
        c->at++;
        skip_control_sequence(c);
        return;
    }
    if (strchr("]PX^_", next)) { /* there is no NUL */
        c->at++;
        skip_string(c);
        return;
    }
    while (c->at < c->end && *c->at >= 0x20 && *c->at <= 0x2F) {
        c->at++;
    }
    if (c->at < c->end && *c->at >= 0x30 && *c->at <= 0x7E) {
        c->at++;
    }
}

static void clean_ascii(struct cleaner *c)
{
    unsigned char byte = *c->at++;
    if (byte == ESCAPE) {
        skip_escape(c);
    } else if (byte == '\r') {
        if (c->at == c->end || *c->at != '\n') {
            put(c, "\n", 1);
        }
    } else if (byte == '\n' || byte == '\t') {
        put(c, byte == '\n' ? "\n" : "\t", 1);
    } else if (byte < 0x20 || byte == 0x7F) {
        c->odd += byte != '\f' && byte != '\v' && byte != '\b';
        put(c, " ", 1);
    } else {
        char one = (char)byte;
        put(c, &one, 1);
    }
}

/* What stands for a character in what readers write; NULL: itself; "": nothing. */
static const char *plain_form(uint32_t point)
{
    static const struct {
        uint32_t from, to;
        const char *form;
    } rows[] = {
        {0x80, 0x84, " "},      {0x85, 0x85, "\n"},      {0x86, 0x9F, " "},
        {0xA0, 0xA0, " "},      {0xA6, 0xA6, "|"},       {0xAD, 0xAD, ""},
        {0xB5, 0xB5, "u"},      {0xB7, 0xB7, "|"},       {0x3BC, 0x3BC, "u"},
        {0x2000, 0x200A, " "},  {0x200B, 0x200F, ""},    {0x2010, 0x2015, "-"},
        {0x2018, 0x201B, "'"},  {0x201C, 0x201F, "\""},  {0x2022, 0x2023, "|"},
        {0x2024, 0x2024, "."},  {0x2026, 0x2026, "..."}, {0x2027, 0x2027, "|"},
        {0x2028, 0x2029, "\n"}, {0x202A, 0x202E, ""},    {0x202F, 0x202F, " "},
        {0x2044, 0x2044, "/"},  {0x205F, 0x205F, " "},   {0x2060, 0x206F, ""},
        {0x2190, 0x21FF, " "},  {0x2212, 0x2212, "-"},   {0x2215, 0x2215, "/"},
        {0x2219, 0x2219, "|"},  {0x2236, 0x2236, ":"},   {0x2500, 0x2501, "-"},
        {0x2502, 0x2503, "|"},  {0x2504, 0x257F, "|"},   {0x25A0, 0x25FF, "|"},
        {0x3000, 0x3000, " "},  {0x3001, 0x3002, ","},   {0xFE00, 0xFE0F, ""},
        {0xFEFF, 0xFEFF, ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (point >= rows[i].from && point <= rows[i].to) {
            return rows[i].form;
        }
    }
    return NULL;
}

static uint32_t decode(const unsigned char *at, size_t length)
{
    uint32_t point = length == 2 ? at[0] & 0x1Fu : length == 3 ? at[0] & 0x0Fu : at[0] & 0x07u;
    for (size_t i = 1; i < length; i++) {
        point = point << 6 | (at[i] & 0x3Fu);
    }
    return point;
}

static void clean_wide(struct cleaner *c)
{
    size_t length = *c->at >= 0xF0 ? 4 : *c->at >= 0xE0 ? 3 : 2;
    size_t left = (size_t)(c->end - c->at);
    if (left < length || utf8_valid_prefix((const char *)c->at, length) != length) {
        /* A lone byte of an 8-bit character set: only its micro sign is common on such pages. */
        put(c, *c->at == 0xB5 ? "u" : "?", 1);
        c->odd++;
        c->at++;
        return;
    }
    uint32_t point = decode(c->at, length);
    const char *bytes = (const char *)c->at;
    c->at += length;
    if (point == C1_CSI) {
        skip_control_sequence(c);
    } else if (point >= 0xFF01 && point <= 0xFF5E) { /* full width forms of ASCII */
        char one = (char)(point - 0xFF01 + '!');
        put(c, &one, 1);
    } else {
        const char *form = plain_form(point); /* of all that control a terminal, too */
        if (form == NULL) {
            put(c, bytes, length);
        } else if (*form) {
            put(c, form, strlen(form));
        }
    }
}

enum status page_clean(const char *bytes, size_t length, struct text *out, struct fault *fault)
{
    if (length > PAGE_BYTES_MAX) {
        return fault_set(fault, STATUS_OUT_OF_RANGE, "page", "at most 10 MB of text",
                         "%zu bytes are too many", length);
    }
    if (length > 0 && memchr(bytes, '\0', length)) {
        return fault_set(fault, STATUS_MALFORMED, "page", "text in UTF-8",
                         "there are bytes that are not text");
    }
    struct cleaner c = {(const unsigned char *)bytes, (const unsigned char *)bytes + length, out, 0,
                        0};
    while (c.at < c.end) {
        if (*c.at < 0x80) {
            clean_ascii(&c);
        } else {
            clean_wide(&c);
        }
    }
    if (out->failed) {
        return fault_set(fault, STATUS_NO_MEMORY, "page", NULL, "out of memory");
    }
    if (c.odd > ODD_ALWAYS_ALLOWED && (double)c.odd > ODD_SHARE * (double)length) {
        text_clear(out);
        return fault_set(fault, STATUS_MALFORMED, "page", "text in UTF-8",
                         "%zu of %zu bytes are not text", c.odd, length);
    }
    return STATUS_OK;
}
