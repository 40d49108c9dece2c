/* guardspan weigh: all legal modes against limits, the frontier, and moves from the present mode.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "base/units.h"
#include "command/commands.h"
#include "command/complete.h"
#include "command/parts.h"
#include "command/weigh/beside.h"
#include "present/table/notes.h"
#include "study/weigh/moves.h"
#include "study/weigh/weigh.h"

static const struct option_row options[] = {
    {"--echo-at-least", "TIME|LENGTH", "guard interval at least so long: 100us or 30km"},
    {"--speed-at-least", "KMH", "speed limit on the profile's channel at least so high, km/h"},
    {"--rate-at-least", "MBPS", "net rate at least so high, Mbit/s"},
    {"--snr-at-most", "DB", "required SNR at most so high, dB"},
    {"--snr-kind", "receiver|ideal|rayleigh", "which required SNR counts (receiver)"},
    {"--margin-at-least", "DB",
     "margin with the profile's echoes and SNR at least so high, dB; orders by it"},
    {"--order", "NAME", "by which figure, as in JSON (net_mbps); the better ones first"},
    {"--top", "N", "how many rows (20); 0: all"},
    {"--fix", "SECTION.KEY", "keep this setting as the profile has it; may be repeated"},
    {"--unfold", NULL, "list each mode of those that are told as one, not only the best"},
    {"--beside", "PROFILE", "compare the profile's mode with another profile's; may be repeated"},
    {0},
};

/* ---- Options. ---- */

/* "100us", "30 km": microseconds. */
static bool read_echo(const char *words, double *us)
{
    char number[64];
    size_t length = strcspn(words, "uk");
    if (length == 0 || length >= sizeof number) {
        return false;
    }
    text_format(number, sizeof number, "%.*s", (int)length, words);
    double value;
    if (!number_read_double(number, &value) || value < 0.0) {
        return false;
    }
    if (strcmp(words + length, "us") == 0) {
        *us = value;
        return true;
    }
    if (strcmp(words + length, "km") == 0) {
        *us = us_from_km(value);
        return true;
    }
    return false;
}

static const struct {
    const char *option, *allowed;
    enum weigh_limit limit;
    double low, high;
} number_limits[] = {
    {"--speed-at-least", "0 to 100000 km/h", LIMIT_SPEED, 0.0, 1e5},
    {"--rate-at-least", "0 to 1000 Mbit/s", LIMIT_RATE, 0.0, 1e3},
    {"--snr-at-most", "-50 to 100 dB", LIMIT_SNR, -50.0, 100.0},
    {"--margin-at-least", "-100 to 100 dB", LIMIT_MARGIN, -100.0, 100.0},
};

static enum exit_status read_limits(const struct invocation *invocation, struct weigh_wish *wish)
{
    const char *echo = invocation_option(invocation, "--echo-at-least");
    if (echo && !read_echo(echo, &wish->limits[LIMIT_ECHO])) {
        return invocation_refuse(invocation, "--echo-at-least", "100us or 30km",
                                 "\"%s\" is neither a time nor a length", echo);
    }
    for (size_t i = 0; i < sizeof number_limits / sizeof number_limits[0]; i++) {
        const char *given = invocation_option(invocation, number_limits[i].option);
        double value;
        if (!given) {
            continue;
        }
        if (!number_read_double(given, &value) || value < number_limits[i].low ||
            value > number_limits[i].high) {
            return invocation_refuse(invocation, number_limits[i].option, number_limits[i].allowed,
                                     "\"%s\" is not such a number", given);
        }
        wish->limits[number_limits[i].limit] = value;
    }
    return EXIT_DONE;
}

static struct figure_list weighed_figures(const struct scenario *scenario)
{
    return figures_named(&generation_figures, system_of(scenario, GENERATION_SECOND)->figures);
}

