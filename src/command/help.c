/* Writes help: of the program its commands, of a command its options, in 80 columns. */
#include "command/help.h"

#include "command/commands.h"
#include "present/table/notes.h"

#define HELP_COLUMN 34
#define COMMAND_COLUMN 12

static void write_options(const struct option_row *options, struct text *out)
{
    for (; options && options->name; options++) {
        char left[96], first[HELP_COLUMN + 1];
        text_format(left, sizeof left, "  %s%s%s", options->name, options->value ? " " : "",
                    options->value ? options->value : "");
        bool fits = text_columns(left) + 2 <= HELP_COLUMN;
        if (!fits) {
            text_printf(out, "%s\n", left);
        }
        text_format(first, sizeof first, "%-*s", HELP_COLUMN, fits ? left : "");
        note_wrap(out, first, options->help, NOTE_COLUMNS);
    }
}

static void write_program(struct text *out)
{
    text_append(out, "usage: guardspan [COMMAND] [OPTION]... [PROFILE]\n\n");
    note_wrap(out, "",
              "guardspan shows what a digital television transmission mode withstands and what it "
              "costs: two generations side by side.",
              NOTE_COLUMNS);
    text_append(out, "\ncommands:\n");
    for (size_t i = 0; i < command_count(); i++) {
        char first[COMMAND_COLUMN + 1];
        text_format(first, sizeof first, "  %-*s", COMMAND_COLUMN - 2, command_row(i)->name);
        note_wrap(out, first, command_row(i)->summary, NOTE_COLUMNS);
    }
    text_append(out, "\n");
    note_wrap(out, "",
              "Without a command the explorer opens. PROFILE is an INI file; without one the "
              "defaults count. `guardspan COMMAND --help` lists a command's options.",
              NOTE_COLUMNS);
    text_append(out, "\noptions of every command:\n");
    write_options(common_options, out);
    text_append(out, "\n");
    note_wrap(out, "",
              "Predictions are planning aids, not measurements. Transmission parameters, power and "
              "antennas are licensed: local rules and a licensed engineer decide. Antenna and mast "
              "work near power lines, at height or in storms can kill; keep clear of radiating "
              "antennas.",
              NOTE_COLUMNS);
}

void help_write(const struct command *command, struct text *out)
{
    if (!command) {
        write_program(out);
        return;
    }
    struct text summary = {0};
    text_printf(out, "usage: guardspan %s [OPTION]... %s\n\n", command->name, command->operands);
    text_printf(&summary, "%s: %s.", command->name, command->summary);
    note_wrap(out, "", text_string(&summary), NOTE_COLUMNS);
    out->failed |= summary.failed;
    text_free(&summary);
    if (command->options && command->options[0].name) {
        text_append(out, "\noptions:\n");
        write_options(command->options, out);
    }
    text_append(out, "\noptions of every command:\n");
    write_options(common_options, out);
    if (command->list) {
        text_append(out, "\n");
        command->list(out);
    }
    if (command->notes) {
        text_printf(out, "\n%s\n", command->notes);
    }
}
