/* Explanations with the numbers of what is on the desk. */
#include "explorer/desk/words.h"

#include <math.h>

#include "study/explain/explain.h"
#include "system/system.h"

static struct explain_context context_of(const struct desk *desk)
{
    return (struct explain_context){.scenario = &desk->profile.scenario,
                                    .report = desk->report_known ? &desk->report : NULL};
}

void words_short(const struct desk *desk, const char *name, struct text *out)
{
    const struct explanation *entry = explain_find_in(desk->profile.scenario.site.pair, name);
    if (!entry) {
        return;
    }
    struct explain_context context = context_of(desk);
    text_printf(out, "%s\n", entry->sentence);
    explain_formula(entry, &context, out);
}

void words_long(const struct desk *desk, const char *name, struct text *out)
{
    const struct explanation *entry = explain_find_in(desk->profile.scenario.site.pair, name);
    if (!entry) {
        return;
    }
    struct explain_context context = context_of(desk);
    text_printf(out, "%s (%s)\n\n%s\n\n%s\n\n", explain_title(entry), name, entry->sentence,
                entry->paragraph);
    explain_formula(entry, &context, out);
    text_printf(out, "\n\nSource: %s.\n", entry->source);
}

/* "plp room: core, 16QAM 10/15, 3.20 Mbit/s, needs 12.1 dB: ..." */
void words_plp(const struct desk *desk, int plp, struct text *out)
{
    const struct scenario *scenario = &desk->profile.scenario;
    const struct section *section = section_find_in("plp", scenario->site.pair);
    const struct verdict *verdict = desk_plp(desk, plp);
    char title[NAME_MAX_BYTES + 16] = "plp";
    struct facts facts;
    if (section_items(section, scenario) > 0) {
        section_item_title(section, scenario, plp, title, sizeof title);
    }
    text_printf(out, "%s", title);
    if (system_of(scenario, GENERATION_SECOND)->describe(scenario, plp, &facts, NULL) ==
        STATUS_OK) {
        text_printf(out, ": %s", facts.layer ? facts.layer : "");
        if (!isnan(facts.injection_db)) {
            char core[FIELD_TEXT_BYTES];
            field_format(section_field_of(section, "over"), section_item(section, scenario, plp),
                         core, sizeof core);
            text_printf(out, " %.1f dB below %s", facts.injection_db, core);
        }
        text_printf(out, "%s%s %s, %.2f Mbit/s, needs %.1f dB", facts.layer ? ", " : "",
                    facts.constellation, facts.rate, facts.net_mbps, facts.required_snr_db);
    }
    if (verdict && verdict->known) {
        text_append(out, ": ");
        verdict_words_short(verdict, out);
    }
    text_append(out, ".");
}
