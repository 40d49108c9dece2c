/* Where a user's folders are, by the environment. */
#include "explorer/desk/folders.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/text.h"

bool folder_of_user(const char *variable, const char *otherwise, const char *file, char *path,
                    size_t size)
{
    const char *named = getenv(variable), *home = getenv("HOME");
    size_t used = 0;
    if (named && named[0] == '/') {
        used = text_format(path, size, "%s", named);
    } else if (home && home[0] == '/') {
        used = text_format(path, size, "%s/%s", home, otherwise);
    }
    if (used == 0 || used + strlen("/guardspan/") + strlen(file) >= size) {
        return false;
    }
    text_format(path + used, size - used, "/guardspan/%s", file);
    return true;
}

void folders_make(char *path)
{
    for (char *slash = strchr(path + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        mkdir(path, 0700); /* one that exists is fine; one that fails shows when saving */
        *slash = '/';
    }
}
