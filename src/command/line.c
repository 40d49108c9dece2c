/* The arguments of the command line: options may stand before or after operands, "--" ends them,
 * the first operand is the command's name. A first operand that is no command but names a file or
 * looks like one is a profile for the explorer. */
#include <errno.h>
#include <stdbool.h>
#include <string.h>
#include <unistd.h>

#include "command/command.h"
#include "command/commands.h"
#include "command/complete.h"
#include "command/help.h"
#include "profile/terrain.h"

#define SETS_MAX 512

struct reading {
    struct invocation *invocation;
    int argc;
    char **argv;
    int at;
    bool options_ended, command_named, help, version;
    const struct option_row *rest; /* the last option that takes all operands; NULL: none */
    int set_count;
    const char *sets[SETS_MAX];
    int operand_count;
    const char *operands[OPERANDS_MAX];
};

static enum exit_status refuse(const struct reading *reading, const char *place,
                               const char *allowed, const char *wrong)
{
    struct fault fault;
    fault_set(&fault, STATUS_MALFORMED, place, allowed, "%s", wrong);
    return invocation_fault_in(reading->invocation, NULL, &fault);
}

static bool looks_like_file(const char *argument)
{
    return strpbrk(argument, "./") != NULL || access(argument, F_OK) == 0;
}

static void list_commands(char *buffer, size_t size)
{
    size_t used = 0;
    buffer[0] = '\0';
    for (size_t i = 0; i < command_count(); i++) {
        used +=
            text_format(buffer + used, size - used, "%s%s", used ? " " : "", command_row(i)->name);
    }
}

/* Finds the first operand, which names the command. */
static enum exit_status find_command(struct reading *reading)
{
    reading->invocation->command = &command_explore;
    for (int i = 1; i < reading->argc; i++) {
        const char *argument = reading->argv[i];
        if (strcmp(argument, "--") == 0) {
            return EXIT_DONE;
        }
        if (argument[0] == '-' && argument[1] != '\0') {
            const struct option_row *row = option_find_anywhere(argument);
            if (row && row->value && !strchr(argument, '=')) {
                i++;
            }
            continue;
        }
        const struct command *command = command_find(argument);
        if (command) {
            reading->invocation->command = command;
            reading->command_named = true;
            return EXIT_DONE;
        }
        if (!looks_like_file(argument)) {
            char allowed[256];
            list_commands(allowed, sizeof allowed);
            struct fault fault;
            fault_set(&fault, STATUS_UNKNOWN_NAME, "", allowed,
                      "\"%s\" is neither a command nor a file", argument);
            return invocation_fault_in(reading->invocation, NULL, &fault);
        }
        return EXIT_DONE;
    }
    return EXIT_DONE;
}

static enum exit_status refuse_option(const struct reading *reading, const char *argument)
{
    char allowed[384] = "";
    size_t used = 0;
    const struct option_row *tables[] = {reading->invocation->command->options, common_options};
    for (size_t t = 0; t < 2; t++) {
        for (const struct option_row *row = tables[t]; row && row->name; row++) {
            used += text_format(allowed + used, sizeof allowed - used, "%s%s", used ? " " : "",
                                row->name);
        }
    }
    struct fault fault;
    fault_set(&fault, STATUS_UNKNOWN_NAME, reading->invocation->command->name, allowed,
              "unknown option %s", argument);
    return invocation_fault_in(reading->invocation, NULL, &fault);
}

static enum exit_status keep_option(struct reading *reading, const struct option_row *row,
                                    const char *value)
{
    struct invocation *invocation = reading->invocation;
    if (row == &common_options[0]) {
        if (reading->set_count == SETS_MAX) {
            return refuse(reading, row->name, "at most 512", "given too often");
        }
        reading->sets[reading->set_count++] = value;
    } else if (strcmp(row->name, "--format") == 0) {
        int format = format_from_name(value);
        if (format < 0) {
            return refuse(reading, row->name, row->value, "no such format");
        }
        invocation->format = (enum format)format;
    } else if (strcmp(row->name, "--help") == 0) {
        reading->help = true;
    } else if (strcmp(row->name, "--version") == 0) {
        reading->version = true;
    } else {
        if (invocation->option_count == OPTIONS_MAX) {
            return refuse(reading, row->name, "at most 1024 options", "given too often");
        }
        invocation->options[invocation->option_count++] =
            (struct option_given){.row = row, .value = value};
        reading->rest = option_takes_operands(row) ? row : reading->rest;
    }
    return EXIT_DONE;
}

