/* What a page amounts to, in words: first what anybody understands, then the trade's terms. */
#include <math.h>
#include <string.h>

#include "study/explain/explain.h"
#include "study/reading/reading.h"

const char *reading_title(const struct page_entry *entry, char *buffer, size_t size)
{
    const struct explanation *words = explain_find(entry->key);
    const struct field *field = field_named(entry->key);
    if (field) {
        page_field_title(field, buffer, size);
    } else {
        text_format(buffer, size, "%s", words ? explain_title(words) : entry->key);
    }
    return buffer;
}

void reading_write_meaning(const struct page_entry *entry, const struct reading *reading,
                           bool longer, struct text *out)
{
    enum pair pair = reading_chosen(reading)->settled.scenario.site.pair;
    const struct explanation *words = explain_find_in(pair, entry->key);
    if (!words) {
        return;
    }
    text_append(out, words->sentence);
    if (entry->guess) {
        text_printf(out, " A guess: the page has \"%s\".", entry->text);
    }
    if (longer) {
        /* Formulas hold for legal modes only. */
        const struct reading_pipe *pipe = reading_chosen(reading);
        bool whole = reading->weighed || page_has_one_mode(&pipe->settled);
        struct explain_context context = {
            pipe->settled.legal && reading->other.known ? &pipe->settled.scenario : NULL,
            whole && reading->other.known ? &reading->report : NULL};
        text_printf(out, " %s Here: ", words->paragraph);
        explain_formula(words, &context, out);
        text_printf(out, ". Source: %s.", words->source);
    }
}

/* ---- The verdict. ---- */

/* How near to failing, in words; the last row holds for all that is less. */
static const char *ease_of(double margin_db)
{
    static const struct {
        double from_db;
        const char *words;
    } rows[] = {{10.0, "with much in reserve"},
                {6.0, "comfortably"},
                {3.0, "safely as long as little changes"},
                {1.0, "narrowly"},
                {-INFINITY, "on the edge"}};
    size_t i = 0;
    while (margin_db < rows[i].from_db) {
        i++;
    }
    return rows[i].words;
}

static void write_plain(const struct reading_pipe *pipe, struct text *out)
{
    double margin_db = pipe->verdict.margin_db;
    if (pipe->verdict.works) {
        text_printf(out, "comes in, %s: %.1f dB to spare.", ease_of(margin_db), margin_db);
    } else if (isfinite(margin_db)) {
        text_printf(out, "does not come in: %.1f dB too little.", -margin_db);
    } else {
        text_append(out, "does not come in.");
    }
}

/* Why there is no margin. */
static void write_unknown(const struct reading_pipe *pipe, struct text *out)
{
    const struct page_settled *settled = &pipe->settled;
    if (!settled->legal) {
        text_append(out, "The page contradicts itself or names what does not exist, so no margin "
                         "and no figures follow from it.");
    } else if (settled->generation == GENERATION_COUNT) {
        text_append(out, "The page says nothing of the mode, nor of which generation the signal "
                         "is, so no margin follows from it.");
    } else if (pipe->span.open) {
        bool neither = (pipe->known & KNOWS_CODE) == 0;
        text_printf(out, "Whether it comes in cannot be told: the page does not say the %s.",
                    neither                             ? "constellation and the code rate"
                    : pipe->known & KNOWS_CONSTELLATION ? "code rate"
                                                        : "constellation");
    } else if ((pipe->known & KNOWS_LAYER) == 0) {
        text_append(out, "It shares its cells with another layer, which is noise to it, so its "
                         "margin is not told.");
    } else {
        text_append(out, "The page reports no SNR that can be used, so the margin is unknown.");
    }
}

