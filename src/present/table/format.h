#ifndef PRESENT_TABLE_FORMAT_H
#define PRESENT_TABLE_FORMAT_H

/* The forms in which results are written. */
enum format { FORMAT_TEXT, FORMAT_JSON, FORMAT_CSV, FORMAT_MARKDOWN, FORMAT_COUNT };

int format_from_name(const char *name); /* -1 where no name fits */

#endif
