/* Every change of what is worked on goes through here, and is followed at once. */
#include "explorer/desk/desk.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

#include "explorer/desk/same.h"
#include "system/space/space.h"

/* ---- Saying and asking. ---- */

void desk_say(struct desk *desk, enum tone tone, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(desk->message, sizeof desk->message, format, arguments);
    va_end(arguments);
    desk->tone = tone;
}

void desk_say_fault(struct desk *desk, const struct fault *fault)
{
    bool allowed = fault->allowed[0] != '\0';
    desk_say(desk, TONE_WARN, "%s%s%s%s%s%s", fault->place, fault->place[0] ? ": " : "",
             fault->wrong[0] ? fault->wrong : status_message(fault->status), allowed ? " (" : "",
             fault->allowed, allowed ? ")" : "");
}

void desk_say_file_fault(struct desk *desk, const char *path, const struct fault *fault)
{
    char words[sizeof desk->message];
    desk_say_fault(desk, fault);
    text_format(words, sizeof words, "%s", desk->message);
    desk_say(desk, TONE_WARN, "%s: %s", path, words);
}

void desk_ask(struct desk *desk, const char *label, const char *initial,
              void (*done)(const struct call *call), void *owner)
{
    desk_close_prompt(desk);
    desk->prompt = (struct prompt){.open = true, .done = done, .owner = owner};
    text_format(desk->prompt.label, sizeof desk->prompt.label, "%s", label ? label : "");
    typing_set(&desk->prompt.typing, initial);
}

void desk_ask_outside(struct desk *desk, const char *label, const char *initial,
                      void (*done)(const struct call *call), void *owner)
{
    desk_ask(desk, label, initial, done, owner);
    desk->prompt.outside = true;
}

void desk_request(struct desk *desk, void (*done)(const struct call *call), void *owner,
                  const char *text)
{
    desk->effect.done = done;
    desk->effect.owner = owner;
    text_format(desk->effect.text, sizeof desk->effect.text, "%s", text);
}

bool desk_types_in_place(const struct desk *desk)
{
    return desk->prompt.open && desk->prompt.label[0] == '\0';
}

void desk_close_prompt(struct desk *desk)
{
    desk->prompt.open = false;
    offer_free(&desk->prompt.offer);
}

void desk_offer(struct desk *desk, const char *label, struct offer *offer, bool outside,
                void (*done)(const struct call *call), void *owner)
{
    desk_ask(desk, label, "", done, owner);
    desk->prompt.outside = outside;
    desk->prompt.offer = *offer;
    *offer = (struct offer){0};
    offer_match(&desk->prompt.offer, "");
}

void desk_take_prompt(struct desk *desk)
{
    struct prompt *prompt = &desk->prompt;
    char taken[TYPING_BYTES];
    const char *typed = prompt->typing.text;
    text_format(taken, sizeof taken, "%s",
                prompt->offer.count > 0 ? offer_taken(&prompt->offer, typed) : typed);
    void (*done)(const struct call *call) = prompt->done;
    void *owner = prompt->owner;
    bool outside = prompt->outside;
    desk_close_prompt(desk);
    desk->message[0] = '\0';
    if (outside) {
        desk_request(desk, done, owner, taken);
    } else {
        done(&(struct call){desk, owner, 0, taken, NULL});
    }
}

#define OFFER_PAGE 8

void desk_move_offer(struct desk *desk, int by)
{
    struct offer *offer = &desk->prompt.offer;
    int last = offer->shown_count - 1, at = offer->at + by;
    offer->at = at < 0 || last < 0 ? 0 : at > last ? last : at;
}

