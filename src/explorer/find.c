/* What can be found is told by the views; what is taken begins with the key of its view. */
#include "explorer/find.h"

#include <stdlib.h>
#include <string.h>

#include "scenario/section.h"

/* False: no memory, and the text stays. */
static bool put_text(char **text, const char *words)
{
    char *before = *text;
    *text = strdup(words);
    if (*text == NULL) {
        *text = before;
        return false;
    }
    free(before);
    return true;
}

/* Rows that a view has added from `from` on lead to it. */
static void lead_to(struct offer *offer, int from, uint32_t key)
{
    for (int i = from; i < offer->count; i++) {
        struct offered *row = &offer->rows[i];
        char text[TYPING_BYTES];
        text_format(text, sizeof text, "%c%s", (int)key, row->text ? row->text : row->name);
        offer->failed = !put_text(&row->text, text) || offer->failed;
    }
}

static void offer_items(const struct desk *desk, const char *sections, const char *title,
                        struct offer *offer)
{
    const struct scenario *scenario = &desk->profile.scenario;
    for (size_t s = 0; sections && s < section_count(); s++) {
        const struct section *section = section_at(s);
        if (!strstr(sections, section->name) || !section_counts_in(section, scenario->site.pair)) {
            continue;
        }
        for (int item = 0; item < section_items(section, scenario); item++) {
            char name[NAME_MAX_BYTES + 16];
            section_item_title(section, scenario, item, name, sizeof name);
            offer_add(offer, name, title, NULL);
        }
    }
}

static void go(const struct call *call)
{
    struct explorer *explorer = call->owner;
    for (int i = 0; i < view_count(); i++) {
        const struct view *view = view_row(i);
        if (view->key != (unsigned char)call->text[0]) {
            continue;
        }
        explorer_show_view(explorer, i);
        if (explorer->view == i && call->text[1] && view->select) {
            view->select(call->desk, explorer->view_state[i], call->text + 1);
        }
    }
}

void find_ask(struct explorer *explorer)
{
    struct offer offer = {0};
    for (int i = 0; i < view_count(); i++) {
        const struct view *view = view_row(i);
        char name[80], key[2] = {(char)view->key, '\0'};
        text_format(name, sizeof name, "View: %s", view->name);
        offer_add(&offer, name,
                  view->title[0] ? view->title : "Settings and what follows from them", key);
    }
    for (int i = 0; i < view_count(); i++) {
        const struct view *view = view_row(i);
        int from = offer.count;
        if (view->names) {
            view->names(&explorer->desk, &offer);
        }
        offer_items(&explorer->desk, view->sections, view->title, &offer);
        lead_to(&offer, from, view->key);
    }
    desk_offer(&explorer->desk, "Find a name, or a part of it", &offer, false, go, explorer);
}
