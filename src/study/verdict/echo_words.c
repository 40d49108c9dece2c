/* Why one generation decodes and the other does not, in plain words from the computed figures. */
#include <math.h>

#include "standard/atsc3/numerology.h"
#include "study/verdict/echo_study.h"

#define NOTABLE_DB 0.05 /* smaller losses are not worth a sentence */

static void verdict_of(struct text *out, bool works, double margin_db)
{
    if (works) {
        text_printf(out, "decodes, %.1f dB margin", margin_db);
    } else if (isfinite(margin_db)) {
        text_printf(out, "fails, %.1f dB short", -margin_db);
    } else {
        text_append(out, "fails");
    }
}

void echo_words_verdict(const struct echo_study *study, struct text *out)
{
    text_append(out, "First generation: ");
    verdict_of(out, study->first_works, study->first.margin_db);
    text_append(out, ". Second: ");
    verdict_of(out, study->second_works, study->second.margin_db);
    text_append(out, ".");
}

static void count_words(struct text *out, int count, const char *rest_one, const char *rest_more)
{
    if (count == 1) {
        text_printf(out, "one echo %s", rest_one);
    } else {
        text_printf(out, "%d echoes %s", count, rest_more);
    }
}

static void first_reach(const struct echo_study *study, struct text *out)
{
    const struct vsb_echo_result *first = &study->first;
    const struct first_receiver *receiver = &study->input.first_receiver;
    if (study->input.count == 0) {
        text_append(out, "Without echoes the equaliser has nothing to do.");
        return;
    }
    if (first->reference_us != 0.0) {
        text_printf(out, "The receiver locks to the stronger ray at %.1f us. ",
                    first->reference_us);
    }
    if (first->outside_count > 0) {
        text_append(out, "There is no guard interval, and ");
        count_words(out, first->outside_count, "lies", "lie");
        text_printf(out,
                    " outside the equaliser's reach (%.1f us before to %.1f us after): what comes "
                    "from there, %.1f dB against the main ray, stays in the signal as noise.",
                    receiver->equaliser_before_us, receiver->equaliser_after_us, first->outside_db);
    } else {
        text_printf(out,
                    "All echoes lie within the equaliser's reach (%.1f us before to %.1f us "
                    "after); it takes them out, and what that costs is noise raised where the "
                    "echoes weaken the spectrum.",
                    receiver->equaliser_before_us, receiver->equaliser_after_us);
    }
    if (first->too_fast_count > 0) {
        text_append(out, " Also ");
        count_words(out, first->too_fast_count, "moves", "move");
        text_printf(out, " faster than the %.0f Hz that it follows and acts as noise, %.1f dB.",
                    receiver->tracking_hz, first->too_fast_db);
    }
}

void echo_words_first(const struct echo_study *study, struct text *out)
{
    const struct vsb_echo_result *first = &study->first;
    first_reach(study, out);
    if (first->echo_loss_db >= NOTABLE_DB) {
        text_printf(out, " Together the echoes cost %.1f dB even an ideal equaliser.",
                    first->echo_loss_db);
    }
    double adaptation_db = first->adaptation_loss_db + first->lag_loss_db;
    if (adaptation_db >= NOTABLE_DB) {
        text_printf(out,
                    " Its taps learn from the signal: their unrest costs %.1f dB and their lag "
                    "behind moving echoes %.1f dB.",
                    first->adaptation_loss_db, first->lag_loss_db);
    }
    if (first->implementation_loss_db >= NOTABLE_DB) {
        text_printf(out, " The receiver's implementation takes %.1f dB.",
                    first->implementation_loss_db);
    }
    text_printf(out, " %.1f dB are left where %.1f dB are needed.", first->output_snr_db,
                study->input.first_receiver.threshold_db);
}

