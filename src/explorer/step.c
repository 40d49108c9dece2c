/* Who gets an event: a box or a line to type in that lies over the view, a lesson, the view, and
 * then the explorer's own keys. */
#include "explorer/step.h"

#include "explorer/desk/files.h"
#include "explorer/frame/frame.h"
#include "explorer/keys.h"
#include "explorer/lesson.h"

/* ---- What lies over a view. ---- */

static void read_page(struct explorer *explorer, uint32_t key)
{
    switch (key) {
    case PRESS_ESCAPE:
    case PRESS_ENTER:
    case 'q':
    case 'i':
    case '?':
        explorer->box = BOX_NONE;
        break;
    default:
        cursor_key(&explorer->reading, key == ' ' ? PRESS_PAGE_DOWN : key);
        break;
    }
}

/* ---- Keys. ---- */

static void press_own(struct explorer *explorer, uint32_t key)
{
    for (int i = 0; i < view_count(); i++) {
        if (view_row(i)->key == key) {
            explorer_show_view(explorer, i);
            return;
        }
    }
    keys_press(explorer_keys, &explorer->desk, explorer, key);
}

static void press_in_view(struct explorer *explorer, uint32_t key)
{
    const struct view *view = view_row(explorer->view);
    void *state = explorer->view_state[explorer->view];
    struct desk *desk = &explorer->desk;
    bool typing = desk->prompt.open || (view->typing && view->typing(state));
    if (!typing && key != 'i') { /* what to type stays on the screen, and what i is to show */
        desk->message[0] = '\0';
    }
    if (desk->prompt.open && desk_type(desk, key)) {
        return;
    }
    if (view->typing && view->typing(state)) {
        view->type(&(struct call){desk, state, key, NULL, NULL});
    } else if (!(explorer->lesson && keys_press(lesson_keys, desk, explorer, key)) &&
               !keys_press(view->keys, desk, state, key)) {
        press_own(explorer, key);
    }
}

static void press(struct explorer *explorer, uint32_t key)
{
    if (explorer->desk.question.replies) {
        desk_reply(&explorer->desk, key);
    } else if (explorer_layout(explorer).too_small) { /* what cannot be seen must not change */
        if (key == 'q') {
            files_leave(&explorer->desk);
        }
    } else if (explorer->box != BOX_NONE) {
        read_page(explorer, key);
    } else {
        press_in_view(explorer, key);
    }
}

/* In a list to choose from: the wheel moves, a click takes. */
static void choose(struct desk *desk, const struct event *event, struct rect body)
{
    int n = frame_offer_at(body, &desk->prompt.offer, event->row, event->column);
    if (event_wheel(event) != 0) {
        desk_move_offer(desk, event_wheel(event));
    } else if (n >= 0) {
        desk_move_offer(desk, n - desk->prompt.offer.at);
        desk_take_prompt(desk);
    }
}

static void click(struct explorer *explorer, const struct event *event)
{
    struct layout layout = explorer_layout(explorer);
    struct desk *desk = &explorer->desk;
    bool box = explorer->box != BOX_NONE || desk->question.replies ||
               (desk->prompt.open && desk->prompt.label[0]);
    if (layout.too_small) {
        return;
    }
    if (event->mouse == MOUSE_CLICK && rect_holds(layout.keys, event->row, event->column)) {
        uint32_t key = frame_key_at(explorer, event->row, event->column);
        if (key) {
            press(explorer, key);
        }
    } else if (desk->prompt.open && desk->prompt.offer.count > 0 && explorer->box == BOX_NONE &&
               !desk->question.replies) {
        choose(desk, event, layout.body);
    } else if (box && event->mouse != MOUSE_CLICK && !desk->question.replies) {
        cursor_move(&explorer->reading, event->mouse == MOUSE_WHEEL_UP ? -1 : 1);
    } else if (!box && rect_holds(layout.body, event->row, event->column)) {
        desk_close_prompt(desk);
        desk->message[0] = '\0';
        view_row(explorer->view)
            ->mouse(desk, explorer->view_state[explorer->view], event, layout.body);
    }
}

struct effect explorer_step(struct explorer *explorer, const struct event *event)
{
    struct desk *desk = &explorer->desk;
    desk->effect = (struct effect){0};
    desk->leave = false;
    switch (event->kind) {
    case EVENT_KEY:
        press(explorer, event->key);
        break;
    case EVENT_MOUSE:
        click(explorer, event);
        break;
    case EVENT_RESIZE:
        explorer->rows = event->rows > 0 ? event->rows : 0;
        explorer->columns = event->columns > 0 ? event->columns : 0;
        break;
    case EVENT_INTERRUPT: /* asks like q; pressed again at the question, it leaves */
        desk->leave = desk->question.replies != NULL;
        desk_close_prompt(desk);
        if (!desk->leave) {
            files_leave(desk);
        }
        break;
    case EVENT_STOP:
        desk->leave = true;
        break;
    case EVENT_TICK: /* what goes on beside is seen when the view is brought up to date */
    case EVENT_WAIT:
    case EVENT_NONE:
        break;
    }
    explorer_update(explorer);
    return desk->effect;
}
