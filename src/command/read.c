/* guardspan read: a receiver's technical page, explained. */
#include <string.h>

#include "base/file.h"
#include "base/number.h"
#include "command/commands.h"
#include "command/parts.h"
#include "present/table/notes.h"
#include "study/explain/explain.h"
#include "study/page/reading.h"

static const struct option_row options[] = {
    {"--plp", "N", "the mode of this PLP (the first that the page names)"},
    {"--long", NULL, "the longer explanation of each entry, with formula and source"},
    {0},
};

static bool wants_long(const struct invocation *invocation)
{
    return invocation_option(invocation, "--long") != NULL;
}

/* ---- Entries as a table. ---- */

static const struct table_column entry_columns[] = {
    {"text", "On the page", NULL, 0}, {"key", "Key", NULL, 0}, {"value", "Value", NULL, 0},
    {"meaning", "Meaning", NULL, 0},  {"plp", "PLP", NULL, 0}, {"line", "Line", NULL, 0},
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
        table_word(table, text_string(&meaning));
        if (entry->plp >= 0) {
            table_whole(table, entry->plp);
        } else {
            table_null(table);
        }
        table_whole(table, entry->line);
        table->failed |= meaning.failed;
        text_free(&meaning);
    }
}

static struct table list_of(const struct page_lines *first, const struct page_lines *second)
{
    static const struct table_column columns[] = {{"line", "Line", NULL, 0}};
    struct table table = table_start(columns, 1);
    for (size_t i = 0; i < first->count; i++) {
        table_word(&table, first->rows[i]);
    }
    for (size_t i = 0; second && i < second->count; i++) {
        table_word(&table, second->rows[i]);
    }
    return table;
}

/* ---- JSON. ---- */

static enum status write_json(const struct page *page, const struct reading *reading, bool longer,
                              struct text *out)
{
    static const char *const margin_names[] = {"margin_db", NULL};
    bool has_mode = reading->known && !reading->settled.first_generation;
    const struct verdict *verdict =
        &reading->report.verdicts.of[has_mode ? GENERATION_SECOND : GENERATION_FIRST];
    struct part part = {0};
    if (has_mode) {
        part = part_of_generation("mode", verdict, verdict->reception.system->figures, PART_ALL);
    }
    struct figure_list margin_list = figures_named(&generation_figures, margin_names);
    struct table mode = has_mode ? part_object(&part) : table_start(NULL, 0);
    struct table margin = figures_across(&margin_list, NULL, 0);
    if (reading->known) {
        table_figures(&margin, &margin_list, verdict);
    }
    struct table entries =
        table_start(entry_columns, sizeof entry_columns / sizeof entry_columns[0]);
    fill_entries(page, reading, longer, &entries);
    struct table unread = list_of(&page->unread, NULL);
    struct table contradictions = list_of(&reading->settled.contradictions, &page->wrong);
    struct table missing = list_of(&reading->settled.missing, NULL);
    const struct member members[] = {
        {"mode", MEMBER_OBJECT, &mode},
        {"margin_db", MEMBER_VALUE, &margin},
        {"entries", MEMBER_ARRAY, &entries},
        {"unread", MEMBER_LIST, &unread},
        {"contradictions", MEMBER_LIST, &contradictions},
        {"missing", MEMBER_LIST, &missing},
    };
    enum status status = members_write_json(members, sizeof members / sizeof members[0], out);
    table_free(&mode);
    table_free(&margin);
    table_free(&entries);
    table_free(&unread);
    table_free(&contradictions);
    table_free(&missing);
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

static void write_entries(const struct page *page, const struct reading *reading, bool longer,
                          enum format format, struct text *out)
{
    note_heading(out, format, "What the page says");
    for (size_t i = 0; i < page->entry_count; i++) {
        const struct page_entry *entry = &page->entries[i];
        const struct explanation *words = explain_find(entry->key);
        struct text line = {0};
        if (entry->plp >= 0) {
            text_printf(&line, "PLP %d, ", entry->plp);
        }
        text_printf(&line, "%s %s: ", words ? explain_title(words) : entry->key, entry->value);
        reading_write_meaning(entry, reading, longer, &line);
        note_append(out, format, text_string(&line));
        out->failed |= line.failed;
        text_free(&line);
    }
    if (page->entry_count == 0) {
        note_append(out, format, "Nothing that is known here.");
    }
    if (page->entries_left_out > 0) {
        char more[64];
        text_format(more, sizeof more, "And %zu entries more.", page->entries_left_out);
        note_append(out, format, more);
    }
}

static void write_page(const struct page *page, const struct reading *reading, bool longer,
                       enum format format, struct text *out)
{
    write_words(reading_write_verdict, reading, format, out);
    int plps[PAGE_PLP_MAX + 1];
    int count = page_plps(page, plps);
    if (count > 1) {
        char line[96];
        text_format(line, sizeof line, "The page names %d PLPs; --plp chooses another.", count);
        note_paragraph(out, format, line);
    }
    if (reading->settled.contradictions.count + page->wrong.count > 0) {
        note_heading(out, format, "What cannot be");
        write_lines(&reading->settled.contradictions, format, out);
        write_lines(&page->wrong, format, out);
    }
    if (reading->known) {
        note_heading(out, format, "What would break it");
        write_words(reading_write_limits, reading, format, out);
        note_heading(out, format, "What was given up for it");
        write_words(reading_write_cost, reading, format, out);
    }
    write_entries(page, reading, longer, format, out);
    if (page->unread.count > 0) {
        note_heading(out, format, "What was not understood");
        write_lines(&page->unread, format, out);
    }
    if (reading->settled.missing.count > 0) {
        note_heading(out, format, "What is missing");
        write_lines(&reading->settled.missing, format, out);
    }
    note_heading(out, format, "What the figures assume");
    note_append(out, format,
                "What receivers call SNR is mostly the modulation error ratio after the equaliser. "
                "Needed: the receiver model of ATSC A/327 Annex B, in noise alone. A planning aid, "
                "not a measurement.");
}

/* ---- The command. ---- */

static enum status read_input(const struct invocation *invocation, struct text *bytes,
                              struct fault *fault)
{
    const char *path = invocation->operand_count > 0 ? invocation->operands[0] : "-";
    return strcmp(path, "-") == 0 ? file_read_stream(stdin, PAGE_BYTES_MAX, bytes, fault)
                                  : file_read(path, PAGE_BYTES_MAX, bytes, fault);
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
        write_page(page, &reading, longer, invocation->format, out);
    }
    reading_free(&reading);
    return status;
}

static enum exit_status run(struct invocation *invocation)
{
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
        status = page_read(text_string(&bytes), bytes.length, &page, &fault);
        fault.place[0] = '\0'; /* the file's name stands in its place */
    }
    if (status == STATUS_OK) {
        status = explain_page(invocation, &page, plp, &out, &fault);
    }
    const char *name = invocation->operand_count > 0 ? invocation->operands[0] : "-";
    page_free(&page);
    text_free(&bytes);
    return invocation_finish(invocation, name, status, &fault, &out);
}

const struct command command_read = {
    .name = "read",
    .operands = "[FILE]",
    .summary = "a receiver's technical page, explained",
    .options = options,
    .operands_most = 1,
    .notes =
        "Reads standard input where no file is named. What the page does not say is taken "
        "from the\ndefaults or from --set. Example: guardspan read demo/pages/01-one-a-line.txt",
    .run = run,
};
