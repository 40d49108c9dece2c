/* Reading a page line by line: which kind of line it is (a dump of the signalling, a row of a
 * table, labels and values), what of it is kept, and what no rule takes. Two kinds of table are
 * known: a row of labels over rows of values, and columns of PLPs beside labels. */
#include "study/page/page.h"

#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "study/page/terms/terms.h"

/* ---- Keeping what was read. ---- */

/* Grows an array of rows when `count` reaches a power of two; NULL when memory runs out. */
static void *grown(void *rows, size_t count, size_t size)
{
    bool full = (count & (count - 1)) == 0;
    return full ? realloc(rows, (count ? 2 * count : 1) * size) : rows;
}

/* What is kept of a page is shown on lines of its own, where a tab has no place. */
static void plain_spaces(char *text)
{
    for (; *text; text++) {
        *text = *text == '\t' ? ' ' : *text;
    }
}

enum status page_add_line(struct page_lines *lines, const char *format, ...)
{
    if (lines->count >= PAGE_UNREAD_MAX) {
        lines->left_out++;
        return STATUS_OK;
    }
    void *rows = grown(lines->rows, lines->count, sizeof lines->rows[0]);
    if (!rows) {
        return STATUS_NO_MEMORY;
    }
    va_list arguments;
    va_start(arguments, format);
    lines->rows = rows;
    text_format_list(lines->rows[lines->count], sizeof lines->rows[0], format, arguments);
    plain_spaces(lines->rows[lines->count]);
    lines->count++;
    va_end(arguments);
    return STATUS_OK;
}

/* The text from atom `first` to atom `last`, without breaks at its ends. */
static void copy_text(const struct reader *r, int first, int last, char *buffer, size_t size)
{
    while (last > first && r->atoms[last].kind == ATOM_BREAK) {
        last--;
    }
    int start = r->atoms[first].start, end = r->atoms[last].end;
    while (end - start >= (int)size &&
           ((unsigned char)r->line[start + (int)size - 1] & 0xC0) == 0x80) {
        size--; /* do not cut a character in two */
    }
    text_format(buffer, size, "%.*s", end - start, r->line + start);
    plain_spaces(buffer);
}

/* Said of this very PLP already. */
static bool has_own(const struct page *page, const char *key, int plp)
{
    const struct page_entry *entry = page_find(page, key, plp);
    return entry && entry->plp == plp;
}

static int plp_of(const struct reader *r, enum topic topic, const char *key)
{
    if (r->line_plp >= 0) {
        return topic_is_of_plp(topic) || topic == TOPIC_SNR ? r->line_plp : -1;
    }
    if (!topic_is_of_plp(topic)) {
        return -1;
    }
    bool goes_on = r->plp < 0 && r->loose_plp >= 0 && topic_is_choice(topic);
    return goes_on && !has_own(r->page, key, r->loose_plp) ? r->loose_plp : r->plp;
}

/* "24.3 dB" is a number and its unit, "-50.25 dBm (-1.5 dBmV in 75 ohm)" has a note too. */
static void split_value(const struct value *value, struct page_entry *entry)
{
    const char *text = value->text, *unit = strchr(text, ' ');
    bool number = isfinite(value->number) && strchr("-0123456789", text[0]) && unit;
    size_t length = number ? (size_t)(unit - text) : strlen(text);
    text_format(entry->value, sizeof entry->value, "%.*s", (int)length, text);
    plain_spaces(entry->value);
    if (number) {
        const char *note = strchr(unit + 1, ' ');
        length = note ? (size_t)(note - unit - 1) : strlen(unit + 1);
        text_format(entry->unit, sizeof entry->unit, "%.*s", (int)length, unit + 1);
        length = note ? strcspn(note + 2, ")") : 0;
        text_format(entry->note, sizeof entry->note, "%.*s", (int)length, note ? note + 2 : "");
    }
}

/* What the receiver measures and where it is tuned is of the whole signal, under any heading. */
static bool is_of_signal(const char *key)
{
    return strncmp(key, "receiver.", 9) != 0 && strncmp(key, "site.", 5) != 0;
}

