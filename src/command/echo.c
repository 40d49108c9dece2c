/* guardspan echo: the same echoes, both generations; the verdict first, then why. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "command/commands.h"
#include "command/echo_figures.h"
#include "present/table/notes.h"
#include "present/table/table.h"
#include "standard/atsc3/numerology.h"

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

static void write_words(const struct invocation *invocation, const struct echo_study *study,
                        void (*words)(const struct echo_study *study, struct text *out),
                        struct text *out)
{
    struct text paragraph = {0};
    words(study, &paragraph);
    note_paragraph(out, invocation->format, text_string(&paragraph));
    out->failed |= paragraph.failed;
    text_free(&paragraph);
}

static void write_losses(const struct invocation *invocation, const struct echo_loss *losses,
                         size_t count, struct text *out)
{
    static const struct table_column columns[] = {
        {"step", "Step", NULL, 0},
        {"db", "SNR", "dB", 1},
        {"change_db", "Change", "dB", 1},
    };
    struct table table = table_start(columns, 3);
    for (size_t i = 0; i < count; i++) {
        double db = fabs(losses[i].db) < 0.05 ? 0.0 : losses[i].db; /* no "-0.0" */
        table_word(&table, losses[i].label);
        if (losses[i].is_level) {
            table_number(&table, db);
            table_null(&table);
        } else {
            table_null(&table);
            table_number(&table, db);
        }
    }
    text_append(out, "\n");
    out->failed |= table_write(&table, invocation->format, out) != STATUS_OK;
    table_free(&table);
}

static const struct ofdm_ray *ray_of(const struct echo_study *study, const struct echo *echo)
{
    double power = pow(10.0, echo->level_db / 10.0);
    const struct ofdm_rays *rays = &study->second.rays;
    for (int i = 0; i < rays->count; i++) {
        if (rays->rays[i].delay_us == echo->delay_us &&
            fabs(rays->rays[i].power - power) <= 1e-9 * power) {
            return &rays->rays[i];
        }
    }
    return NULL;
}

static void write_rays(const struct invocation *invocation, const struct echo_study *study,
                       struct text *out)
{
    static const struct table_column columns[] = {
        {"ray", "Ray", NULL, 0},        {"delay_us", "Delay", "us", 2},
        {"level_db", "Level", "dB", 1}, {"doppler_hz", "Doppler", "Hz", 1},
        {"first", "8-VSB", NULL, 0},    {"useful_percent", "Useful", "%", 1},
        {"second", "in OFDM", NULL, 0},
    };
    const struct first_receiver *receiver = &study->input.first_receiver;
    struct table table = table_start(columns, 7);
    for (int i = -1; i < study->input.count; i++) {
        const struct echo main_signal = {0};
        const struct echo *echo = i < 0 ? &main_signal : &study->input.echoes[i];
        double after_us = echo->delay_us - study->first.reference_us;
        bool reached =
            after_us >= -receiver->equaliser_before_us && after_us <= receiver->equaliser_after_us;
        const struct ofdm_ray *ray = ray_of(study, echo);
        table_word(&table, i < 0 ? "main signal" : invocation->profile.scenario.echo_names[i]);
        table_number(&table, echo->delay_us);
        table_number(&table, echo->level_db);
        table_number(&table, echo->doppler_hz);
        table_word(&table, after_us == 0.0 ? "reference" : reached ? "in reach" : "out of reach");
        table_number(&table, ray != NULL ? 100.0 * ray->weight * ray->coherent : NAN);
        table_word(&table, ray != NULL ? ofdm_fate_words(ray->fate) : NULL);
    }
    out->failed |= table_write(&table, invocation->format, out) != STATUS_OK;
    table_free(&table);
}

static void write_notes(const struct invocation *invocation, const struct echo_study *study,
                        struct text *out)
{
    enum format format = invocation->format;
    char note[512];
    note_heading(out, format, "What the figures assume");
    static const char *const sources[] = {
        [ECHO_SNR_MEASURED] = "as measured (receiver.snr_db)",
        [ECHO_SNR_FROM_LEVEL] = "from the level and the receiver's noise",
        [ECHO_SNR_ASSUMED] = ("assumed, for the profile gives neither receiver.snr_db nor "
                              "receiver.level_dbm"),
    };
    text_format(note, sizeof note, "SNR %.1f dB, the same for both, all rays counted: %s.",
                study->input.snr_db, sources[study->input.source]);
    note_append(out, format, note);
    text_format(note, sizeof note,
                "8-VSB: decision-feedback equaliser whose decisions are free of errors, which "
                "flatters it; of infinite length it would leave %.1f dB, a linear one %.1f dB.",
                study->first.infinite_snr_db, study->first.linear_snr_db);
    note_append(out, format, note);
    text_format(note, sizeof note,
                "OFDM: needs by the receiver model of ATSC A/327 Annex B; the code's own "
                "threshold, %.1f dB: %s. Unequal carriers count by mean mutual information.",
                study->input.ideal_db, ideal_source_words(study->input.ideal_source));
    note_append(out, format, note);
    if (study->input.moving) {
        note_append(out, format,
                    "The receiver moves: echoes without a Doppler of their own are taken to come "
                    "evenly from all around, the main signal from ahead.");
    }
    note_append(out, format,
                "Level of an echo of another transmitter: free space, no obstacle. A planning "
                "aid, not a measurement: local rules and a licensed engineer decide.");
}

