/* guardspan echo: the same echoes, both generations; the verdict first, then why. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "command/commands.h"
#include "command/parts.h"
#include "present/table/notes.h"
#include "study/place/network.h"
#include "study/verdict/sweep.h"

static const struct option_row options[] = {
    {"--transmitter", "KM,KW[,US]",
     "a transmitter of a single-frequency network: distance, power, delay set there; the first is "
     "the main signal, each further one an echo of it"},
    {"--tolerated", NULL, "show instead the strongest lone echo that each bears, by its delay"},
    {0},
};

/* ---- Transmitters as echoes ---- */

static bool read_transmitter(const char *words, struct echo_transmitter *transmitter)
{
    double values[3] = {0.0, 0.0, 0.0};
    int count = 0;
    while (count < 3) {
        char part[64];
        size_t length = strcspn(words, ",");
        if (length >= sizeof part) {
            return false;
        }
        text_format(part, sizeof part, "%.*s", (int)length, words);
        if (!number_read_double(part, &values[count++])) {
            return false;
        }
        words += length;
        if (*words == '\0') {
            break;
        }
        words++;
    }
    *transmitter = (struct echo_transmitter){values[0], values[1], values[2]};
    return count >= 2 && *words == '\0' && values[0] > 0.0 && values[0] <= 1000.0 &&
           values[1] > 0.0 && values[1] <= 10000.0 && fabs(values[2]) <= ECHO_DELAY_MAX_US;
}

static enum exit_status add_transmitters(struct invocation *invocation)
{
    struct scenario *scenario = &invocation->profile.scenario;
    struct echo_transmitter main_one = {0};
    int count = 0;
    for (int i = 0; i < invocation->option_count; i++) {
        const struct option_given *given = &invocation->options[i];
        struct echo_transmitter transmitter;
        if (strcmp(given->row->name, "--transmitter") != 0) {
            continue;
        }
        if (!read_transmitter(given->value, &transmitter)) {
            return invocation_refuse(invocation, "--transmitter",
                                     "KM,KW or KM,KW,US: up to 1000 km, 10000 kW, 10000 us",
                                     "\"%s\" is not a transmitter", given->value);
        }
        if (count++ == 0) {
            main_one = transmitter;
            continue;
        }
        if (scenario->echo_count == ECHOES_MAX) {
            return invocation_refuse(invocation, "--transmitter", NULL, "too many echoes");
        }
        int echo = scenario->echo_count++;
        scenario->echoes[echo] = echo_from_transmitter(&main_one, &transmitter);
        text_format(scenario->echo_names[echo], sizeof scenario->echo_names[echo], "transmitter %d",
                    count);
    }
    return count == 1 ? invocation_refuse(invocation, "--transmitter", NULL,
                                          "give at least two: the main one and another")
                      : EXIT_DONE;
}

/* ---- The page ---- */

static void write_text(const struct invocation *invocation, struct text *paragraph,
                       struct text *out)
{
    note_paragraph(out, invocation->format, text_string(paragraph));
    out->failed |= paragraph->failed;
    text_free(paragraph);
}

static void write_account(const struct invocation *invocation, const struct verdict *verdict,
                          struct text *out)
{
    struct table table = part_account(verdict);
    if (table_row_count(&table) > 0) {
        text_append(out, "\n");
        out->failed |= table_write(&table, invocation->format, out) != STATUS_OK;
    }
    table_free(&table);
}

