#ifndef STUDY_PAGE_PICTURE_H
#define STUDY_PAGE_PICTURE_H

#include "base/program.h"
#include "base/status.h"
#include "base/text.h"

/* A page as a picture: PNG or JPEG, read by the program tesseract. */

#define PICTURE_BYTES_MAX 50000000

/* The first bytes are those of a PNG or a JPEG, whatever the file is called. */
bool page_is_picture(const struct text *bytes);

/* Puts the text that the picture shows in the place of its bytes; other bytes stay as they are.
 * STATUS_UNREADABLE where tesseract is not installed, and then names the package that has it, or
 * finds nothing to read; STATUS_STOPPED where the watch (NULL: none) says no; STATUS_NO_MEMORY. */
enum status page_take_picture(struct text *bytes, const struct program_watch *watch,
                              struct fault *fault);

#endif
