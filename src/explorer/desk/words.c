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
    const struct explanation *entry = explain_find(name);
    if (!entry) {
        return;
    }
    struct explain_context context = context_of(desk);
    text_printf(out, "%s\n", entry->sentence);
    explain_formula(entry, &context, out);
}

void words_long(const struct desk *desk, const char *name, struct text *out)
{
    const struct explanation *entry = explain_find(name);
    if (!entry) {
        return;
    }
    struct explain_context context = context_of(desk);
    text_printf(out, "%s (%s)\n\n%s\n\n%s\n\n", explain_title(entry), name, entry->sentence,
                entry->paragraph);
    explain_formula(entry, &context, out);
    text_printf(out, "\n\nSource: %s.\n", entry->source);
}
