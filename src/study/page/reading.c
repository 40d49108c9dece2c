/* Turns what was read of a page into figures, verdict and cost, and words them. */
#include "study/page/reading.h"

#include <math.h>
#include <string.h>

#include "study/explain/explain.h"

static void fill_from_space(const struct weigh_space *space, struct reading *reading)
{
    long from = weigh_find(space, &reading->settled.scenario.transmission);
    if (from < 0) {
        return;
    }
    const struct weighed *now = &space->modes[from];
    double echo_us = weigh_echo_us(space, (size_t)from),
           snr_db = reading->report.verdicts.of[GENERATION_SECOND].conditions.snr_db;
    reading->on_frontier = now->frontier;
    reading->better_mbps = reading->fastest_mbps = now->net_mbps;
    reading->possible_mbps = NAN;
    for (size_t i = 0; i < space->count; i++) {
        const struct weighed *mode = &space->modes[i];
        bool robust = mode->speed_kmh >= now->speed_kmh && weigh_echo_us(space, i) >= echo_us;
        if (mode->snr_db <= now->snr_db) {
            reading->fastest_mbps = fmax(reading->fastest_mbps, mode->net_mbps);
            reading->better_mbps =
                robust ? fmax(reading->better_mbps, mode->net_mbps) : reading->better_mbps;
        }
        if (robust && mode->snr_db <= snr_db) {
            reading->possible_mbps = fmax(reading->possible_mbps, mode->net_mbps);
        }
    }
}

enum status reading_make(const struct page *page, int plp, const struct scenario *base,
                         struct weigh_space *space, struct reading *reading, struct fault *fault)
{
    int plps[PAGE_PLP_MAX + 1];
    int count = page_plps(page, plps);
    *reading = (struct reading){.plp = plp >= 0 ? plp : count > 0 ? plps[0] : -1};
    enum status status = page_settle(page, plp, base, &reading->settled);
    if (status != STATUS_OK) {
        return fault_set(fault, status, "", NULL, "%s", status_message(status));
    }
    reading->known = reading->settled.legal &&
                     (reading->settled.speaks_of_mode || reading->settled.first_generation);
    if (!reading->known) {
        return STATUS_OK;
    }
    status = report_make(&reading->settled.scenario, &reading->report, fault);
    if (status == STATUS_OK && !reading->settled.first_generation &&
        !weigh_space_serves(space, &reading->settled.scenario)) {
        weigh_space_free(space);
        status = weigh_space_make(&reading->settled.scenario, SNR_RECEIVER, space, fault);
    }
    if (status == STATUS_OK && !reading->settled.first_generation) {
        fill_from_space(space, reading);
    }
    if (status != STATUS_OK) {
        reading_free(reading);
    }
    return status;
}

void reading_free(struct reading *reading)
{
    page_settled_free(&reading->settled);
    reading->known = false;
}

void reading_write_meaning(const struct page_entry *entry, const struct reading *reading,
                           bool longer, struct text *out)
{
    const struct explanation *words = explain_find(entry->key);
    if (!words) {
        return;
    }
    text_append(out, words->sentence);
    if (longer) {
        /* Formulas hold for legal modes only. */
        struct explain_context context = {reading->settled.legal ? &reading->settled.scenario
                                                                 : NULL,
                                          reading->known ? &reading->report : NULL};
        text_printf(out, " %s Here: ", words->paragraph);
        explain_formula(words, &context, out);
        text_printf(out, ". Source: %s.", words->source);
    }
}

static void write_margin(const struct verdict *verdict, struct text *out)
{
    const struct conditions *conditions = &verdict->conditions;
    double margin_db = verdict->margin_db;
    if (!verdict->known) {
        text_append(out, " The page reports no SNR, so the margin is unknown.");
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

void reading_write_verdict(const struct reading *reading, struct text *out)
{
    if (!reading->settled.legal) {
        text_append(out, "The page contradicts itself or names what does not exist, so no mode and "
                         "no figures follow from it.");
        return;
    }
    if (!reading->known) {
        text_append(out, "The page says nothing of the mode, so no figures follow from it.");
        return;
    }
    if (reading->settled.first_generation) {
        const struct verdict *first = &reading->report.verdicts.of[GENERATION_FIRST];
        text_printf(out, "%s: %.2f Mbit/s net.", first->reception.system->name,
                    first->facts.net_mbps);
        write_margin(first, out);
        return;
    }
    const struct facts *second = report_facts(&reading->report, GENERATION_SECOND);
    const struct transmission *mode = &reading->settled.scenario.transmission;
    if (reading->plp >= 0) {
        text_printf(out, "PLP %d: ", reading->plp);
    }
    text_printf(
        out, "%s, %s, %s, boost %d, reduction %d; %s, code rate %d/15, code length %s: ",
        fft_name(mode->subframes[0].waveform.fft), guard_name(mode->subframes[0].waveform.guard),
        pilots_name(mode->subframes[0].waveform.pilots), mode->subframes[0].waveform.boost,
        mode->subframes[0].waveform.reduction, constellation_name(mode->plps[0].code.constellation),
        mode->plps[0].code.rate_15ths, code_length_name(mode->plps[0].code.length));
    text_printf(out, "%.2f Mbit/s net if this PLP has the whole frame.", second->net_mbps);
    write_margin(&reading->report.verdicts.of[GENERATION_SECOND], out);
}

void reading_write_limits(const struct reading *reading, struct text *out)
{
    if (!reading->known) {
        return;
    }
    if (reading->settled.first_generation) {
        const struct facts *first = report_facts(&reading->report, GENERATION_FIRST);
        text_printf(out,
                    "Echoes: those outside the equaliser's reach, -%.1f to +%.1f us with the "
                    "receiver assumed, and strong ones within. Motion: changes faster than %.0f "
                    "Hz.",
                    first->echo_before_us, first->echo_after_us, first->doppler_hz);
        return;
    }
    const struct facts *second = report_facts(&reading->report, GENERATION_SECOND);
    text_printf(out,
                "Echoes that are spread over more than %.1f us (a path %.1f km longer). Motion "
                "faster than %.0f km/h (%.1f Hz) on %.1f MHz.",
                second->echo_after_us, second->echo_km, second->speed_kmh, second->doppler_hz,
                reading->report.rf.center_mhz);
    double margin_db = reading->report.verdicts.of[GENERATION_SECOND].margin_db;
    if (margin_db >= 0.0) {
        text_printf(out, " Noise or loss of %.1f dB more than now.", margin_db);
    } else if (margin_db < 0.0) {
        text_append(out, " Noise alone: there is too much of it already.");
    }
    text_append(out, " Each limit holds with the others at ease: near one the others shrink.");
}

void reading_write_cost(const struct reading *reading, struct text *out)
{
    if (!reading->known) {
        return;
    }
    if (reading->settled.first_generation) {
        text_append(out, "Nothing was chosen: the system has one rate and one robustness.");
        return;
    }
    double net_mbps = report_facts(&reading->report, GENERATION_SECOND)->net_mbps;
    double for_echo = reading->fastest_mbps - net_mbps;
    if (reading->better_mbps > net_mbps) {
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
    text_printf(out,
                " For its echoes and speed it gives up %.2f Mbit/s: the fastest mode at the same "
                "required SNR carries %.2f Mbit/s.",
                for_echo, reading->fastest_mbps);
    if (isfinite(reading->possible_mbps) && reading->possible_mbps > net_mbps) {
        text_printf(out,
                    " With the SNR to spare here, %.2f Mbit/s would be possible; it is kept for "
                    "worse places.",
                    reading->possible_mbps);
    }
}