static enum exit_status read_option(struct reading *reading, const char *argument)
{
    const struct option_row *row = option_find(reading->invocation->command, argument);
    if (!row) {
        return refuse_option(reading, argument);
    }
    const char *equals = argument[strlen(row->name)] == '=' ? argument + strlen(row->name) : NULL;
    if (!row->value) {
        return equals ? refuse(reading, row->name, row->name, "takes no value")
                      : keep_option(reading, row, NULL);
    }
    if (equals) {
        return keep_option(reading, row, equals + 1);
    }
    if (reading->at + 1 >= reading->argc) {
        return refuse(reading, row->name, row->value, "needs a value");
    }
    return keep_option(reading, row, reading->argv[++reading->at]);
}

static enum exit_status read_arguments(struct reading *reading)
{
    bool command_passed = !reading->command_named;
    for (reading->at = 1; reading->at < reading->argc; reading->at++) {
        const char *argument = reading->argv[reading->at];
        enum exit_status status = EXIT_DONE;
        if (!reading->options_ended && strcmp(argument, "--") == 0) {
            reading->options_ended = true;
        } else if (!reading->options_ended && argument[0] == '-' && argument[1] != '\0') {
            status = read_option(reading, argument);
        } else if (!command_passed) {
            command_passed = true;
        } else if (reading->rest) {
            status = keep_option(reading, reading->rest, argument);
        } else if (reading->operand_count == OPERANDS_MAX) {
            status = refuse(reading, reading->invocation->command->name, "at most 64",
                            "too many operands");
        } else {
            reading->operands[reading->operand_count++] = argument;
        }
        if (status != EXIT_DONE) {
            return status;
        }
    }
    return EXIT_DONE;
}

/* Parts the operands into the command's own and the profile, which is the last of them. */
static enum exit_status sort_operands(struct reading *reading)
{
    struct invocation *invocation = reading->invocation;
    const struct command *command = invocation->command;
    int own = command->operands_most > command->operands_before_profile
                  ? command->operands_most
                  : command->operands_before_profile;
    int most = own + (command->takes_profile ? 1 : 0);
    if (reading->operand_count < command->operands_before_profile) {
        return refuse(reading, command->name, command->operands, "an operand is missing");
    }
    if (reading->operand_count > most) {
        char wrong[128];
        text_format(wrong, sizeof wrong, "one operand too many: \"%s\"", reading->operands[most]);
        return refuse(reading, command->name, command->operands[0] ? command->operands : "none",
                      wrong);
    }
    for (int i = 0; i < reading->operand_count; i++) {
        if (command->takes_profile && i == command->operands_before_profile) {
            invocation->profile_path = reading->operands[i];
        } else {
            invocation->operands[invocation->operand_count++] = reading->operands[i];
        }
    }
    return EXIT_DONE;
}

static enum exit_status refuse_set(struct invocation *invocation, struct fault *fault)
{
    char place[sizeof fault->place];
    text_format(place, sizeof place, "--set %s", fault->place);
    memcpy(fault->place, place, sizeof place);
    return invocation_fault_in(invocation, NULL, fault);
}