static void write_page(const struct invocation *invocation, const struct echo_study *study,
                       struct text *out)
{
    struct echo_loss losses[ECHO_LOSSES_MAX];
    const struct mode *mode = &study->input.mode;
    char heading[160];
    write_words(invocation, study, echo_words_verdict, out);
    text_append(out, "\n");
    write_words(invocation, study, echo_words_decision, out);
    note_heading(out, invocation->format, "First generation: 8-VSB");
    write_words(invocation, study, echo_words_first, out);
    write_losses(invocation, losses, echo_losses_first(study, losses), out);
    text_format(heading, sizeof heading, "Second generation: %s %s %s, %s %d/15",
                fft_name(mode->fft), guard_name(mode->guard), pilots_name(mode->pilots),
                constellation_name(mode->constellation), mode->rate_15ths);
    note_heading(out, invocation->format, heading);
    write_words(invocation, study, echo_words_second, out);
    write_losses(invocation, losses, echo_losses_second(study, losses), out);
    note_heading(out, invocation->format, "Rays");
    write_rays(invocation, study, out);
    write_notes(invocation, study, out);
}

static enum status write_verdict(struct invocation *invocation, struct text *out,
                                 struct fault *fault)
{
    struct echo_study *study = malloc(sizeof *study);
    if (study == NULL) {
        return STATUS_NO_MEMORY;
    }
    enum status status = echo_study_make(&invocation->profile.scenario, study, fault);
    if (status == STATUS_OK && invocation->format == FORMAT_JSON) {
        status = echo_figures_json(study, out);
    } else if (status == STATUS_OK && invocation->format == FORMAT_CSV) {
        status = echo_figures_csv(study, out);
    } else if (status == STATUS_OK) {
        write_page(invocation, study, out);
    }
    free(study);
    return status;
}

/* ---- Tolerated level by delay ---- */

#define TOLERATED_POINTS 41

static void write_tolerated_notes(const struct invocation *invocation,
                                  const struct echo_input *input, struct text *out)
{
    char note[512];
    note_heading(out, invocation->format, "What the figures assume");
    text_format(note, sizeof note,
                "The strongest lone echo, at rest, with which each still decodes at an SNR of "
                "%.1f dB, whatever its phase; %g dB: as strong as the main signal or stronger; "
                "-: not even one of %g dB. The profile's own echoes are left out.",
                input->snr_db, ECHO_TOLERATED_MOST_DB, ECHO_TOLERATED_LEAST_DB);
    note_append(out, invocation->format, note);
    text_format(note, sizeof note,
                "Equaliser %.1f us before to %.1f us after; guard interval %.1f us.",
                input->first_receiver.equaliser_before_us, input->first_receiver.equaliser_after_us,
                numerology_guard_us(&input->mode));
    note_append(out, invocation->format, note);
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
    struct echo_input *input = malloc(sizeof *input);
    if (input == NULL) {
        return STATUS_NO_MEMORY;
    }
    enum status status = echo_input_make(&invocation->profile.scenario, input, fault);
    if (status == STATUS_OK) {
        double end_us =
            fmax(numerology_guard_us(&input->mode), fmax(input->first_receiver.equaliser_before_us,
                                                         input->first_receiver.equaliser_after_us));
        end_us = ceil(end_us * 1.25 / 10.0) * 10.0;
        status = echo_sweep_tolerated(input, -end_us, end_us, TOLERATED_POINTS, points);
    }
    if (status == STATUS_OK) {
        struct table table = table_start(columns, 3);
        for (int i = 0; i < TOLERATED_POINTS; i++) {
            table_number(&table, points[i].delay_us);
            table_number(&table, points[i].first_db);
            table_number(&table, points[i].second_db);
        }
        status = table_write(&table, invocation->format, out);
        table_free(&table);
        write_tolerated_notes(invocation, input, out);
    }
    free(input);
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
