#include "explorer/desk/desk.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

#include "explorer/desk/same.h"

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
    desk->prompt = (struct prompt){.open = true, .done = done, .owner = owner};
    text_format(desk->prompt.label, sizeof desk->prompt.label, "%s", label ? label : "");
    field_set(&desk->prompt.field, initial);
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

static void take(struct desk *desk)
{
    struct prompt *prompt = &desk->prompt;
    prompt->open = false;
    desk->message[0] = '\0';
    if (prompt->outside) {
        desk_request(desk, prompt->done, prompt->owner, prompt->field.text);
    } else {
        prompt->done(&(struct call){desk, prompt->owner, 0, prompt->field.text, NULL});
    }
}

bool desk_type(struct desk *desk, uint32_t key)
{
    struct prompt *prompt = &desk->prompt;
    bool moves = key == PRESS_UP || key == PRESS_DOWN || key == PRESS_TAB || key == PRESS_BACK_TAB;
    moves = moves && prompt->label[0] == '\0';
    if (key == PRESS_ESCAPE) {
        prompt->open = false;
        desk_say(desk, TONE_QUIET, "Left as it was.");
    } else if (key == PRESS_ENTER || moves) {
        take(desk);
    } else {
        field_key(&prompt->field, key);
    }
    return !moves;
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
    struct scenario *pinned = desk->pinned;
    struct transmission transmission = pinned->transmission;
    *pinned = desk->profile.scenario;
    pinned->transmission = transmission;
    scenario_set_bandwidth(pinned, transmission.subframes[0].waveform.bandwidth_mhz);
    if (report_describe(pinned, &desk->pinned_report, NULL) != STATUS_OK) {
        forget_pinned(desk);
    }
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
    judge_want(&desk->judge, now, desk->pinned);
    desk_look(desk);
}

void desk_look(struct desk *desk)
{
    judge_look(&desk->judge);
    if (desk->judged != desk->judge.of && judge_is_done(&desk->judge)) {
        const struct judgement *given = desk->judge.given;
        desk->judged = desk->judge.of;
        if (given[JUDGED_NOW].known) {
            desk->report.verdicts = given[JUDGED_NOW].verdicts;
        }
        if (given[JUDGED_PINNED].known) {
            desk->pinned_report.verdicts = given[JUDGED_PINNED].verdicts;
        }
    }
}

void desk_wait(struct desk *desk)
{
    judge_wait(&desk->judge);
    desk_look(desk);
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
    desk_mark_saved(desk, path ? path : "");
    refresh(desk);
}

bool desk_open(struct desk *desk, struct profile *profile, const char *path)
{
    desk->saved = malloc(sizeof *desk->saved);
    if (desk->saved) {
        desk_take_profile(desk, profile, path);
    }
    return desk->saved != NULL;
}

/* ---- The verdict in words. ---- */

const struct verdicts *desk_verdicts(const struct desk *desk)
{
    const struct judgement *given = &desk->judge.given[JUDGED_NOW];
    return judge_is_done(&desk->judge) && given->known ? &given->verdicts : NULL;
}

static enum tone say_why_none(const struct desk *desk, char *buffer, size_t size)
{
    if (!judge_is_done(&desk->judge)) {
        text_format(buffer, size, "Who decodes: computing ...");
        return TONE_QUIET;
    }
    const struct judgement *given = &desk->judge.given[JUDGED_NOW];
    text_format(buffer, size, "No verdict: %s.",
                given->known ? "no SNR is known. Give a measured SNR, a level or a station"
                             : given->fault.wrong);
    return TONE_WARN;
}

static enum tone say_generation(const struct verdict *verdict, char *buffer, size_t size)
{
    struct text words = {0};
    verdict_words_short(verdict, &words);
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
        return part == 0 ? say_why_none(desk, buffer, size) : TONE_QUIET;
    }
    if (part < GENERATION_COUNT) {
        return say_generation(&verdicts->of[part], buffer, size);
    }
    text_format(buffer, size, "%s", remarks[verdicts->of[0].conditions.source]);
    return TONE_QUIET;
}

void desk_close(struct desk *desk)
{
    judge_free(&desk->judge);
    history_clear(&desk->history);
    forget_pinned(desk);
    profile_free(&desk->profile);
    free(desk->saved);
}
