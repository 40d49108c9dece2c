/* guardspan echo: the same echoes, both generations; the verdict first, then why. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "command/commands.h"
#include "command/echo_figures.h"
#include "present/table/notes.h"
#include "present/table/table.h"
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
    static const struct table_column columns[] = {
        {"step", "Step", NULL, 0},
        {"snr_db", "SNR", "dB", 1},
        {"change_db", "Change", "dB", 1},
    };
    struct account account;
    verdict_account(verdict, &account);
    if (account.count == 0) {
        return;
    }
    struct table table = table_start(columns, 3);
    for (int i = 0; i < account.count; i++) {
        const struct account_step *step = &account.steps[i];
        double change_db = fabs(step->change_db) < 0.05 ? 0.0 : step->change_db; /* no "-0.0" */
        table_word(&table, step->step);
        table_number(&table, fabs(step->snr_db) < 0.05 ? 0.0 : step->snr_db);
        if (step->is_loss) {
            table_number(&table, change_db);
        } else {
            table_null(&table);
        }
    }
    text_append(out, "\n");
    out->failed |= table_write(&table, invocation->format, out) != STATUS_OK;
    table_free(&table);
}

static const struct ofdm_ray *ray_of(const struct ofdm_rays *rays, const struct ray *ray)
{
    double power = ray->gain * ray->gain;
    for (int i = 0; i < rays->count; i++) {
        if (rays->rays[i].delay_us == ray->delay_us &&
            fabs(rays->rays[i].power - power) <= 1e-9 * power) {
            return &rays->rays[i];
        }
    }
    return NULL;
}

static void write_rays(const struct invocation *invocation, const struct verdicts *verdicts,
                       struct text *out)
{
    static const struct table_column columns[] = {
        {"ray", "Ray", NULL, 0},        {"delay_us", "Delay", "us", 2},
        {"level_db", "Level", "dB", 1}, {"doppler_hz", "Doppler", "Hz", 1},
        {"first", "8-VSB", NULL, 0},    {"useful_percent", "Useful", "%", 1},
        {"second", "in OFDM", NULL, 0},
    };
    const struct verdict *first = &verdicts->of[GENERATION_FIRST];
    const struct verdict *second = &verdicts->of[GENERATION_SECOND];
    const struct first_receiver *receiver = &first->reception.vsb;
    const struct channel *channel = &first->conditions.channel;
    struct table table = table_start(columns, 7);
    for (int i = 0; i < channel->count; i++) {
        const struct ray *ray = &channel->rays[i];
        double after_us = ray->delay_us - first->fare.vsb.reference_us;
        bool reached =
            after_us >= -receiver->equaliser_before_us && after_us <= receiver->equaliser_after_us;
        const struct ofdm_ray *seen = ray_of(&second->fare.ofdm.rays, ray);
        table_word(&table, i == 0 ? "main signal" : invocation->profile.scenario.echo_names[i - 1]);
        table_number(&table, ray->delay_us);
        table_number(&table, 20.0 * log10(ray->gain));
        table_number(&table, ray->doppler_hz);
        table_word(&table, after_us == 0.0 ? "reference" : reached ? "in reach" : "out of reach");
        table_number(&table, seen != NULL ? 100.0 * seen->weight * seen->coherent : NAN);
        table_word(&table, seen != NULL ? ofdm_fate_words(seen->fate) : NULL);
    }
    out->failed |= table_write(&table, invocation->format, out) != STATUS_OK;
    table_free(&table);
}

static bool is_same_snr(const struct conditions *a, const struct conditions *b)
{
    return a->source == b->source && (a->snr_db == b->snr_db || a->source == SNR_NONE);
}

/* Where the SNR comes from: once, where it is the same for both. */
static void write_snr_note(const struct verdicts *verdicts, enum format format, struct text *out)
{
    const struct conditions *first = &verdicts->of[GENERATION_FIRST].conditions;
    bool same = is_same_snr(first, &verdicts->of[GENERATION_SECOND].conditions);
    struct text words = {0};
    for (int i = 0; i < (same ? 1 : GENERATION_COUNT); i++) {
        text_printf(&words, "%s%s: ", i > 0 ? "; " : "",
                    same ? "Both" : verdicts->of[i].reception.system->name);
        verdict_words_snr(&verdicts->of[i].conditions, &words);
    }
    text_append(&words, "; all rays counted.");
    note_append(out, format, text_string(&words));
    out->failed |= words.failed;
    text_free(&words);
}

static void write_notes(const struct invocation *invocation, const struct verdicts *verdicts,
                        struct text *out)
{
    const struct verdict *first = &verdicts->of[GENERATION_FIRST];
    enum format format = invocation->format;
    char note[512];
    note_heading(out, format, "What the figures assume");
    write_snr_note(verdicts, format, out);
    if (first->known) {
        text_format(note, sizeof note,
                    "8-VSB: decision-feedback equaliser whose decisions are free of errors, which "
                    "flatters it; of infinite length it would leave %.1f dB, a linear one %.1f dB.",
                    first->fare.vsb.infinite_snr_db, first->fare.vsb.linear_snr_db);
        note_append(out, format, note);
    }
    text_format(note, sizeof note,
                "OFDM: needs by the receiver model of ATSC A/327 Annex B; the code's own "
                "threshold is %.1f dB. Unequal carriers count by mean mutual information.",
                verdicts->of[GENERATION_SECOND].reception.ideal_db);
    note_append(out, format, note);
    if (first->conditions.speed_kmh > 0.0) {
        note_append(out, format,
                    "A receiver that moves: Doppler of echoes that have none of their own as if "
                    "rays came evenly from all around, the main signal from ahead.");
    }
    note_append(out, format,
                "Level of an echo of another transmitter: free space, no obstacle. A planning "
                "aid, not a measurement: local rules and a licensed engineer decide.");
}

