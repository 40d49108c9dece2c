/* Scripts of events. */
#include "support/near.h"

#include "base/random.h"
#include "explorer/event.h"

static void scripts_name_keys_and_type_the_rest(void **state)
{
    (void)state;
    struct script script = {.at = " Down  ab Click:3,14 Resize:24x80 'x y' Ctrl-C Space text:Up "};
    static const struct {
        enum event_kind kind;
        uint32_t key;
    } expected[] = {
        {EVENT_KEY, PRESS_DOWN}, {EVENT_KEY, 'a'}, {EVENT_KEY, 'b'}, {EVENT_MOUSE, 0},
        {EVENT_RESIZE, 0},       {EVENT_KEY, 'x'}, {EVENT_KEY, ' '}, {EVENT_KEY, 'y'},
        {EVENT_INTERRUPT, 0},    {EVENT_KEY, ' '}, {EVENT_KEY, 'U'}, {EVENT_KEY, 'p'},
    };
    struct event event;
    for (size_t i = 0; i < sizeof expected / sizeof expected[0]; i++) {
        assert_true(script_next(&script, &event));
        assert_int_equal(event.kind, expected[i].kind);
        assert_int_equal(event.key, expected[i].key);
        if (event.kind == EVENT_MOUSE) {
            assert_int_equal(event.row, 3);
            assert_int_equal(event.column, 14);
        }
        if (event.kind == EVENT_RESIZE) {
            assert_int_equal(event.rows, 24);
            assert_int_equal(event.columns, 80);
        }
    }
    assert_false(script_next(&script, &event));
}

static void any_script_ends(void **state)
{
    (void)state;
    static const char letters[] = " '\tUpClick:Resize:9,x-text:";
    struct random random = random_seeded(3, 0);
    for (int i = 0; i < 5000; i++) {
        char text[64];
        int length = (int)(random_bits(&random) % 60);
        for (int k = 0; k < length; k++) {
            text[k] = letters[random_bits(&random) % (sizeof letters - 1)];
        }
        text[length] = '\0';
        struct script script = {.at = text};
        struct event event;
        int events = 0;
        while (script_next(&script, &event)) {
            assert_true(++events <= 64);
        }
        assert_true(script.at <= text + length);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(scripts_name_keys_and_type_the_rest),
        cmocka_unit_test(any_script_ends),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
