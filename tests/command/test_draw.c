#include "support/near.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cairo.h>

#include "present/picture/pictures.h"
#include "support/run.h"

/* The share of a PNG that is not its background, which is the colour of the first corner. */
static double inked(const char *name)
{
    cairo_surface_t *image = cairo_image_surface_create_from_png(name);
    assert_int_equal(cairo_surface_status(image), CAIRO_STATUS_SUCCESS);
    int width = cairo_image_surface_get_width(image),
        height = cairo_image_surface_get_height(image);
    const unsigned char *rows = cairo_image_surface_get_data(image);
    long other = 0;
    for (int y = 0; y < height; y++) {
        const unsigned char *row = rows + (size_t)y * (size_t)cairo_image_surface_get_stride(image);
        for (int x = 0; x < width; x++) {
            other += memcmp(row + (size_t)x * 4, rows, 3) != 0;
        }
    }
    cairo_surface_destroy(image);
    return (double)other / ((double)width * height);
}

/* Whole to its end, with the words that say what it shows; and of an image some is ink, not all. */
static void check_figure(const char *name, const char *form)
{
    char *file = run_read_file(name);
    assert_non_null(file);
    if (strcmp(form, "svg") == 0) {
        assert_non_null(strstr(file, "</svg>"));
        const char *title = strstr(file, "<title>");
        assert_true(title != NULL && strcspn(title + 7, "<") > 4);
        assert_null(strstr(file, "nan"));
    } else if (strcmp(form, "png") == 0) {
        assert_between(inked(name), 0.02, 0.9, "lines, and bands at most");
    }
    free(file);
}

static void every_kind_is_drawn_in_every_form(void **state)
{
    (void)state;
    static const char *const forms[][2] = {{"svg", "<?xml"}, {"png", "\x89PNG"}, {"pdf", "%PDF-"}};
    FILE *log = fopen("log.txt", "w");
    assert_non_null(log);
    fputs("0 20\n1 12\n2 18\n", log);
    fclose(log);
    for (size_t k = 0; k <= picture_kind_count(); k++) {
        bool of_log = k < picture_kind_count() && picture_kind_row(k)->reads_log;
        const char *kind = k < picture_kind_count() ? picture_kind_row(k)->name : "sheet";
        bool sweep = strcmp(kind, "tolerance") == 0 || strcmp(kind, "margin") == 0;
        for (size_t f = 0; f < (sweep ? 1 : 3); f++) { /* a sweep takes its time */
            bool network = strcmp(kind, "network") == 0;
            char line[800], name[64];
            snprintf(name, sizeof name, "%s.%s", kind, forms[f][0]);
            snprintf(
                line, sizeof line,
                "draw %s -o %s%s --dpi 60 --set echo%%20a.delay_us=9 --set echo%%20a.level_db=-9 "
                "--set station%%20T.rf_channel=10 --set station%%20T.erp_kw=20 --set "
                "station%%20T.height_m=150 --set station%%20T.distance_km=30 --set "
                "service%%20phone.snr_db=6 --set service%%20phone.rate_mbps=2 --set "
                "service%%20roof.snr_db=21%s",
                kind, name, of_log ? " --readings log.txt" : "",
                network ? " --set station%20T.network=N --set station%20U.network=N --set "
                          "station%20U.rf_channel=10 --set station%20U.erp_kw=20 --set "
                          "station%20U.height_m=150 --set station%20U.distance_km=30"
                        : "");
            struct run run = run_line(line);
            assert_int_equal(run.status, 0);
            assert_string_equal(run.out, "");
            assert_string_equal(run.err, "");
            run_free(&run);
            char *file = run_read_file(name);
            assert_non_null(file);
            assert_memory_equal(file, forms[f][1], strlen(forms[f][1]));
            free(file);
            check_figure(name, forms[f][0]);
        }
    }
}

/* Dots of a PNG, from its own header. */
static unsigned dots(const char *name, int offset)
{
    char *file = run_read_file(name);
    assert_non_null(file);
    const unsigned char *at = (const unsigned char *)file + 16 + offset;
    unsigned value = (unsigned)at[0] << 24 | (unsigned)at[1] << 16 | (unsigned)at[2] << 8 | at[3];
    free(file);
    return value;
}

