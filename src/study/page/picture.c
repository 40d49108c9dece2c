/* Letters from pictures are tesseract's business; here are its arguments and its faults. A page is
 * taken as one block of lines (--psm 6) whose columns stay apart (preserve_interword_spaces). */
#include "study/page/picture.h"

#include <string.h>

#include "base/program.h"
#include "study/page/page.h"

static bool begins_with(const struct text *bytes, const char *mark, size_t length)
{
    return bytes->length >= length && memcmp(bytes->data, mark, length) == 0;
}

bool page_is_picture(const struct text *bytes)
{
    return begins_with(bytes, "\x89PNG\r\n\x1A\n", 8) || begins_with(bytes, "\xFF\xD8\xFF", 3);
}

static bool has_letters(const struct text *text)
{
    return text->length > strspn(text_string(text), " \t\r\n\f");
}

enum status page_take_picture(struct text *bytes, const struct program_watch *watch,
                              struct fault *fault)
{
    static const char *const arguments[] = {
        "tesseract", "stdin", "stdout", "--psm", "6", "-c", "preserve_interword_spaces=1", NULL};
    if (!page_is_picture(bytes)) {
        return STATUS_OK;
    }
    struct text text = {0};
    struct fault why = {0};
    enum status status =
        program_run(arguments, bytes->data, bytes->length, PAGE_BYTES_MAX, watch, &text, &why);
    if (status != STATUS_OK) {
        bool missing = strstr(why.wrong, "not installed") != NULL;
        fault_set(fault, status, "",
                  missing ? "it reads pictures; Debian's package is tesseract-ocr" : NULL, "%s",
                  why.wrong);
    } else if (!has_letters(&text)) {
        status = fault_set(fault, STATUS_UNREADABLE, "", NULL, "the picture shows no letters");
    }
    if (status == STATUS_OK) {
        text_free(bytes);
        *bytes = text;
    } else {
        text_free(&text);
    }
    return status;
}