static enum status write_required(const struct verdicts *verdicts, struct text *out,
                                  struct fault *fault)
{
    for (int i = 0; i < GENERATION_COUNT; i++) {
        double required_db;
        const struct verdict *verdict = &verdicts->of[i];
        enum status status = verdict_required_db(verdict, &required_db, fault);
        if (status != STATUS_OK) {
            return status;
        }
        text_printf(out, "%s%s ", i > 0 ? " " : "", verdict->reception.system->name);
        if (isfinite(required_db)) {
            text_printf(out, "decodes here from %.1f dB of SNR on.", required_db);
        } else {
            text_append(out, "decodes here at no SNR.");
        }
    }
    return STATUS_OK;
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

static enum status write_page(const struct invocation *invocation, const struct verdicts *verdicts,
                              struct text *out, struct fault *fault)
{
    struct text words = {0};
    verdict_words(verdicts, &words);
    write_text(invocation, &words, out);
    text_append(out, "\n");
    verdict_words_decision(verdicts, &words);
    text_append(&words, " ");
    enum status status = write_required(verdicts, &words, fault);
    write_text(invocation, &words, out);
    if (status != STATUS_OK) {
        return status;
    }
    write_side(invocation, &verdicts->of[GENERATION_FIRST], "First generation", out);
    write_side(invocation, &verdicts->of[GENERATION_SECOND], "Second generation", out);
    if (verdicts->of[GENERATION_FIRST].known && verdicts->of[GENERATION_SECOND].known) {
        note_heading(out, invocation->format, "Rays");
        write_rays(invocation, verdicts, out);
    }
    write_notes(invocation, verdicts, out);
    return STATUS_OK;
}

static enum status write_verdict(struct invocation *invocation, struct text *out,
                                 struct fault *fault)
{
    struct verdicts *verdicts = malloc(sizeof *verdicts);
    if (verdicts == NULL) {
        return STATUS_NO_MEMORY;
    }
    enum status status = verdicts_make(&invocation->profile.scenario, verdicts, fault);
    if (status == STATUS_OK && invocation->format == FORMAT_JSON) {
        status = echo_figures_json(verdicts, out, fault);
    } else if (status == STATUS_OK && invocation->format == FORMAT_CSV) {
        status = echo_figures_csv(verdicts, out, fault);
    } else if (status == STATUS_OK) {
        status = write_page(invocation, verdicts, out, fault);
    }
    free(verdicts);
    return status;
}

/* ---- Tolerated level by delay ---- */

#define TOLERATED_POINTS 41

static void write_tolerated_notes(const struct invocation *invocation,
                                  const struct verdicts *verdicts, struct text *out)
{
    const struct first_receiver *receiver = &verdicts->of[GENERATION_FIRST].reception.vsb;
    char note[512];
    note_heading(out, invocation->format, "What the figures assume");
    text_format(note, sizeof note,
                "The strongest lone echo, at rest, with which each still decodes, whatever its "
                "phase; %g dB: as strong as the main signal or stronger; -: not even one of %g dB, "
                "or no SNR is known. The profile's own echoes are left out.",
                ECHO_TOLERATED_MOST_DB, ECHO_TOLERATED_LEAST_DB);
    note_append(out, invocation->format, note);
    write_snr_note(verdicts, invocation->format, out);
    text_format(note, sizeof note,
                "Equaliser %.1f us before to %.1f us after; guard interval %.1f us.",
                receiver->equaliser_before_us, receiver->equaliser_after_us,
                verdicts->of[GENERATION_SECOND].reception.ofdm.grid.guard_us);
    note_append(out, invocation->format, note);
}

static double tolerated_end_us(const struct verdicts *verdicts)
{
    const struct first_receiver *receiver = &verdicts->of[GENERATION_FIRST].reception.vsb;
    double end_us = fmax(verdicts->of[GENERATION_SECOND].reception.ofdm.grid.guard_us,
                         fmax(receiver->equaliser_before_us, receiver->equaliser_after_us));
    return ceil(end_us * 1.25 / 10.0) * 10.0;
}

static enum status write_tolerated(struct invocation *invocation, struct text *out,
                                   struct fault *fault)
{
    static const struct table_column columns[] = {
        {"delay_us", "Delay", "us", 1},
        {"first_db", "8-VSB", "dB", 1},
        {"second_db", "OFDM", "dB", 1},
    };
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
    .notes = "Example: guardspan echo --set receiver.snr_db=20 --transmitter 12,50 --transmitter "
             "31,10",
    .run = run,
};
