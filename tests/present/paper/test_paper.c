#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "present/paper/labels.h"
#include "present/paper/paper.h"
#include "present/paper/sheet.h"
#include "study/verdict/verdict.h"
#include "support/run.h"

/* Figures on paper: what stands in the file, not its pixels. */

static struct picture curve_picture(void)
{
    struct picture picture = {.title = "A curve & <more>", .note = "What is assumed."};
    picture.x = (struct axis){.label = "delay", .unit = "us", .low = 0.0, .high = 10.0};
    picture.y = (struct axis){.label = "margin", .unit = "dB", .low = -5.0, .high = 20.0};
    struct series *line = picture_add_series(&picture, SERIES_LINE, ROLE_SECOND, "OFDM", 37);
    assert_non_null(line);
    for (int i = 0; i < 37; i++) {
        line->x[i] = i * 10.0 / 36.0;
        line->y[i] = 12.0 * sin(i / 7.0) + 3.0 + i % 2; /* cairo joins what lies in a line */
    }
    picture_add_band(&picture, ROLE_FIRST, "equaliser", 2.0, 5.0);
    picture_add_mark(&picture, ROLE_BAD, "limit", false, 4.0);
    picture_add_mark(&picture, ROLE_WARN, "now", true, 7.0);
    return picture;
}

static const struct paper usual = {PAPER_SVG, 160.0, 100.0, 0.0, 1.0};

static char *drawn(const struct picture *picture, const struct paper *paper, const char *path)
{
    struct fault fault = {0};
    assert_int_equal(picture_draw_paper(picture, paper, path, &fault), STATUS_OK);
    char *file = run_read_file(path);
    assert_non_null(file);
    return file;
}

static void every_text_of_a_picture_stands_in_the_svg(void **state)
{
    (void)state;
    struct picture picture = curve_picture();
    char *svg = drawn(&picture, &usual, "a.svg");
    const char *const texts[] = {"<title>A curve &amp; &lt;more&gt;</title>",
                                 "\nOFDM\n",
                                 "\nequaliser\n",
                                 "\nlimit\n",
                                 "\nnow\n",
                                 "\ndelay (us)\n",
                                 "\nmargin (dB)\n",
                                 "\n10\n",
                                 "\n-5\n",
                                 "\nWhat is assumed.\n"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        if (!strstr(svg, texts[i])) {
            print_error("missing: %s\n", texts[i]);
        }
        assert_non_null(strstr(svg, texts[i]));
    }
    assert_non_null(strstr(svg, "width=\"453.5433")); /* 160 mm in points */
    free(svg);
    picture_free(&picture);
}

/* Cairo counts in 1/256 of a point: plot and point are each off by half of that at most. */
#define UNIT_MM (2.0 * 25.4 / 72.0 / 256.0)

/* The first path of `count` points that is stroked with the given width; its points in mm. */
static const char *find_path(const char *svg, const char *width, int count, double points[][2])
{
    for (const char *at = strstr(svg, "<path"); at; at = strstr(at + 1, "<path")) {
        const char *end = strchr(at, '>'), *d = strstr(at, " d=\"");
        const char *stroke = strstr(at, width);
        if (!end || !d || d > end || !stroke || stroke > end) {
            continue;
        }
        int found = 0;
        for (const char *c = d + 4; c < end && *c != '"' && found < count; c++) {
            double x, y;
            if ((*c == 'M' || *c == 'L') && sscanf(c + 1, "%lf %lf", &x, &y) == 2) {
                points[found][0] = x;
                points[found++][1] = y;
            }
        }
        if (found == count) {
            return at;
        }
    }
    return NULL;
}

static void the_points_of_a_line_stand_where_the_axes_say(void **state)
{
    (void)state;
    struct picture picture = curve_picture();
    char *svg = drawn(&picture, &usual, "a.svg");
    double line[37][2], frame[4][2];
    assert_non_null(find_path(svg, "stroke-width:0.55;", 37, line));
    assert_non_null(find_path(svg,
                              "stroke-width:0.3;stroke-linecap:butt;stroke-linejoin:round;"
                              "stroke:rgb(20%,20%,20%)",
                              4, frame));
    double left = frame[0][0], top = frame[0][1], right = frame[2][0], bottom = frame[2][1];
    assert_true(right - left > 110.0 && bottom - top > 45.0); /* the plot has most of the paper */
    for (int i = 0; i < 37; i++) {
        const struct series *series = &picture.series[0];
        assert_near(line[i][0], left + (right - left) * series->x[i] / 10.0, UNIT_MM, "x axis");
        assert_near(line[i][1], bottom - (bottom - top) * (series->y[i] + 5.0) / 25.0, UNIT_MM,
                    "y axis");
    }
    free(svg);
    picture_free(&picture);
}

