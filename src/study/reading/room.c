/* What would break or mend the reception where the receiver stands, in dB and in words, and what
 * the other generation would do there.
 *
 * How much everyday things take from a signal differs from room to room by more than a table can
 * say; the spans below are common practice for VHF and UHF indoors and are told as such. What can
 * be computed is: how fast things move (physics/air/motion), noise that people make (ITU-R P.372),
 * walls (ITU-R P.2109). Height: over flat ground the field grows in proportion to the height of the
 * aerial, 20 log10(h2 / h1) dB. Worked number: 6 dB are twice the height. */
#include <math.h>
#include <string.h>

#include "base/units.h"
#include "physics/air/building.h"
#include "physics/air/motion.h"
#include "physics/air/noise.h"
#include "study/reading/reading.h"

#define RESERVE_DB 3.0 /* below this, what would mend it is told too */

static const struct {
    const char *what;
    double least_db, most_db; /* common practice */
    const char *moves;        /* a row of physics/air/motion; NULL: it does not */
} causes[] = {
    {"a hand or a body near an indoor aerial", 3.0, 10.0, "hand"},
    {"wind in trees on the way", 1.0, 5.0, "foliage"},
    {"a car that passes", 1.0, 3.0, "car"},
};

static const char *outcome(double margin_db, double least_db, double most_db)
{
    return margin_db < least_db ? "breaks it" : margin_db < most_db ? "can break it" : "is borne";
}

/* Of a reflector that the table has. */
static double speed_of(const char *moves)
{
    size_t i = 0;
    while (strcmp(reflector_row(i)->name, moves) != 0) {
        i++;
    }
    return reflector_row(i)->speed_kmh;
}

/* Noise that people make, over the receiver's own, in dB. */
static double evening_noise_db(const struct scenario *scenario)
{
    struct receiver quiet = scenario->receiver, noisy = scenario->receiver;
    quiet.man_made = MAN_MADE_NONE;
    noisy.man_made = MAN_MADE_CITY;
    double mhz = scenario->site.center_mhz, width_mhz = scenario->site.bandwidth_mhz;
    return noise_total_dbm(&noisy, width_mhz, mhz) - noise_total_dbm(&quiet, width_mhz, mhz);
}

static void write_causes(const struct reading_pipe *pipe, struct text *out)
{
    const struct verdict *verdict = &pipe->verdict;
    const struct scenario *scenario = &pipe->settled.scenario;
    double margin_db = verdict->margin_db;
    bool placed = pipe->known & KNOWS_CHANNEL;
    text_printf(out, " Rules of thumb%s%s:", pipe->plp >= 0 ? " for " : "",
                pipe->plp >= 0 ? verdict->facts.plp : "");
    for (size_t i = 0; i < sizeof causes / sizeof causes[0]; i++) {
        text_printf(out, "%s %s (%.0f to %.0f dB", i > 0 ? ";" : "", causes[i].what,
                    causes[i].least_db, causes[i].most_db);
        double hz = reflector_doppler_hz(speed_of(causes[i].moves), scenario->site.center_mhz);
        if (placed) {
            text_printf(out, ", %.1f Hz", hz);
        }
        bool follows = !placed || !(hz > verdict->facts.doppler_hz);
        text_printf(out, ") %s",
                    follows ? outcome(margin_db, causes[i].least_db, causes[i].most_db)
                            : "moves faster than the receiver follows");
    }
    if (placed) {
        double db = evening_noise_db(scenario);
        text_printf(out, "; noise of a city's machines, lamps and screens at night (%.1f dB) %s.",
                    db, outcome(margin_db, db, db));
    } else {
        text_append(out, ", as far as loss decides: without the channel nothing tells how fast "
                         "their echoes turn.");
    }
}

static void write_limits(const struct reading_pipe *pipe, struct text *out)
{
    const struct facts *facts = &pipe->verdict.facts;
    const struct system *system = pipe->verdict.reception.system;
    if (system->limit_words) {
        system->limit_words(facts, out);
        return;
    }
    if (isfinite(facts->echo_after_us)) {
        text_printf(out, "Echoes that are spread over more than %.1f us (a path %.1f km longer).",
                    facts->echo_after_us, facts->echo_km);
    }
    if (isfinite(facts->speed_kmh)) {
        text_printf(out, " Motion faster than %.0f km/h (%.1f Hz) on %.1f MHz.", facts->speed_kmh,
                    facts->doppler_hz, pipe->settled.scenario.site.center_mhz);
    } else if (isfinite(facts->doppler_hz)) {
        text_printf(out, " Motion of more than %.1f Hz.", facts->doppler_hz);
    }
}

