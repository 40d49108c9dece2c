/* Reads a lesson, line by line, and refuses what could not be played, naming the line. */
#include "present/lesson/lesson.h"

#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "base/number.h"
#include "base/utf8.h"
#include "present/picture/pictures.h"
#include "study/explain/explain.h"

static const char *const verbs[LESSON_VERB_COUNT] = {
    [LESSON_TITLE] = "title", [LESSON_SAY] = "say",      [LESSON_SET] = "set",
    [LESSON_SLIDE] = "slide", [LESSON_PIN] = "pin",      [LESSON_UNPIN] = "unpin",
    [LESSON_SHOW] = "show",   [LESSON_SELECT] = "select"};

#define VERBS_ALLOWED "title|say|set|slide|pin|unpin|show|select"

static enum status refuse(struct fault *fault, int line, const char *allowed, const char *wrong)
{
    char place[32];
    text_format(place, sizeof place, "line %d", line);
    return fault_set(fault, STATUS_MALFORMED, place, allowed, "%s", wrong);
}

/* ---- Words of a line. ---- */

struct words {
    const char *at, *end;
};

static void skip_blanks(struct words *words)
{
    while (words->at < words->end && (*words->at == ' ' || *words->at == '\t')) {
        words->at++;
    }
}

/* The next word; false when there is none or it does not fit. Quotes keep blanks inside a word:
 * "echo far hill.delay_us". */
static bool take_word(struct words *words, char *buffer, size_t size)
{
    skip_blanks(words);
    bool quoted = words->at < words->end && *words->at == '"';
    words->at += quoted;
    size_t length = 0;
    while (words->at < words->end &&
           (quoted ? *words->at != '"' : *words->at != ' ' && *words->at != '\t')) {
        if (length + 1 >= size) {
            return false;
        }
        buffer[length++] = *words->at++;
    }
    words->at += quoted && words->at < words->end;
    buffer[length] = '\0';
    return length > 0;
}

/* False where the rest of the line does not fit; then it is cut. */
static bool take_rest(struct words *words, char *buffer, size_t size)
{
    skip_blanks(words);
    bool fits = (size_t)(words->end - words->at) < size;
    text_format(buffer, size, "%.*s", (int)(words->end - words->at), words->at);
    return fits;
}

/* ---- Reading. ---- */

static bool is_plain_text(const char *text, size_t length)
{
    if (utf8_valid_prefix(text, length) != length) {
        return false;
    }
    for (size_t at = 0, step; at < length; at += step) {
        if (utf8_is_control(text + at, &step) && text[at] != '\t') {
            return false;
        }
    }
    return true;
}

/* Which values there are hangs on the pair: the last one that was set before this step. */
static void set_pair(const struct lesson *lesson, const struct lesson_step *until,
                     struct scenario *trial)
{
    for (const struct lesson_step *step = lesson->steps; step < until; step++) {
        if (step->verb == LESSON_SET && strcmp(step->name, "site.pair") == 0) {
            scenario_set(trial, step->name, step->value, NULL);
        }
    }
}

static enum status read_key(const struct lesson *lesson, struct words *words,
                            struct lesson_step *step, struct fault *fault)
{
    struct fault wrong;
    struct scenario *trial = malloc(sizeof *trial);
    if (!trial) {
        return fault_of_status(fault, STATUS_NO_MEMORY);
    }
    *trial = scenario_default();
    set_pair(lesson, step, trial);
    bool complete = take_word(words, step->name, sizeof step->name) &&
                    (step->verb == LESSON_SLIDE
                         ? take_word(words, step->value, sizeof step->value)
                         : take_rest(words, step->value, sizeof step->value) && step->value[0]);
    enum status status = STATUS_OK;
    if (!complete) {
        status = refuse(fault, step->line, "SECTION.KEY VALUE", "a key and a value are missing");
    } else if (scenario_set(trial, step->name, step->value, &wrong) != STATUS_OK) {
        char words_of_fault[400];
        text_format(words_of_fault, sizeof words_of_fault, "%s: %s", wrong.place, wrong.wrong);
        status = refuse(fault, step->line, wrong.allowed, words_of_fault);
    }
    free(trial);
    return status;
}