/* A stroke for the bar and one for each cap that is inside, in the legend and in the plot. */
static void bars_have_caps_where_their_ends_are_shown(void **state)
{
    (void)state;
    static const struct {
        double low, high;
        int strokes; /* the legend's three among them */
    } bars[] = {{1.0, 3.0, 6}, {1.0, 30.0, 5}, {-10.0, 30.0, 4}, {21.0, 30.0, 3}};
    for (size_t i = 0; i < sizeof bars / sizeof bars[0]; i++) {
        struct picture picture = curve_picture();
        struct series *series =
            picture_add_series(&picture, SERIES_BARS, ROLE_SECOND, "interval", 2);
        assert_non_null(series);
        series->x[0] = series->x[1] = 4.0;
        series->y[0] = bars[i].low;
        series->y[1] = bars[i].high;
        char *svg = drawn(&picture, &usual, "a.svg");
        int strokes = 0;
        for (const char *at = svg; (at = strstr(at, "stroke-width:0.35;")); at++) {
            strokes++;
        }
        assert_int_equal(strokes, bars[i].strokes);
        free(svg);
        picture_free(&picture);
    }
}

static void roles_differ_by_more_than_colour(void **state)
{
    (void)state;
    struct sheet sheet;
    assert_int_equal(sheet_open(&usual, "t", &sheet, NULL), STATUS_OK);
    const enum role roles[] = {ROLE_FIRST, ROLE_SECOND, ROLE_PINNED, ROLE_WARN, ROLE_BAD};
    double seen[5][2];
    for (int i = 0; i < 5; i++) {
        double dashes[8] = {0.0}, offset;
        sheet_line_style(&sheet, roles[i], 0.5);
        assert_true(cairo_get_dash_count(sheet.pen) <= 8);
        cairo_get_dash(sheet.pen, dashes, &offset);
        seen[i][0] = cairo_get_dash_count(sheet.pen);
        seen[i][1] = dashes[0];
        for (int k = 0; k < i; k++) {
            assert_true(seen[k][0] != seen[i][0] || fabs(seen[k][1] - seen[i][1]) > 0.4);
        }
    }
    sheet_close(&sheet);
}

static void a_gap_in_the_values_is_a_gap_in_the_line(void **state)
{
    (void)state;
    struct picture picture = curve_picture();
    picture.series[0].y[10] = NAN;
    char *svg = drawn(&picture, &usual, "a.svg");
    double points[36][2];
    const char *path = find_path(svg, "stroke-width:0.55;", 36, points);
    assert_non_null(path);
    int moves = 0;
    for (const char *c = strstr(path, " d=\""); *c != '>'; c++) {
        moves += *c == 'M';
    }
    assert_int_equal(moves, 2);
    free(svg);
    picture_free(&picture);
}

static unsigned big_endian(const char *bytes)
{
    const unsigned char *b = (const unsigned char *)bytes;
    return (unsigned)b[0] << 24 | (unsigned)b[1] << 16 | (unsigned)b[2] << 8 | b[3];
}

static void a_png_has_the_asked_size_and_resolution(void **state)
{
    (void)state;
    struct picture picture = curve_picture();
    struct paper paper = {PAPER_PNG, 127.0, 63.5, 100.0, 1.0};
    char *png = drawn(&picture, &paper, "a.png");
    assert_memory_equal(png, "\x89PNG\r\n\x1a\n", 8);
    assert_int_equal(big_endian(png + 16), 500); /* 127 mm are 5 inches */
    assert_int_equal(big_endian(png + 20), 250);
    free(png);
    picture_free(&picture);
}

static void a_pdf_is_one_page_of_the_asked_size(void **state)
{
    (void)state;
    struct picture picture = curve_picture();
    struct paper paper = {PAPER_PDF, 160.0, 100.0, 0.0, 1.0};
    char *pdf = drawn(&picture, &paper, "a.pdf");
    assert_memory_equal(pdf, "%PDF-1.", 7);
    free(pdf);
    picture_free(&picture);
}

