/* guardspan read: a receiver's technical page, explained. */
#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "base/number.h"
#include "command/commands.h"
#include "command/complete.h"
#include "command/parts.h"
#include "present/table/notes.h"
#include "study/page/picture.h"
#include "study/reading/log.h"
#include "study/reading/reading.h"

static const struct option_row options[] = {
    {"--plp", "N", "what follows is of this PLP (the most robust of the page)"},
    {"--long", NULL, "the longer explanation of each entry, with formula and source"},
    {"--log", NULL, "the file is a log: a time and an SNR in each line"},
    {0},
};

static bool wants_long(const struct invocation *invocation)
{
    return invocation_option(invocation, "--long") != NULL;
}

/* ---- Entries as a table. ---- */

static const struct table_column entry_columns[] = {
    {"text", "On the page", NULL, 0}, {"key", "Key", NULL, 0},         {"value", "Value", NULL, 0},
    {"unit", "Unit", NULL, 0},        {"meaning", "Meaning", NULL, 0}, {"plp", "PLP", NULL, 0},
    {"line", "Line", NULL, 0},        {"guess", "Guess", NULL, 0},
};

static void fill_entries(const struct page *page, const struct reading *reading, bool longer,
                         struct table *table)
{
    for (size_t i = 0; i < page->entry_count; i++) {
        const struct page_entry *entry = &page->entries[i];
        struct text meaning = {0};
        reading_write_meaning(entry, reading, longer, &meaning);
        table_word(table, entry->text);
        table_word(table, entry->key);
        table_word(table, entry->value);
        table_word(table, entry->unit[0] ? entry->unit : NULL);
        table_word(table, text_string(&meaning));
        if (entry->plp >= 0) {
            table_whole(table, entry->plp);
        } else {
            table_null(table);
        }
        table_whole(table, entry->line);
        table_bool(table, entry->guess);
        table->failed |= meaning.failed;
        text_free(&meaning);
    }
}

/* A list of lines; `ending` stands behind each of the second list. */
static struct table list_of(const struct page_lines *first, const struct page_lines *second,
                            const char *ending)
{
    static const struct table_column columns[] = {{"line", "Line", NULL, 0}};
    struct table table = table_start(columns, 1);
    for (size_t i = 0; i < first->count; i++) {
        table_word(&table, first->rows[i]);
    }
    for (size_t i = 0; second && i < second->count; i++) {
        char line[PAGE_TEXT_BYTES * 3];
        text_format(line, sizeof line, "%s%s", second->rows[i], ending);
        table_word(&table, line);
    }
    return table;
}

/* ---- JSON. ---- */

/* One cell of words, null where there are none. */
static struct table word_of(const char *word)
{
    static const struct table_column columns[] = {{"word", "Word", NULL, 0}};
    struct table table = table_start(columns, 1);
    table_word(&table, word);
    return table;
}

static struct table written(void (*write)(const struct reading *reading, struct text *out),
                            const struct reading *reading)
{
    struct text words = {0};
    write(reading, &words);
    struct table table = word_of(text_string(&words));
    table.failed |= words.failed;
    text_free(&words);
    return table;
}

/* The mode as a report tells the second generation: every name, null where unknown. */
static struct table mode_of(const struct reading *reading)
{
    static const struct table_column more[] = {{"account", "Account", NULL, 0},
                                               {"plps", "PLPs", NULL, 0}};
    const struct reading_pipe *chosen = reading_chosen(reading);
    const struct system *system = system_of(&chosen->settled.scenario, GENERATION_SECOND);
    struct figure_list figures = figures_named(&generation_figures, system->figures);
    static const char *const none[] = {NULL};
    bool piped = system->plp_figures && reading->pipes[0].plp >= 0;
    struct figure_list of_plp =
        figures_named(&generation_figures, piped ? system->plp_figures : none);
    struct table mode = figures_across(&figures, more, 2);
    struct table account = part_account(&chosen->verdict);
    struct table plps = figures_across(&of_plp, NULL, 0);
    for (int i = 0; piped && i < reading->pipe_count; i++) {
        table_figures(&plps, &of_plp, &reading->pipes[i].verdict);
    }
    struct verdict whole = chosen->verdict; /* of the chosen PLP, with the rate of all */
    whole.facts.net_mbps = reading_net_mbps(reading);
    table_figures(&mode, &figures, &whole);
    table_rows(&mode, &account);
    table_rows(&mode, &plps);
    return mode;
}

