/* Adding, removing, sliding and typing echoes; every value by its field. */
#include "explorer/echo/edit.h"

#include <math.h>
#include <stdlib.h>

#include "base/text.h"
#include "scenario/section.h"
#include "study/report/report.h"

static const struct section *echoes(void)
{
    return section_find("echo");
}

const struct field *echo_field(int row, enum echo_column column)
{
    return row == ECHO_ROW_SNR ? field_named("receiver.snr_db")
                               : section_field_at(echoes(), (int)column);
}

/* What a field's offset counts in. */
static void *base_of(struct scenario *scenario, int row)
{
    return row == ECHO_ROW_SNR ? scenario : section_item_of(echoes(), scenario, row);
}

double echo_value(const struct scenario *scenario, int row, enum echo_column column)
{
    return field_number(echo_field(row, column),
                        row == ECHO_ROW_SNR ? scenario : section_item(echoes(), scenario, row));
}

/* ---- A new echo: one that both generations can take, and that costs neither half its margin, so
 * that what it does is seen before it breaks anything. ---- */

#define TRIAL_POSITIONS 16 /* what is tried must be quick; the verdict counts all */

/* NULL: there is none, or no memory. The caller frees it. */
static struct verdicts *verdicts_of(const struct scenario *scenario)
{
    struct scenario *trial = malloc(sizeof *trial);
    struct verdicts *verdicts = malloc(sizeof *verdicts);
    bool made = false;
    if (trial && verdicts) {
        *trial = *scenario;
        trial->receiver.positions = TRIAL_POSITIONS;
        made = verdicts_make(trial, verdicts, NULL) == STATUS_OK;
    }
    free(trial);
    if (!made) {
        free(verdicts);
        return NULL;
    }
    return verdicts;
}

/* The delay that both take: the shorter of the equaliser's reach and the guard interval. */
static double borne_us(const struct scenario *scenario)
{
    struct report *report = malloc(sizeof *report);
    double us = NAN;
    if (report && report_describe(scenario, report, NULL) == STATUS_OK) {
        us = fmin(report_facts(report, GENERATION_FIRST)->echo_after_us,
                  report_facts(report, GENERATION_SECOND)->echo_after_us);
    }
    free(report);
    return us;
}

static bool costs_half(const struct verdicts *before, const struct verdicts *after)
{
    for (int i = 0; i < GENERATION_COUNT; i++) {
        double margin_db = before->of[i].margin_db;
        if (before->of[i].known && margin_db > 0.0 &&
            !(after->of[i].margin_db >= margin_db / 2.0)) {
            return true;
        }
    }
    return false;
}

static double sensible_level_db(struct scenario *scenario, struct echo *echo,
                                const struct verdicts *before)
{
    static const double levels_db[] = {-10.0, -13.0, -16.0, -20.0, -25.0, -30.0, -40.0};
    size_t i = 0;
    for (bool costly = before != NULL; costly && i + 1 < sizeof levels_db / sizeof *levels_db;
         i += costly) {
        echo->level_db = levels_db[i];
        struct verdicts *after = verdicts_of(scenario);
        costly = after && costs_half(before, after);
        free(after);
    }
    return levels_db[i];
}

bool echo_edit_add(struct scenario *scenario)
{
    double latest_us = 0.0;
    for (int i = 0; i < scenario->echo_count; i++) {
        latest_us = fmax(latest_us, scenario->echoes[i].delay_us);
    }
    char name[NAME_MAX_BYTES];
    int number = scenario->echo_count;
    do {
        text_format(name, sizeof name, "%d", ++number);
    } while (section_item_find(echoes(), scenario, name) >= 0);
    struct verdicts *before = verdicts_of(scenario);
    double most_us = 0.8 * borne_us(scenario);
    struct echo *echo = section_add(echoes(), scenario, name);
    if (echo) {
        double later_us = ceil(latest_us) + 5.0;
        echo->delay_us = fmin(later_us > most_us ? most_us / 2.0 : later_us, ECHO_DELAY_MAX_US);
        echo->delay_us = round(echo->delay_us * 10.0) / 10.0;
        echo->level_db = sensible_level_db(scenario, echo, before);
    }
    free(before);
    return echo != NULL;
}

void echo_edit_remove(struct scenario *scenario, int row)
{
    section_remove(echoes(), scenario, row);
}

void echo_edit_step(struct scenario *scenario, int row, enum echo_column column, int direction,
                    bool coarse)
{
    const struct field *field = echo_field(row, column);
    field_put(field, base_of(scenario, row),
              field_stepped(field, echo_value(scenario, row, column), direction, coarse));
}

enum status echo_edit_set(struct scenario *scenario, int row, enum echo_column column,
                          const char *text, struct fault *fault)
{
    const struct field *field = echo_field(row, column);
    char place[FIELD_TEXT_BYTES];
    field_name(field, place, sizeof place);
    return field_take(field, base_of(scenario, row), place, text, fault);
}
