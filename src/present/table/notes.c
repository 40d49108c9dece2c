/* Paragraphs and headings around tables, as text or Markdown. */
#include "present/table/notes.h"

#include <string.h>

void note_wrap(struct text *out, const char *first, const char *words, size_t columns)
{
    size_t indent = text_columns(first), at = indent;
    char word[256];
    bool fresh = true;
    text_append(out, first);
    while (*words) {
        size_t length = strcspn(words, " \n");
        text_format(word, sizeof word, "%.*s", (int)length, words);
        words += length;
        size_t width = text_columns(word);
        if (!fresh && at + 1 + width > columns) {
            text_append(out, "\n");
            text_append_repeated(out, ' ', indent);
            at = indent;
            fresh = true;
        }
        text_printf(out, "%s%s", fresh ? "" : " ", word);
        at += width + (fresh ? 0 : 1);
        fresh = false;
        words += strspn(words, " \n");
    }
    text_append(out, "\n");
}

static bool has_notes(enum format format)
{
    return format == FORMAT_TEXT || format == FORMAT_MARKDOWN;
}

void note_append(struct text *out, enum format format, const char *note)
{
    if (has_notes(format)) {
        note_wrap(out, "- ", note, format == FORMAT_TEXT ? NOTE_COLUMNS : (size_t)-1 / 2);
    }
}

void note_append_lines(struct text *out, enum format format, const char *lines)
{
    struct text line = {0};
    for (size_t length; *lines; lines += length + (lines[length] != '\0')) {
        length = strcspn(lines, "\n");
        text_clear(&line);
        text_append_bytes(&line, lines, length);
        note_append(out, format, text_string(&line));
    }
    out->failed = out->failed || line.failed;
    text_free(&line);
}

void note_heading(struct text *out, enum format format, const char *heading)
{
    if (has_notes(format)) {
        text_append(out, out->length ? "\n" : "");
        text_printf(out, format == FORMAT_MARKDOWN ? "## %s\n\n" : "%s\n", heading);
    }
}

void note_paragraph(struct text *out, enum format format, const char *paragraph)
{
    if (has_notes(format)) {
        note_wrap(out, "", paragraph, format == FORMAT_TEXT ? NOTE_COLUMNS : (size_t)-1 / 2);
    }
}