static void a_bad_paper_is_refused_by_name(void **state)
{
    (void)state;
    const struct {
        struct paper paper;
        const char *place;
    } bad[] = {{{PAPER_SVG, 39.0, 100.0, 0.0, 1.0}, "width"},
               {{PAPER_SVG, NAN, 100.0, 0.0, 1.0}, "width"},
               {{PAPER_PDF, 100.0, 1300.0, 0.0, 1.0}, "height"},
               {{PAPER_PNG, 100.0, 100.0, 5.0, 1.0}, "dpi"},
               {{PAPER_PNG, 1200.0, 100.0, 600.0, 1.0}, "dpi"}};
    struct picture picture = curve_picture();
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct fault fault = {0};
        assert_int_equal(picture_draw_paper(&picture, &bad[i].paper, "bad.out", &fault),
                         STATUS_OUT_OF_RANGE);
        assert_string_equal(fault.place, bad[i].place);
        assert_null(run_read_file("bad.out"));
    }
    picture_free(&picture);
}

static void the_ending_tells_the_kind(void **state)
{
    (void)state;
    const struct {
        const char *path;
        enum status status;
        enum paper_kind kind;
    } cases[] = {
        {"a.svg", STATUS_OK, PAPER_SVG},           {"b/c.PDF", STATUS_OK, PAPER_PDF},
        {"x.y.png", STATUS_OK, PAPER_PNG},         {".svg", STATUS_UNKNOWN_NAME, PAPER_SVG},
        {"svg", STATUS_UNKNOWN_NAME, PAPER_SVG},   {"", STATUS_UNKNOWN_NAME, PAPER_SVG},
        {"a.svgz", STATUS_UNKNOWN_NAME, PAPER_SVG}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        enum paper_kind kind = PAPER_SVG;
        assert_int_equal(paper_kind_from_path(cases[i].path, &kind, NULL), cases[i].status);
        assert_int_equal(kind, cases[i].kind);
    }
}

static void a_figure_that_cannot_be_written_leaves_the_old_one(void **state)
{
    (void)state;
    struct picture picture = curve_picture();
    assert_int_equal(picture_draw_paper(&picture, &usual, "no/such/folder.svg", NULL),
                     STATUS_UNWRITABLE);
    picture_free(&picture);
}

/* Names come from files: nothing in them may break the file or stop the drawing. */
static void odd_texts_are_drawn_as_well_as_may_be(void **state)
{
    (void)state;
    const char *const odd[] = {"\xff\xfe bad bytes", "tab\tand\nline", "\xc2\xb5s \xe2\x80\x93 ok",
                               "]]> </svg> & \"quotes\"", ""};
    for (size_t i = 0; i < sizeof odd / sizeof odd[0]; i++) {
        struct picture picture = curve_picture();
        text_format(picture.series[0].label, sizeof picture.series[0].label, "%s", odd[i]);
        text_format(picture.title, sizeof picture.title, "%s", odd[i]);
        char *svg = drawn(&picture, &usual, "a.svg");
        size_t length = strlen(svg);
        assert_true(length > 8 && strcmp(svg + length - 7, "</svg>\n") == 0);
        assert_null(strstr(svg, "]]> </svg>"));
        for (const char *c = svg; *c; c++) {
            assert_true((unsigned char)*c >= 0x20 || *c == '\n');
            assert_true((unsigned char)*c != 0xFF);
        }
        free(svg);
        picture_free(&picture);
    }
}

static void empty_and_extreme_pictures_do_no_harm(void **state)
{
    (void)state;
    struct picture empty = {0};
    free(drawn(&empty, &usual, "a.svg"));
    struct picture wild = curve_picture();
    wild.series[0].y[3] = 1e300;
    wild.series[0].y[4] = -INFINITY;
    wild.x.low = wild.x.high;
    free(drawn(&wild, &usual, "a.svg"));
    wild.x.high = 1e4;
    wild.x.low = 1e-3;
    wild.x.logarithmic = true;
    wild.series[0].x[0] = -1.0;
    struct paper smallest = {PAPER_PDF, 40.0, 40.0, 0.0, 1.0};
    free(drawn(&wild, &smallest, "a.pdf"));
    picture_free(&wild);
}

