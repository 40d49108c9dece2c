/* Fuzzing entry for receivers' pages: whatever bytes are read, nothing crashes, what is kept is
 * safe to draw, and a page never settles to an illegal mode. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include "fuzz/fuzz.h"
#include "study/page/page.h"

static void page_require(bool holds, const char *what)
{
    if (!holds) {
        fprintf(stderr, "fuzz_page: %s\n", what);
        abort();
    }
}

static void require_drawable(const char *text)
{
    for (; *text; text++) {
        page_require((unsigned char)*text >= ' ' && *text != 0x7F, "a control character is kept");
    }
}

static void settle_all(const struct page *page)
{
    struct scenario base = scenario_default();
    for (int plp = -1; plp <= PAGE_PLP_MAX; plp += 8) {
        struct page_settled settled;
        if (page_settle(page, plp, &base, &settled) != STATUS_OK) {
            continue;
        }
        page_require(!settled.legal ||
                         transmission_check(&settled.scenario.transmission, NULL) == STATUS_OK,
                     "an illegal mode is called legal");
        page_settled_free(&settled);
    }
}

int fuzz_page(const uint8_t *data, size_t size)
{
    struct page page;
    struct fault fault = {0};
    enum status status = page_read((const char *)data, size, &page, &fault);
    if (status == STATUS_OK) {
        for (size_t i = 0; i < page.entry_count; i++) {
            require_drawable(page.entries[i].text);
            require_drawable(page.entries[i].value);
        }
        for (size_t i = 0; i < page.unread.count; i++) {
            require_drawable(page.unread.rows[i]);
        }
        settle_all(&page);
    } else {
        page_require(fault.status == status && fault.wrong[0] != '\0', "a fault without words");
    }
    page_free(&page);
    return 0;
}

#ifdef WITH_LIBFUZZER
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    return fuzz_page(data, size);
}
#endif