/* How much noise or loss takes each PLP, the weakest first. */
static void write_order(const struct reading *reading, struct text *out)
{
    double told_db = -INFINITY;
    const char *join = "Noise or loss takes ";
    for (;;) {
        double next_db = INFINITY;
        for (int i = 0; i < reading->pipe_count; i++) {
            const struct verdict *verdict = &reading->pipes[i].verdict;
            if (verdict->works && verdict->margin_db > told_db) {
                next_db = fmin(next_db, verdict->margin_db);
            }
        }
        if (isinf(next_db)) {
            break;
        }
        for (int i = 0; i < reading->pipe_count; i++) {
            const struct verdict *verdict = &reading->pipes[i].verdict;
            if (verdict->works && verdict->margin_db == next_db) {
                text_printf(out, "%s%s at %.1f dB%s", join, verdict->facts.plp, next_db,
                            isinf(told_db) ? " more than now" : "");
                join = ", then ";
            }
        }
        told_db = next_db;
    }
    text_append(out, ".");
}

void reading_write_limits(const struct reading *reading, struct text *out)
{
    const struct reading_pipe *pipe = reading_chosen(reading);
    const struct verdict *verdict = &pipe->verdict;
    size_t before = out->length;
    if (!pipe->settled.legal || pipe->settled.generation == GENERATION_COUNT) {
        return;
    }
    write_limits(pipe, out);
    const char *blank = out->length > before ? " " : "";
    if (verdict->works) {
        text_append(out, blank);
        if (reading->pipe_count > 1) {
            write_order(reading, out);
        } else {
            text_printf(out, "Noise or loss of %.1f dB more than now.", verdict->margin_db);
        }
        write_causes(pipe, out);
    } else if (verdict->known) {
        text_printf(out, "%sIt fails already.", blank);
    }
    if (out->length > before) {
        text_append(out, " Each limit holds with the others at ease: near one the others shrink.");
    }
}

/* ---- Mending. ---- */

#define HIGHER_LEAST 1.05 /* what rounds to as high as it is mends nothing */

static void write_means(const struct reading_pipe *pipe, double missing_db, const char *does,
                        struct text *out)
{
    const struct scenario *scenario = &pipe->settled.scenario;
    double mhz = scenario->site.center_mhz;
    text_printf(out,
                "%.1f dB more would %s. That is an aerial with so much more gain towards the "
                "station, or so much less loss in the line",
                missing_db, does);
    if (scenario->receiver.line_loss_db > 0.0 && scenario->receiver.line_loss_db < missing_db) {
        text_printf(out, " (which has %.1f dB)", scenario->receiver.line_loss_db);
    }
    double higher = pow(10.0, missing_db / 20.0);
    if (higher >= HIGHER_LEAST) {
        text_printf(
            out, "; or the aerial %.1f times as high over flat ground (6 dB for twice the height)",
            higher);
    }
    if (pipe->known & KNOWS_CHANNEL) {
        double wall_db = building_entry_loss_db(BUILDING_KIND_TRADITIONAL, mhz, 0.5);
        text_printf(out,
                    "; or another place: indoors a step of %.1f m (half a wavelength) can change "
                    "10 dB, and out of a building of brick or wood about %.0f dB are won (the "
                    "median)",
                    150.0 / mhz, wall_db);
    } else {
        text_append(out,
                    "; or another place: indoors a step of half a wavelength can change 10 dB");
    }
    text_append(out, ".");
}

static void write_mending(const struct reading_pipe *pipe, const struct verdict *verdict,
                          struct text *out)
{
    double needed_db = NAN, snr_db = verdict->conditions.snr_db;
    struct fault fault;
    if (verdict_required_db(verdict, &needed_db, &fault) != STATUS_OK) {
        return;
    }
    if (isinf(needed_db)) {
        text_append(out, "No more signal mends it: the echoes or the motion must be less. Another "
                         "place, or an aerial that looks one way.");
    } else {
        write_means(pipe, needed_db - snr_db, "mend it", out);
    }
}

/* The chosen PLP where that lacks a reserve, else of those that fail the one that lacks least. */
static const struct reading_pipe *pipe_to_mend(const struct reading *reading)
{
    const struct reading_pipe *pipe = reading_chosen(reading);
    const struct reading_pipe *mend = pipe->verdict.margin_db < RESERVE_DB ? pipe : NULL;
    for (int i = 0; !(mend && mend == pipe) && i < reading->pipe_count; i++) {
        const struct verdict *verdict = &reading->pipes[i].verdict;
        bool fails = verdict->known && !verdict->works;
        if (fails && (!mend || verdict->margin_db > mend->verdict.margin_db)) {
            mend = &reading->pipes[i];
        }
    }
    return mend; /* NULL: all is well, or unknown */
}