static enum exit_status read_order(const struct invocation *invocation, struct weigh_wish *wish)
{
    const char *order = invocation_option(invocation, "--order");
    if (!order) {
        return EXIT_DONE;
    }
    struct figure_list list = weighed_figures(&invocation->profile.scenario);
    char allowed[sizeof((struct fault *)0)->allowed] = "";
    size_t used = 0;
    for (size_t i = 0; i < list.count; i++) {
        const struct figure *figure = list.rows[i];
        if (strcmp(figure->name, order) == 0) {
            wish->order = figure;
            return EXIT_DONE;
        }
        used += text_format(allowed + used, sizeof allowed - used, "%s%s", used ? " " : "",
                            figure->name);
    }
    return invocation_refuse(invocation, "--order", allowed, "\"%s\" is no figure to order by",
                             order);
}

/* What read_order and read_fixed take, whatever the pair. */
static void offer(const char *option, struct text *offers)
{
    struct scenario scenario = scenario_default();
    struct figure_list list = weighed_figures(&scenario);
    bool orders = option && strcmp(option, "--order") == 0;
    bool fixes = option && strcmp(option, "--fix") == 0;
    for (size_t i = 0; i < list.count && orders; i++) {
        if (list.rows[i]->kind != FIGURE_WORD) {
            offer_word(offers, list.rows[i]->name, list.rows[i]->label);
        }
    }
    for (int pair = 0; pair < PAIR_COUNT && fixes; pair++) {
        scenario.site.pair = (enum pair)pair;
        for (size_t i = 0; i < field_count(); i++) {
            char name[FIELD_TEXT_BYTES];
            field_name(field_at(i), name, sizeof name);
            if (weigh_factor_of_key(&scenario, name) > 0) {
                offer_word(offers, name, field_at(i)->title);
            }
        }
    }
}

static enum exit_status refuse_fixed(const struct invocation *invocation, const char *key)
{
    const struct system_space *row =
        system_of(&invocation->profile.scenario, GENERATION_SECOND)->space;
    char allowed[sizeof((struct fault *)0)->allowed] = "";
    size_t used = 0;
    for (int c = 0; c < row->choice_count; c++) {
        used += text_format(allowed + used, sizeof allowed - used, "%s%s", used ? " " : "",
                            row->choices[c].key);
    }
    return invocation_refuse(invocation, "--fix", allowed, "\"%s\" is not a setting of the mode",
                             key);
}

static enum exit_status read_fixed(const struct invocation *invocation, struct weigh_wish *wish)
{
    const struct scenario *scenario = &invocation->profile.scenario;
    for (int i = 0; i < invocation->option_count; i++) {
        const struct option_given *given = &invocation->options[i];
        if (strcmp(given->row->name, "--fix") != 0) {
            continue;
        }
        int factor = weigh_factor_of_key(scenario, given->value);
        if (factor < 0) {
            return refuse_fixed(invocation, given->value);
        }
        wish->fixed |= (unsigned)factor;
    }
    return EXIT_DONE;
}

static enum exit_status read_wish(const struct invocation *invocation, struct weigh_wish *wish,
                                  enum snr_kind *kind)
{
    *wish = weigh_wish_none();
    wish->unfolded = invocation_option(invocation, "--unfold") != NULL;
    const char *top = invocation_option(invocation, "--top");
    const char *snr = invocation_option(invocation, "--snr-kind");
    int number = snr ? snr_kind_from_name(snr) : SNR_RECEIVER;
    if (number < 0) {
        return invocation_refuse(invocation, "--snr-kind", "receiver, ideal or rayleigh",
                                 "\"%s\" is no kind of required SNR", snr);
    }
    *kind = (enum snr_kind)number;
    if (top) {
        if (!number_read_int(top, &number) || number < 0) {
            return invocation_refuse(invocation, "--top", "a whole number, 0 for all",
                                     "\"%s\" is not a number of rows", top);
        }
        wish->most = (size_t)number;
    }
    enum exit_status result = read_limits(invocation, wish);
    if (result == EXIT_DONE) {
        result = read_order(invocation, wish);
    }
    return result == EXIT_DONE ? read_fixed(invocation, wish) : result;
}

