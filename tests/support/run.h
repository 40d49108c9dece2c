#ifndef SUPPORT_RUN_H
#define SUPPORT_RUN_H

#include <jansson.h>
#include <stddef.h>

/* Runs the command line inside the test program and keeps what it wrote. */

struct run {
    int status;
    char *out, *err; /* zero-terminated; free with run_free */
    size_t out_length;
};

/* `arguments` are those after the program's name, parted by single spaces; "%20" stands for a
 * space and "%25" for "%" within one. */
struct run run_line(const char *arguments);
struct run run_arguments(int argc, char **argv);
void run_free(struct run *run);
/* Runs a line that must succeed without a word on standard error, and reads the JSON that it
 * writes. The owner calls json_decref. */
json_t *run_json(const char *arguments);

/* A folder of the test's own, made current; removed with all that it holds by run_leave_folder. */
void run_enter_folder(void);
void run_leave_folder(void);
/* The same as fixtures of cmocka. */
int run_set_up(void **state);
int run_tear_down(void **state);
void run_write_file(const char *name, const char *bytes, size_t count);
char *run_read_file(const char *name); /* NULL where there is none; the caller frees it */

#endif