/* Errors beside an SNR that suffices: no more signal mends them. */
static void write_not_noise(const struct reading *reading, struct text *out)
{
    bool any = false;
    for (int i = 0; i < reading->pipe_count && !any; i++) {
        any = reading->pipes[i].not_noise;
    }
    if (any) {
        text_append(out,
                    "Where errors stand beside dB to spare, more signal mends nothing: another "
                    "place does, or an aerial that looks one way, away from echoes and from "
                    "what moves.");
    }
}

void reading_write_mending(const struct reading *reading, struct text *out)
{
    const struct reading_pipe *pipe = pipe_to_mend(reading);
    size_t before = out->length;
    write_not_noise(reading, out);
    if (!pipe) {
        return;
    }
    text_append(out, out->length > before ? " " : "");
    const struct verdict *verdict = &pipe->verdict;
    if (reading->pipe_count > 1) {
        text_printf(out, "For %s: ", verdict->facts.plp);
    }
    if (!verdict->works) {
        write_mending(pipe, verdict, out);
        text_append(out, " For a reserve add 3 dB.");
    } else {
        text_append(out, "For a reserve of 3 dB: ");
        write_means(pipe, RESERVE_DB - verdict->margin_db, "do", out);
    }
}

/* ---- The other generation. ---- */

static void write_second_instead(const struct reading *reading, struct text *out)
{
    const struct reading_other *other = &reading->other;
    const struct verdict *verdict = &reading_chosen(reading)->verdict;
    const char *name = reading->report.verdicts.of[GENERATION_SECOND].reception.system->name;
    double snr_db = verdict->conditions.snr_db;
    if (isfinite(other->same_rate_db)) {
        text_printf(out,
                    "For the same %.2f Mbit/s the second generation (%s) has modes that need %.1f "
                    "dB, %.1f dB less, in noise alone.",
                    verdict->facts.net_mbps, name, other->same_rate_db,
                    verdict->reception.needed_input_db - other->same_rate_db);
    }
    if (isfinite(other->best_mbps)) {
        text_printf(out, " At the same %.1f dB its fastest mode that comes in carries %.2f Mbit/s.",
                    snr_db, other->best_mbps);
    }
}

/* "DVB-T2 with 32K 1/16 PP4, 256QAM 2/3" */
static void write_name(const struct verdict *verdict, struct text *out)
{
    struct text mode = {0};
    facts_words(&verdict->facts, &mode);
    text_printf(out, "%s%s%s", verdict->reception.system->name, mode.length > 0 ? " with " : "",
                text_string(&mode));
    out->failed |= mode.failed;
    text_free(&mode);
}

/* As it stands in the profile; a page of one generation tells nothing of the other. */
static void write_as_it_is(const struct reading *reading, struct text *out)
{
    const struct reading_pipe *pipe = reading_chosen(reading);
    enum generation generation = reading_other_generation(&pipe->settled);
    const struct verdict *other = &reading->report.verdicts.of[generation];
    if (!other->known) {
        text_printf(out, "The %s generation (", generation_name(generation));
        write_name(other, out);
        text_printf(out, ") needs %.1f dB for its %.2f Mbit/s.", other->reception.needed_input_db,
                    other->facts.net_mbps);
        return;
    }
    text_printf(out, "At the same %.1f dB the %s generation (", other->conditions.snr_db,
                generation_name(generation));
    write_name(other, out);
    if (other->works) {
        text_printf(out, ") would come in with %.1f dB to spare", other->margin_db);
    } else {
        text_printf(out, ") would not come in: %.1f dB too little", -other->margin_db);
    }
    text_printf(out, ", as far as noise decides; it carries %.2f Mbit/s.", other->facts.net_mbps);
    if (other->reception.system->one_mode) {
        text_append(out, " Echoes, which a page does not show, cost it more.");
    }
    if (!other->works) {
        text_append(out, " ");
        write_mending(pipe, other, out);
    }
}

void reading_write_other(const struct reading *reading, struct text *out)
{
    const struct page_settled *settled = &reading_chosen(reading)->settled;
    if (!reading->other.known) {
        return;
    }
    bool chosen = !page_has_one_mode(settled);
    if (chosen) {
        write_as_it_is(reading, out);
    }
    if (settled->generation == GENERATION_FIRST) {
        struct text words = {0};
        write_second_instead(reading, &words);
        text_printf(out, "%s%s", chosen && words.length > 0 ? " " : "", text_string(&words));
        out->failed |= words.failed;
        text_free(&words);
    }
}
