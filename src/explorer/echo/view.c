/* The echo editor: echoes at the left, how both generations bear them at the right. */

#include "explorer/frame/view.h"
#include "explorer/echo/draw.h"
#include "scenario/section.h"

static void open_echo(const struct desk *desk, void *opaque)
{
    struct echo_state *state = opaque;
    static const char *const pictures[ECHO_PICTURES] = {"rays", "carriers", "margin", "tolerance",
                                                        "time"};
    gallery_add(&state->gallery, pictures, ECHO_PICTURES);
    state->cursor.at = desk->profile.scenario.echo_count > 0 ? 1 : 0;
}

static void close_echo(void *opaque)
{
    struct echo_state *state = opaque;
    for (int kind = 0; kind < SWEEP_KINDS; kind++) {
        errand_free(&state->sweeps[kind].errand);
    }
    echo_forget_pictures(state);
}

/* ---- Changes. ---- */

static void step(struct desk *desk, const struct echo_state *state, int direction, bool coarse)
{
    struct scenario next = desk->profile.scenario;
    echo_edit_step(&next, echo_selected(state), state->column, direction, coarse);
    desk_change(desk, &next);
}

static void slide(const struct call *call)
{
    step(call->desk, call->owner, call->key == PRESS_RIGHT || call->key == PRESS_PAGE_UP ? 1 : -1,
         call->key == PRESS_PAGE_UP || call->key == PRESS_PAGE_DOWN);
}

static void add(const struct call *call)
{
    struct echo_state *state = call->owner;
    struct scenario next = call->desk->profile.scenario;
    if (!echo_edit_add(&next)) {
        desk_say(call->desk, TONE_WARN, "There is no room for more than %d echoes.", ECHOES_MAX);
    } else if (desk_change(call->desk, &next)) {
        state->cursor.at = next.echo_count;
        state->column = ECHO_DELAY;
    }
}

static void take_away(const struct call *call)
{
    int selected = echo_selected(call->owner);
    struct scenario next = call->desk->profile.scenario;
    if (selected == ECHO_ROW_SNR) {
        next.receiver.snr_db = scenario_default().receiver.snr_db; /* not known */
    } else {
        echo_edit_remove(&next, selected);
    }
    desk_change(call->desk, &next);
}

static void take_typed(const struct call *call)
{
    const struct echo_state *state = call->owner;
    struct scenario next = call->desk->profile.scenario;
    struct fault fault = {0};
    if (echo_edit_set(&next, echo_selected(state), state->column, call->text, &fault) !=
        STATUS_OK) {
        desk_say_fault(call->desk, &fault);
    } else {
        desk_change(call->desk, &next);
    }
}

static void type_value(const struct call *call)
{
    const char text[2] = {call->key == PRESS_ENTER ? '\0' : (char)call->key, '\0'};
    desk_ask(call->desk, NULL, text, take_typed, call->owner);
}

/* ---- What is selected and shown. ---- */

static void select_echo(const struct call *call)
{
    struct echo_state *state = call->owner;
    cursor_key(&state->cursor, call->key);
}

static void turn_column(const struct call *call)
{
    struct echo_state *state = call->owner;
    int by = call->key == PRESS_TAB ? 1 : ECHO_COLUMN_COUNT - 1;
    state->column = (enum echo_column)(((int)state->column + by) % ECHO_COLUMN_COUNT);
}

static void turn_picture(const struct call *call)
{
    struct echo_state *state = call->owner;
    gallery_turn(&state->gallery, call->key == 'n' ? 1 : -1);
}

static void scroll_account(const struct call *call)
{
    struct echo_state *state = call->owner;
    cursor_move(&state->account, call->key == '>' ? 1 : -1);
}

static void zoom_picture(const struct call *call)
{
    struct echo_state *state = call->owner;
    gallery_zoom(&state->gallery, call->key == 'z' ? 1 : -1);
}

static const struct key keys[] = {
    {"←→", "slide", "slide the selected value; Page up and Page down in larger steps",
     "Right Left PageUp PageDown", slide},
    {"Tab", "value", "delay, level, phase, Doppler", "Tab BackTab", turn_column},
    {"↑↓", "echo", "select an echo, or the SNR above them", "Down Up Home End", select_echo},
    {"a", "add", "add an echo", "a", add},
    {"d", "remove", "remove the selected echo; on the SNR: it is not known", "d Delete", take_away},
    {"n", "picture", "the next picture; N: the one before", "nN", turn_picture},
    {"z", NULL, "look at the picture from nearer; Z: from farther off", "zZ", zoom_picture},
    {"< >", NULL, "scroll the accounts at the right, where they have more rows than fit", "<>",
     scroll_account},
    {"0-9 Enter", NULL, "type the value", "0123456789-. Enter", type_value},
    {"mouse", NULL, "a click selects a value, the wheel slides it", "", NULL},
    {0},
};

static void mouse(struct desk *desk, void *opaque, const struct event *event, struct rect area)
{
    struct echo_state *state = opaque;
    struct main_layout layout = echo_layout(area);
    int wheel = event_wheel(event);
    if (layout_on_pictures(&layout, event->row, event->column)) {
        gallery_turn(&state->gallery, wheel < 0 ? -1 : 1);
    } else if (rect_holds(layout.quantities, event->row, event->column)) {
        cursor_move(&state->account, wheel);
    } else if (rect_holds(layout.settings, event->row, event->column) &&
               cursor_click(&state->cursor, event->row - layout.settings.row - 1)) {
        state->column = echo_column_at(layout.settings, event->column);
        if (wheel != 0) {
            step(desk, state, -wheel, false);
        }
    }
}

/* ---- For the frame, lessons and export. ---- */

static bool busy_echo(const void *state)
{
    return echo_is_busy(state);
}

/* The caller frees what it gets: a copy. */
static bool picture_echo(const struct desk *desk, const void *opaque, struct picture *out)
{
    (void)desk;
    const struct echo_state *state = opaque;
    const struct picture *shown = echo_picture_of(state, state->gallery.at);
    if (shown == NULL || !picture_copy(shown, out)) {
        return false;
    }
    picture_zoom(out, state->gallery.zooms[state->gallery.at]);
    return true;
}

static bool show_echo(void *opaque, const char *picture)
{
    struct echo_state *state = opaque;
    return gallery_show(&state->gallery, picture);
}

static bool select_named(const struct desk *desk, void *opaque, const char *name)
{
    struct echo_state *state = opaque;
    const struct section *section = section_of(name, desk->profile.scenario.site.pair, &name);
    int item = section ? section_item_find(section, &desk->profile.scenario, name) : -1;
    if (item >= 0) {
        state->cursor.at = item + 1; /* below the SNR */
    }
    return item >= 0;
}

const struct view view_echo = {
    .name = "echo",
    .title = "Echoes, and how both generations bear them",
    .key = 'e',
    .about = "Each echo is told by its delay after the main signal (negative: ahead of it), its "
             "level and phase against it, and its Doppler shift. At the right both generations' "
             "accounts: from the SNR to what is left and what is needed, and whether they decode. "
             "Both follow as you slide a value.",
    .keys = keys,
    .state_size = sizeof(struct echo_state),
    .open = open_echo,
    .close = close_echo,
    .update = echo_update,
    .draw = echo_draw,
    .mouse = mouse,
    .busy = busy_echo,
    .words = echo_words,
    .explain = echo_explain,
    .picture = picture_echo,
    .show = show_echo,
    .select = select_named,
    .sections = "echo",
};