void reader_keep_entry(struct reader *r, enum topic topic, const struct value *value, int first)
{
    struct page *page = r->page;
    if (page->entry_count >= PAGE_ENTRIES_MAX) {
        page->entries_left_out++;
        return;
    }
    void *rows = grown(page->entries, page->entry_count, sizeof page->entries[0]);
    if (!rows) {
        r->failed = true;
        return;
    }
    page->entries = rows;
    struct page_entry *entry = &page->entries[page->entry_count++];
    *entry = (struct page_entry){.number = value->number,
                                 .plp = plp_of(r, topic, value->key),
                                 .block = r->plp,
                                 .subframe = is_of_signal(value->key) ? r->subframe : -1,
                                 .line = r->line_number};
    copy_text(r, first < value->first ? first : value->first, value->last, entry->text,
              sizeof entry->text);
    text_format(entry->key, sizeof entry->key, "%s", value->key);
    split_value(value, entry);
    if (strcmp(value->key, "page.not_computed") == 0) { /* which of many: its label tells */
        copy_text(r, first < value->first ? first : value->first, value->last, entry->value,
                  sizeof entry->value);
    }
    for (int i = value->first; i <= value->last; i++) {
        entry->guess = entry->guess || r->atoms[i].guess;
    }
}

void reader_keep(struct reader *r, enum topic topic, enum fit fit, const struct value *value,
                 int first)
{
    if (fit == FIT_WRONG) {
        int plp = plp_of(r, topic, "");
        *(plp >= 0 ? &r->page->wrong_plp[plp] : &r->page->wrong_mode) |= topic_is_of_mode(topic);
        r->failed |= page_add_line(&r->page->wrong, "%s", value->wrong) != STATUS_OK;
    } else if (fit == FIT_READ) {
        if (strcmp(value->key, "page.subframe") == 0) {
            r->subframe = (int)value->number;
            r->plp = r->loose_plp = -1;
        }
        reader_keep_entry(r, topic, value, first);
        if (strcmp(value->key, "page.plp") == 0) {
            r->line_plp = (int)value->number;
        }
        if (strcmp(value->key, "mode.l1_basic_mode") == 0 && topic == TOPIC_L1) {
            struct value detail = *value;
            detail.key = "mode.l1_detail_mode";
            reader_keep_entry(r, topic, &detail, first);
        }
    }
}

/* ---- Values. ---- */

static enum topic topic_of_key(const char *key)
{
    static const struct {
        const char *key;
        enum topic topic;
    } rows[] = {{"mode.constellation", TOPIC_CONSTELLATION},
                {"mode.rate", TOPIC_RATE},
                {"mode.length", TOPIC_LENGTH},
                {"mode.outer", TOPIC_OUTER},
                {"dvbt2.constellation", TOPIC_CONSTELLATION},
                {"dvbt2.rate", TOPIC_RATE},
                {"dvbt2.length", TOPIC_LENGTH},
                {"dvbt2.rotation", TOPIC_ROTATION},
                {"page.lock", TOPIC_LOCK},
                {"plp.layer", TOPIC_LAYER},
                {"mode.interleaver", TOPIC_INTERLEAVER},
                {"page.hybrid_interleaver", TOPIC_INTERLEAVER}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (strcmp(rows[i].key, key) == 0) {
            return rows[i].topic;
        }
    }
    return TOPIC_NOTHING;
}

/* Takes what needs no label out of atoms [from, to). */
void reader_read_by(struct reader *r, int from, int to,
                    enum fit (*read)(const struct span *span, int at, struct value *value))
{
    struct span span = reader_span(r, from, to, UNIT_NONE, false);
    for (int at = from; at < to; at++) {
        struct value value = {.key = ""};
        enum fit fit = r->atoms[at].consumed ? FIT_NONE : read(&span, at, &value);
        reader_keep(r, topic_of_key(value.key), fit, &value, at);
    }
}

void reader_read_evident(struct reader *r, int from, int to)
{
    reader_read_by(r, from, to, topic_read_evident);
}

/* The next piece that was not understood opens a parenthesis or an equation: the same again. */
static bool says_it_again(const struct reader *r, int from, int to)
{
    while (from < to && r->atoms[from].consumed) {
        from++;
    }
    return from < to && r->atoms[from].kind == ATOM_MARK && strchr("(=", r->atoms[from].mark);
}

/* A topic's value in atoms [from, to); a choice may be said twice ("GI5_1024 (148 us)"). */
bool reader_read_value(struct reader *r, enum topic topic, enum unit hint, int first, int from,
                       int to)
{
    struct span span = reader_span(r, from, to, hint, true);
    bool any = false;
    for (int tries = 0; tries < 4; tries++) {
        struct value value = {.key = ""};
        enum fit fit = topic_read(topic, &span, &value);
        if (fit == FIT_NONE) {
            break;
        }
        reader_keep(r, topic, fit, &value, any ? value.first : first);
        any = true;
        if (!topic_is_choice(topic) || !says_it_again(r, from, to)) {
            break;
        }
    }
    reader_read_evident(r, from, to);
    return any;
}

