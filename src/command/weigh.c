/* guardspan weigh: all legal modes against limits, the frontier, and moves from the present mode.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "base/units.h"
#include "command/commands.h"
#include "command/figures.h"
#include "present/table/notes.h"
#include "present/table/table.h"
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
    {"--unfold", NULL, "list each pilot boost and carrier reduction of a mode, not only the best"},
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

static enum exit_status read_order(const struct invocation *invocation, struct weigh_wish *wish)
{
    const char *order = invocation_option(invocation, "--order");
    if (!order) {
        return EXIT_DONE;
    }
    wish->order = figure_find(FIGURE_SECOND, order);
    if (wish->order && wish->order->type != FIGURE_WORD) {
        return EXIT_DONE;
    }
    char allowed[384] = "";
    size_t used = 0;
    for (size_t i = 0; i < figure_count(); i++) {
        const struct figure_row *row = figure_row(i);
        if (row->part == FIGURE_SECOND && row->type != FIGURE_WORD && used < sizeof allowed) {
            used += text_format(allowed + used, sizeof allowed - used, "%s%s", used ? " " : "",
                                row->name);
        }
    }
    return invocation_refuse(invocation, "--order", allowed, "\"%s\" is no figure to order by",
                             order);
}

static enum exit_status read_fixed(const struct invocation *invocation, struct weigh_wish *wish)
{
    for (int i = 0; i < invocation->option_count; i++) {
        const struct option_given *given = &invocation->options[i];
        if (strcmp(given->row->name, "--fix") != 0) {
            continue;
        }
        int factor = weigh_factor_of_key(given->value);
        if (factor < 0) {
            return invocation_refuse(invocation, "--fix",
                                     "mode.fft mode.guard mode.pilots mode.boost mode.reduction "
                                     "mode.length mode.rate mode.constellation",
                                     "\"%s\" is not a setting of the mode", given->value);
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

static enum status write_records(const struct weigh_space *space, const struct weigh_list *list,
                                 enum format format, struct text *out)
{
    struct table_column columns[PART_FIGURES_MAX + 1];
    size_t count = figures_columns(FIGURE_SECOND, columns);
    columns[count] = (struct table_column){"frontier", "Frontier", NULL, 0};
    struct table table = table_start(columns, count + 1);
    for (size_t i = 0; i < list->count; i++) {
        struct report report;
        weigh_report(space, list->rows[i].mode, &report);
        figures_add_all(&table, FIGURE_SECOND, &report);
        table_bool(&table, space->modes[list->rows[i].mode].frontier);
    }
    enum status status = table_write(&table, format, out);
    table_free(&table);
    return status;
}

static const struct table_column mode_columns[] = {
    {"mode", "Mode", NULL, 0},
    {"code", "Code", NULL, 0},
    {"net_mbps", "Net", "Mbit/s", 2},
    {"snr_db", "SNR", "dB", 1},
    {"echo_us", "Echo", "us", 1},
    {"echo_km", "Path", "km", 1},
    {"speed_kmh", "Speed", "km/h", 0},
    {"frontier", "F", NULL, 0},
    {"more", "", NULL, 0},
};
#define MODE_COLUMNS (sizeof mode_columns / sizeof mode_columns[0])

static void add_mode(struct table *table, const struct weigh_space *space, uint32_t i,
                     const char *more)
{
    struct transmission mode = weigh_mode(space, i);
    const struct weighed *weighed = &space->modes[i];
    char words[64];
    text_format(words, sizeof words, "%s %s %s b%dc%d", fft_name(mode.subframes[0].waveform.fft),
                guard_name(mode.subframes[0].waveform.guard),
                pilots_name(mode.subframes[0].waveform.pilots), mode.subframes[0].waveform.boost,
                mode.subframes[0].waveform.reduction);
    table_word(table, words);
    text_format(words, sizeof words, "%s %d/15 %s",
                constellation_name(mode.subframes[0].plps[0].code.constellation),
                mode.subframes[0].plps[0].code.rate_15ths,
                mode.subframes[0].plps[0].code.length == LENGTH_64800 ? "64K" : "16K");
    table_word(table, words);
    table_number(table, weighed->net_mbps);
    table_number(table, weighed->snr_db);
    table_number(table, weigh_echo_us(space, i));
    table_number(table, km_from_us(weigh_echo_us(space, i)));
    table_number(table, weighed->speed_kmh);
    table_word(table, weighed->frontier ? "*" : "-");
    table_word(table, more);
}

static enum status write_list(const struct weigh_space *space, const struct weigh_wish *wish,
                              const struct weigh_list *list, enum format format, struct text *out)
{
    struct table table = table_start(mode_columns, MODE_COLUMNS);
    for (size_t i = 0; i < list->count; i++) {
        char more[32] = "";
        if (!isnan(wish->limits[LIMIT_MARGIN])) {
            text_format(more, sizeof more, "%+.1f dB", weigh_margin_db(space, list->rows[i].mode));
        } else if (list->rows[i].folded > 0) {
            text_format(more, sizeof more, "+%u", list->rows[i].folded);
        }
        add_mode(&table, space, list->rows[i].mode, more);
    }
    enum status status = table_write(&table, format, out);
    table_free(&table);
    return status;
}

/* ---- Moves and comparison. ---- */