/* "between -6.2 dB (QPSK 2/15) and 31.0 dB": what could be said if more were known. */
static void write_span(const struct reading_pipe *pipe, struct text *out)
{
    const struct code_span *span = &pipe->span;
    double snr_db = pipe->verdict.conditions.snr_db;
    if (!span->open) { /* nor is it where the page contradicts itself */
        return;
    }
    text_printf(out,
                " A %s-generation mode needs between %.1f dB (%s) and %.1f dB (%s), depending "
                "on %s.",
                generation_name(pipe->settled.generation == GENERATION_COUNT
                                    ? GENERATION_SECOND
                                    : pipe->settled.generation),
                span->least_db, span->least, span->most_db, span->most,
                (pipe->known & KNOWS_CODE) == 0     ? "constellation and code rate"
                : pipe->known & KNOWS_CONSTELLATION ? "the code rate"
                                                    : "the constellation");
    if (!isfinite(snr_db)) {
        return;
    }
    if (span->best[0] == '\0') {
        text_printf(out, " At %.1f dB none of them comes in.", snr_db);
    } else if (snr_db >= span->most_db) {
        text_printf(out, " At %.1f dB all of them come in.", snr_db);
    } else {
        text_printf(out, " At %.1f dB they come in up to %s.", snr_db, span->best);
    }
}

static bool alone(const struct reading *reading)
{
    return reading->pipe_count == 1;
}

static void write_pipe_verdict(const struct reading_pipe *pipe, bool named, struct text *out)
{
    if (!pipe->verdict.known) {
        write_unknown(pipe, out);
        write_span(pipe, out);
        return;
    }
    text_append(out, named ? "" : "It ");
    write_plain(pipe, out);
}

/* "PLP 0 comes in ..."; PLPs of which the same cannot be told are named together. */
void reading_write_verdict(const struct reading *reading, struct text *out)
{
    struct text words = {0}, next = {0};
    bool named = !alone(reading);
    for (int i = 0; i < reading->pipe_count; i++) {
        const struct reading_pipe *pipe = &reading->pipes[i];
        text_clear(&words);
        text_clear(&next);
        write_pipe_verdict(pipe, named, &words);
        if (named) {
            text_append(out, pipe->verdict.facts.plp);
        }
        if (named && i + 1 < reading->pipe_count) {
            write_pipe_verdict(pipe + 1, named, &next);
        }
        bool same = strcmp(text_string(&words), text_string(&next)) == 0;
        if (same) {
            text_append(out, ", ");
            continue;
        }
        text_append(out, !named ? "" : pipe->verdict.known ? " " : ": ");
        text_append(out, text_string(&words));
        text_append(out, i + 1 < reading->pipe_count ? " " : "");
    }
    out->failed |= words.failed || next.failed;
    text_free(&words);
    text_free(&next);
}

/* ---- In the trade's terms. ---- */

static void write_margin(const struct verdict *verdict, struct text *out)
{
    const struct conditions *conditions = &verdict->conditions;
    double margin_db = verdict->margin_db;
    if (!verdict->known) {
        return;
    }
    text_printf(out, " %s %.1f dB against %.1f dB needed: ",
                conditions->source == SNR_LEVEL ? "The level over the receiver's noise gives"
                                                : "The page reports",
                conditions->snr_db, verdict->reception.needed_input_db);
    if (margin_db >= 0.0) {
        text_printf(out, "%.1f dB to spare.", margin_db);
    } else {
        text_printf(out, "%.1f dB too little.", -margin_db);
    }
}

/* What is known of the mode, and at the end what the page does not say. */
static void write_mode(const struct reading_pipe *pipe, struct text *out)
{
    const struct facts *facts = &pipe->verdict.facts;
    const struct {
        const char *value, *before, *what, *setting;
    } choices[] = {{facts->fft, "", "FFT size", "fft"},
                   {facts->guard, "", "guard interval", "guard"},
                   {facts->pilots, "", "pilots", "pilots"},
                   {facts->constellation, "", "constellation", "constellation"},
                   {facts->rate, "code rate ", "code rate", "rate"}};
    const struct {
        double value;
        const char *name;
    } numbers[] = {
        {facts->boost, "boost"}, {facts->reduction, "reduction"}, {facts->length, "code length"}};
    char missing[160] = "";
    size_t used = 0;
    const char *join = "";
    for (size_t i = 0; i < sizeof choices / sizeof choices[0]; i++) {
        if (choices[i].value) {
            text_printf(out, "%s%s%s", join, choices[i].before, choices[i].value);
            join = ", ";
        } else if (page_has_choice(&pipe->settled, choices[i].setting)) {
            used += text_format(missing + used, sizeof missing - used, "%s%s", used ? ", " : "",
                                choices[i].what);
        }
    }
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
        if (isfinite(numbers[i].value)) {
            text_printf(out, "%s%s %.0f", join, numbers[i].name, numbers[i].value);
            join = ", ";
        }
    }
    if (used > 0) {
        text_printf(out, "%s page does not say: %s", join[0] ? "; the" : "The", missing);
    }
}

