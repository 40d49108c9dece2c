/* Fuzzing entry for receivers' pages: whatever bytes are read, nothing crashes, what is kept is
 * safe to draw, and a page never settles to an illegal mode. The reader alone: no verdict is asked
 * and no mode weighed, so that a run takes as long as reading. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include "fuzz/fuzz.h"
#include "study/page/page.h"
#include "system/system.h"

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

/* Of ATSC 3.0 whether its frame has room is left to the verdict. */
static bool is_legal(const struct page *page, const struct page_settled *settled)
{
    bool told = settled->generation != GENERATION_COUNT;
    struct reception reception;
    const struct system *system =
        system_of(&settled->scenario, told ? settled->generation : GENERATION_SECOND);
    return page->pair == PAIR_ATSC
               ? transmission_check(&settled->scenario.transmission, NULL) == STATUS_OK
               : system->receive(&settled->scenario, PIPE_MOST_ROBUST, &reception, NULL) ==
                     STATUS_OK;
}

/* What is said of no PLP in particular, and of the first one that is named. */
static void settle(const struct page *page)
{
    static struct scenario base; /* made once: it takes as long as the page itself */
    if (base.site.bandwidth_mhz == 0) {
        base = scenario_default();
    }
    int plps[PAGE_PLP_MAX + 1];
    int count = page_plps(page, plps), asked[] = {-1, count > 0 ? plps[0] : -1};
    for (int i = 0; i < (count > 0 ? 2 : 1); i++) {
        struct page_settled settled;
        if (page_settle(page, asked[i], &base, &settled) != STATUS_OK) {
            continue;
        }
        page_require(!settled.legal || is_legal(page, &settled), "an illegal mode is called legal");
        page_settled_free(&settled);
    }
}

int fuzz_page(const uint8_t *data, size_t size)
{
    struct page page;
    struct fault fault = {0};
    enum status status = page_read((const char *)data, size, PAIR_ATSC, &page, &fault);
    if (status == STATUS_OK) {
        for (size_t i = 0; i < page.entry_count; i++) {
            require_drawable(page.entries[i].text);
            require_drawable(page.entries[i].value);
            require_drawable(page.entries[i].unit);
            require_drawable(page.entries[i].note);
        }
        for (size_t i = 0; i < page.unread.count; i++) {
            require_drawable(page.unread.rows[i]);
        }
        settle(&page);
    } else {
        page_require(fault.status == status && fault.wrong[0] != '\0', "a fault without words");
    }
    page_free(&page);
    return 0;
}
