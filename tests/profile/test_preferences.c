/* Preferences: read, written and read again, refused with a reason. */
#include "support/near.h"

#include <string.h>
#include <unistd.h>

#include "profile/preferences.h"
#include "support/run.h"

static enum status read_text(const char *text, struct preferences *preferences, struct fault *fault)
{
    *fault = (struct fault){0};
    return preferences_read_text(text, strlen(text), preferences, fault);
}

static void what_is_said_is_read(void **state)
{
    (void)state;
    struct preferences read;
    struct fault fault;
    assert_int_equal(read_text("", &read, &fault), STATUS_OK);
    assert_true(read.mouse && !read.ascii && read.picture[0] == '\0');
    assert_int_equal(read_text("; mine\n[explorer]\npicture = doppler\nMouse = No\n"
                               "characters = ASCII ; old terminal\n",
                               &read, &fault),
                     STATUS_OK);
    assert_string_equal(read.picture, "doppler");
    assert_true(read.ascii && !read.mouse);
}

static void what_is_damaged_is_named_and_the_defaults_stay(void **state)
{
    (void)state;
    static const struct {
        const char *text, *place;
    } cases[] = {
        {"[explorer]\nmouse = perhaps\n", "explorer.mouse"},
        {"[explorer]\ncolour = blue\n", "explorer.colour"},
        {"[mode]\nfft = 8K\n", "mode"},
        {"mouse = no\n", "line 1"},
        {"[explorer\n", "line 1"},
        {"[explorer]\nmouse = no\nmouse = yes\n", "explorer.mouse"},
        {"[explorer]\ncharacters =\n", "explorer.characters"},
        {"[explorer]\nmouse = no\n\x01\n", "line 3"},
        {"[explorer]\npicture = a-name-that-is-far-longer-than-any-picture-has-ever-had-here\n",
         "explorer.picture"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct preferences read = {.ascii = true};
        struct fault fault;
        assert_int_not_equal(read_text(cases[i].text, &read, &fault), STATUS_OK);
        assert_string_equal(fault.place, cases[i].place);
        assert_true(read.mouse && !read.ascii); /* none of it, not a part */
    }
}

static void what_is_saved_is_read_back(void **state)
{
    (void)state;
    struct fault fault;
    run_enter_folder();
    for (int i = 0; i < 8; i++) {
        struct preferences saved = {.ascii = i & 1, .mouse = i & 2}, read;
        strcpy(saved.picture, i & 4 ? "carriers" : "");
        assert_int_equal(preferences_save(&saved, "p.ini", &fault), STATUS_OK);
        assert_int_equal(preferences_read_file("p.ini", &read, &fault), STATUS_OK);
        assert_true(read.ascii == saved.ascii && read.mouse == saved.mouse);
        assert_string_equal(read.picture, saved.picture);
    }
    struct preferences none;
    assert_int_equal(preferences_read_file(".", &none, &fault), STATUS_UNREADABLE);
    assert_int_equal(preferences_read_file("not-there.ini", &none, &fault), STATUS_OK);
    assert_true(none.mouse);
    assert_int_equal(preferences_save(&none, "no/such/p.ini", &fault), STATUS_UNWRITABLE);
    run_leave_folder();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_said_is_read),
        cmocka_unit_test(what_is_damaged_is_named_and_the_defaults_stay),
        cmocka_unit_test(what_is_saved_is_read_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