/* ---- Looking at a line. ---- */

struct span reader_span(const struct reader *r, int from, int to, enum unit hint, bool labelled)
{
    return (struct span){r->line, r->atoms, from, to, hint, labelled, r->page->pair, r->of_mode};
}

bool reader_is_break(const struct reader *r, int at)
{
    return at >= r->count || r->atoms[at].kind == ATOM_BREAK;
}

void reader_consume(struct reader *r, int from, int to)
{
    for (int i = from; i < to; i++) {
        r->atoms[i].consumed = true;
    }
}

/* ---- What is left. ---- */

static bool is_meaningful(const struct atom *atom)
{
    return atom->kind == ATOM_NUMBER || (atom->kind == ATOM_WORD && !word_is_noise(atom->word));
}

/* Every run of pieces that nothing took, if it says something. */
static void keep_unread(struct reader *r)
{
    for (int at = 0; at < r->count; at++) {
        int first = at, last = -1;
        while (at < r->count && !r->atoms[at].consumed) {
            last = is_meaningful(&r->atoms[at]) ? at : last;
            at++;
        }
        while (first < last && r->atoms[first].kind != ATOM_WORD &&
               r->atoms[first].kind != ATOM_NUMBER) {
            first++;
        }
        if (last >= 0) {
            char text[PAGE_LINE_BYTES];
            copy_text(r, first, last, text, sizeof text);
            r->failed |= page_add_line(&r->page->unread, "%s", text) != STATUS_OK;
        }
    }
}

/* "Preamble: FFT 8K ...": the signal's own head, of which no figure here depends. */
static bool read_preamble(struct reader *r)
{
    static const char *const words[] = {"preamble", "praambel", "preambulo", "preambule", NULL};
    struct span span = reader_span(r, 0, r->count, UNIT_NONE, true);
    struct value value = {0};
    int at = 0;
    while (at < r->count && r->atoms[at].kind == ATOM_BREAK) {
        at++;
    }
    struct span first = reader_span(r, at, at + 1 < r->count ? at + 1 : at, UNIT_NONE, true);
    bool here = span_find_word(&first, words) == at;
    if (here) {
        topic_read(TOPIC_UNMODELLED, &span, &value);
        reader_keep_entry(r, TOPIC_UNMODELLED, &value, at);
    }
    return here;
}

static bool has_no_number(const struct reader *r)
{
    bool any = false;
    for (int at = 0; at < r->count && !any; at++) {
        any = r->atoms[at].kind == ATOM_NUMBER;
    }
    return !any;
}

static void read_line(struct reader *r, const char *line, size_t length)
{
    r->line = line;
    r->length = length;
    r->line_number++;
    r->count = atoms_split(line, length, r->commas_part, r->atoms);
    r->line_plp = -1;
    if (r->count == 0) {
        return;
    }
    const struct terms *terms = terms_of(r->page->pair);
    r->of_mode = line_is_of_mode(r->atoms, r->count);
    if (has_no_number(r) && table_read_header(r)) {
        return; /* "plp_id, plp_mod": names of a dump, but no dump */
    }
    if (terms->read_line(r)) {
        r->line_plp = -1;
        reader_read_cells(r, 0, r->count);
        keep_unread(r);
        return;
    }
    if (read_preamble(r) || table_read_plp_columns(r) || table_read_header(r)) {
        return;
    }
    if (!table_read_row(r) && !table_read_bare_cells(r)) {
        plps_read_line(r);
    }
    keep_unread(r);
}

/* An SNR under a PLP's heading is that PLP's where another heading has one too; else it is of all.
 */
static void settle_snrs(struct page *page)
{
    int first = -1;
    bool several = false;
    for (size_t i = 0; i < page->entry_count; i++) {
        const struct page_entry *entry = &page->entries[i];
        if (entry->block >= 0 && strcmp(entry->key, "receiver.snr_db") == 0) {
            several = several || (first >= 0 && first != entry->block);
            first = entry->block;
        }
    }
    for (size_t i = 0; several && i < page->entry_count; i++) {
        struct page_entry *entry = &page->entries[i];
        if (entry->plp < 0 && strcmp(entry->key, "receiver.snr_db") == 0) {
            entry->plp = entry->block;
        }
    }
}

