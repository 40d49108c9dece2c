/* guardspan divide: the channel divided among the profile's services, four ways. */
#include <math.h>
#include <stdlib.h>

#include "command/commands.h"
#include "command/parts.h"
#include "present/table/notes.h"
#include "study/divide/divide.h"

static struct table services_of(const struct division *division)
{
    struct figure_list list = figures_all(&division_service_figures);
    struct table table = figures_across(&list, NULL, 0);
    for (int s = 0; s < division->count; s++) {
        table_figures(&table, &list, &division->services[s]);
    }
    return table;
}

/* All but yes and no to what the system does not choose. */
static struct figure_list chosen_figures(const struct divisions *divisions)
{
    struct figure_list all = figures_all(&division_figures), list = {0};
    for (size_t i = 0; i < all.count; i++) {
        if (all.rows[i]->kind != FIGURE_YES_NO ||
            !isnan(figure_number(all.rows[i], &divisions->best[0]))) {
            list.rows[list.count++] = all.rows[i];
        }
    }
    return list;
}

static enum status write_json(const struct divisions *divisions, struct text *out)
{
    static const struct table_column more[] = {{"services", "Services", NULL, 0}};
    struct figure_list list = chosen_figures(divisions);
    struct table table = figures_across(&list, more, 1);
    for (int i = 0; i < divisions->count; i++) {
        struct table services = services_of(&divisions->best[i]);
        table_figures(&table, &list, &divisions->best[i]);
        table_rows(&table, &services);
    }
    enum status status = table_write(&table, FORMAT_JSON, out);
    table_free(&table);
    return status;
}

/* A line a service, with its division before it. */
static enum status write_lines(const struct divisions *divisions, enum format format,
                               struct text *out)
{
    struct figure_list whole = chosen_figures(divisions);
    struct figure_list each = figures_all(&division_service_figures), both = whole;
    for (size_t i = 0; i < each.count; i++) {
        both.rows[both.count++] = each.rows[i];
    }
    struct table table = figures_across(&both, NULL, 0);
    for (int i = 0; i < divisions->count; i++) {
        for (int s = 0; s < divisions->best[i].count; s++) {
            table_figures(&table, &whole, &divisions->best[i]);
            table_figures(&table, &each, &divisions->best[i].services[s]);
        }
    }
    enum status status = table_write(&table, format, out);
    table_free(&table);
    return status;
}

/* All kinds in one table: what each leaves to spare, and by how much that is more than a division
 * in time does. */
static enum status write_kinds(const struct divisions *divisions, enum format format,
                               struct text *out)
{
    static const char *const shown[] = {"kind", "fft", "guard", "pilots", "spare_mbps", NULL};
    static const struct table_column more[] = {{"over_time", "Over time", "Mbit/s", 2}};
    struct figure_list list = figures_named(&division_figures, shown);
    struct table table = figures_across(&list, more, 1);
    double time_mbps = NAN;
    for (int i = 0; i < divisions->count; i++) {
        const struct division *division = &divisions->best[i];
        time_mbps = division->kind == DIVISION_TIME ? division->spare_mbps : time_mbps;
    }
    for (int i = 0; i < divisions->count; i++) {
        table_figures(&table, &list, &divisions->best[i]);
        table_number(&table, divisions->best[i].spare_mbps - time_mbps);
    }
    enum status status = table_write(&table, format, out);
    table_free(&table);
    return status;
}

static enum status write_page(const struct scenario *scenario, const struct divisions *divisions,
                              enum format format, struct text *out)
{
    static const char *const in_layers[] = {
        "name",     "layer",           "constellation", "rate", "injection_db",
        "net_mbps", "receiver_snr_db", "margin_db",     NULL};
    static const char *const by_turns[] = {
        "name", "constellation", "rate", "net_mbps", "receiver_snr_db", "margin_db", NULL};
    struct text words = {0};
    enum status status = write_kinds(divisions, format, out);
    for (int i = 0; i < divisions->count && status == STATUS_OK; i++) {
        const struct division *division = &divisions->best[i];
        text_printf(&words, "%s. %.2f Mbit/s to spare for %s", division_kind_words(division->kind),
                    division->spare_mbps, division_taker(scenario));
        note_heading(out, format, text_string(&words));
        text_clear(&words);
        division_words_waveform(division, &words);
        note_paragraph(out, format, text_string(&words));
        text_clear(&words);
        text_append(out, "\n");
        struct figure_list list = figures_named(
            &division_service_figures, division->kind == DIVISION_LAYERS ? in_layers : by_turns);
        struct table table = figures_across(&list, NULL, 0);
        for (int s = 0; s < division->count; s++) {
            table_figures(&table, &list, &division->services[s]);
        }
        status = table_write(&table, format, out);
        table_free(&table);
    }
    note_heading(out, format, "What the figures assume");
    division_assumes(scenario, &words);
    note_append(out, format, text_string(&words));
    note_append(out, format, division_spares);
    note_append(out, format,
                "A planning aid, not a measurement: local rules and a licensed engineer decide.");
    out->failed |= words.failed;
    text_free(&words);
    return status;
}

static enum exit_status run(struct invocation *invocation)
{
    const struct scenario *scenario = &invocation->profile.scenario;
    struct divisions *divisions = malloc(sizeof *divisions);
    struct fault fault = {0};
    struct text out = {0};
    enum status status =
        divisions != NULL ? divide_make(scenario, divisions, &fault) : STATUS_NO_MEMORY;
    if (status == STATUS_OK && invocation->format == FORMAT_JSON) {
        status = write_json(divisions, &out);
    } else if (status == STATUS_OK && invocation->format == FORMAT_CSV) {
        status = write_lines(divisions, FORMAT_CSV, &out);
    } else if (status == STATUS_OK) {
        status = write_page(scenario, divisions, invocation->format, &out);
    }
    free(divisions);
    return invocation_finish(invocation, invocation->profile_path, status, &fault, &out);
}

const struct command command_divide = {
    .name = "divide",
    .operands = "[PROFILE]",
    .summary = "the channel divided among services: in time, in subframes, in layers",
    .takes_profile = 1,
    .notes = "Services are sections [service NAME] of the profile, for example those of\n"
             "profiles/three-services.ini.",
    .run = run,
};