static void write_moves(const struct weigh_space *space, uint32_t from, enum format format,
                        struct text *out)
{
    struct move moves[MOVE_COUNT];
    moves_make(space, from, moves);
    note_heading(out, format, "Moves from the profile's mode");
    struct table table = table_start(mode_columns, MODE_COLUMNS);
    add_mode(&table, space, from, "now");
    for (int i = 0; i < MOVE_COUNT; i++) {
        char number[8];
        text_format(number, sizeof number, "%d", i + 1);
        if (moves[i].exists) {
            add_mode(&table, space, moves[i].mode, number);
        }
    }
    out->failed |= table_write(&table, format, out) != STATUS_OK;
    table_free(&table);
    text_append(out, "\n");
    struct transmission now = weigh_mode(space, from);
    for (int i = 0; i < MOVE_COUNT; i++) {
        struct text line = {0};
        text_printf(&line, "%d, %s: ", i + 1, moves[i].name);
        if (moves[i].exists) {
            struct transmission then = weigh_mode(space, moves[i].mode);
            moves_write_figures(space, from, moves[i].mode, &line);
            text_append(&line, "; change ");
            moves_write_changes(&now, &then, &line);
            text_append(&line, ".");
        } else {
            text_printf(&line, "%s.", moves[i].absent);
        }
        note_append(out, format, text_string(&line));
        out->failed |= line.failed;
        text_free(&line);
    }
}

#define BESIDE_MAX 4

static void add_difference(struct table *table, const struct figure_row *row,
                           const struct report *first, const struct report *other)
{
    double a = figure_value(row, first), b = figure_value(row, other);
    if (row->type == FIGURE_WORD) {
        const char *word = row->word(other);
        table_word(table, word);
        table_word(table, word && strcmp(word, row->word(first)) == 0 ? "" : "other");
    } else {
        char difference[32] = "";
        if (isfinite(b - a) && b != a) {
            text_format(difference, sizeof difference, "%+.*f", row->decimals, b - a);
        }
        table_number_to(table, b, row->decimals);
        table_word(table, difference);
    }
}

/* All figures of the profile's mode and of others, with differences. */
static enum status write_beside(const struct report *reports, const char *const *names, int count,
                                enum format format, struct text *out)
{
    struct table_column columns[3 + 2 * BESIDE_MAX] = {
        {"quantity", "Quantity", NULL, 0}, {"unit", "Unit", NULL, 0}, {"now", "Now", NULL, 0}};
    static const char *const differences[BESIDE_MAX] = {"difference_1", "difference_2",
                                                        "difference_3", "difference_4"};
    for (int i = 1; i < count; i++) {
        columns[1 + 2 * i] = (struct table_column){names[i], names[i], NULL, 0};
        columns[2 + 2 * i] = (struct table_column){differences[i - 1], "less now", NULL, 0};
    }
    struct table table = table_start(columns, 1 + 2 * (size_t)count);
    for (size_t f = 0; f < figure_count(); f++) {
        const struct figure_row *row = figure_row(f);
        if (row->part != FIGURE_SECOND) {
            continue;
        }
        table_word(&table, row->label);
        table_word(&table, row->unit);
        if (row->type == FIGURE_WORD) {
            table_word(&table, row->word(&reports[0]));
        } else {
            table_number_to(&table, figure_value(row, &reports[0]), row->decimals);
        }
        for (int i = 1; i < count; i++) {
            add_difference(&table, row, &reports[0], &reports[i]);
        }
    }
    enum status status = table_write(&table, format, out);
    table_free(&table);
    return status;
}

