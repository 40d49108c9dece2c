/* Turning through pictures, and the rule that names them. */
#include "explorer/frame/gallery.h"

#include <stdlib.h>
#include <string.h>

#include "explorer/frame/screen.h"

void gallery_add(struct gallery *gallery, const char *const *names, int count)
{
    for (int i = 0; i < count && gallery->count < GALLERY_MAX; i++) {
        gallery->kinds[gallery->count++] = picture_kind_find(names[i]);
    }
}

void gallery_add_of_view(struct gallery *gallery, const char *view)
{
    for (size_t i = 0; i < picture_kind_count(); i++) {
        const struct picture_kind *kind = picture_kind_row(i);
        if (kind->view && strcmp(kind->view, view) == 0) {
            gallery_add(gallery, &kind->name, 1);
        }
    }
}

void gallery_turn(struct gallery *gallery, int by)
{
    gallery->at = (gallery->at + by + gallery->count) % gallery->count;
}

#define ZOOM_IN_MOST 10
#define ZOOM_OUT_MOST 10

void gallery_zoom(struct gallery *gallery, int by)
{
    int *zoom = &gallery->zooms[gallery->at];
    *zoom += (by > 0 && *zoom < ZOOM_IN_MOST) - (by < 0 && *zoom > -ZOOM_OUT_MOST);
}

void gallery_draw(const struct gallery *gallery, int which, const struct picture *picture,
                  struct grid *grid, struct rect area)
{
    struct picture shown = *picture; /* its series stay the picture's own */
    picture_zoom(&shown, gallery->zooms[which]);
    picture_draw_grid(&shown, grid, area);
}

int gallery_second(const struct gallery *gallery)
{
    return (gallery->at + 1) % gallery->count;
}

bool gallery_show(struct gallery *gallery, const char *name)
{
    for (int i = 0; i < gallery->count; i++) {
        if (strcmp(gallery->kinds[i]->name, name) == 0) {
            gallery->at = i;
            return true;
        }
    }
    return false;
}

/* " [Delays, 4 times as near]", "  Doppler ". */
static size_t write_title(const struct gallery *gallery, int i, bool shown, char *buffer,
                          size_t size)
{
    int zoom = shown ? gallery->zooms[i] : 0;
    char near[32] = "";
    if (zoom != 0) {
        text_format(near, sizeof near, ", %d times as %s", 1 << abs(zoom),
                    zoom > 0 ? "near" : "far");
    }
    return text_format(buffer, size, shown ? " [%s%s]" : "  %s%s ", gallery->kinds[i]->title, near);
}

/* What is shown first, then what fits whole: n comes to the rest, and the help names it. */
void gallery_rule(const struct gallery *gallery, bool two, const char *note, struct grid *grid,
                  struct rect rule)
{
    char words[256], title[96];
    size_t used = text_format(words, sizeof words, "picture%s, n next", note);
    for (int k = 0; k < gallery->count; k++) {
        int i = (gallery->at + k) % gallery->count;
        bool shown = k == 0 || (two && i == gallery_second(gallery));
        size_t length = write_title(gallery, i, shown, title, sizeof title);
        bool last = k == gallery->count - 1;
        if ((int)(used + length) > rule.columns - (last ? 6 : 8)) {
            text_format(words + used, sizeof words - used, " …");
            break;
        }
        used += text_format(words + used, sizeof words - used, "%s", title);
    }
    screen_rule(grid, rule, words);
}