static void write_rays(const struct invocation *invocation, const struct verdicts *verdicts,
                       struct text *out)
{
    const struct table_column columns[] = {
        {"ray", "Ray", NULL, 0},
        {"delay_us", "Delay", "us", 2},
        {"level_db", "Level", "dB", 1},
        {"doppler_hz", "Doppler", "Hz", 1},
        {"first", verdicts->of[GENERATION_FIRST].reception.system->name, NULL, 0},
        {"first_useful_percent", "Useful", "%", 1},
        {"second", verdicts->of[GENERATION_SECOND].reception.system->name, NULL, 0},
        {"useful_percent", "Useful", "%", 1},
    };
    const struct scenario *scenario = &invocation->profile.scenario;
    enum generation of = verdicts->of[GENERATION_SECOND].conditions.channel.count >
                                 verdicts->of[GENERATION_FIRST].conditions.channel.count
                             ? GENERATION_SECOND
                             : GENERATION_FIRST;
    const struct channel *channel = &verdicts->of[of].conditions.channel;
    struct table table = table_start(columns, sizeof columns / sizeof columns[0]);
    for (int i = 0; i < channel->count; i++) {
        const struct ray *ray = &channel->rays[i];
        table_word(&table, conditions_ray_name(scenario, of, i));
        table_number(&table, ray->delay_us);
        table_number(&table, 20.0 * log10(ray->gain));
        table_number(&table, ray->doppler_hz);
        for (int g = 0; g < GENERATION_COUNT; g++) {
            const struct verdict *verdict = &verdicts->of[g];
            const char *words;
            double share = verdict->reception.system->ray_share(&verdict->reception, &verdict->fare,
                                                                ray, &words);
            table_word(&table, words);
            table_number(&table, 100.0 * share);
        }
    }
    out->failed |= table_write(&table, invocation->format, out) != STATUS_OK;
    table_free(&table);
}

/* Where the SNR comes from: once, where it is the same for both. */
static void write_snr_note(const struct verdicts *verdicts, enum format format, struct text *out)
{
    struct text words = {0};
    verdicts_words_snr(verdicts, &words);
    note_append(out, format, text_string(&words));
    out->failed |= words.failed;
    text_free(&words);
}

/* Where levels of other transmitters come from, if there are any. */
static const char *levels_words(const struct invocation *invocation, const struct verdict *verdict)
{
    if (invocation_option(invocation, "--transmitter") != NULL) {
        return "Level of an echo of another transmitter: free space, no obstacle. ";
    }
    return verdict->conditions.channel.count - 1 > invocation->profile.scenario.echo_count
               ? "Level of an echo of another transmitter of the network: predicted, as guardspan "
                 "place tells it. "
               : "";
}

static void write_notes(const struct invocation *invocation, const struct verdicts *verdicts,
                        struct text *out)
{
    const struct verdict *first = &verdicts->of[GENERATION_FIRST];
    enum format format = invocation->format;
    note_heading(out, format, "What the figures assume");
    write_snr_note(verdicts, format, out);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct verdict *verdict = &verdicts->of[i];
        const struct system *system = verdict->reception.system;
        struct text note = {0};
        text_printf(&note, "%s: %s", system->name, system->assumes);
        if (verdict->known && system->fare_notes != NULL) {
            text_append(&note, " ");
            system->fare_notes(&verdict->fare, &note);
        }
        note_append(out, format, text_string(&note));
        out->failed |= note.failed;
        text_free(&note);
    }
    if (first->conditions.speed_kmh > 0.0) {
        note_append(out, format,
                    "A receiver that moves: what is near it scatters every ray, which so arrives "
                    "evenly from all around, beside a Doppler of its own, and comes and goes "
                    "around its level.");
    }
    struct text closing = {0};
    text_printf(&closing,
                "%sEach number is rounded by itself, so a sum can differ from its parts by 0.1 dB. "
                "A planning aid, not a measurement: local rules and a licensed engineer decide.",
                levels_words(invocation, first));
    note_append(out, format, text_string(&closing));
    out->failed |= closing.failed;
    text_free(&closing);
}

/* Fills in from which SNR on each decodes here. */
static enum status find_required(struct verdicts *verdicts, struct fault *fault)
{
    enum status status = STATUS_OK;
    for (int i = 0; i < GENERATION_COUNT && status == STATUS_OK; i++) {
        struct verdict *verdict = &verdicts->of[i];
        status = verdict_required_db(verdict, &verdict->required_cn_db, fault);
    }
    return status;
}