static const char *generation_of(const struct reading *reading)
{
    enum generation generation = reading_chosen(reading)->settled.generation;
    return generation == GENERATION_COUNT ? NULL : generation_name(generation);
}

static enum status write_json(const struct page *page, const struct reading *reading, bool longer,
                              struct text *out)
{
    static const char *const margin_names[] = {"margin_db", NULL};
    const struct reading_pipe *chosen = reading_chosen(reading);
    struct page_lines wrong;
    enum status status = reading_contradictions(reading, page, &wrong);
    struct figure_list margin_list = figures_named(&generation_figures, margin_names);
    struct table entries =
        table_start(entry_columns, sizeof entry_columns / sizeof entry_columns[0]);
    fill_entries(page, reading, longer, &entries);
    struct table tables[] = {
        mode_of(reading),
        figures_of(&margin_list, &chosen->verdict),
        word_of(generation_of(reading)),
        written(reading_write_verdict, reading),
        entries,
        list_of(&wrong, NULL, NULL),
        list_of(&chosen->settled.missing, &chosen->settled.assumed, ": not on the page, assumed"),
        list_of(&page->unread, NULL, NULL),
    };
    static const struct {
        const char *name;
        enum member_kind kind;
    } names[] = {{"mode", MEMBER_OBJECT},      {"margin_db", MEMBER_VALUE},
                 {"generation", MEMBER_VALUE}, {"verdict", MEMBER_VALUE},
                 {"entries", MEMBER_ARRAY},    {"contradictions", MEMBER_LIST},
                 {"missing", MEMBER_LIST},     {"unread", MEMBER_LIST}};
    struct member members[sizeof names / sizeof names[0]];
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        members[i] = (struct member){names[i].name, names[i].kind, &tables[i]};
    }
    if (status == STATUS_OK) {
        status = members_write_json(members, sizeof members / sizeof members[0], out);
    }
    for (size_t i = 0; i < sizeof tables / sizeof tables[0]; i++) {
        table_free(&tables[i]);
    }
    free(wrong.rows);
    return status;
}

static enum status write_csv(const struct page *page, const struct reading *reading, bool longer,
                             struct text *out)
{
    struct table entries =
        table_start(entry_columns, sizeof entry_columns / sizeof entry_columns[0]);
    fill_entries(page, reading, longer, &entries);
    enum status status = table_write(&entries, FORMAT_CSV, out);
    table_free(&entries);
    return status;
}

/* ---- Text and Markdown. ---- */

static void write_words(void (*write)(const struct reading *reading, struct text *out),
                        const struct reading *reading, enum format format, struct text *out)
{
    struct text words = {0};
    write(reading, &words);
    note_paragraph(out, format, text_string(&words));
    out->failed |= words.failed;
    text_free(&words);
}

static void write_lines(const struct page_lines *lines, enum format format, struct text *out)
{
    for (size_t i = 0; i < lines->count; i++) {
        note_append(out, format, lines->rows[i]);
    }
    if (lines->left_out > 0) {
        char more[64];
        text_format(more, sizeof more, "and %zu more.", lines->left_out);
        note_append(out, format, more);
    }
}

/* What a key means is told once. */
static bool is_first_of_its_key(const struct page *page, size_t at)
{
    for (size_t i = 0; i < at; i++) {
        if (strcmp(page->entries[i].key, page->entries[at].key) == 0) {
            return false;
        }
    }
    return true;
}

/* True where the same was told of the same before. */
static bool is_told(const struct page *page, size_t which)
{
    const struct page_entry *entry = &page->entries[which];
    bool told = false;
    for (size_t i = 0; i < which && !told; i++) {
        const struct page_entry *before = &page->entries[i];
        told = before->plp == entry->plp && before->subframe == entry->subframe &&
               strcmp(before->key, entry->key) == 0 && strcmp(before->value, entry->value) == 0 &&
               strcmp(before->unit, entry->unit) == 0 && !entry->guess;
    }
    return told;
}

static bool is_of_no_use(const struct page_entry *entry)
{
    return strcmp(entry->key, "page.signalling") == 0;
}