static enum exit_status run_beside(struct invocation *invocation)
{
    struct report reports[1 + BESIDE_MAX];
    const char *names[1 + BESIDE_MAX] = {"now"};
    int count = 1;
    struct fault fault = {0};
    if (report_make(&invocation->profile.scenario, &reports[0], &fault) != STATUS_OK) {
        return invocation_fault(invocation, &fault);
    }
    for (int i = 0; i < invocation->option_count; i++) {
        const struct option_given *given = &invocation->options[i];
        if (strcmp(given->row->name, "--beside") != 0) {
            continue;
        }
        if (count > BESIDE_MAX) {
            return invocation_refuse(invocation, "--beside", "at most 4", "too many profiles");
        }
        struct profile profile;
        enum status status = profile_read_file(given->value, &profile, &fault);
        if (status == STATUS_OK) {
            status = report_make(&profile.scenario, &reports[count], &fault);
            profile_free(&profile);
        }
        if (status != STATUS_OK) {
            return invocation_fault_in(invocation, given->value, &fault);
        }
        names[count++] = given->value;
    }
    struct text out = {0};
    out.failed |= write_beside(reports, names, count, invocation->format, &out) != STATUS_OK;
    enum exit_status result = invocation_write(invocation, &out);
    text_free(&out);
    return result;
}

/* ---- The page. ---- */

static void write_notes(const struct weigh_space *space, const struct weigh_wish *wish,
                        enum format format, struct text *out)
{
    char note[512];
    note_heading(out, format, "What the figures assume");
    text_format(note, sizeof note,
                "Outer code, frame length, signalling and time interleaver as in the profile; one "
                "subframe, one PLP. SNR: %s, in noise alone. Echo: the guard interval. Speed: on "
                "%.3f MHz.",
                snr_kind_name(space->snr_kind), space->scenario.site.center_mhz);
    note_append(out, format, note);
    note_append(out, format,
                "F: on the frontier, no other legal mode is as good in net rate, SNR, echo and "
                "speed and better "
                "in one. b is the pilot boost, c the carrier reduction.");
    if (!isnan(wish->limits[LIMIT_MARGIN])) {
        note_append(
            out, format,
            "Last column: margin with the profile's echoes at its SNR, of a real receiver.");
    } else if (!wish->unfolded) {
        note_append(out, format,
                    "+N: so many more within the limits that differ in boost and reduction only "
                    "(--unfold lists them).");
    }
    note_append(out, format,
                "A planning aid, not a measurement: local rules and a licensed engineer decide.");
}

static void write_page(const struct weigh_space *space, const struct weigh_wish *wish,
                       const struct weigh_list *list, enum format format, struct text *out)
{
    char line[256];
    text_format(line, sizeof line, "%zu of %zu legal modes of %d MHz keep the limits.",
                list->matching, list->considered,
                space->scenario.transmission.subframes[0].waveform.bandwidth_mhz);
    note_paragraph(out, format, line);
    if (list->count == 0) {
        struct text words = {0};
        weigh_explain_empty(space, wish, list, &words);
        note_paragraph(out, format, text_string(&words));
        out->failed |= words.failed;
        text_free(&words);
    } else {
        text_append(out, "\n");
        out->failed |= write_list(space, wish, list, format, out) != STATUS_OK;
    }
    long from = weigh_find(space, &space->scenario.transmission);
    if (from >= 0) {
        write_moves(space, (uint32_t)from, format, out);
    }
    write_notes(space, wish, format, out);
}

static enum exit_status run(struct invocation *invocation)
{
    struct weigh_wish wish;
    enum snr_kind kind = SNR_RECEIVER;
    if (invocation_option(invocation, "--beside")) {
        return run_beside(invocation);
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
        if (!isnan(wish.limits[LIMIT_MARGIN])) {
            status = weigh_echo_margins(&space, NULL, &fault);
        }
        if (status == STATUS_OK) {
            status = weigh_pick(&space, &wish, &list, &fault);
        }
        if (status == STATUS_OK &&
            (invocation->format == FORMAT_JSON || invocation->format == FORMAT_CSV)) {
            status = write_records(&space, &list, invocation->format, &out);
        } else if (status == STATUS_OK) {
            write_page(&space, &wish, &list, invocation->format, &out);
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
    .takes_profile = 1,
    .notes = "Example: guardspan weigh --echo-at-least 30km --speed-at-least 100 --top 5",
    .run = run,
};
