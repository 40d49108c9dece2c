/* Where preferences lie, and when they are written. */
#include "explorer/desk/likes.h"

#include "explorer/desk/folders.h"

static bool likes_path(char *path, size_t size)
{
    return folder_of_user("XDG_CONFIG_HOME", ".config", "explorer.ini", path, size);
}

void likes_open(struct desk *desk)
{
    char path[TYPING_BYTES];
    struct fault fault;
    desk->likes = preferences_default();
    desk->likes_kept = likes_path(path, sizeof path);
    if (desk->likes_kept && preferences_read_file(path, &desk->likes, &fault) != STATUS_OK) {
        char words[sizeof desk->message];
        desk_say_file_fault(desk, path, &fault);
        text_format(words, sizeof words, "%s", desk->message);
        desk_say(desk, TONE_WARN, "Ignored: %s", words);
    }
}

static void keep(const struct call *call)
{
    char path[TYPING_BYTES];
    struct fault fault;
    if (!likes_path(path, sizeof path)) {
        return;
    }
    folders_make(path);
    if (preferences_save(&call->desk->likes, path, &fault) != STATUS_OK) {
        desk_say_file_fault(call->desk, path, &fault);
    }
}

void likes_keep(struct desk *desk, const char *what)
{
    desk_say(desk, TONE_GOOD, "%s%s", what, desk->likes_kept ? " This is remembered." : "");
    if (desk->likes_kept) {
        desk_request(desk, keep, NULL, "");
    }
}