/* Up and Down move in the list, what is typed narrows it. */
static void type_offer(struct desk *desk, uint32_t key)
{
    static const struct {
        uint32_t key;
        int by;
    } moves[] = {{PRESS_UP, -1},
                 {PRESS_DOWN, 1},
                 {PRESS_BACK_TAB, -1},
                 {PRESS_TAB, 1},
                 {PRESS_PAGE_UP, -OFFER_PAGE},
                 {PRESS_PAGE_DOWN, OFFER_PAGE},
                 {PRESS_HOME, -100000},
                 {PRESS_END, 100000}};
    struct prompt *prompt = &desk->prompt;
    for (size_t i = 0; i < sizeof moves / sizeof moves[0]; i++) {
        if (moves[i].key == key) {
            desk_move_offer(desk, moves[i].by);
            return;
        }
    }
    if (typing_key(&prompt->typing, key)) {
        offer_match(&prompt->offer, prompt->typing.text);
    }
}

bool desk_type(struct desk *desk, uint32_t key)
{
    struct prompt *prompt = &desk->prompt;
    bool moves = key == PRESS_UP || key == PRESS_DOWN || key == PRESS_TAB || key == PRESS_BACK_TAB;
    moves = moves && prompt->label[0] == '\0';
    if (key == PRESS_ESCAPE) {
        desk_close_prompt(desk);
        desk_say(desk, TONE_QUIET, "Left as it was.");
    } else if (key == PRESS_ENTER || moves) {
        desk_take_prompt(desk);
    } else if (prompt->offer.count > 0) {
        type_offer(desk, key);
    } else {
        typing_key(&prompt->typing, key);
    }
    return !moves;
}

void desk_question(struct desk *desk, const char *title, const char *text,
                   const struct reply *replies, void *owner)
{
    desk->question = (struct question){.replies = replies, .title = title, .owner = owner};
    text_format(desk->question.text, sizeof desk->question.text, "%s", text);
}

void desk_reply(struct desk *desk, uint32_t key)
{
    struct question *question = &desk->question;
    const struct reply *reply = question->replies;
    while (reply && reply->what && reply->key != key) {
        reply++;
    }
    if (key == PRESS_ESCAPE) {
        question->replies = NULL;
    } else if (reply && reply->what) {
        question->replies = NULL;
        if (reply->outside) {
            desk_request(desk, reply->done, question->owner, desk->path);
        } else if (reply->done) {
            reply->done(&(struct call){desk, question->owner, key, desk->path, NULL});
        }
    }
}

/* ---- The scenario. ---- */

static void forget_pinned(struct desk *desk)
{
    free(desk->pinned);
    desk->pinned = NULL;
}

/* The channel and the measured SNR are common to both columns. */
static void follow_pinned(struct desk *desk)
{
    struct scenario *pinned = desk->pinned, follows = desk->profile.scenario;
    scenario_take_signal(&follows, pinned);
    *pinned = follows;
    scenario_set_bandwidth(pinned, pinned->transmission.subframes[0].waveform.bandwidth_mhz);
    if (report_describe(pinned, &desk->pinned_report, NULL) != STATUS_OK) {
        forget_pinned(desk);
    }
}

static bool judge_case(struct judgement *judgement, int i)
{
    struct scenario *scenario = &judgement->cases[i].scenario;
    struct verdicts *verdicts = &judgement->cases[i].verdicts;
    int positions = scenario->receiver.positions;
    bool fewer = judgement->first && positions > JUDGED_FIRST;
    scenario->receiver.positions = fewer ? JUDGED_FIRST : positions;
    judgement->cases[i].known =
        verdicts_make(scenario, verdicts, &judgement->cases[i].fault) == STATUS_OK;
    scenario->receiver.positions = positions;
    bool many = verdicts->of[GENERATION_FIRST].positions == JUDGED_FIRST ||
                verdicts->of[GENERATION_SECOND].positions == JUDGED_FIRST;
    return fewer && judgement->cases[i].known && many;
}

static void judge(struct job *job, void *box)
{
    struct judgement *judgement = box;
    bool more = false;
    for (int i = 0; i < judgement->count && !job_is_stopped(job); i++) {
        more = judge_case(judgement, i) || more;
    }
    judgement->first = more;
}

#define JUDGING_WAIT_MS 5.0 /* of the 16 that a key press may take to the screen */

