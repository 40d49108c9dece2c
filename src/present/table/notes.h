#ifndef PRESENT_TABLE_NOTES_H
#define PRESENT_TABLE_NOTES_H

#include <stddef.h>

#include "base/text.h"
#include "present/table/format.h"

/* Words around tables: headings and what the figures assume. CSV and JSON get none of them. */

#define NOTE_COLUMNS 80

/* A point of a list, wrapped at 80 columns in text. */
void note_append(struct text *out, enum format format, const char *note);

/* Every line of these words, each ending in a new line, as a point. */
void note_append_lines(struct text *out, enum format format, const char *lines);

/* A heading with an empty line before and, in Markdown, after it. */
void note_heading(struct text *out, enum format format, const char *heading);

/* A plain paragraph, wrapped in text. */
void note_paragraph(struct text *out, enum format format, const char *paragraph);

/* Wraps at words; the first line begins with `first`, the others with as many spaces. */
void note_wrap(struct text *out, const char *first, const char *words, size_t columns);

#endif
