/* Finding labels of the vocabulary (table/labels.c) in a line. */
#include <string.h>

#include "study/page/topics.h"

static const char *const noise[] = {"technical",    "information", "info",
                                    "status",       "tuner",       "receiver",
                                    "details",      "detail",      "page",
                                    "diagnostics",  "menu",        "mode",
                                    "current",      "the",         "a",
                                    "of",           "and",         "is",
                                    "at",           "with",        "in",
                                    "for",          "on",          "signal",
                                    "physical",     "layer",       "size",
                                    "type",         "data",        "report",
                                    "reading",      "readings",    "overview",
                                    "screen",       "tv",          "ofdm",
                                    "yes",          "ok",          "good",
                                    "samples",      "symbol",      "us",
                                    "approx",       "measured",    "parameters",
                                    "transmission", "received",    "channel",
                                    "frame",        "config",      "configuration",
                                    "summary",      "n",           "technische",
                                    "angaben",      "daten",       "empfanger",
                                    "signal",       "datos",       "tecnicos",
                                    "dados",        "informacion", "informacao",
                                    "informations", "techniques",  "receptor",
                                    "recepteur",    "dvb",         "multiplex",
                                    "mux",          "기술",        "정보",
                                    "수신기",       "상태",        "estado",
                                    "etat",         "zustand",     "modo",
                                    "modus",        "tnt",         "common",
                                    "plps",         "bootstrap",   "reception"};

bool word_is_noise(const char *word)
{
    for (size_t i = 0; i < sizeof noise / sizeof noise[0]; i++) {
        if (strcmp(noise[i], word) == 0) {
            return true;
        }
    }
    return false;
}

/* The word is part of a label, or of a value that is a word. */
bool word_is_known(const char *word)
{
    static const char *const values[] = {"qpsk", "qam", "nuc", "bch",  "crc",   "db",
                                         "dbm",  "mhz", "khz", "none", "locked"};
    size_t length = strlen(word);
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++) {
        if (strcmp(values[i], word) == 0) {
            return true;
        }
    }
    for (size_t i = 0; i < page_label_count; i++) {
        const char *at = strstr(page_labels[i].phrase, word);
        if (at && (at == page_labels[i].phrase || at[-1] == ' ') &&
            (at[length] == '\0' || at[length] == ' ')) {
            return true;
        }
    }
    return false;
}

/* The phrase's next atom, as a word; its length. */
static size_t phrase_word(const char *phrase)
{
    return strcspn(phrase, " ");
}

static bool atom_is_part(const struct atom *atom, const char *word, size_t length)
{
    if (atom->kind == ATOM_WORD) {
        return strlen(atom->word) == length && memcmp(atom->word, word, length) == 0;
    }
    return atom->kind == ATOM_NUMBER && length == 1 && /* "3", and "3.0" of a version */
           atom->number == (double)(word[0] - '0');
}

int label_match(const char *phrase, const struct atom *atoms, int count, int at)
{
    int i = at;
    for (;;) {
        size_t length = phrase_word(phrase);
        if (i >= count || !atom_is_part(&atoms[i], phrase, length)) {
            return 0;
        }
        i++;
        if (phrase[length] == '\0') {
            return i - at;
        }
        phrase += length + 1;
        if (i < count && atoms[i].kind == ATOM_MARK && strchr("-_/.'(", atoms[i].mark)) {
            i++;
        }
    }
}

/* The first phrase that is not before `word`. */
static size_t first_label_from(const char *word)
{
    size_t low = 0, high = page_label_count;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (strcmp(page_labels[middle].phrase, word) < 0) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

enum topic label_at(const struct atom *atoms, int count, int at, int *taken)
{
    enum topic topic = TOPIC_NOTHING;
    *taken = 0;
    if (atoms[at].kind != ATOM_WORD) {
        return topic;
    }
    const char *word = atoms[at].word;
    size_t length = strlen(word);
    for (size_t i = first_label_from(word);
         i < page_label_count && strncmp(page_labels[i].phrase, word, length) == 0; i++) {
        int atoms_taken = label_match(page_labels[i].phrase, atoms, count, at);
        if (atoms_taken > *taken) {
            *taken = atoms_taken;
            topic = page_labels[i].topic;
        }
    }
    return topic;
}
