/* Nothing that matters is cut without a way on: in every view, on every shipped profile, at 80x24
 * and smaller, what is not drawn to its end is found whole in what `i` opens or in the help. */
#include "support/near.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "explorer/drive.h"
#include "support/effort.h"

/* Without line ends and double blanks, which depend on where a text stands. */
static void append_words(struct text *out, const char *text)
{
    bool blank = true;
    for (; *text; text++) {
        bool space = *text == ' ' || *text == '\n';
        if (!space || !blank) {
            text_append_bytes(out, space ? " " : text, 1);
        }
        blank = space;
    }
}

static void append_page(struct explorer *explorer, const char *key, struct text *out)
{
    struct text page = {0};
    struct grid rows = {0};
    explorer_run_script(explorer, key);
    rows = explorer->page;
    rows.rows = explorer->page_rows;
    grid_dump(&rows, &page);
    append_words(out, text_string(&page));
    text_append(out, " ");
    text_free(&page);
    explorer_run_script(explorer, "Escape");
}

/* What one screen cuts, in UTF-8 and in ASCII alike, and what can be opened there. */
static void look(struct explorer *explorer, struct text *cuts, struct text *ways)
{
    for (int ascii = 0; ascii < 2; ascii++) {
        struct grid grid = {.cuts = cuts};
        explorer->ascii = ascii;
        explorer_update(explorer);
        assert_true(explorer_draw(explorer, &grid));
        grid_free(&grid);
    }
    explorer->ascii = false;
    if (view_row(explorer->view)->key == 'l') { /* words about stations come from beside */
        explorer_run_script(explorer, "Wait");
    }
    append_page(explorer, "i", ways);
}

static int missing(const char *where, struct text *cuts, const struct text *ways)
{
    int count = 0;
    char *line = cuts->data;
    while (line && *line) {
        char *end = strchr(line, '\n');
        struct text words = {0};
        *end = '\0';
        append_words(&words, line);
        while (words.length > 0 && words.data[words.length - 1] == ' ') {
            words.data[--words.length] = '\0';
        }
        if (!strstr(text_string(ways), text_string(&words))) {
            print_message("%s cuts, with no way on: %s\n", where, text_string(&words));
            count++;
        }
        text_free(&words);
        line = end + 1;
    }
    return count;
}

/* Down the rows, to the other side and on to the next picture; further on few profiles only. */
static int walk_view(struct explorer *explorer, int view, bool far, const char *where)
{
    static const char *const near_steps[] = {"", "Down Tab", NULL};
    static const char *const far_steps[] = {"",    "Down", "Down", "Down", "Tab", "Down", "Down",
                                            "Tab", "n",    "Tab",  "Down", "n",   "End",  NULL};
    const char *const *steps = far ? far_steps : near_steps;
    struct text cuts = {0}, ways = {0};
    char place[160];
    explorer_show_view(explorer, view);
    for (size_t i = 0; steps[i]; i++) {
        explorer_run_script(explorer, steps[i]);
        look(explorer, &cuts, &ways);
    }
    append_page(explorer, "?", &ways);
    snprintf(place, sizeof place, "%s, %s", where, view_row(view)->name);
    int count = missing(place, &cuts, &ways);
    text_free(&cuts);
    text_free(&ways);
    return count;
}

static int walk_profile(const char *path, int rows, int columns, bool far)
{
    struct profile profile = {0};
    struct fault fault;
    int count = 0;
    assert_int_equal(profile_read_file(path, &profile, &fault), STATUS_OK);
    profile.scenario.receiver.positions = 16; /* the words are the same, and it is quick */
    struct explorer *explorer = explorer_new(&profile, path);
    assert_non_null(explorer);
    explorer->rows = rows;
    explorer->columns = columns;
    desk_wait(&explorer->desk);
    for (int view = 0; view < view_count(); view++) {
        count += walk_view(explorer, view, far, path);
    }
    explorer_free(explorer);
    return count;
}

static void what_is_cut_has_a_way_on(void **state)
{
    (void)state;
    DIR *folder = opendir("profiles");
    struct dirent *entry;
    int count = 0, profiles = 0;
    int each = (int)effort(4, 1, 1); /* the texts differ little from one to the next */
    assert_non_null(folder);
    while ((entry = readdir(folder)) != NULL) {
        char path[300];
        if (strstr(entry->d_name, ".ini")) {
            snprintf(path, sizeof path, "profiles/%s", entry->d_name);
            count += profiles++ % each == 0 ? walk_profile(path, 24, 80, false) : 0;
        }
    }
    closedir(folder);
    assert_true(profiles >= 20);
    count += walk_profile("profiles/shared-tower.ini", 24, 80, true);
    count += walk_profile("profiles/indoor-high-vhf.ini", 10, 40, true);
    assert_int_equal(count, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_cut_has_a_way_on),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
