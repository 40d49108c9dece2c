#include "support/near.h"

#include <cairo.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/program.h"
#include "study/page/page.h"
#include "study/page/picture.h"

/* A page drawn in three fonts and read back by way of tesseract: what the drawing says is what was
 * put into it. Where tesseract is not installed, its absence is what is tested. */

static const char *const lines[] = {"Technical information",     "RF channel      27",
                                    "Signal level    -58.4 dBm", "SNR             25.6 dB",
                                    "FFT size        16K",       "Guard interval  GI5_1024",
                                    "Pilot pattern   SP12_2",    "Modulation      256QAM",
                                    "Code rate       10/15",     "Uncorrected     0"};
#define LINES (sizeof lines / sizeof lines[0])

static cairo_status_t keep(void *owner, const unsigned char *bytes, unsigned int length)
{
    text_append_bytes(owner, (const char *)bytes, length);
    return CAIRO_STATUS_SUCCESS;
}

/* A PNG of the page, labels and values in columns, as a screen shows it; without a font an empty
 * one.
 */
static struct text draw_page(const char *font)
{
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 900, 60 + 44 * LINES);
    cairo_t *cairo = cairo_create(surface);
    struct text png = {0};
    cairo_set_source_rgb(cairo, 1.0, 1.0, 1.0);
    cairo_paint(cairo);
    cairo_set_source_rgb(cairo, 0.0, 0.0, 0.0);
    cairo_select_font_face(cairo, font ? font : "", CAIRO_FONT_SLANT_NORMAL,
                           CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(cairo, 28.0);
    for (size_t i = 0; font && i < LINES; i++) {
        const char *value = strstr(lines[i], "  ");
        char label[40];
        text_format(label, sizeof label, "%.*s",
                    value ? (int)(value - lines[i]) : (int)strlen(lines[i]), lines[i]);
        cairo_move_to(cairo, 40.0, 60.0 + 44.0 * (double)i);
        cairo_show_text(cairo, label);
        cairo_move_to(cairo, 400.0, 60.0 + 44.0 * (double)i);
        cairo_show_text(cairo, value ? value + strspn(value, " ") : "");
    }
    assert_int_equal(cairo_surface_write_to_png_stream(surface, keep, &png), CAIRO_STATUS_SUCCESS);
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
    return png;
}

static bool has_tesseract(void)
{
    static const char *const arguments[] = {"tesseract", "--version", NULL};
    struct text out = {0};
    bool there = program_run(arguments, "", 0, 10000, NULL, &out, NULL) == STATUS_OK;
    text_free(&out);
    return there;
}

static void a_page_drawn_in_three_fonts_is_read_back(void **state)
{
    (void)state;
    static const char *const fonts[] = {"DejaVu Sans", "DejaVu Serif", "DejaVu Sans Mono"};
    static const char *const expected[][2] = {{"site.rf_channel", "27"},
                                              {"receiver.level_dbm", "-58.4"},
                                              {"receiver.snr_db", "25.6"},
                                              {"mode.fft", "16K"},
                                              {"mode.guard", "GI5_1024"},
                                              {"mode.pilots", "SP12_2"},
                                              {"mode.constellation", "256QAM"},
                                              {"mode.rate", "10/15"},
                                              {"page.errors", "0"}};
    if (!has_tesseract()) {
        fail_msg("tesseract is not here: Debian package tesseract-ocr (make test-packages)");
    }
    for (size_t f = 0; f < sizeof fonts / sizeof fonts[0]; f++) {
        struct text bytes = draw_page(fonts[f]);
        struct fault fault = {0};
        struct page page;
        assert_true(page_is_picture(&bytes));
        assert_int_equal(page_take_picture(&bytes, NULL, &fault), STATUS_OK);
        assert_int_equal(page_read(text_string(&bytes), bytes.length, PAIR_ATSC, &page, &fault),
                         STATUS_OK);
        for (size_t i = 0; i < sizeof expected / sizeof expected[0]; i++) {
            const struct page_entry *entry = page_find(&page, expected[i][0], -1);
            if (!entry || strcmp(entry->value, expected[i][1]) != 0) {
                fail_msg("%s: %s is %s, not %s, in\n%s", fonts[f], expected[i][0],
                         entry ? entry->value : "not read", expected[i][1], text_string(&bytes));
            }
        }
        page_free(&page);
        text_free(&bytes);
    }
}

