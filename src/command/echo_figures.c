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
    enum kind kind;
    const char *name, *unit;
    double number; /* 0 or 1 for YES_NO */
    const char *word;
};

#define FIGURES_MAX 48

static size_t figures_of_first(const struct echo_study *study, struct figure *figures)
{
    const struct vsb_echo_result *first = &study->first;
    const struct figure rows[] = {
        {ECHO_PART_FIRST, NUMBER, "output_snr_db", "dB", first->output_snr_db, NULL},
        {ECHO_PART_FIRST, NUMBER, "threshold_db", "dB", study->input.first_receiver.threshold_db,
         NULL},
        {ECHO_PART_FIRST, NUMBER, "margin_db", "dB", first->margin_db, NULL},
        {ECHO_PART_FIRST, YES_NO, "works", "", study->first_works, NULL},
        {ECHO_PART_FIRST, NUMBER, "echo_loss_db", "dB", first->echo_loss_db, NULL},
        {ECHO_PART_FIRST, NUMBER, "adaptation_loss_db", "dB", first->adaptation_loss_db, NULL},
        {ECHO_PART_FIRST, NUMBER, "lag_loss_db", "dB", first->lag_loss_db, NULL},
        {ECHO_PART_FIRST, NUMBER, "implementation_loss_db", "dB", first->implementation_loss_db,
         NULL},
        {ECHO_PART_FIRST, NUMBER, "infinite_snr_db", "dB", first->infinite_snr_db, NULL},
        {ECHO_PART_FIRST, NUMBER, "linear_snr_db", "dB", first->linear_snr_db, NULL},
        {ECHO_PART_FIRST, NUMBER, "outside_reach_db", "dB", first->outside_db, NULL},
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
        {ECHO_PART_SECOND, NUMBER, "effective_snr_db", "dB", second->effective_snr_db, NULL},
        {ECHO_PART_SECOND, NUMBER, "needed_snr_db", "dB", study->input.needed_db, NULL},
        {ECHO_PART_SECOND, NUMBER, "margin_db", "dB", second->margin_db, NULL},
        {ECHO_PART_SECOND, YES_NO, "works", "", study->second_works, NULL},
        {ECHO_PART_SECOND, YES_NO, "inside_guard", "", second->inside_guard, NULL},
        {ECHO_PART_SECOND, NUMBER, "self_interference_db", "dB", second->self_interference_db,
         NULL},
        {ECHO_PART_SECOND, NUMBER, "fading_loss_db", "dB", second->fading_loss_db, NULL},
        {ECHO_PART_SECOND, NUMBER, "self_loss_db", "dB", second->self_loss_db, NULL},
        {ECHO_PART_SECOND, NUMBER, "motion_loss_db", "dB", second->motion_loss_db, NULL},
        {ECHO_PART_SECOND, NUMBER, "ideal_snr_db", "dB", study->input.ideal_db, NULL},
        {ECHO_PART_SECOND, NUMBER, "ideal_margin_db", "dB", second->ideal_margin_db, NULL},
        {ECHO_PART_SECOND, NUMBER, "required_cn_db", "dB", second->required_cn_db, NULL},
        {ECHO_PART_SECOND, NUMBER, "ideal_required_cn_db", "dB", second->ideal_required_cn_db,
         NULL},
        {ECHO_PART_SECOND, NUMBER, "window_us", "us", second->window.start_us, NULL},
        {ECHO_PART_SECOND, NUMBER, "reach_from_us", "us", second->window.reach_from_us, NULL},
        {ECHO_PART_SECOND, NUMBER, "reach_to_us", "us", second->window.reach_to_us, NULL},
        {ECHO_PART_SECOND, YES_NO, "time_interpolation", "", second->window.time_interpolation,
         NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        figures[i] = rows[i];
    }
    return sizeof rows / sizeof rows[0];
}

static size_t figures_of(const struct echo_study *study, struct figure *figures)
{
    figures[0] = (struct figure){ECHO_PART_SNR, NUMBER, "snr_db", "dB", study->input.snr_db, NULL};
    figures[1] = (struct figure){
        ECHO_PART_SNR, WORD, "snr_source", "", 0.0, echo_snr_source_name(study->input.source)};
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
