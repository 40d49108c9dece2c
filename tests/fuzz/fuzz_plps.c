/* Fuzzing entry for pages of several PLPs: each one that a page names settles by itself, to a legal
 * mode or to none, the same when asked again. The reader alone, as in fuzz_page.c. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz/fuzz.h"
#include "study/page/page.h"

static void plps_require(bool holds, const char *what)
{
    if (!holds) {
        fprintf(stderr, "fuzz_plps: %s\n", what);
        abort();
    }
}

static void settle_plp(const struct page *page, int plp, const struct scenario *base)
{
    struct page_settled settled, again;
    if (page_settle(page, plp, base, &settled) != STATUS_OK) {
        return;
    }
    plps_require(!settled.legal ||
                     transmission_check(&settled.scenario.transmission, NULL) == STATUS_OK,
                 "an illegal mode is called legal");
    plps_require(settled.legal || !settled.speaks_of_mode || settled.contradictions.count > 0 ||
                     page->wrong.count > 0,
                 "a mode is not legal, and nothing says why");
    plps_require(page_settle(page, plp, base, &again) == STATUS_OK &&
                     again.legal == settled.legal && again.missing.count == settled.missing.count &&
                     again.contradictions.count == settled.contradictions.count,
                 "asked again, the page says something else");
    page_settled_free(&again);
    page_settled_free(&settled);
}

/* More PLPs than these are settled no other way. */
#define SETTLED_MAX 4

int fuzz_plps(const uint8_t *data, size_t size)
{
    struct scenario base = scenario_default();
    struct page page;
    if (page_read((const char *)data, size, PAIR_ATSC, &page, NULL) == STATUS_OK) {
        int plps[PAGE_PLP_MAX + 1], count = page_plps(&page, plps);
        plps_require(count >= 0 && count <= PAGE_PLP_MAX + 1, "more PLPs than there are");
        for (int i = 0; i < count; i++) {
            plps_require(plps[i] >= 0 && plps[i] <= PAGE_PLP_MAX &&
                             (i == 0 || plps[i] > plps[i - 1]),
                         "numbers of PLPs are not in order");
            if (i < SETTLED_MAX) {
                settle_plp(&page, plps[i], &base);
            }
        }
    }
    page_free(&page);
    return 0;
}