static void long_notes_wrap_and_lose_nothing(void **state)
{
    (void)state;
    struct sheet sheet;
    assert_int_equal(sheet_open(&usual, "t", &sheet, NULL), STATUS_OK);
    const char *note = "one two three four five six seven eight nine ten eleven twelve thirteen";
    double one = sheet_write_wrapped(&sheet, type_small, 0.0, 10.0, 1000.0, note, false);
    double many = sheet_write_wrapped(&sheet, type_small, 0.0, 10.0, 20.0, note, true);
    assert_near(one, sheet_line_height(&sheet, type_small), 1e-9, "one line");
    assert_true(many > 3.0 * one);
    char words[256];
    text_format(words, sizeof words, "%s", text_string(&sheet.words) + strlen("t\n"));
    for (char *c = words; *c; c++) {
        *c = *c == '\n' ? ' ' : *c;
    }
    words[strlen(words) - 1] = '\0';
    assert_string_equal(words, note);
    sheet_close(&sheet);
}

/* Beside its point, or in the legend where letters are large for the figure. */
static void each_step_of_an_account_is_named(void **state)
{
    (void)state;
    static const struct paper papers[] = {{PAPER_SVG, 160.0, 100.0, 0.0, 1.0},
                                          {PAPER_SVG, 160.0, 60.0, 0.0, 2.0}};
    struct scenario scenario = scenario_default();
    struct report report;
    struct picture picture;
    scenario.receiver.snr_db = 20.0;
    scenario.echo_count = 2;
    scenario.echoes[0] = (struct echo){0.4, -6.0, 60.0, 2.0};
    scenario.echoes[1] = (struct echo){3.0, -8.0, 100.0, 0.0};
    assert_int_equal(report_make(&scenario, &report, NULL), STATUS_OK);
    const struct picture_case shown = {.scenario = &scenario, .report = &report};
    assert_true(picture_kind_make(picture_kind_find("account"), &shown, &picture));
    for (size_t i = 0; i < sizeof papers / sizeof papers[0]; i++) {
        char *svg = drawn(&picture, &papers[i], "a.svg");
        for (size_t k = 0; k < picture.series[0].count; k++) {
            assert_non_null(strstr(svg, picture.series[0].names[k]));
        }
        assert_int_equal(strstr(svg, "8-VSB, SNR 20.0 dB,") != NULL, i == 1);
        free(svg);
    }
    picture_free(&picture);
}

static void the_sheet_shows_settings_figures_and_both_pictures(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default(), other = scenario;
    struct report report, other_report;
    other.transmission.plps[0].code.constellation = QAM16;
    assert_int_equal(report_make(&scenario, &report, NULL), STATUS_OK);
    assert_int_equal(report_make(&other, &other_report, NULL), STATUS_OK);
    struct picture_case shown = {.scenario = &scenario, .report = &report};
    struct paper paper = {PAPER_SVG, 210.0, 297.0, 0.0, 1.0};
    struct fault fault = {0};
    assert_int_equal(comparison_sheet_draw(&shown, &paper, "s.svg", &fault), STATUS_OK);
    char *svg = run_read_file("s.svg");
    assert_non_null(svg);
    char rate[32];
    text_format(rate, sizeof rate, "\n%.2f\n", report_facts(&report, GENERATION_SECOND)->net_mbps);
    const char *const texts[] = {"8-VSB and OFDM side by side",
                                 "\nGI5_1024\n",
                                 "\n256QAM\n",
                                 "\nFFT size\n",
                                 "\n19.39\n",
                                 rate,
                                 "\nMbit/s\n",
                                 "\nDelays and what withstands them\n",
                                 "\nBit rate against required SNR\n",
                                 "engineer decide."};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        assert_non_null(strstr(svg, texts[i]));
    }
    free(svg);
    shown.pinned = &other_report;
    shown.pinned_name = "other";
    assert_int_equal(comparison_sheet_draw(&shown, &paper, "s.svg", &fault), STATUS_OK);
    svg = run_read_file("s.svg");
    assert_non_null(strstr(svg, "Two OFDM modes beside 8-VSB"));
    assert_non_null(strstr(svg, "\n16QAM\n"));
    assert_non_null(strstr(svg, "\nother\n"));
    free(svg);
    paper.width_mm = 100.0;
    assert_int_equal(comparison_sheet_draw(&shown, &paper, "s.svg", &fault), STATUS_OUT_OF_RANGE);
    assert_string_equal(fault.place, "width");
}

static bool says(const char *svg, const char *words)
{
    return strstr(svg, words) != NULL;
}