static void a_figure_is_as_large_as_what_it_is_for(void **state)
{
    (void)state;
    static const struct {
        const char *line;
        unsigned width, height;
    } cases[] = {{"draw delays -o a.png --for slide", 1920, 1080},
                 {"draw delays -o a.png --for screen", 1280, 720},
                 {"draw delays -o a.png --for slide --dpi 96", 960, 540}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct run run = run_line(cases[i].line);
        assert_int_equal(run.status, 0);
        run_free(&run);
        assert_int_equal(dots("a.png", 0), cases[i].width);
        assert_int_equal(dots("a.png", 4), cases[i].height);
    }
}

static void a_zoom_shows_a_part_and_the_names_in_it(void **state)
{
    (void)state;
    struct run run = run_line("draw rays --zoom -0.1:0.5 --set echo%20wall.delay_us=0.25 --set "
                              "echo%20wall.level_db=-3 --set echo%20hill.level_db=-9 --set "
                              "echo%20hill.delay_us=9 -o a.svg");
    assert_int_equal(run.status, 0);
    run_free(&run);
    char *svg = run_read_file("a.svg");
    assert_non_null(svg);
    assert_non_null(strstr(svg, "\nwall\n"));
    assert_null(strstr(svg, "\nhill\n"));
    assert_non_null(strstr(svg, "\n0.5\n"));
    free(svg);
}

static void settings_reach_the_figure(void **state)
{
    (void)state;
    struct run run =
        run_line("draw delays --set first.equaliser_after_us=21.5 --set echo%20a.delay_us=7 "
                 "--set echo%20a.level_db=-9 -o a.svg");
    assert_int_equal(run.status, 0);
    run_free(&run);
    char *svg = run_read_file("a.svg");
    assert_non_null(svg);
    assert_non_null(strstr(svg, "8-VSB equaliser -29.5 to +21.5 us"));
    assert_non_null(strstr(svg, "\necho\n"));
    free(svg);
}

static void another_profile_stands_beside_by_its_name(void **state)
{
    (void)state;
    const char other[] = "[mode]\nguard=GI2_384\npilots=SP32_2\n";
    run_write_file("short-guard.ini", other, strlen(other));
    struct run run = run_line("draw sheet --against short-guard.ini -o a.svg");
    assert_int_equal(run.status, 0);
    run_free(&run);
    char *svg = run_read_file("a.svg");
    assert_non_null(svg);
    assert_non_null(strstr(svg, "\nshort-guard\n"));
    assert_non_null(strstr(svg, "\ndefaults\n"));
    assert_non_null(strstr(svg, "\nGI2_384\n"));
    free(svg);
}

static void a_profile_beside_shows_or_is_refused(void **state)
{
    (void)state;
    const char other[] = "[mode]\nguard=GI2_384\npilots=SP32_2\n";
    run_write_file("short-guard.ini", other, strlen(other));
    for (size_t i = 0; i < picture_kind_count(); i++) {
        const struct picture_kind *kind = picture_kind_row(i);
        char line[160];
        snprintf(line, sizeof line, "draw %s -o x.svg --against short-guard.ini", kind->name);
        struct run run = run_line(line);
        assert_int_equal(run.status, kind->compares ? 0 : 2);
        const char *says = "shows one mode only (delays doppler rate frontier best sheet)";
        assert_int_equal(strstr(run.err, says) == NULL, kind->compares);
        run_free(&run);
        char *svg = kind->compares ? run_read_file("x.svg") : NULL;
        assert_int_equal(svg != NULL && strstr(svg, "short-guard") != NULL, kind->compares);
        free(svg);
        unlink("x.svg");
    }
}