/* Where the page names at most one PLP all of it is about that one. */
static void settle_plps(struct page *page)
{
    int plps[PAGE_PLP_MAX + 1];
    if (page_plps(page, plps) > 1) {
        settle_snrs(page);
        return;
    }
    for (size_t i = 0; i < page->entry_count; i++) {
        page->entries[i].plp = -1;
    }
    for (int i = 0; i <= PAGE_PLP_MAX; i++) {
        page->wrong_mode = page->wrong_mode || page->wrong_plp[i];
    }
}

/* The next line of what is left, without its end; false: there is none. */
static bool take_line(const char **at, const char *end, const char **line, size_t *length)
{
    const char *stop = *at < end ? memchr(*at, '\n', (size_t)(end - *at)) : NULL;
    bool any = *at < end;
    stop = stop ? stop : end;
    *line = *at;
    *length = any ? (size_t)(stop - *at) : 0;
    *at = any ? stop + 1 : end;
    return any;
}

/* Screens full of readings are no longer; a log that is read for a page tells its system early. */
#define SIGNS_BYTES_MAX 200000

/* By whose terms it is read, and which of the two systems its words speak of. */
static void choose_terms(struct reader *r, const struct text *text, enum pair otherwise)
{
    struct signs signs = {0};
    size_t length = text->length < SIGNS_BYTES_MAX ? text->length : SIGNS_BYTES_MAX;
    const char *at = text_string(text), *end = at + length, *line;
    while (take_line(&at, end, &line, &length)) {
        signs_count(&signs, r->atoms, atoms_split(line, length, false, r->atoms));
    }
    r->page->pair = signs_pair(&signs, otherwise);
    r->l1.of_t2 = signs.dump_of_t2;
    bool joins = terms_of(r->page->pair)->join != NULL;
    r->page->generation = joins ? signs_generation(&signs, r->page->pair) : GENERATION_COUNT;
}

static void read_text(struct reader *r, const struct text *text, enum pair otherwise)
{
    const char *at = text_string(text), *end = at + text->length, *line;
    size_t length;
    choose_terms(r, text, otherwise);
    while (take_line(&at, end, &line, &length)) {
        read_line(r, line, length);
    }
    codes_finish(r);
    settle_plps(r->page);
    if (terms_of(r->page->pair)->join) {
        terms_of(r->page->pair)->join(r->page);
    }
}

enum status page_read(const char *bytes, size_t length, enum pair otherwise, struct page *page,
                      struct fault *fault)
{
    *page = (struct page){.pair = otherwise, .generation = GENERATION_COUNT};
    struct text text = {0};
    enum status status = page_clean(bytes, length, &text, fault);
    struct reader r = {.page = page,
                       .plp = -1,
                       .line_plp = -1,
                       .loose_plp = -1,
                       .subframe = -1,
                       .l1 = {.plps_told = -1, .subframes_told = -1, .index = -1}};
    for (int i = 0; i <= PAGE_PLP_MAX; i++) {
        r.l1.ids[i] = i;
    }
    r.atoms = status == STATUS_OK ? malloc(sizeof r.atoms[0] * ATOMS_MAX) : NULL;
    if (status == STATUS_OK && !r.atoms) {
        status = fault_set(fault, STATUS_NO_MEMORY, "page", NULL, "out of memory");
    }
    if (status == STATUS_OK) {
        read_text(&r, &text, otherwise);
    }
    free(r.atoms);
    text_free(&text);
    if (r.failed) {
        status = fault_set(fault, STATUS_NO_MEMORY, "page", NULL, "out of memory");
    }
    return status;
}

void page_free(struct page *page)
{
    free(page->entries);
    free(page->unread.rows);
    free(page->wrong.rows);
    *page = (struct page){0};
}

const struct page_entry *page_find(const struct page *page, const char *key, int plp)
{
    const struct page_entry *general = NULL;
    for (size_t i = 0; i < page->entry_count; i++) {
        const struct page_entry *entry = &page->entries[i];
        if (strcmp(entry->key, key) != 0) {
            continue;
        }
        if (entry->plp == plp) {
            return entry;
        }
        if (entry->plp == -1 && !general) {
            general = entry;
        }
    }
    return general;
}

int page_plps(const struct page *page, int plps[PAGE_PLP_MAX + 1])
{
    bool named[PAGE_PLP_MAX + 1] = {false};
    for (size_t i = 0; i < page->entry_count; i++) {
        if (strcmp(page->entries[i].key, "page.plp") == 0) {
            named[(int)page->entries[i].number] = true;
        }
    }
    int count = 0;
    for (int i = 0; i <= PAGE_PLP_MAX; i++) {
        if (named[i]) {
            plps[count++] = i;
        }
    }
    return count;
}