static enum status read_slide(const struct lesson *lesson, struct words *words,
                              struct lesson_step *step, struct fault *fault)
{
    enum status status = read_key(lesson, words, step, fault);
    char count[16];
    step->count = 8;
    if (status == STATUS_OK && take_word(words, count, sizeof count) &&
        (!number_read_int(count, &step->count) || step->count < 1 || step->count > 100)) {
        return refuse(fault, step->line, "1 to 100", "the number of steps is wrong");
    }
    return status;
}

/* Only what one of the explorer's views shows. */
static enum status check_picture(const struct lesson_step *step, struct fault *fault)
{
    const struct picture_kind *wanted = picture_kind_find(step->name);
    char allowed[256] = "";
    for (size_t i = 0; i < picture_kind_count(); i++) {
        const struct picture_kind *kind = picture_kind_row(i);
        if (kind->view) {
            text_join(allowed, sizeof allowed, kind->name);
        }
    }
    return wanted && wanted->view ? STATUS_OK
                                  : refuse(fault, step->line, allowed,
                                           wanted ? "no view of the explorer shows this picture"
                                                  : "there is no such picture");
}

static enum status read_name(struct words *words, struct lesson_step *step, struct fault *fault)
{
    take_rest(words, step->name, sizeof step->name);
    if (step->verb == LESSON_SHOW) {
        return check_picture(step, fault);
    }
    if (step->verb == LESSON_SELECT && !explain_find(step->name)) {
        return refuse(fault, step->line, "a setting or figure: mode.guard, second.echo_us",
                      "there is no such row");
    }
    return STATUS_OK;
}

static enum status read_title(struct words *words, struct lesson *lesson, int line,
                              struct fault *fault)
{
    return take_rest(words, lesson->title, sizeof lesson->title)
               ? STATUS_OK
               : refuse(fault, line, "at most 95 bytes", "the title is too long");
}

static enum status refuse_long_words(int line, struct fault *fault)
{
    return refuse(fault, line, "at most 600 bytes at once", "too much is said");
}

static enum status read_say(struct words *words, struct lesson_step *step, struct fault *fault)
{
    step->text = calloc(LESSON_TEXT_MAX + 1, 1);
    if (!step->text) {
        return fault_of_status(fault, STATUS_NO_MEMORY);
    }
    return take_rest(words, step->text, LESSON_TEXT_MAX + 1) ? STATUS_OK
                                                             : refuse_long_words(step->line, fault);
}

/* A line that begins with a blank goes on with what was said. */
static enum status read_more(struct lesson *lesson, struct words *words, int line,
                             struct fault *fault)
{
    struct lesson_step *last =
        lesson->step_count > 0 ? &lesson->steps[lesson->step_count - 1] : NULL;
    if (!last || last->verb != LESSON_SAY) {
        return refuse(fault, line, VERBS_ALLOWED, "only what is said goes on in a further line");
    }
    skip_blanks(words);
    size_t have = strlen(last->text), more = (size_t)(words->end - words->at);
    if (have + 1 + more > LESSON_TEXT_MAX) {
        return refuse_long_words(line, fault);
    }
    text_format(last->text + have, LESSON_TEXT_MAX + 1 - have, "%s%.*s", have ? " " : "", (int)more,
                words->at);
    return STATUS_OK;
}