static struct judgement *judgement_new(const struct desk *desk, bool first)
{
    struct judgement *judgement = calloc(1, sizeof *judgement);
    if (judgement) {
        judgement->first = first;
        judgement->count = desk->pinned ? 2 : 1;
        judgement->cases[0].scenario = desk->profile.scenario;
        if (desk->pinned) {
            judgement->cases[1].scenario = *desk->pinned;
        }
    }
    return judgement;
}

static void ask_for_verdicts(struct desk *desk)
{
    desk->refining = false;
    errand_want(&desk->judging, judgement_new(desk, true), JUDGING_WAIT_MS);
    piping_want(&desk->piping, &desk->profile.scenario);
    desk_look(desk);
}

static void refresh(struct desk *desk)
{
    const struct scenario *now = &desk->profile.scenario;
    desk->revision++;
    desk->changed = !scenarios_are_same(now, desk->saved);
    desk->report_known = report_describe(now, &desk->report, &desk->fault) == STATUS_OK;
    if (!desk->report_known) {
        desk_say_fault(desk, &desk->fault);
    }
    if (desk->pinned) {
        follow_pinned(desk);
    }
    ask_for_verdicts(desk);
}

void desk_look(struct desk *desk)
{
    desk->piped += errand_look(&desk->piping.errand);
    if (errand_look(&desk->judging)) {
        const struct judgement *judgement = desk->judging.done;
        struct report *reports[] = {&desk->report, &desk->pinned_report};
        desk->judged++;
        for (int i = 0; i < judgement->count && i < 2; i++) {
            if (judgement->cases[i].known) {
                reports[i]->verdicts = judgement->cases[i].verdicts;
            }
        }
        desk->refining = judgement->first;
        if (desk->refining) {
            errand_want(&desk->judging, judgement_new(desk, false), 0.0);
        }
    }
}

void desk_wait(struct desk *desk)
{
    do {
        errand_wait(&desk->judging);
        errand_wait(&desk->piping.errand);
        desk_look(desk);
    } while (desk_busy(desk));
}

bool desk_change(struct desk *desk, const struct scenario *next)
{
    struct fault fault;
    if (scenario_check(next, &fault) != STATUS_OK) {
        desk_say_fault(desk, &fault);
        return false;
    }
    if (!history_remember(&desk->history, &desk->profile.scenario)) {
        desk_say(desk, TONE_WARN, "Out of memory: this change cannot be undone.");
    }
    desk->profile.scenario = *next;
    refresh(desk);
    return true;
}

void desk_undo(struct desk *desk)
{
    bool gone = history_undo(&desk->history, &desk->profile.scenario);
    desk_say(desk, TONE_QUIET, gone ? "Undone; r redoes it." : "Nothing to undo.");
    if (gone) {
        refresh(desk);
    }
}

void desk_redo(struct desk *desk)
{
    bool gone = history_redo(&desk->history, &desk->profile.scenario);
    desk_say(desk, TONE_QUIET, gone ? "Redone." : "Nothing to redo.");
    if (gone) {
        refresh(desk);
    }
}

void desk_pin(struct desk *desk, const struct scenario *scenario)
{
    if (!desk->pinned) {
        desk->pinned = malloc(sizeof *desk->pinned);
    }
    if (!desk->pinned) {
        desk_say(desk, TONE_WARN, "Out of memory: nothing is pinned.");
        return;
    }
    *desk->pinned = *scenario;
    refresh(desk);
}

void desk_unpin(struct desk *desk)
{
    forget_pinned(desk);
    desk->revision++;
}

void desk_mark_saved(struct desk *desk, const char *path)
{
    if (path != desk->path) {
        text_format(desk->path, sizeof desk->path, "%s", path);
    }
    *desk->saved = desk->profile.scenario;
    desk->changed = false;
}

void desk_take_profile(struct desk *desk, struct profile *profile, const char *path)
{
    profile_free(&desk->profile);
    desk->profile = *profile;
    *profile = (struct profile){.scenario = desk->profile.scenario};
    history_clear(&desk->history);
    desk->rescued = false;
    desk_mark_saved(desk, path ? path : "");
    refresh(desk);
}

