/* Objects of figures in JSON and CSV, with the tables that hang on a verdict. */
#include "command/parts.h"

#include <string.h>

#include "present/table/notes.h"

const char *const generation_parts[GENERATION_COUNT] = {
    [GENERATION_FIRST] = "first", [GENERATION_SECOND] = "second"};

struct part part_of_generation(const char *name, const struct verdict *verdict,
                               const char *const *figures, enum part_tables tables)
{
    return (struct part){name, figures_named(&generation_figures, figures), verdict, tables, NULL};
}

struct table part_account(const struct verdict *verdict)
{
    struct figure_list steps = figures_all(&account_figures);
    struct table table = figures_across(&steps, NULL, 0);
    struct account account;
    verdict_account(verdict, &account);
    for (int i = 0; i < account.count; i++) {
        table_figures(&table, &steps, &account.steps[i]);
    }
    return table;
}

struct table part_plps(const struct verdict *pipes, int count)
{
    struct figure_list list =
        figures_named(&generation_figures, pipes[0].reception.system->plp_figures);
    struct table table = figures_across(&list, NULL, 0);
    for (int i = 0; i < count; i++) {
        table_figures(&table, &list, &pipes[i]);
    }
    return table;
}

void part_write_plps(const struct pipes *pipes, const struct part_plps *section, enum format format,
                     struct text *out)
{
    if (pipes->count < section->least) {
        return;
    }
    struct figure_list named = figures_named(&generation_figures, section->figures), list = {0};
    struct table_column columns[FIGURES_MAX];
    for (size_t i = 0; i < named.count; i++) { /* but for what is not known of any */
        bool known = false;
        for (int k = 0; k < pipes->count; k++) {
            char text[96];
            figure_text(named.rows[i], &pipes->verdicts[k], text, sizeof text);
            known = known || strcmp(text, "-") != 0;
        }
        if (known) {
            list.rows[list.count++] = named.rows[i];
        }
    }
    for (size_t i = 0; i < list.count; i++) {
        columns[i] = (struct table_column){list.rows[i]->name, figure_brief(list.rows[i]),
                                           list.rows[i]->unit[0] ? list.rows[i]->unit : NULL,
                                           list.rows[i]->decimals};
    }
    struct table table = table_start(columns, list.count);
    note_heading(out, format, section->heading);
    for (int i = 0; i < pipes->count; i++) {
        table_figures(&table, &list, &pipes->verdicts[i]);
    }
    out->failed |= table_write(&table, format, out) != STATUS_OK;
    table_free(&table);
}

/* The object; the caller frees it. */
static struct table part_object(const struct part *part)
{
    static const struct table_column more[] = {{"account", "Account", NULL, 0},
                                               {"plps", "PLPs", NULL, 0}};
    const struct verdict *verdict = part->tables != PART_PLAIN ? part->result : NULL;
    bool has_plps = part->tables == PART_ALL && part->pipes != NULL && part->pipes->count > 0;
    struct table table = figures_across(&part->list, more, verdict == NULL ? 0 : has_plps ? 2 : 1);
    table_figures(&table, &part->list, part->result);
    if (verdict != NULL) {
        struct table account = part_account(verdict);
        table_rows(&table, &account);
    }
    if (has_plps) {
        struct table plps = part_plps(part->pipes->verdicts, part->pipes->count);
        table_rows(&table, &plps);
    }
    return table;
}

static enum status write_json(const struct part *parts, size_t count, struct text *out)
{
    struct table objects[PARTS_MAX];
    struct member members[PARTS_MAX] = {0};
    for (size_t i = 0; i < count; i++) {
        objects[i] = part_object(&parts[i]);
        members[i] = (struct member){parts[i].name, MEMBER_OBJECT, &objects[i]};
    }
    enum status status = members_write_json(members, count, out);
    for (size_t i = 0; i < count; i++) {
        table_free(&objects[i]);
    }
    return status;
}

enum status parts_write(const struct part *parts, size_t count, enum format format,
                        struct text *out)
{
    if (format == FORMAT_JSON) {
        return write_json(parts, count, out);
    }
    struct table table = figures_in_parts();
    for (size_t i = 0; i < count; i++) {
        figures_add_part(&table, parts[i].name, &parts[i].list, parts[i].result);
    }
    enum status status = table_write(&table, format, out);
    table_free(&table);
    return status;
}