static enum exit_status apply_set(struct reading *reading, const char *set)
{
    struct invocation *invocation = reading->invocation;
    const char *equals = strchr(set, '=');
    char key[128];
    if (!equals || equals == set) {
        return refuse(reading, "--set", "SECTION.KEY=VALUE",
                      equals ? "there is no key before =" : "there is no = in it");
    }
    if ((size_t)(equals - set) >= sizeof key) {
        return refuse(reading, "--set", "SECTION.KEY=VALUE", "the key is too long");
    }
    text_format(key, sizeof key, "%.*s", (int)(equals - set), set);
    struct fault fault;
    return scenario_set(&invocation->profile.scenario, key, equals + 1, &fault) == STATUS_OK
               ? EXIT_DONE
               : refuse_set(invocation, &fault);
}

/* Once all are set, for one of them may name the pair. */
static enum exit_status check_counts(struct invocation *invocation, const char *set)
{
    struct fault fault;
    char key[128];
    text_format(key, sizeof key, "%.*s", (int)strcspn(set, "="), set);
    return scenario_counts(&invocation->profile.scenario, key, &fault) == STATUS_OK
               ? EXIT_DONE
               : refuse_set(invocation, &fault);
}

static enum exit_status read_profile(struct reading *reading)
{
    struct invocation *invocation = reading->invocation;
    struct fault fault;
    invocation->profile.scenario = scenario_default();
    invocation->set_count = reading->set_count;
    if (invocation->profile_path &&
        profile_read_file(invocation->profile_path, &invocation->profile, &fault) != STATUS_OK) {
        return invocation_fault(invocation, &fault);
    }
    enum exit_status status = EXIT_DONE;
    for (int i = 0; i < reading->set_count && status == EXIT_DONE; i++) {
        status = apply_set(reading, reading->sets[i]);
    }
    for (int i = 0; i < reading->set_count && status == EXIT_DONE; i++) {
        status = check_counts(invocation, reading->sets[i]);
    }
    if (status != EXIT_DONE) {
        return status;
    }
    if (terrain_fetch(&invocation->profile.scenario, invocation->profile_path, &fault) !=
            STATUS_OK ||
        scenario_check(&invocation->profile.scenario, &fault) != STATUS_OK) {
        return invocation_fault(invocation, &fault);
    }
    return EXIT_DONE;
}

static enum exit_status write_help(struct reading *reading)
{
    struct text text = {0};
    if (reading->version) {
        text_append(&text, "guardspan " GUARDSPAN_VERSION "\n");
    } else {
        help_write(reading->command_named ? reading->invocation->command : NULL, &text);
    }
    enum exit_status status = invocation_write(reading->invocation, &text);
    text_free(&text);
    reading->invocation->command = NULL;
    return status;
}

enum exit_status command_line_open(int argc, char **argv, FILE *out, FILE *err,
                                   struct invocation *invocation)
{
    *invocation = (struct invocation){.out = out, .err = err};
    if (argc > 1 && strcmp(argv[1], "--complete") == 0) {
        return complete(invocation, argc - 2, argv + 2);
    }
    struct reading reading = {.invocation = invocation, .argc = argc, .argv = argv};
    enum exit_status status = find_command(&reading);
    if (status == EXIT_DONE) {
        status = read_arguments(&reading);
    }
    if (status == EXIT_DONE && (reading.help || reading.version)) {
        return write_help(&reading);
    }
    if (status == EXIT_DONE) {
        status = sort_operands(&reading);
    }
    if (status == EXIT_DONE) {
        status = read_profile(&reading);
    }
    return status;
}

enum exit_status invocation_run(struct invocation *invocation)
{
    if (!invocation->command) {
        return EXIT_DONE;
    }
    if (!invocation->command->run) {
        fprintf(invocation->err, "guardspan: %s: this program has no terminal\n",
                invocation->command->name);
        return EXIT_FAILED;
    }
    return invocation->command->run(invocation);
}

void invocation_close(struct invocation *invocation)
{
    profile_free(&invocation->profile);
}

enum exit_status command_line_run(int argc, char **argv, FILE *out, FILE *err)
{
    struct invocation invocation;
    enum exit_status status = command_line_open(argc, argv, out, err, &invocation);
    if (status == EXIT_DONE) {
        status = invocation_run(&invocation);
    }
    invocation_close(&invocation);
    return status;
}