/* Fields of a dump that nothing here depends on, as they stand there. */
static void write_idle_fields(const struct page *page, enum format format, struct text *out)
{
    struct text line = {0};
    for (size_t i = 0; i < page->entry_count; i++) {
        if (is_of_no_use(&page->entries[i])) {
            text_printf(&line, "%s%s",
                        line.length > 0 ? ", " : "Read, but no figure depends on it: ",
                        page->entries[i].text);
        }
    }
    if (line.length > 0) {
        text_append(&line, ".");
        note_append(out, format, text_string(&line));
    }
    out->failed |= line.failed;
    text_free(&line);
}

static void write_entries(const struct page *page, const struct reading *reading, bool longer,
                          enum format format, struct text *out)
{
    note_heading(out, format, "What the page says");
    for (size_t i = 0; i < page->entry_count; i++) {
        const struct page_entry *entry = &page->entries[i];
        char title[READING_TITLE_BYTES];
        struct text line = {0};
        if (is_told(page, i) || is_of_no_use(entry)) {
            continue;
        }
        if (entry->plp >= 0) {
            text_printf(&line, "PLP %d, ", entry->plp);
        }
        text_printf(&line, "%s %s", reading_title(entry, title, sizeof title), entry->value);
        text_printf(&line, entry->unit[0] ? " %s" : "", entry->unit);
        text_printf(&line, entry->note[0] ? " (%s)" : "", entry->note);
        text_append(&line, longer || is_first_of_its_key(page, i) ? ": " : "");
        if (longer || is_first_of_its_key(page, i)) {
            reading_write_meaning(entry, reading, longer, &line);
        }
        note_append(out, format, text_string(&line));
        out->failed |= line.failed;
        text_free(&line);
    }
    write_idle_fields(page, format, out);
    if (page->entry_count == 0) {
        note_append(out, format, "Nothing that is known here.");
    }
    if (page->entries_left_out > 0) {
        char more[64];
        text_format(more, sizeof more, "And %zu entries more.", page->entries_left_out);
        note_append(out, format, more);
    }
}

/* A heading and its words, where there are any. */
static void write_part(const char *heading,
                       void (*write)(const struct reading *reading, struct text *out),
                       const struct reading *reading, enum format format, struct text *out)
{
    struct text words = {0};
    write(reading, &words);
    if (words.length > 0) {
        note_heading(out, format, heading);
        note_paragraph(out, format, text_string(&words));
    }
    out->failed |= words.failed;
    text_free(&words);
}

/* The modes that the page tells of, in the trade's terms. */
static void write_pipes(const struct reading *reading, enum format format, struct text *out)
{
    if (!reading_chosen(reading)->settled.legal && reading->pipe_count == 1) {
        return;
    }
    note_heading(out, format, "In the trade's terms");
    for (int i = 0; i < reading->pipe_count; i++) {
        struct text words = {0};
        reading_write_pipe(&reading->pipes[i], &words);
        note_append(out, format, text_string(&words));
        out->failed |= words.failed;
        text_free(&words);
    }
}

/* Of several PLPs one is told at length. */
static void write_whose(const struct reading *reading, struct text *out)
{
    text_printf(out, "What follows is of PLP %d where it names no other; --plp chooses another.",
                reading_chosen(reading)->plp);
}

static void write_list(const char *heading, const struct page_lines *lines, enum format format,
                       struct text *out)
{
    if (lines->count > 0) {
        note_heading(out, format, heading);
        write_lines(lines, format, out);
    }
}

/* What the page does not say, in one sentence; what has another reason after it, each in its own.
 */
static void write_not_said(const struct page_lines *lines, enum format format, struct text *out)
{
    static const char plainly[] = ": not on the page";
    struct text words = {0};
    if (lines->count == 0) {
        return;
    }
    note_heading(out, format, "What is missing");
    for (size_t i = 0; i < lines->count; i++) {
        size_t length = strlen(lines->rows[i]), tail = sizeof plainly - 1;
        if (length > tail && strcmp(lines->rows[i] + length - tail, plainly) == 0) {
            text_printf(&words, "%s%.*s",
                        words.length > 0 ? ", " : "Not on the page: ", (int)(length - tail),
                        lines->rows[i]);
        } else {
            note_append(out, format, lines->rows[i]);
        }
    }
    if (words.length > 0) {
        text_append(&words, ".");
        note_paragraph(out, format, text_string(&words));
    }
    out->failed |= words.failed;
    text_free(&words);
}

