/* The table of commands: what each takes, how it is run, and what help says of it. */
#include "command/commands.h"

#include <string.h>

static const struct option_row explore_options[] = {
    {"--lesson", "FILE", "play a lesson: Space goes on, Backspace goes back"},
    {"--no-mouse", NULL, "leave the mouse to the terminal"},
    {"--keys", "KEYS", "press these keys first: names and characters between spaces"},
    {"--dump", NULL, "write the screen after those keys as text instead of showing it"},
    {"--size", "COLUMNSxROWS", "the size of the dumped screen (80x24)"},
    {"--ascii", NULL, "dump with ASCII characters only"},
    {"--roles", NULL, "dump what each character is (a letter) instead of the character"},
    {0},
};

/* main.c runs the explorer: the command line knows no terminal. */
const struct command command_explore = {
    .name = "explore",
    .operands = "[PROFILE]",
    .summary = "change settings in the terminal and see at once what follows",
    .options = explore_options,
    .takes_profile = 1,
};

static const struct command *const commands[] = {
    &command_explore, &command_report, &command_echo,     &command_weigh, &command_divide,
    &command_place,   &command_read,   &command_simulate, &command_draw,  &command_facts,
};

const struct option_row common_options[] = {
    {"--set", "SECTION.KEY=VALUE", "change a value of the profile; may be repeated"},
    {"--format", "text|json|csv|markdown", "how results are written (text)"},
    {"--help", NULL, "say what the program or the command does"},
    {"--version", NULL, "say the program's version"},
    {0},
};

size_t command_count(void)
{
    return sizeof commands / sizeof commands[0];
}

const struct command *command_row(size_t i)
{
    return commands[i];
}

const struct command *command_find(const char *name)
{
    for (size_t i = 0; i < command_count(); i++) {
        if (strcmp(commands[i]->name, name) == 0) {
            return commands[i];
        }
    }
    return NULL;
}

/* `argument` is the option of the row, alone or with "=VALUE". */
static bool is_option(const struct option_row *row, const char *argument)
{
    size_t length = strlen(row->name);
    return strncmp(argument, row->name, length) == 0 &&
           (argument[length] == '\0' || (argument[length] == '=' && length > 2));
}

static const struct option_row *find_among(const struct option_row *rows, const char *argument)
{
    for (; rows && rows->name; rows++) {
        if (is_option(rows, argument)) {
            return rows;
        }
    }
    return NULL;
}

const struct option_row *option_find(const struct command *command, const char *argument)
{
    const struct option_row *row = find_among(common_options, argument);
    return row ? row : find_among(command->options, argument);
}

const struct option_row *option_find_anywhere(const char *argument)
{
    const struct option_row *row = find_among(common_options, argument);
    for (size_t i = 0; i < command_count() && !row; i++) {
        row = find_among(command_row(i)->options, argument);
    }
    return row;
}

bool option_takes_operands(const struct option_row *row)
{
    return row->value && strstr(row->value, "...");
}