/* ---- The list. ---- */

/* The second generation's names of a report, and whether the mode is on the frontier. */
static enum status write_records(const struct weigh_space *space, const struct weigh_list *list,
                                 enum format format, struct text *out)
{
    static const struct table_column more[] = {{"frontier", "Frontier", NULL, 0},
                                               {"account", "Account", NULL, 0},
                                               {"plps", "PLPs", NULL, 0}};
    struct figure_list figures = weighed_figures(&space->scenario);
    bool has_plps = system_of(&space->scenario, GENERATION_SECOND)->plp_figures != NULL;
    struct table table = figures_across(&figures, more,
                                        format != FORMAT_JSON ? 1
                                        : has_plps            ? 3
                                                              : 2);
    struct verdict *verdict = malloc(sizeof *verdict);
    for (size_t i = 0; verdict != NULL && i < list->count; i++) {
        weigh_report(space, list->rows[i].mode, verdict);
        table_figures(&table, &figures, verdict);
        table_bool(&table, space->modes[list->rows[i].mode].frontier);
        if (format == FORMAT_JSON) {
            table_null(&table); /* weighing makes margins, not their accounts */
        }
        if (format == FORMAT_JSON && has_plps) {
            struct table plps = part_plps(verdict, 1);
            table_rows(&table, &plps);
        }
    }
    enum status status = verdict != NULL ? table_write(&table, format, out) : STATUS_NO_MEMORY;
    free(verdict);
    table_free(&table);
    return status;
}

/* What a line says of a mode besides its name: figures under heads of their own. */
struct mode_table {
    const struct weigh_space *space;
    struct figure_list figures;
    struct table table;
    struct verdict *verdict; /* of the line; NULL: no memory */
};

static struct mode_table mode_table_start(const struct weigh_space *space,
                                          const struct weigh_wish *wish, const char *last,
                                          bool has_margin)
{
    static const char *const snr_names[SNR_KIND_COUNT] = {[SNR_RECEIVER] = "receiver_snr_db",
                                                          [SNR_IDEAL] = "ideal_snr_db",
                                                          [SNR_RAYLEIGH] = "ideal_rayleigh_snr_db"};
    const char *names[] = {"net_mbps",  snr_names[space->snr_kind],      "echo_us", "echo_km",
                           "speed_kmh", has_margin ? "margin_db" : NULL, NULL,      NULL};
    static const char *const heads[] = {"Net", "SNR", "Echo", "Path", "Speed", "Margin"};
    size_t named = has_margin ? 6 : 5;
    /* What orders the list is seen in it; words are in the mode's name. */
    bool stands = wish->order == NULL || wish->order->kind == FIGURE_WORD;
    for (size_t i = 0; i < named && !stands; i++) {
        stands = strcmp(names[i], wish->order->name) == 0;
    }
    if (!stands) {
        names[named] = wish->order->name;
    }
    struct mode_table modes = {.space = space,
                               .figures = figures_named(&generation_figures, names),
                               .verdict = malloc(sizeof *modes.verdict)};
    struct table_column columns[FIGURES_MAX] = {{"mode", "Mode", NULL, 0},
                                                {"code", "Code", NULL, 0}};
    size_t count = 2;
    for (size_t i = 0; i < modes.figures.count; i++) {
        const struct figure *figure = modes.figures.rows[i];
        columns[count++] =
            (struct table_column){figure->name, i < named ? heads[i] : figure_brief(figure),
                                  figure->unit, figure->decimals};
    }
    columns[count++] = (struct table_column){"frontier", "F", NULL, 0};
    if (last != NULL) {
        columns[count++] = (struct table_column){"more", last, NULL, 0};
    }
    modes.table = table_start(columns, count);
    modes.table.failed |= modes.verdict == NULL;
    return modes;
}