static void the_sheet_is_headed_and_tells_the_verdicts(void **state)
{
    (void)state;
    static struct scenario scenario;
    static struct report report;
    const struct paper paper = {PAPER_SVG, 210.0, 297.0, 0.0, 1.0};
    const char *const settings[][2] = {
        {"station Far Hill.generation", "second"}, {"station Far Hill.rf_channel", "30"},
        {"station Far Hill.erp_kw", "120"},        {"station Far Hill.height_m", "220"},
        {"station Far Hill.distance_km", "31"},    {"receiver.snr_db", "20"},
        {"plp roof.constellation", "64QAM"},       {"plp phone.constellation", "QPSK"}};
    scenario = scenario_default();
    for (size_t i = 0; i < sizeof settings / sizeof settings[0]; i++) {
        assert_int_equal(scenario_set(&scenario, settings[i][0], settings[i][1], NULL), STATUS_OK);
    }
    assert_int_equal(report_make(&scenario, &report, NULL), STATUS_OK);
    struct pipes pipes;
    assert_int_equal(pipes_make(&scenario, GENERATION_SECOND, &pipes, NULL), STATUS_OK);
    const struct picture_case shown = {.scenario = &scenario,
                                       .report = &report,
                                       .pipes = &pipes,
                                       .title = "For the board",
                                       .date = "2024-05-31"};
    assert_int_equal(comparison_sheet_draw(&shown, &paper, "s.svg", NULL), STATUS_OK);
    char *svg = run_read_file("s.svg");
    assert_true(says(svg, "\nFor the board: 8-VSB and OFDM side by side\n"));
    assert_true(says(svg, "\n2024-05-31\n"));
    assert_true(says(svg, "OFDM from Far Hill: RF channel 30, 120 kW ERP"));
    assert_true(says(svg, "8-VSB decodes, 5.1 dB to spare."));
    assert_true(says(svg, "\nFrom the SNR to what is to spare\n"));
    assert_true(says(svg, "\nPLPs\n") && says(svg, "\nroof\n") && says(svg, "\nphone\n"));
    assert_false(says(svg, "8-VSB from Far Hill"));
    /* Nothing that one side alone lacks. */
    assert_false(says(svg, "\n-\n"));
    free(svg);
    pipes_free(&pipes);
}

static void labels_cover_neither_data_nor_each_other(void **state)
{
    (void)state;
    struct label_room room = {.plot = {10.0, 10.0, 100.0, 50.0}};
    struct box label = {0.0, 0.0, 20.0, 4.0}, other = label;
    /* A curve above the line from its middle to its right end. */
    label_room_add(&room, (struct obstacle){60.0, 38.0, 110.0, 37.0, 0.3});
    assert_true(label_room_find(&room, false, 40.0, &label));
    assert_true(label.y >= 40.0 && label.x + label.width <= 110.0 && label.x > 80.0);
    assert_true(label_room_find(&room, false, 40.0, &other));
    assert_true(other.x + other.width <= label.x || other.y + other.height <= 37.0);
    /* Curves all over: nothing is free. */
    for (double y = 11.0; y < 60.0; y += 3.0) {
        label_room_add(&room, (struct obstacle){10.0, y, 110.0, y, 0.3});
    }
    assert_false(label_room_find(&room, false, 30.0, &label));
    assert_false(label_room_find(&room, true, 30.0, &label));
    label_room_free(&room);
}

static void a_label_without_room_goes_into_the_legend(void **state)
{
    (void)state;
    struct picture picture = curve_picture();
    struct paper small = {PAPER_SVG, 40.0, 40.0, PAPER_DPI_DEFAULT, 1.0};
    const char *tight = "a limit whose name is far too long for the plot";
    picture_add_mark(&picture, ROLE_BAD, tight, false, 8.0);
    char *svg = drawn(&picture, &small, "a.svg");
    const char *label = strstr(svg, tight), *band = strstr(svg, "\nequaliser\n");
    assert_true(label != NULL && band != NULL && label < band); /* the legend comes first */
    free(svg);
    picture_free(&picture);
}

static void letters_on_each_other_are_joined(void **state)
{
    (void)state;
    struct picture picture = curve_picture();
    for (int i = 0; i < 3; i++) {
        struct series *point = picture_add_series(&picture, SERIES_POINTS, ROLE_FIRST, "", 1);
        assert_non_null(point);
        point->glyph = (char)('1' + i);
        point->x[0] = i == 2 ? 9.0 : 3.0;
        point->y[0] = 5.0;
    }
    char *svg = drawn(&picture, &usual, "a.svg");
    assert_non_null(strstr(svg, "\n1,2\n3\n"));
    free(svg);
    struct grid grid = {0};
    assert_true(grid_resize(&grid, 24, 80));
    picture_draw_grid(&picture, &grid, (struct rect){0, 0, 24, 80});
    struct text screen = {0};
    grid_dump(&grid, &screen);
    assert_non_null(strstr(text_string(&screen), "12"));
    text_free(&screen);
    grid_free(&grid);
    picture_free(&picture);
}