static void second_guard(const struct echo_study *study, struct text *out)
{
    const struct ofdm_echo_result *second = &study->second;
    double guard_us = numerology_guard_us(&study->input.mode);
    int fates[OFDM_FATE_COUNT] = {0};
    for (int i = 0; i < second->rays.count; i++) {
        fates[second->rays.rays[i].fate]++;
    }
    if (study->input.count == 0) {
        text_append(out, "Without echoes all carriers are alike.");
    } else if (second->inside_guard) {
        text_printf(out,
                    "All rays fit into the guard interval of %.1f us, so no symbol disturbs "
                    "another; echoes only make carriers unequal, and code and interleaver average "
                    "over them.",
                    guard_us);
    } else {
        text_printf(out, "Of %d rays ", second->rays.count);
        const char *join = "";
        for (int fate = OFDM_RAY_LATE; fate < OFDM_FATE_COUNT; fate++) {
            if (fates[fate] > 0) {
                text_printf(out, "%s%d %s %s", join, fates[fate], fates[fate] == 1 ? "is" : "are",
                            ofdm_fate_words((enum ofdm_fate)fate));
                join = ", ";
            }
        }
        text_printf(out,
                    " (%.1f us, best window); self-interference is %.1f dB against what is useful.",
                    guard_us, second->self_interference_db);
    }
    if (!second->window.time_interpolation) {
        text_append(out, " The receiver does best to estimate the channel anew in each symbol.");
    }
}

void echo_words_second(const struct echo_study *study, struct text *out)
{
    const struct ofdm_echo_result *second = &study->second;
    second_guard(study, out);
    if (second->fading_loss_db >= NOTABLE_DB) {
        text_printf(out, " Unequal carriers cost %.1f dB.", second->fading_loss_db);
    }
    if (second->self_loss_db >= NOTABLE_DB) {
        text_printf(out, " Self-interference costs %.1f dB.", second->self_loss_db);
    }
    if (second->motion_loss_db >= NOTABLE_DB) {
        text_printf(out, " Motion within a symbol costs %.1f dB.", second->motion_loss_db);
    }
    text_printf(out, " %.1f dB are left where %.1f dB are needed", second->effective_snr_db,
                study->input.needed_db);
    if (isfinite(second->required_cn_db)) {
        text_printf(out, "; with these echoes the mode works from %.1f dB of SNR on.",
                    second->required_cn_db);
    } else {
        text_append(out, "; no SNR would be enough, the interference alone is too strong.");
    }
}

/* Which figure of the two separates them most: needs or losses. */
void echo_words_decision(const struct echo_study *study, struct text *out)
{
    double first_needs = study->input.first_receiver.threshold_db;
    double second_needs = study->input.needed_db;
    double first_loss = study->first.input_snr_db - study->first.output_snr_db;
    double second_loss = study->second.input_snr_db - study->second.effective_snr_db;
    double by_needs = first_needs - second_needs, by_losses = first_loss - second_loss;
    if (study->first_works == study->second_works) {
        text_printf(out, "Both %s. ", study->first_works ? "decode" : "fail");
    } else {
        text_printf(out, "Only the %s generation decodes. ",
                    study->first_works ? "first" : "second");
    }
    text_printf(out,
                "The first needs %.1f dB and loses %.1f dB to these echoes, the second needs %.1f "
                "dB and loses %.1f dB: ",
                first_needs, first_loss, second_needs, second_loss);
    const char *ahead = by_needs + by_losses > 0.0 ? "second" : "first";
    if (fabs(by_needs + by_losses) < 0.1) {
        text_append(out, "the two come out even.");
    } else if (fabs(by_losses) >= fabs(by_needs)) {
        text_printf(out, "what puts the %s ahead is how it bears the echoes.", ahead);
    } else {
        text_printf(out,
                    "what puts the %s ahead is how little SNR its mode asks for, more than how it "
                    "bears the echoes.",
                    ahead);
    }
    if (!study->first_works && study->first.static_snr_db >= first_needs) {
        text_printf(out,
                    " An ideal equaliser would leave the first %.1f dB, enough to decode: what "
                    "fails here is a real receiver's adaptation and implementation.",
                    study->first.static_snr_db);
    }
    if (!study->second_works && study->second.ideal_margin_db >= 0.0) {
        text_append(out, " An ideal receiver would still decode the second.");
    }
}