static enum status read_step(struct lesson *lesson, struct words *words, int line,
                             struct fault *fault)
{
    char word[16];
    if (lesson->step_count == LESSON_STEPS_MAX) {
        return refuse(fault, line, "at most 400", "one step too many");
    }
    struct lesson_step *step = &lesson->steps[lesson->step_count++];
    *step = (struct lesson_step){.verb = LESSON_VERB_COUNT, .line = line};
    if (take_word(words, word, sizeof word)) {
        for (int i = 0; i < LESSON_VERB_COUNT; i++) {
            step->verb = strcmp(word, verbs[i]) == 0 ? (enum lesson_verb)i : step->verb;
        }
    }
    enum status status = STATUS_OK;
    switch (step->verb) {
    case LESSON_TITLE:
        status = read_title(words, lesson, line, fault);
        words->at = words->end;
        break;
    case LESSON_SAY:
        status = read_say(words, step, fault);
        words->at = words->end;
        break;
    case LESSON_SET:
        status = read_key(lesson, words, step, fault);
        words->at = words->end;
        break;
    case LESSON_SLIDE:
        status = read_slide(lesson, words, step, fault);
        break;
    case LESSON_SHOW:
    case LESSON_SELECT:
        status = read_name(words, step, fault);
        words->at = words->end;
        break;
    case LESSON_PIN:
    case LESSON_UNPIN:
        break;
    default:
        return refuse(fault, line, VERBS_ALLOWED, "this is no step of a lesson");
    }
    skip_blanks(words);
    if (status == STATUS_OK && words->at < words->end) {
        return refuse(fault, line, NULL, "there are words too many");
    }
    return status;
}

static enum status read_lines(const char *text, size_t length, struct lesson *lesson,
                              struct fault *fault)
{
    const char *at = text, *end = text + length;
    enum status status = STATUS_OK;
    for (int line = 1; at < end && status == STATUS_OK; line++) {
        const char *newline = memchr(at, '\n', (size_t)(end - at));
        struct words words = {at, newline ? newline : end};
        at = newline ? newline + 1 : end;
        if (words.end > words.at && words.end[-1] == '\r') {
            words.end--;
        }
        bool indented = words.at < words.end && (*words.at == ' ' || *words.at == '\t');
        if (!is_plain_text(words.at, (size_t)(words.end - words.at))) {
            return refuse(fault, line, "UTF-8 text", "there are bytes that are no text");
        }
        skip_blanks(&words);
        if (words.at == words.end || *words.at == '#') {
            continue;
        }
        status = indented ? read_more(lesson, &words, line, fault)
                          : read_step(lesson, &words, line, fault);
    }
    return status;
}

enum status lesson_read_text(const char *text, size_t length, struct lesson *lesson,
                             struct fault *fault)
{
    *lesson = (struct lesson){.steps = calloc(LESSON_STEPS_MAX, sizeof *lesson->steps)};
    if (!lesson->steps) {
        return fault_of_status(fault, STATUS_NO_MEMORY);
    }
    if (length > LESSON_BYTES_MAX) {
        return fault_set(fault, STATUS_MALFORMED, "", "at most 200000 bytes",
                         "the file is too long");
    }
    enum status status = read_lines(text, length, lesson, fault);
    bool says = false;
    for (int i = 0; i < lesson->step_count; i++) {
        says |= lesson->steps[i].verb == LESSON_SAY || lesson->steps[i].verb == LESSON_SLIDE;
    }
    if (status == STATUS_OK && !says) {
        return fault_set(fault, STATUS_MALFORMED, "", "say or slide", "nothing happens in it");
    }
    return status;
}

enum status lesson_read_file(const char *path, struct lesson *lesson, struct fault *fault)
{
    struct text text = {0};
    *lesson = (struct lesson){0};
    enum status status = file_read(path, LESSON_BYTES_MAX, &text, fault);
    if (status == STATUS_OK) {
        status = lesson_read_text(text_string(&text), text.length, lesson, fault);
    }
    text_free(&text);
    return status;
}

void lesson_free(struct lesson *lesson)
{
    for (int i = 0; i < lesson->step_count; i++) {
        free(lesson->steps[i].text);
    }
    free(lesson->steps);
    *lesson = (struct lesson){0};
}