/* Both margins of the verdict, each by its name, with and without echoes. */
static void assert_sheet_margins(const struct picture_case *shown)
{
    static struct verdicts verdicts;
    struct paper paper = {PAPER_SVG, 210.0, 297.0, 0.0, 1.0};
    assert_int_equal(verdicts_make(shown->scenario, &verdicts, NULL), STATUS_OK);
    assert_int_equal(comparison_sheet_draw(shown, &paper, "s.svg", NULL), STATUS_OK);
    char *svg = run_read_file("s.svg");
    char row[128];
    text_format(row, sizeof row, "\nMargin, noise alone\n%.1f\n%.1f\ndB\n",
                verdicts.of[GENERATION_FIRST].margin_noise_db,
                verdicts.of[GENERATION_SECOND].margin_noise_db);
    assert_non_null(strstr(svg, row));
    text_format(row, sizeof row, "\nMargin, with echoes and motion\n%.1f\n%.1f\ndB\n",
                verdicts.of[GENERATION_FIRST].margin_db, verdicts.of[GENERATION_SECOND].margin_db);
    assert_non_null(strstr(svg, row));
    free(svg);
}

static void the_sheet_tells_both_margins(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct report report;
    struct picture_case shown = {.scenario = &scenario, .report = &report};
    scenario.receiver.snr_db = 27.0;
    assert_int_equal(report_make(&scenario, &report, NULL), STATUS_OK);
    assert_sheet_margins(&shown);
    scenario.echo_count = 1;
    scenario.echoes[0] = (struct echo){60.0, -5.0, 0.0, 0.0};
    assert_int_equal(report_make(&scenario, &report, NULL), STATUS_OK);
    assert_false(report.verdicts.of[GENERATION_FIRST].works); /* beyond the equaliser */
    assert_sheet_margins(&shown);
}

/* Nobody knows a margin without an SNR: a dash, and no number made up. */
static void a_sheet_without_an_snr_has_no_margins(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct report report;
    struct picture_case shown = {.scenario = &scenario, .report = &report};
    struct paper paper = {PAPER_SVG, 210.0, 297.0, 0.0, 1.0};
    assert_int_equal(report_make(&scenario, &report, NULL), STATUS_OK);
    assert_int_equal(comparison_sheet_draw(&shown, &paper, "s.svg", NULL), STATUS_OK);
    char *svg = run_read_file("s.svg");
    assert_non_null(strstr(svg, "\nMargin, noise alone\n-\n-\ndB\n"));
    assert_non_null(strstr(svg, "\nMargin, with echoes and motion\n-\n-\ndB\n"));
    free(svg);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_text_of_a_picture_stands_in_the_svg),
        cmocka_unit_test(the_points_of_a_line_stand_where_the_axes_say),
        cmocka_unit_test(bars_have_caps_where_their_ends_are_shown),
        cmocka_unit_test(roles_differ_by_more_than_colour),
        cmocka_unit_test(a_gap_in_the_values_is_a_gap_in_the_line),
        cmocka_unit_test(a_png_has_the_asked_size_and_resolution),
        cmocka_unit_test(a_pdf_is_one_page_of_the_asked_size),
        cmocka_unit_test(a_bad_paper_is_refused_by_name),
        cmocka_unit_test(the_ending_tells_the_kind),
        cmocka_unit_test(a_figure_that_cannot_be_written_leaves_the_old_one),
        cmocka_unit_test(odd_texts_are_drawn_as_well_as_may_be),
        cmocka_unit_test(empty_and_extreme_pictures_do_no_harm),
        cmocka_unit_test(long_notes_wrap_and_lose_nothing),
        cmocka_unit_test(each_step_of_an_account_is_named),
        cmocka_unit_test(the_sheet_shows_settings_figures_and_both_pictures),
        cmocka_unit_test(the_sheet_is_headed_and_tells_the_verdicts),
        cmocka_unit_test(labels_cover_neither_data_nor_each_other),
        cmocka_unit_test(a_label_without_room_goes_into_the_legend),
        cmocka_unit_test(letters_on_each_other_are_joined),
        cmocka_unit_test(the_sheet_tells_both_margins),
        cmocka_unit_test(a_sheet_without_an_snr_has_no_margins),
    };
    return cmocka_run_group_tests(tests, run_set_up, run_tear_down);
}