static void add_mode(struct mode_table *modes, uint32_t i, const char *last)
{
    if (modes->verdict == NULL) {
        return;
    }
    struct verdict *verdict = modes->verdict;
    char words[64];
    weigh_report(modes->space, i, verdict);
    weigh_name(modes->space, i, PART_OF_GEOMETRY, true, words, sizeof words);
    table_word(&modes->table, words);
    weigh_name(modes->space, i, PART_OF_CODE, true, words, sizeof words);
    table_word(&modes->table, words);
    table_figures(&modes->table, &modes->figures, verdict);
    table_word(&modes->table, modes->space->modes[i].frontier ? "*" : "-");
    if (last != NULL) {
        table_word(&modes->table, last);
    }
}

static void mode_table_end(struct mode_table *modes, enum format format, struct text *out)
{
    out->failed |= table_write(&modes->table, format, out) != STATUS_OK;
    table_free(&modes->table);
    free(modes->verdict);
}

static void write_list(const struct weigh_space *space, const struct weigh_wish *wish,
                       const struct weigh_list *list, enum format format, struct text *out)
{
    bool folds = !wish->unfolded;
    struct mode_table modes =
        mode_table_start(space, wish, folds ? "Alike" : NULL, weigh_wants_margins(wish));
    for (size_t i = 0; i < list->count; i++) {
        char more[32] = "";
        if (list->rows[i].folded > 0) {
            text_format(more, sizeof more, "+%u", list->rows[i].folded);
        }
        add_mode(&modes, list->rows[i].mode, folds ? more : NULL);
    }
    mode_table_end(&modes, format, out);
}

/* ---- Moves. ---- */

static void write_moves(const struct weigh_space *space, const struct weigh_wish *wish,
                        uint32_t from, enum format format, struct text *out)
{
    struct move moves[MOVE_COUNT];
    moves_make(space, wish, from, moves);
    note_heading(out, format, "Moves from the profile's mode");
    struct mode_table modes = mode_table_start(space, wish, "Move", false);
    add_mode(&modes, from, "now");
    for (int i = 0; i < MOVE_COUNT; i++) {
        char number[8];
        text_format(number, sizeof number, "%d", i + 1);
        if (moves[i].exists) {
            add_mode(&modes, moves[i].mode, number);
        }
    }
    mode_table_end(&modes, format, out);
    text_append(out, "\n");
    for (int i = 0; i < MOVE_COUNT; i++) {
        struct text line = {0};
        text_printf(&line, "%d, %s: ", i + 1, moves[i].name);
        if (moves[i].exists) {
            moves_write_figures(space, from, moves[i].mode, &line);
            text_append(&line, "; change ");
            moves_write_changes(space, from, moves[i].mode, &line);
            text_append(&line, ".");
        } else {
            text_printf(&line, "%s.", moves[i].absent);
        }
        note_append(out, format, text_string(&line));
        out->failed |= line.failed;
        text_free(&line);
    }
}

/* ---- The page. ---- */

static void write_notes(const struct weigh_space *space, const struct weigh_wish *wish,
                        enum format format, struct text *out)
{
    char note[512];
    note_heading(out, format, "What the figures assume");
    text_format(note, sizeof note,
                "%s SNR: %s, in noise alone. Echo: the guard interval. Speed: on %.3f MHz.",
                space->choices->kept, snr_kind_name(space->snr_kind),
                space->scenario.site.center_mhz);
    note_append(out, format, note);
    text_format(note, sizeof note,
                "F: on the frontier, no other legal mode is as good in net rate, SNR, echo and "
                "speed and better in one. In names %s",
                space->choices->names);
    note_append(out, format, note);
    if (weigh_wants_margins(wish)) {
        note_append(out, format,
                    "Margin: with the profile's echoes and motion at its SNR, of a real receiver.");
    }
    if (!wish->unfolded) {
        text_format(note, sizeof note,
                    "Alike: so many more within the limits that differ in %s only (--unfold lists "
                    "them).",
                    space->choices->folded);
        note_append(out, format, note);
    }
    note_append(out, format,
                "A planning aid, not a measurement: local rules and a licensed engineer decide.");
}

