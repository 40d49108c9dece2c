/* Explanations with the numbers of what is on the desk. */
#include "explorer/desk/words.h"

#include "study/explain/explain.h"

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

void words_plp(const struct desk *desk, int plp, struct text *out)
{
    const struct transmission *transmission = &desk->profile.scenario.transmission;
    const struct plp *of = &transmission->plps[plp];
    const struct verdict *verdict = desk_plp(desk, plp);
    text_printf(out, "plp%s%s: %s", of->name[0] ? " " : "", of->name, layer_name(of->layer));
    if (of->layer == LAYER_ENHANCED) {
        text_printf(out, " %.1f dB below %s", of->injection_db, of->over);
    }
    text_printf(out, ", %s %s", constellation_name(of->code.constellation),
                code_rate_name(of->code.rate_15ths));
    if (verdict) {
        text_printf(out, ", %.2f Mbit/s, needs %.1f dB", verdict->facts.net_mbps,
                    verdict->facts.required_snr_db);
    }
    if (verdict && verdict->known) {
        text_append(out, ": ");
        verdict_words_short(verdict, out);
    }
    text_append(out, ".");
}