static void write_required(const struct verdicts *verdicts, struct text *out)
{
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct verdict *verdict = &verdicts->of[i];
        text_printf(out, " %s ", verdict->reception.system->name);
        bool less_suffices = verdict->known && !verdict->works &&
                             verdict->required_cn_db < verdict->conditions.snr_db;
        if (less_suffices) {
            text_printf(out, "decodes here at %.1f dB of SNR, but not with this better signal.",
                        verdict->required_cn_db);
        } else if (isfinite(verdict->required_cn_db)) {
            text_printf(out, "decodes here from %.1f dB of SNR on.", verdict->required_cn_db);
        } else {
            text_append(out, "decodes here at no SNR, however strong the signal.");
        }
    }
}

static void write_side(const struct invocation *invocation, const struct verdict *verdict,
                       const char *title, struct text *out)
{
    char heading[160];
    struct text words = {0};
    text_format(heading, sizeof heading, "%s: %s", title, verdict->reception.system->title);
    note_heading(out, invocation->format, heading);
    verdict_words_steps(verdict, &words);
    write_text(invocation, &words, out);
    write_account(invocation, verdict, out);
}

static void write_page(const struct invocation *invocation, const struct verdicts *verdicts,
                       const struct pipes *pipes, struct text *out)
{
    static const char *const of_plps[] = {
        "name",          "layer",     "constellation", "rate", "effective_snr_db",
        "needed_snr_db", "margin_db", "works",         NULL};
    struct text words = {0};
    verdict_words(verdicts, &words);
    pipes_words(pipes, &verdicts->of[GENERATION_SECOND], &words);
    write_text(invocation, &words, out);
    text_append(out, "\n");
    verdict_words_decision(verdicts, &words);
    write_required(verdicts, &words);
    write_text(invocation, &words, out);
    write_side(invocation, &verdicts->of[GENERATION_FIRST], "First generation", out);
    write_side(invocation, &verdicts->of[GENERATION_SECOND], "Second generation", out);
    part_write_plps(pipes, &(const struct part_plps){"PLPs", 2, of_plps}, invocation->format, out);
    if (verdicts->of[GENERATION_FIRST].known && verdicts->of[GENERATION_SECOND].known) {
        note_heading(out, invocation->format, "Rays");
        write_rays(invocation, verdicts, out);
    }
    write_notes(invocation, verdicts, out);
}

static enum status write_parts(const struct verdicts *verdicts, const struct pipes *pipes,
                               enum format format, struct text *out)
{
    static const char *const input[] = {"snr_db", "snr_source", NULL};
    struct part parts[1 + GENERATION_COUNT] = {
        part_of_generation("input", &verdicts->of[GENERATION_FIRST], input, PART_PLAIN)};
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct verdict *verdict = &verdicts->of[i];
        parts[1 + i] = part_of_generation(generation_parts[i], verdict,
                                          verdict->reception.system->fare_figures, PART_ALL);
    }
    parts[1 + GENERATION_SECOND].pipes = pipes;
    return parts_write(parts, 1 + GENERATION_COUNT, format, out);
}

static enum status write_verdict(struct invocation *invocation, struct text *out,
                                 struct fault *fault)
{
    struct verdicts *verdicts = malloc(sizeof *verdicts);
    struct pipes pipes = {0};
    if (verdicts == NULL) {
        return STATUS_NO_MEMORY;
    }
    const struct scenario *scenario = &invocation->profile.scenario;
    enum status status = verdicts_make(scenario, verdicts, fault);
    if (status == STATUS_OK) {
        status = find_required(verdicts, fault);
    }
    if (status == STATUS_OK) {
        status = pipes_make(scenario, GENERATION_SECOND, &pipes, fault);
    }
    if (status == STATUS_OK &&
        (invocation->format == FORMAT_JSON || invocation->format == FORMAT_CSV)) {
        status = write_parts(verdicts, &pipes, invocation->format, out);
    } else if (status == STATUS_OK) {
        write_page(invocation, verdicts, &pipes, out);
    }
    pipes_free(&pipes);
    free(verdicts);
    return status;
}

/* ---- Tolerated level by delay ---- */

#define TOLERATED_POINTS 41