/* What is weighed is modes of one PLP; a profile with more has them shown, each with its verdict.
 */
static void write_profiles_plps(const struct scenario *scenario, enum format format,
                                struct text *out)
{
    static const char *const shown[] = {
        "name",    "layer",     "constellation", "rate",  "net_mbps", "receiver_snr_db",
        "echo_us", "speed_kmh", "margin_db",     "works", NULL};
    struct pipes pipes = {0};
    const struct system *system = system_of(scenario, GENERATION_SECOND);
    if (system->pipes != NULL && system->pipes(scenario) > 1) {
        enum status status = pipes_make(scenario, GENERATION_SECOND, &pipes, NULL);
        out->failed |= status == STATUS_NO_MEMORY;
    }
    part_write_plps(&pipes, &(const struct part_plps){"PLPs", 2, shown}, format, out);
    pipes_free(&pipes);
}

static void write_page(const struct scenario *scenario, const struct weigh_space *space,
                       const struct weigh_wish *wish, const struct weigh_list *list,
                       enum format format, struct text *out)
{
    char line[256];
    const struct figure *order = weigh_order(wish);
    text_format(line, sizeof line,
                "%zu of %zu legal modes of %d MHz keep the limits; ordered by %s (%s).",
                list->matching, list->considered, space->scenario.site.bandwidth_mhz,
                figure_brief(order), order->name);
    note_paragraph(out, format, line);
    if (list->count == 0) {
        struct text words = {0};
        weigh_explain_empty(space, wish, list, &words);
        note_paragraph(out, format, text_string(&words));
        out->failed |= words.failed;
        text_free(&words);
    } else {
        text_append(out, "\n");
        write_list(space, wish, list, format, out);
    }
    long from = weigh_find(space, &space->scenario);
    if (from >= 0) {
        write_moves(space, wish, (uint32_t)from, format, out);
    }
    write_profiles_plps(scenario, format, out);
    write_notes(space, wish, format, out);
}

static enum exit_status run(struct invocation *invocation)
{
    struct weigh_wish wish;
    enum snr_kind kind = SNR_RECEIVER;
    if (invocation_option(invocation, "--beside")) {
        return weigh_beside(invocation);
    }
    enum exit_status result = read_wish(invocation, &wish, &kind);
    if (result != EXIT_DONE) {
        return result;
    }
    struct weigh_space space;
    struct weigh_list list = {0};
    struct fault fault = {0};
    struct text out = {0};
    enum status status = weigh_space_make(&invocation->profile.scenario, kind, &space, &fault);
    if (status == STATUS_OK) {
        if (weigh_wants_margins(&wish)) {
            status = weigh_echo_margins(&space, NULL, &fault);
        }
        if (status == STATUS_OK) {
            status = weigh_pick(&space, &wish, &list, &fault);
        }
        if (status == STATUS_OK &&
            (invocation->format == FORMAT_JSON || invocation->format == FORMAT_CSV)) {
            status = write_records(&space, &list, invocation->format, &out);
        } else if (status == STATUS_OK) {
            write_page(&invocation->profile.scenario, &space, &wish, &list, invocation->format,
                       &out);
        }
        weigh_list_free(&list);
        weigh_space_free(&space);
    }
    return invocation_finish(invocation, invocation->profile_path, status, &fault, &out);
}

const struct command command_weigh = {
    .name = "weigh",
    .operands = "[PROFILE]",
    .summary = "all legal modes against limits, the frontier, and moves from the profile's mode",
    .options = options,
    .offer = offer,
    .takes_profile = 1,
    .notes = "Example: guardspan weigh --echo-at-least 30km --speed-at-least 100 --top 5",
    .run = run,
};
