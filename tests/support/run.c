#include "support/run.h"

#include "support/near.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "command/command.h"

struct run run_arguments(int argc, char **argv)
{
    struct run run = {0};
    size_t err_length;
    FILE *out = open_memstream(&run.out, &run.out_length);
    FILE *err = open_memstream(&run.err, &err_length);
    assert_non_null(out);
    assert_non_null(err);
    run.status = command_line_run(argc, argv, out, err);
    fclose(out);
    fclose(err);
    return run;
}

static void decode(char *word)
{
    char *to = word;
    for (char *from = word; *from; from++) {
        if (strncmp(from, "%20", 3) == 0) {
            *to++ = ' ';
            from += 2;
        } else if (strncmp(from, "%25", 3) == 0) {
            *to++ = '%';
            from += 2;
        } else {
            *to++ = *from;
        }
    }
    *to = '\0';
}

struct run run_line(const char *arguments)
{
    char *copy = strdup(arguments), program[] = "guardspan";
    assert_non_null(copy);
    size_t most = strlen(copy) + 3;
    char **argv = calloc(most, sizeof *argv);
    assert_non_null(argv);
    int argc = 0;
    argv[argc++] = program;
    char *rest;
    for (char *word = strtok_r(copy, " ", &rest); word; word = strtok_r(NULL, " ", &rest)) {
        decode(word);
        argv[argc++] = word;
    }
    struct run run = run_arguments(argc, argv);
    free(argv);
    free(copy);
    return run;
}

void run_free(struct run *run)
{
    free(run->out);
    free(run->err);
    *run = (struct run){0};
}

json_t *run_json(const char *arguments)
{
    struct run run = run_line(arguments);
    if (run.status != 0 || run.err[0] != '\0') {
        print_error("%s: status %d, %s", arguments, run.status, run.err);
    }
    assert_int_equal(run.status, 0);
    assert_string_equal(run.err, "");
    json_t *json = json_loads(run.out, JSON_REJECT_DUPLICATES, NULL);
    assert_non_null(json);
    run_free(&run);
    return json;
}

static char folder[64];

void run_enter_folder(void)
{
    strcpy(folder, "/tmp/guardspan-test-XXXXXX");
    assert_non_null(mkdtemp(folder));
    assert_int_equal(chdir(folder), 0);
}

void run_leave_folder(void)
{
    DIR *directory = opendir(folder);
    for (struct dirent *entry; directory && (entry = readdir(directory)) != NULL;) {
        unlink(entry->d_name);
    }
    if (directory) {
        closedir(directory);
    }
    assert_int_equal(chdir("/"), 0);
    assert_int_equal(rmdir(folder), 0);
}

void run_write_file(const char *name, const char *bytes, size_t count)
{
    FILE *file = fopen(name, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, count, file), count);
    assert_int_equal(fclose(file), 0);
}

char *run_read_file(const char *name)
{
    FILE *file = fopen(name, "rb");
    if (!file) {
        return NULL;
    }
    char *bytes = calloc(1, 1 << 20);
    assert_non_null(bytes);
    size_t count = fread(bytes, 1, (1 << 20) - 1, file);
    bytes[count] = '\0';
    fclose(file);
    return bytes;
}

int run_set_up(void **state)
{
    (void)state;
    run_enter_folder();
    return 0;
}

int run_tear_down(void **state)
{
    (void)state;
    run_leave_folder();
    return 0;
}