static void without_the_program_its_package_is_named(void **state)
{
    (void)state;
    char *kept = strdup(getenv("PATH") ? getenv("PATH") : "");
    struct text bytes = draw_page("DejaVu Sans");
    struct fault fault = {0};
    assert_non_null(kept);
    setenv("PATH", "/nowhere", 1);
    assert_int_equal(page_take_picture(&bytes, NULL, &fault), STATUS_UNREADABLE);
    setenv("PATH", kept, 1);
    assert_string_equal(fault.wrong, "tesseract is not installed");
    assert_non_null(strstr(fault.allowed, "tesseract-ocr"));
    assert_true(page_is_picture(&bytes)); /* untouched */
    text_free(&bytes);
    free(kept);
}

static void broken_pictures_are_refused_and_text_is_left_alone(void **state)
{
    (void)state;
    struct text bytes = {0}, text = {0};
    struct fault fault = {0};
    text_append_bytes(&bytes, "\x89PNG\r\n\x1A\nno more", 15);
    assert_int_equal(page_take_picture(&bytes, NULL, &fault), STATUS_UNREADABLE);
    assert_true(fault.wrong[0] != '\0');
    text_clear(&bytes);
    text_append_bytes(&bytes, "\xFF\xD8\xFFno more", 10);
    assert_true(page_is_picture(&bytes));
    assert_int_equal(page_take_picture(&bytes, NULL, &fault), STATUS_UNREADABLE);
    text_append(&text, "FFT 16K");
    assert_false(page_is_picture(&text));
    assert_int_equal(page_take_picture(&text, NULL, &fault), STATUS_OK);
    assert_string_equal(text_string(&text), "FFT 16K");
    text_free(&bytes);
    text_free(&text);
}

static void a_picture_of_nothing_shows_no_letters(void **state)
{
    (void)state;
    struct text bytes = draw_page(NULL);
    struct fault fault = {0};
    assert_int_equal(page_take_picture(&bytes, NULL, &fault), STATUS_UNREADABLE);
    assert_string_equal(fault.wrong, "the picture shows no letters");
    assert_true(page_is_picture(&bytes)); /* untouched */
    text_free(&bytes);
}

/* The instrument: what goes in comes out, and what goes wrong is told. */
static void a_program_is_a_function_of_bytes(void **state)
{
    (void)state;
    static const char *const copy[] = {"cat", NULL}, *const fails[] = {"false", NULL},
                             *const missing[] = {"no-such-program-here", NULL},
                             *const endless[] = {"yes", NULL};
    struct fault fault = {0};
    struct text in = {0}, out = {0};
    for (int i = 0; i < 100000; i++) {
        text_printf(&in, "%d ", i);
    }
    assert_int_equal(program_run(copy, in.data, in.length, 1000000, NULL, &out, &fault), STATUS_OK);
    assert_int_equal(out.length, in.length);
    assert_memory_equal(out.data, in.data, in.length);
    assert_int_equal(program_run(fails, "", 0, 10, NULL, &out, &fault), STATUS_UNREADABLE);
    assert_int_equal(program_run(missing, "", 0, 10, NULL, &out, &fault), STATUS_UNREADABLE);
    assert_string_equal(fault.wrong, "no-such-program-here is not installed");
    assert_int_equal(program_run(endless, "", 0, 100000, NULL, &out, &fault), STATUS_UNREADABLE);
    assert_string_equal(fault.wrong, "yes writes without an end");
    text_free(&in);
    text_free(&out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_page_drawn_in_three_fonts_is_read_back),
        cmocka_unit_test(without_the_program_its_package_is_named),
        cmocka_unit_test(broken_pictures_are_refused_and_text_is_left_alone),
        cmocka_unit_test(a_picture_of_nothing_shows_no_letters),
        cmocka_unit_test(a_program_is_a_function_of_bytes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