void desk_take_unsaved(struct desk *desk, struct profile *profile)
{
    desk_take_profile(desk, profile, NULL);
    *desk->saved = scenario_default();
    desk->changed = !scenarios_are_same(&desk->profile.scenario, desk->saved);
}

bool desk_open(struct desk *desk, struct profile *profile, const char *path)
{
    desk->saved = malloc(sizeof *desk->saved);
    desk->judging.work = judge;
    if (desk->saved) {
        desk_take_profile(desk, profile, path);
    }
    return desk->saved != NULL;
}

/* ---- The verdict in words. ---- */

const struct verdicts *desk_verdicts(const struct desk *desk)
{
    bool there = !desk->judging.pending || desk->refining;
    const struct judgement *judgement = there ? desk->judging.done : NULL;
    return judgement && judgement->cases[0].known ? &judgement->cases[0].verdicts : NULL;
}

const struct pipes *desk_pipes(const struct desk *desk)
{
    return piping_pipes(&desk->piping);
}

const struct verdict *desk_plp(const struct desk *desk, int plp)
{
    const struct pipes *pipes = desk_pipes(desk);
    if (piping_count(&desk->profile.scenario) > 1) {
        return pipes && plp < pipes->count ? &pipes->verdicts[plp] : NULL;
    }
    return desk->report_known ? &desk->report.verdicts.of[GENERATION_SECOND] : NULL;
}

bool desk_busy(const struct desk *desk)
{
    return desk->judging.pending || desk->piping.errand.pending;
}

const char *desk_no_verdict(const struct desk *desk)
{
    const struct judgement *judgement = desk->judging.done;
    return desk->judging.pending ? "computing ..."
           : !judgement          ? "out of memory"
           : !judgement->cases[0].known
               ? judgement->cases[0].fault.wrong
               : "no SNR is known. Give a measured SNR, a level or a station";
}

static enum tone say_generation(const struct verdict *verdict, bool follows, char *buffer,
                                size_t size)
{
    struct text words = {0};
    verdict_words_line(verdict, follows, &words);
    text_format(buffer, size, "%s %s.", verdict->reception.system->name, text_string(&words));
    text_free(&words);
    return !verdict->known ? TONE_WARN : verdict->works ? TONE_GOOD : TONE_BAD;
}

enum tone desk_say_verdict(const struct desk *desk, int part, char *buffer, size_t size)
{
    static const char *const remarks[SNR_SOURCE_COUNT] = {[SNR_NONE] = "",
                                                          [SNR_MEASURED] = "",
                                                          [SNR_LEVEL] = "By level.",
                                                          [SNR_STATION] = "Predicted."};
    const struct verdicts *verdicts = desk_verdicts(desk);
    buffer[0] = '\0';
    bool any = false;
    for (int i = 0; verdicts && i < GENERATION_COUNT; i++) {
        any = any || verdicts->of[i].known;
    }
    if (!any) {
        bool pending = desk->judging.pending;
        if (part == 0) {
            text_format(buffer, size, pending ? "Who decodes: %s" : "No verdict: %s.",
                        desk_no_verdict(desk));
        }
        return pending ? TONE_QUIET : TONE_WARN;
    }
    if (part < GENERATION_COUNT) {
        bool follows = part > 0 && verdicts->of[0].positions > 1;
        return say_generation(&verdicts->of[part], follows, buffer, size);
    }
    const char *remark = remarks[verdicts->of[0].conditions.source];
    text_format(buffer, size, "%s%s%s", remark, desk->refining && remark[0] ? " " : "",
                desk->refining ? "Refining ..." : "");
    return TONE_QUIET;
}

void desk_close(struct desk *desk)
{
    errand_free(&desk->judging);
    offer_free(&desk->prompt.offer);
    piping_free(&desk->piping);
    history_clear(&desk->history);
    forget_pinned(desk);
    profile_free(&desk->profile);
    free(desk->saved);
}
