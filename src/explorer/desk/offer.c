/* Which rows of a list have the words typed, and which one is taken. */
#include "explorer/desk/offer.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

void offer_add(struct offer *offer, const char *name, const char *what, const char *text)
{
    if (offer->count == offer->capacity) {
        int capacity = offer->capacity ? 2 * offer->capacity : 64;
        struct offered *rows = realloc(offer->rows, (size_t)capacity * sizeof *rows);
        if (!rows) {
            offer->failed = true;
            return;
        }
        offer->rows = rows;
        offer->capacity = capacity;
    }
    struct offered *row = &offer->rows[offer->count];
    *row = (struct offered){.text = text ? strdup(text) : NULL};
    text_format(row->name, sizeof row->name, "%s", name);
    text_format(row->what, sizeof row->what, "%s", what);
    if (text && !row->text) {
        offer->failed = true;
        return;
    }
    offer->count++;
}

void offer_free(struct offer *offer)
{
    for (int i = 0; i < offer->count; i++) {
        free(offer->rows[i].text);
    }
    free(offer->rows);
    free(offer->shown);
    *offer = (struct offer){0};
}

/* Ignores the case of ASCII letters. */
static bool has(const char *text, const char *word, size_t length)
{
    for (; *text; text++) {
        size_t i = 0;
        while (i < length && text[i] &&
               tolower((unsigned char)text[i]) == tolower((unsigned char)word[i])) {
            i++;
        }
        if (i == length) {
            return true;
        }
    }
    return false;
}

/* 2: every word stands in the name, 1: in the name or in what is said of it, 0: not. */
static int fit(const struct offered *row, const char *typed)
{
    int best = 2;
    while (*(typed += strspn(typed, " ")) != '\0') {
        size_t length = strcspn(typed, " ");
        if (!has(row->name, typed, length)) {
            best = best > 0 && has(row->what, typed, length) ? 1 : 0;
        }
        typed += length;
    }
    return best;
}

void offer_match(struct offer *offer, const char *typed)
{
    offer->at = offer->shown_count = 0;
    int *shown = realloc(offer->shown, ((size_t)offer->count + 1) * sizeof *shown);
    if (!shown) {
        offer->failed = true;
        return;
    }
    offer->shown = shown;
    for (int wanted = 2; wanted > 0; wanted--) {
        for (int i = 0; i < offer->count; i++) {
            if (fit(&offer->rows[i], typed) == wanted) {
                offer->shown[offer->shown_count++] = i;
            }
        }
    }
}

const struct offered *offer_row(const struct offer *offer, int n)
{
    return n >= 0 && n < offer->shown_count ? &offer->rows[offer->shown[n]] : NULL;
}

static bool is_path(const char *typed)
{
    size_t length = strlen(typed);
    return strchr(typed, '/') || (length > 4 && typed[length - 4] == '.');
}

const char *offer_taken(const struct offer *offer, const char *typed)
{
    const struct offered *row = offer_row(offer, offer->at);
    if (offer->or_typed && (!row || (is_path(typed) && strcmp(row->name, typed) != 0))) {
        return typed;
    }
    return !row ? "" : row->text ? row->text : row->name;
}