/* What was not on the page: in one line, or each in its own. */
static void write_missing(const struct reading *reading, bool longer, enum format format,
                          struct text *out)
{
    const struct page_settled *settled = &reading_chosen(reading)->settled;
    if (longer) {
        write_list("What is missing", &settled->missing, format, out);
        write_list("What was assumed", &settled->assumed, format, out);
    } else {
        write_not_said(&settled->missing, format, out);
        write_part("What was assumed", reading_write_assumed, reading, format, out);
    }
}

static enum status write_page(const struct page *page, const struct reading *reading, bool longer,
                              enum format format, struct text *out)
{
    struct page_lines wrong;
    enum status status = reading_contradictions(reading, page, &wrong);
    write_words(reading_write_verdict, reading, format, out);
    write_list("What does not go together", &wrong, format, out);
    if (reading->pipe_count > 1) {
        text_append(out, wrong.count > 0 ? "\n" : ""); /* no part of the list */
        write_words(write_whose, reading, format, out);
    }
    write_part("What would break it", reading_write_limits, reading, format, out);
    write_part("What would mend it", reading_write_mending, reading, format, out);
    write_part("The other generation here", reading_write_other, reading, format, out);
    write_part("What was given up for it", reading_write_cost, reading, format, out);
    write_pipes(reading, format, out);
    write_entries(page, reading, longer, format, out);
    write_list("What was not understood", &page->unread, format, out);
    write_missing(reading, longer, format, out);
    write_part("What the figures rest on", reading_write_basis, reading, format, out);
    free(wrong.rows);
    return status;
}

/* ---- The command. ---- */

static enum status read_input(const struct invocation *invocation, struct text *bytes,
                              struct fault *fault)
{
    const char *path = invocation->operand_count > 0 ? invocation->operands[0] : "-";
    enum status status = strcmp(path, "-") == 0
                             ? file_read_stream(stdin, PICTURE_BYTES_MAX, bytes, fault)
                             : file_read(path, PICTURE_BYTES_MAX, bytes, fault);
    return status == STATUS_OK ? page_take_picture(bytes, NULL, fault) : status;
}

/* A log of readings that was handed over as a page. */
static bool is_log(const struct text *bytes, const struct page *page)
{
    struct reading_log log = {0};
    struct fault fault;
    bool is = page->entry_count == 0 &&
              log_read(text_string(bytes), bytes->length, &log, &fault) == STATUS_OK;
    log_free(&log);
    return is;
}

static enum status explain_page(struct invocation *invocation, const struct page *page, int plp,
                                struct text *out, struct fault *fault)
{
    struct weigh_space space = {0};
    struct reading reading;
    enum status status =
        reading_make(page, plp, &invocation->profile.scenario, &space, &reading, fault);
    weigh_space_free(&space);
    if (status != STATUS_OK) {
        return status;
    }
    bool longer = wants_long(invocation);
    if (invocation->format == FORMAT_JSON) {
        status = write_json(page, &reading, longer, out);
    } else if (invocation->format == FORMAT_CSV) {
        status = write_csv(page, &reading, longer, out);
    } else {
        status = write_page(page, &reading, longer, invocation->format, out);
    }
    reading_free(&reading);
    return status;
}

/* ---- A log of readings. ---- */

