#include "command/echo_figures.h"

#include <math.h>

const char *echo_part_name(enum echo_part part)
{
    static const char *const names[ECHO_PART_COUNT] = {"input", "first", "second"};
    return names[part];
}

const char *echo_snr_source_name(enum echo_snr_source source)
{
    static const char *const names[] = {
        [ECHO_SNR_MEASURED] = "measured",
        [ECHO_SNR_FROM_LEVEL] = "level",
        [ECHO_SNR_ASSUMED] = "assumed",
    };
    return names[source];
}

enum kind { NUMBER, YES_NO, WORD };

struct figure {
    enum echo_part part;
    const char *name, *unit;
    enum kind kind;
    double number; /* 0 or 1 for YES_NO */
    const char *word;
};

#define FIGURES_MAX 48

static size_t figures_of_first(const struct echo_study *study, struct figure *figures)
{
    const struct vsb_echo_result *first = &study->first;
    const struct figure rows[] = {
        {ECHO_PART_FIRST, "output_snr_db", "dB", NUMBER, first->output_snr_db, NULL},
        {ECHO_PART_FIRST, "threshold_db", "dB", NUMBER, study->input.first_receiver.threshold_db,
         NULL},
        {ECHO_PART_FIRST, "margin_db", "dB", NUMBER, first->margin_db, NULL},
        {ECHO_PART_FIRST, "works", "", YES_NO, study->first_works, NULL},
        {ECHO_PART_FIRST, "echo_loss_db", "dB", NUMBER, first->echo_loss_db, NULL},
        {ECHO_PART_FIRST, "adaptation_loss_db", "dB", NUMBER, first->adaptation_loss_db, NULL},
        {ECHO_PART_FIRST, "lag_loss_db", "dB", NUMBER, first->lag_loss_db, NULL},
        {ECHO_PART_FIRST, "implementation_loss_db", "dB", NUMBER, first->implementation_loss_db,
         NULL},
        {ECHO_PART_FIRST, "infinite_snr_db", "dB", NUMBER, first->infinite_snr_db, NULL},
        {ECHO_PART_FIRST, "linear_snr_db", "dB", NUMBER, first->linear_snr_db, NULL},
        {ECHO_PART_FIRST, "outside_reach_db", "dB", NUMBER, first->outside_db, NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        figures[i] = rows[i];
    }
    return sizeof rows / sizeof rows[0];
}

static size_t figures_of_second(const struct echo_study *study, struct figure *figures)
{
    const struct ofdm_echo_result *second = &study->second;
    const struct figure rows[] = {
        {ECHO_PART_SECOND, "effective_snr_db", "dB", NUMBER, second->effective_snr_db, NULL},
        {ECHO_PART_SECOND, "needed_snr_db", "dB", NUMBER, study->input.needed_db, NULL},
        {ECHO_PART_SECOND, "margin_db", "dB", NUMBER, second->margin_db, NULL},
        {ECHO_PART_SECOND, "works", "", YES_NO, study->second_works, NULL},
        {ECHO_PART_SECOND, "inside_guard", "", YES_NO, second->inside_guard, NULL},
        {ECHO_PART_SECOND, "self_interference_db", "dB", NUMBER, second->self_interference_db,
         NULL},
        {ECHO_PART_SECOND, "fading_loss_db", "dB", NUMBER, second->fading_loss_db, NULL},
        {ECHO_PART_SECOND, "self_loss_db", "dB", NUMBER, second->self_loss_db, NULL},
        {ECHO_PART_SECOND, "motion_loss_db", "dB", NUMBER, second->motion_loss_db, NULL},
        {ECHO_PART_SECOND, "ideal_snr_db", "dB", NUMBER, study->input.ideal_db, NULL},
        {ECHO_PART_SECOND, "ideal_margin_db", "dB", NUMBER, second->ideal_margin_db, NULL},
        {ECHO_PART_SECOND, "required_cn_db", "dB", NUMBER, second->required_cn_db, NULL},
        {ECHO_PART_SECOND, "ideal_required_cn_db", "dB", NUMBER, second->ideal_required_cn_db,
         NULL},
        {ECHO_PART_SECOND, "window_us", "us", NUMBER, second->window.start_us, NULL},
        {ECHO_PART_SECOND, "reach_from_us", "us", NUMBER, second->window.reach_from_us, NULL},
        {ECHO_PART_SECOND, "reach_to_us", "us", NUMBER, second->window.reach_to_us, NULL},
        {ECHO_PART_SECOND, "time_interpolation", "", YES_NO, second->window.time_interpolation,
         NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        figures[i] = rows[i];
    }
    return sizeof rows / sizeof rows[0];
}

static size_t figures_of(const struct echo_study *study, struct figure *figures)
{
    figures[0] = (struct figure){ECHO_PART_SNR, "snr_db", "dB", NUMBER, study->input.snr_db, NULL};
    figures[1] = (struct figure){
        ECHO_PART_SNR, "snr_source", "", WORD, 0.0, echo_snr_source_name(study->input.source)};
    size_t count = 2;
    count += figures_of_first(study, figures + count);
    count += figures_of_second(study, figures + count);
    return count;
}

static void add_figure(struct table *table, const struct figure *figure)
{
    if (figure->kind == NUMBER) {
        table_number(table, figure->number);
    } else if (figure->kind == YES_NO) {
        table_bool(table, figure->number != 0.0);
    } else {
        table_word(table, figure->word);
    }
}

enum status echo_figures_json(const struct echo_study *study, struct text *out)
{
    struct figure figures[FIGURES_MAX];
    size_t count = figures_of(study, figures);
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
    enum status status = members_write_json(members, ECHO_PART_COUNT, out);
    for (int part = 0; part < ECHO_PART_COUNT; part++) {
        table_free(&tables[part]);
    }
    return status;
}

enum status echo_figures_csv(const struct echo_study *study, struct text *out)
{
    static const struct table_column columns[] = {
        {"part", "Part", NULL, 0},
        {"name", "Name", NULL, 0},
        {"value", "Value", NULL, 0},
        {"unit", "Unit", NULL, 0},
    };
    struct figure figures[FIGURES_MAX];
    size_t count = figures_of(study, figures);
    struct table table = table_start(columns, 4);
    for (size_t i = 0; i < count; i++) {
        table_word(&table, echo_part_name(figures[i].part));
        table_word(&table, figures[i].name);
        add_figure(&table, &figures[i]);
        table_word(&table, figures[i].unit);
    }
    enum status status = table_write(&table, FORMAT_CSV, out);
    table_free(&table);
    return status;
}
