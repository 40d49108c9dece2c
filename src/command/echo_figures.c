#include "command/echo_figures.h"

#include <math.h>
#include <stdbool.h>

const char *echo_part_name(enum echo_part part)
{
    static const char *const names[ECHO_PART_COUNT] = {"input", "first", "second"};
    return names[part];
}

enum kind { NUMBER, YES_NO, WORD };

struct figure {
    enum echo_part part;
    enum kind kind;
    const char *name, *unit;
    double number; /* 0 or 1 for YES_NO */
    const char *word;
};

#define FIGURES_MAX 48

static size_t figures_of_first(const struct verdict *verdict, double required_db,
                               struct figure *figures)
{
    const struct vsb_echo_result *first = &verdict->fare.vsb;
    bool known = verdict->known;
    const struct figure rows[] = {
        {ECHO_PART_FIRST, NUMBER, "output_snr_db", "dB", known ? verdict->fare.left_db : NAN, NULL},
        {ECHO_PART_FIRST, NUMBER, "threshold_db", "dB", verdict->reception.needed_db, NULL},
        {ECHO_PART_FIRST, NUMBER, "required_cn_db", "dB", required_db, NULL},
        {ECHO_PART_FIRST, NUMBER, "margin_db", "dB", verdict->margin_db, NULL},
        {ECHO_PART_FIRST, NUMBER, "margin_noise_db", "dB", verdict->margin_noise_db, NULL},
        {ECHO_PART_FIRST, YES_NO, "works", "", known ? verdict->works : NAN, NULL},
        {ECHO_PART_FIRST, NUMBER, "echo_loss_db", "dB", known ? first->echo_loss_db : NAN, NULL},
        {ECHO_PART_FIRST, NUMBER, "adaptation_loss_db", "dB",
         known ? first->adaptation_loss_db : NAN, NULL},
        {ECHO_PART_FIRST, NUMBER, "lag_loss_db", "dB", known ? first->lag_loss_db : NAN, NULL},
        {ECHO_PART_FIRST, NUMBER, "implementation_loss_db", "dB",
         verdict->reception.vsb.implementation_loss_db, NULL},
        {ECHO_PART_FIRST, NUMBER, "infinite_snr_db", "dB", known ? first->infinite_snr_db : NAN,
         NULL},
        {ECHO_PART_FIRST, NUMBER, "linear_snr_db", "dB", known ? first->linear_snr_db : NAN, NULL},
        {ECHO_PART_FIRST, NUMBER, "outside_reach_db", "dB", known ? first->outside_db : NAN, NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        figures[i] = rows[i];
    }
    return sizeof rows / sizeof rows[0];
}

static size_t figures_of_second(const struct verdict *verdict, double required_db,
                                struct figure *figures)
{
    const struct ofdm_echo_result *second = &verdict->fare.ofdm;
    const struct reception *reception = &verdict->reception;
    bool known = verdict->known;
    const struct figure rows[] = {
        {ECHO_PART_SECOND, NUMBER, "effective_snr_db", "dB", known ? verdict->fare.left_db : NAN,
         NULL},
        {ECHO_PART_SECOND, NUMBER, "needed_snr_db", "dB", reception->needed_db, NULL},
        {ECHO_PART_SECOND, NUMBER, "margin_db", "dB", verdict->margin_db, NULL},
        {ECHO_PART_SECOND, NUMBER, "margin_noise_db", "dB", verdict->margin_noise_db, NULL},
        {ECHO_PART_SECOND, YES_NO, "works", "", known ? verdict->works : NAN, NULL},
        {ECHO_PART_SECOND, YES_NO, "inside_guard", "", known ? second->inside_guard : NAN, NULL},
        {ECHO_PART_SECOND, NUMBER, "self_interference_db", "dB",
         known ? second->self_interference_db : NAN, NULL},
        {ECHO_PART_SECOND, NUMBER, "fading_loss_db", "dB", known ? second->fading_loss_db : NAN,
         NULL},
        {ECHO_PART_SECOND, NUMBER, "self_loss_db", "dB", known ? second->self_loss_db : NAN, NULL},
        {ECHO_PART_SECOND, NUMBER, "motion_loss_db", "dB", known ? second->motion_loss_db : NAN,
         NULL},
        {ECHO_PART_SECOND, NUMBER, "ideal_snr_db", "dB", reception->ideal_db, NULL},
        {ECHO_PART_SECOND, NUMBER, "ideal_margin_db", "dB",
         known ? verdict->fare.left_db - reception->ideal_db : NAN, NULL},
        {ECHO_PART_SECOND, NUMBER, "required_cn_db", "dB", required_db, NULL},
        {ECHO_PART_SECOND, NUMBER, "ideal_required_cn_db", "dB",
         known ? second->ideal_required_cn_db : NAN, NULL},
        {ECHO_PART_SECOND, NUMBER, "window_us", "us", known ? second->window.start_us : NAN, NULL},
        {ECHO_PART_SECOND, NUMBER, "reach_from_us", "us",
         known ? second->window.reach_from_us : NAN, NULL},
        {ECHO_PART_SECOND, NUMBER, "reach_to_us", "us", known ? second->window.reach_to_us : NAN,
         NULL},
        {ECHO_PART_SECOND, YES_NO, "time_interpolation", "",
         known ? second->window.time_interpolation : NAN, NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        figures[i] = rows[i];
    }
    return sizeof rows / sizeof rows[0];
}

static enum status figures_of(const struct verdicts *verdicts, struct figure *figures,
                              size_t *count, struct fault *fault)
{
    const struct verdict *first = &verdicts->of[GENERATION_FIRST];
    const struct verdict *second = &verdicts->of[GENERATION_SECOND];
    double first_db, second_db;
    enum status status = verdict_required_db(first, &first_db, fault);
    if (status == STATUS_OK) {
        status = verdict_required_db(second, &second_db, fault);
    }
    if (status != STATUS_OK) {
        return status;
    }
    figures[0] =
        (struct figure){ECHO_PART_SNR, NUMBER, "snr_db", "dB", first->conditions.snr_db, NULL};
    figures[1] = (struct figure){
        ECHO_PART_SNR, WORD, "snr_source", "", 0.0, snr_source_name(first->conditions.source)};
    *count = 2;
    *count += figures_of_first(first, first_db, figures + *count);
    *count += figures_of_second(second, second_db, figures + *count);
    return STATUS_OK;
}

static void add_figure(struct table *table, const struct figure *figure)
{
    if (figure->kind == NUMBER) {
        table_number(table, figure->number);
    } else if (figure->kind == YES_NO && isnan(figure->number)) {
        table_null(table);
    } else if (figure->kind == YES_NO) {
        table_bool(table, figure->number != 0.0);
    } else {
        table_word(table, figure->word);
    }
}

enum status echo_figures_json(const struct verdicts *verdicts, struct text *out,
                              struct fault *fault)
{
    struct figure figures[FIGURES_MAX];
    size_t count;
    enum status status = figures_of(verdicts, figures, &count, fault);
    if (status != STATUS_OK) {
        return status;
    }
    struct table_column columns[ECHO_PART_COUNT][FIGURES_MAX];
    struct table tables[ECHO_PART_COUNT];
    struct member members[ECHO_PART_COUNT];
    for (int part = 0; part < ECHO_PART_COUNT; part++) {
        size_t used = 0;
        for (size_t i = 0; i < count; i++) {
            if ((int)figures[i].part == part) {
                columns[part][used++] =
                    (struct table_column){figures[i].name, figures[i].name, figures[i].unit, 0};
            }
        }
        tables[part] = table_start(columns[part], used);
        for (size_t i = 0; i < count; i++) {
            if ((int)figures[i].part == part) {
                add_figure(&tables[part], &figures[i]);
            }
        }
        members[part] =
            (struct member){echo_part_name((enum echo_part)part), MEMBER_OBJECT, &tables[part]};
    }
    status = members_write_json(members, ECHO_PART_COUNT, out);
    for (int part = 0; part < ECHO_PART_COUNT; part++) {
        table_free(&tables[part]);
    }
    return status;
}

enum status echo_figures_csv(const struct verdicts *verdicts, struct text *out, struct fault *fault)
{
    static const struct table_column columns[] = {
        {"part", "Part", NULL, 0},
        {"name", "Name", NULL, 0},
        {"value", "Value", NULL, 0},
        {"unit", "Unit", NULL, 0},
    };
    struct figure figures[FIGURES_MAX];
    size_t count;
    enum status status = figures_of(verdicts, figures, &count, fault);
    if (status != STATUS_OK) {
        return status;
    }
    struct table table = table_start(columns, 4);
    for (size_t i = 0; i < count; i++) {
        table_word(&table, echo_part_name(figures[i].part));
        table_word(&table, figures[i].name);
        add_figure(&table, &figures[i]);
        table_word(&table, figures[i].unit);
    }
    status = table_write(&table, FORMAT_CSV, out);
    table_free(&table);
    return status;
}