static void write_tolerated_notes(const struct invocation *invocation,
                                  const struct verdicts *verdicts, struct text *out)
{
    struct text note = {0};
    note_heading(out, invocation->format, "What the figures assume");
    text_printf(&note,
                "The strongest lone echo, at rest, with which each still decodes, whatever its "
                "phase; %g dB: as strong as the main signal or stronger; -: not even one of %g dB, "
                "or no SNR is known. The profile's own echoes are left out.",
                ECHO_TOLERATED_MOST_DB, ECHO_TOLERATED_LEAST_DB);
    note_append(out, invocation->format, text_string(&note));
    write_snr_note(verdicts, invocation->format, out);
    text_clear(&note);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct verdict *verdict = &verdicts->of[i];
        text_printf(&note, "%s%s reaches %.1f us ahead and %.1f us behind", i > 0 ? "; " : "",
                    verdict->reception.system->name, verdict->facts.echo_before_us,
                    verdict->facts.echo_after_us);
    }
    text_append(&note, ".");
    note_append(out, invocation->format, text_string(&note));
    out->failed |= note.failed;
    text_free(&note);
}

static double tolerated_end_us(const struct verdicts *verdicts)
{
    double end_us = 0.0;
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct facts *facts = &verdicts->of[i].facts;
        end_us = fmax(end_us, fmax(facts->echo_before_us, facts->echo_after_us));
    }
    return ceil(end_us * 1.25 / 10.0) * 10.0;
}

static enum status write_tolerated(struct invocation *invocation, struct text *out,
                                   struct fault *fault)
{
    struct echo_tolerated points[TOLERATED_POINTS];
    struct verdicts *verdicts = malloc(sizeof *verdicts);
    if (verdicts == NULL) {
        return STATUS_NO_MEMORY;
    }
    enum status status = verdicts_make(&invocation->profile.scenario, verdicts, fault);
    if (status == STATUS_OK && !verdicts->of[GENERATION_FIRST].known &&
        !verdicts->of[GENERATION_SECOND].known) {
        status = fault_set(fault, STATUS_ILLEGAL, "receiver.snr_db",
                           "an SNR, a level (receiver.level_dbm) or a station",
                           "what is borne depends on the SNR, and none is known");
    }
    if (status == STATUS_OK) {
        double end_us = tolerated_end_us(verdicts);
        status = echo_sweep_tolerated(verdicts, -end_us, end_us, TOLERATED_POINTS, points);
    }
    if (status == STATUS_OK) {
        const struct table_column columns[] = {
            {"delay_us", "Delay", "us", 1},
            {"first_db", verdicts->of[GENERATION_FIRST].reception.system->name, "dB", 1},
            {"second_db", verdicts->of[GENERATION_SECOND].reception.system->name, "dB", 1},
        };
        struct table table = table_start(columns, 3);
        for (int i = 0; i < TOLERATED_POINTS; i++) {
            table_number(&table, points[i].delay_us);
            table_number(&table, points[i].db[GENERATION_FIRST]);
            table_number(&table, points[i].db[GENERATION_SECOND]);
        }
        status = table_write(&table, invocation->format, out);
        table_free(&table);
        write_tolerated_notes(invocation, verdicts, out);
    }
    free(verdicts);
    return status;
}

static enum exit_status run(struct invocation *invocation)
{
    enum exit_status result = add_transmitters(invocation);
    if (result != EXIT_DONE) {
        return result;
    }
    struct text out = {0};
    struct fault fault = {0};
    enum status status = invocation_option(invocation, "--tolerated") != NULL
                             ? write_tolerated(invocation, &out, &fault)
                             : write_verdict(invocation, &out, &fault);
    return invocation_finish(invocation, invocation->profile_path, status, &fault, &out);
}

const struct command command_echo = {
    .name = "echo",
    .operands = "[PROFILE]",
    .summary = "how both generations fare with the profile's echoes, and why",
    .options = options,
    .takes_profile = 1,
    .notes = "Example:\nguardspan echo --set receiver.snr_db=20 --transmitter 12,50 --transmitter "
             "31,10",
    .run = run,
};