static void bad_lines_are_refused_and_nothing_is_written(void **state)
{
    (void)state;
    const struct {
        const char *line, *says;
        int status;
    } cases[] = {
        {"draw", "draw: an operand is missing (KIND [PROFILE] -o FILE)", 2},
        {"draw cubes -o x.svg", "KIND: \"cubes\" is no kind of figure (delays ", 2},
        {"draw delays", "-o: is missing", 2},
        {"draw delays -o x.gif", "-o: \"x.gif\" does not tell the kind", 2},
        {"draw delays -o x.svg --width 9", "--width: 9 is out of range (40 to 1200 mm)", 2},
        {"draw delays -o x.svg --height nan", "--height: \"nan\" is not a number", 2},
        {"draw delays -o x.png --dpi 1e9", "--dpi: 1e+09 is out of range", 2},
        {"draw delays -o x.png --dpi 35", "--dpi: 35 is out of range (36 to 1200 dpi)", 2},
        {"draw delays -o x.png --dpi 0", "--dpi: 0 is out of range (36 to 1200 dpi)", 2},
        {"draw delays -o x.png --dpi -0", "--dpi: -0 is out of range (36 to 1200 dpi)", 2},
        {"draw delays -o x.svg --format json", "--format: a figure has no such form (-o FILE", 2},
        {"draw sheet -o x.svg --width 80", "--width: 80 is out of range (120", 2},
        {"draw delays -o no/folder/x.svg", "no/folder/x.svg: cannot be written", 1},
        {"draw delays -o x.svg --against none.ini", "none.ini: cannot be read", 1},
        {"draw delays -o x.svg --zoom 5", "--zoom: \"5\" is no part of an axis", 2},
        {"draw delays -o x.svg --zoom 5:2", "--zoom: \"5:2\" is no part of an axis", 2},
        {"draw delays -o x.svg --zoom 5:nan", "--zoom: \"5:nan\" is no part of an axis", 2},
        {"draw delays -o x.svg --for wall", "--for: \"wall\" is nothing that a figure", 2},
        {"draw sheet -o x.svg --for slide", "--for: a sheet is a page", 2},
        {"draw sheet -o x.svg --zoom 1:2", "--zoom: a sheet has several axes", 2},
        {"draw delays -o x.svg.bak", "-o: \"x.svg.bak\" does not tell the kind", 2},
        {"draw margin -o x.svg", "there is nothing to draw", 1},
        {"draw carriers -o x.svg", "(it takes an SNR: measured", 1},
        {"draw tolerance -o x.svg", "(it takes an SNR: measured", 1},
        {"draw margin -o x.svg --set receiver.snr_db=20", "first echo slides\n", 1},
        {"draw field -o x.svg", "against distance\n", 1},
        {"draw delays -o x.svg --set mode.fft=8K", "mode.pilots", 2},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct run run = run_line(cases[i].line);
        if (!strstr(run.err, cases[i].says)) {
            print_error("%s said: %s", cases[i].line, run.err);
        }
        assert_non_null(strstr(run.err, cases[i].says));
        assert_int_equal(run.status, cases[i].status);
        assert_string_equal(run.out, "");
        run_free(&run);
        assert_int_equal(access("x.svg", F_OK), -1);
        assert_int_equal(access("x.png", F_OK), -1);
    }
}

static void a_figure_replaces_an_old_one_whole(void **state)
{
    (void)state;
    run_write_file("a.svg", "old", 3);
    struct run run = run_line("draw rate -o a.svg");
    assert_int_equal(run.status, 0);
    run_free(&run);
    char *svg = run_read_file("a.svg");
    assert_non_null(svg);
    assert_non_null(strstr(svg, "</svg>"));
    free(svg);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(every_kind_is_drawn_in_every_form, run_set_up,
                                        run_tear_down),
        cmocka_unit_test_setup_teardown(a_figure_is_as_large_as_what_it_is_for, run_set_up,
                                        run_tear_down),
        cmocka_unit_test_setup_teardown(a_zoom_shows_a_part_and_the_names_in_it, run_set_up,
                                        run_tear_down),
        cmocka_unit_test_setup_teardown(settings_reach_the_figure, run_set_up, run_tear_down),
        cmocka_unit_test_setup_teardown(another_profile_stands_beside_by_its_name, run_set_up,
                                        run_tear_down),
        cmocka_unit_test_setup_teardown(a_profile_beside_shows_or_is_refused, run_set_up,
                                        run_tear_down),
        cmocka_unit_test_setup_teardown(bad_lines_are_refused_and_nothing_is_written, run_set_up,
                                        run_tear_down),
        cmocka_unit_test_setup_teardown(a_figure_replaces_an_old_one_whole, run_set_up,
                                        run_tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
