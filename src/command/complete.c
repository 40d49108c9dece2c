/* Completion for any shell, from the tables that read the arguments: commands, their options and
 * operands, the fields of a profile. The shells' own files (src/package) only hand it over. */
#include "command/complete.h"

#include <string.h>

#include "command/commands.h"
#include "scenario/section.h"

#define WHOLE_MAX 64 /* more values than that are no list to choose from */

void offer_word(struct text *offers, const char *word, const char *meaning)
{
    text_printf(offers, "%s\t%s\n", word, meaning ? meaning : "");
}

void offer_files(struct text *offers, const char *kind)
{
    text_printf(offers, "%s\n", kind);
}

/* ---- Where the last word stands. ---- */

struct standing {
    const struct command *command;   /* NULL: not named yet */
    const struct option_row *option; /* whose value the last word is; NULL: none */
    const struct option_row *rest;   /* that takes all operands; NULL: none */
    int operands;                    /* before the last word, without the command */
    bool options_ended;
};

static const struct option_row *option_at(const struct standing *standing, const char *word)
{
    return standing->command ? option_find(standing->command, word) : option_find_anywhere(word);
}

static bool looks_like_option(const struct standing *standing, const char *word)
{
    return !standing->options_ended && word[0] == '-' && word[1] != '\0';
}

static void pass_word(struct standing *standing, const char *word)
{
    if (standing->option) {
        standing->option = NULL; /* this word was its value */
    } else if (!standing->options_ended && strcmp(word, "--") == 0) {
        standing->options_ended = true;
    } else if (looks_like_option(standing, word)) {
        const struct option_row *row = option_at(standing, word);
        standing->option = row && row->value && !strchr(word, '=') ? row : NULL;
        standing->rest = row && option_takes_operands(row) ? row : standing->rest;
    } else if (!standing->command) {
        /* What is no command is a profile for the explorer. */
        standing->command = command_find(word);
        standing->operands = standing->command ? 0 : 1;
        standing->command = standing->command ? standing->command : &command_explore;
    } else {
        standing->operands++;
    }
}

/* ---- What may stand there. ---- */

static void offer_values(const struct field *field, const char *name, struct text *offers)
{
    char value[FIELD_TEXT_BYTES], word[2 * FIELD_TEXT_BYTES];
    bool listed = field->type != FIELD_NUMBER && field->type != FIELD_TEXT &&
                  field->high - field->low < WHOLE_MAX;
    for (int i = 0; listed && field->low + i <= field->high; i++) {
        field_write(field, field->low + i, value, sizeof value);
        text_format(word, sizeof word, "%s=%s", name, value);
        offer_word(offers, word, NULL);
    }
    if (field->word) {
        text_format(word, sizeof word, "%s=%s", name, field->word);
        offer_word(offers, word, NULL);
    }
}

/* SECTION.KEY= of sections that stand once and, when the key is there, what it allows. */
static void offer_settings(const char *begun, struct text *offers)
{
    char name[FIELD_TEXT_BYTES], word[FIELD_TEXT_BYTES + 1];
    size_t key_length = strcspn(begun, "=");
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        field_name(field, name, sizeof name);
        if (section_find(field->section)->most > 0) {
            continue;
        }
        if (begun[key_length] != '=') {
            text_format(word, sizeof word, "%s=", name);
            offer_word(offers, word, field->title);
        } else if (strlen(name) == key_length && strncmp(name, begun, key_length) == 0) {
            offer_values(field, name, offers);
        }
    }
}

/* "second|first": each is a word as it stands there. */
static void offer_listed(const char *listed, struct text *offers)
{
    char word[FIELD_TEXT_BYTES];
    for (const char *at = listed; *at; at += strspn(at, "|")) {
        size_t length = strcspn(at, "|");
        text_format(word, sizeof word, "%.*s", (int)length, at);
        offer_word(offers, word, NULL);
        at += length;
    }
}

static bool is_list_of_words(const char *value)
{
    return strchr(value, '|') && !strpbrk(value, "ABCDEFGHIJKLMNOPQRSTUVWXYZ");
}

/* Nothing where an option takes a number. */
static void offer_option_value(const struct option_row *row, const char *begun, struct text *offers)
{
    if (strcmp(row->value, "SECTION.KEY=VALUE") == 0) {
        offer_settings(begun, offers);
    } else if (strncmp(row->value, "FILE", 4) == 0 || strcmp(row->value, "PROFILE") == 0) {
        offer_files(offers, strcmp(row->value, "PROFILE") == 0 ? "PROFILE" : "FILE");
    } else if (is_list_of_words(row->value)) {
        offer_listed(row->value, offers);
    }
}

static void offer_options(const struct option_row *row, struct text *offers)
{
    for (; row && row->name; row++) {
        offer_word(offers, row->name, row->help);
    }
}

static void offer_operand(const struct standing *standing, struct text *offers)
{
    const struct command *command = standing->command;
    if (!command) {
        for (size_t i = 0; i < command_count(); i++) {
            offer_word(offers, command_row(i)->name, command_row(i)->summary);
        }
        offer_files(offers, "PROFILE");
    } else if (standing->rest) {
        offer_files(offers, "FILE");
    } else if (command->offer && standing->operands < 1) {
        command->offer(NULL, offers);
    } else if (command->takes_profile && standing->operands == command->operands_before_profile) {
        offer_files(offers, "PROFILE");
    }
}

/* All that may stand there; `glued` is what stands before an option's value in the same word:
 * "--format=". */
static void offer_all(const struct standing *standing, const char *last, struct text *glued,
                      struct text *offers)
{
    const char *equals = strchr(last, '=');
    const struct option_row *row = standing->option;
    if (!row && looks_like_option(standing, last) && equals) {
        row = option_at(standing, last);
        text_append_bytes(glued, last, (size_t)(equals + 1 - last));
        last = equals + 1;
    }
    if (row && row->value) {
        if (standing->command && standing->command->offer) {
            standing->command->offer(row->name, offers);
        }
        offer_option_value(row, last, offers);
    } else if (looks_like_option(standing, last) || (strcmp(last, "-") == 0 && !standing->rest)) {
        offer_options(standing->command ? standing->command->options : NULL, offers);
        offer_options(common_options, offers);
    } else {
        offer_operand(standing, offers);
    }
}

/* The lines of `offers` that go on with what is there. */
static void keep_begun(const char *offers, const char *glued, const char *last, struct text *out)
{
    size_t before = strlen(glued), length = strlen(last + before);
    for (const char *line = offers; *line; line = strchr(line, '\n') + 1) {
        int whole = (int)(strchr(line, '\n') - line);
        if (!memchr(line, '\t', (size_t)whole)) {
            text_printf(out, "%.*s\n", whole, line);
        } else if (strncmp(line, last + before, length) == 0) {
            text_printf(out, "%s%.*s\n", glued, whole, line);
        }
    }
}

enum exit_status complete(const struct invocation *invocation, int count, char **words)
{
    struct standing standing = {0};
    struct text glued = {0}, offers = {0}, out = {0};
    const char *last = count > 0 ? words[count - 1] : "";
    for (int i = 0; i + 1 < count; i++) {
        pass_word(&standing, words[i]);
    }
    offer_all(&standing, last, &glued, &offers);
    keep_begun(text_string(&offers), text_string(&glued), last, &out);
    out.failed = out.failed || offers.failed || glued.failed;
    enum exit_status status = invocation_write(invocation, &out);
    text_free(&glued);
    text_free(&offers);
    text_free(&out);
    return status;
}