static enum status write_log(const struct invocation *invocation, const struct reading_log *log,
                             const struct log_held held[GENERATION_COUNT], struct text *out)
{
    static const struct table_column columns[] = {{"readings", "Readings", NULL, 0}};
    struct figure_list figures = figures_all(&log_figures);
    if (invocation->format != FORMAT_JSON && invocation->format != FORMAT_CSV) {
        struct text words = {0};
        log_write_words(log, held, &words);
        note_paragraph(out, invocation->format, text_string(&words));
        text_free(&words);
        return STATUS_OK;
    }
    if (invocation->format == FORMAT_CSV) {
        static const struct table_column generation = {"generation", "Generation", NULL, 0};
        struct table table = figures_across(&figures, &generation, 1);
        for (int i = 0; i < GENERATION_COUNT; i++) {
            table_figures(&table, &figures, &held[i]);
            table_word(&table, generation_parts[i]);
        }
        enum status status = table_write(&table, FORMAT_CSV, out);
        table_free(&table);
        return status;
    }
    struct table count = table_start(columns, 1), span = table_start(columns, 1);
    struct table parts[] = {figures_of(&figures, &held[GENERATION_FIRST]),
                            figures_of(&figures, &held[GENERATION_SECOND])};
    table_whole(&count, (long)log->count);
    table_number(&span, log_span_s(log));
    const struct member members[] = {{"readings", MEMBER_VALUE, &count},
                                     {"span_s", MEMBER_VALUE, &span},
                                     {generation_parts[0], MEMBER_OBJECT, &parts[0]},
                                     {generation_parts[1], MEMBER_OBJECT, &parts[1]}};
    enum status status = members_write_json(members, 4, out);
    table_free(&count);
    table_free(&span);
    table_free(&parts[0]);
    table_free(&parts[1]);
    return status;
}

static enum exit_status run_log(const struct invocation *invocation)
{
    const char *name = invocation->operand_count > 0 ? invocation->operands[0] : "-";
    struct text bytes = {0}, out = {0};
    struct fault fault = {0};
    struct reading_log log = {0};
    struct log_held held[GENERATION_COUNT];
    enum status status = strcmp(name, "-") == 0
                             ? file_read_stream(stdin, LOG_BYTES_MAX, &bytes, &fault)
                             : file_read(name, LOG_BYTES_MAX, &bytes, &fault);
    if (status == STATUS_OK) {
        status = log_read(text_string(&bytes), bytes.length, &log, &fault);
    }
    for (int i = 0; i < GENERATION_COUNT && status == STATUS_OK; i++) {
        struct verdict verdict;
        status =
            verdict_prepare(&invocation->profile.scenario, (enum generation)i, &verdict, &fault);
        if (status == STATUS_OK) {
            status = log_hold(&log, &verdict, &held[i], &fault);
        }
    }
    if (status == STATUS_OK) {
        status = write_log(invocation, &log, held, &out);
    }
    log_free(&log);
    text_free(&bytes);
    return invocation_finish(invocation, name, status, &fault, &out);
}

static enum exit_status run(struct invocation *invocation)
{
    if (invocation_option(invocation, "--log")) {
        return run_log(invocation);
    }
    int plp = -1;
    const char *given = invocation_option(invocation, "--plp");
    if (given && (!number_read_int(given, &plp) || plp < 0 || plp > PAGE_PLP_MAX)) {
        return invocation_refuse(invocation, "--plp", "0 to 63", "\"%s\" is no PLP", given);
    }
    struct text bytes = {0}, out = {0};
    struct page page = {0};
    struct fault fault = {0};
    enum status status = read_input(invocation, &bytes, &fault);
    if (status == STATUS_OK) {
        status = page_read(text_string(&bytes), bytes.length,
                           invocation->profile.scenario.site.pair, &page, &fault);
        fault.place[0] = '\0'; /* the file's name stands in its place */
    }
    if (status == STATUS_OK && is_log(&bytes, &page)) {
        status = fault_set(&fault, STATUS_MALFORMED, "", "--log reads it",
                           "a log of readings is no page");
    } else if (status == STATUS_OK) {
        status = explain_page(invocation, &page, plp, &out, &fault);
    }
    const char *name = invocation->operand_count > 0 ? invocation->operands[0] : "-";
    page_free(&page);
    text_free(&bytes);
    return invocation_finish(invocation, name, status, &fault, &out);
}

static void offer_pages(const char *option, struct text *offers)
{
    if (!option) {
        offer_files(offers, "FILE");
    }
}

const struct command command_read = {
    .name = "read",
    .operands = "[FILE]",
    .summary = "a receiver's technical page, explained",
    .options = options,
    .operands_most = 1,
    .offer = offer_pages,
    .notes = "Reads standard input where no file is named; a picture (PNG, JPEG) by the\n"
             "program tesseract. What the page does not say stays unknown, unless --set\n"
             "says it. Example: guardspan read demo/pages/01-one-a-line.txt",
    .run = run,
};