void reading_write_pipe(const struct reading_pipe *pipe, struct text *out)
{
    const struct verdict *verdict = &pipe->verdict;
    double net_mbps = verdict->facts.net_mbps;
    if (pipe->plp >= 0) {
        text_printf(out, "%s: ", pipe->verdict.facts.plp);
    }
    if (page_has_one_mode(&pipe->settled)) {
        text_printf(out, "%s: %.2f Mbit/s net.", verdict->reception.system->name, net_mbps);
    } else {
        write_mode(pipe, out);
        text_append(out, isfinite(net_mbps) ? ": " : ".");
        if (isfinite(net_mbps)) {
            text_printf(out, "%.2f Mbit/s net%s.", net_mbps,
                        verdict->reception.system->plp_figures && verdict->facts.plp_share >= 1.0
                            ? " if this PLP has the whole frame"
                            : "");
        }
    }
    write_margin(verdict, out);
}

/* ---- What was given up for it, and what was assumed. ---- */

void reading_write_cost(const struct reading *reading, struct text *out)
{
    const struct reading_pipe *pipe = reading_chosen(reading);
    double net_mbps = pipe->verdict.facts.net_mbps;
    if (pipe->settled.legal && page_has_one_mode(&pipe->settled)) {
        text_append(out, "Nothing was chosen: the system has one rate and one robustness.");
        return;
    }
    if (!reading->weighed || !isfinite(net_mbps) || pipe->verdict.facts.plp_share < 1.0) {
        return;
    }
    if (reading->better_mbps - net_mbps >= 0.005) {
        text_printf(out,
                    "Another legal mode is as robust in SNR, echo and speed and carries %.2f "
                    "Mbit/s, %.2f more.",
                    reading->better_mbps, reading->better_mbps - net_mbps);
    } else if (reading->on_frontier) {
        text_append(out, "The mode is on the frontier: none is as good in net rate, SNR, echo and "
                         "speed and better in one.");
    } else {
        text_append(out,
                    "No mode as robust carries more, but one that carries as much needs less.");
    }
    if (reading->fastest_mbps - net_mbps >= 0.005) {
        text_printf(
            out,
            " For its echoes and speed it gives up %.2f Mbit/s: the fastest mode at the same "
            "required SNR carries %.2f Mbit/s.",
            reading->fastest_mbps - net_mbps, reading->fastest_mbps);
    }
    if (isfinite(reading->possible_mbps) && reading->possible_mbps > net_mbps) {
        text_printf(out,
                    " With the SNR to spare here, %.2f Mbit/s would be possible; it is kept for "
                    "worse places.",
                    reading->possible_mbps);
    }
}

void reading_write_assumed(const struct reading *reading, struct text *out)
{
    const struct page_lines *assumed = &reading_chosen(reading)->settled.assumed;
    for (size_t i = 0; i < assumed->count; i++) {
        text_printf(out, "%s%s", i > 0 ? ", " : "Not on the page and assumed: ", assumed->rows[i]);
    }
    text_append(out, assumed->count > 0 ? "." : "");
}

void reading_write_basis(const struct reading *reading, struct text *out)
{
    const struct system *system = reading_chosen(reading)->verdict.reception.system;
    text_append(out, "What receivers call SNR is mostly the modulation error ratio after the "
                     "equaliser. ");
    if (system) {
        text_printf(out, "Needed: %s, in noise alone. ", system->needs_by);
    }
    text_append(out, "A planning aid, not a measurement.");
}
