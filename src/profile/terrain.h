#ifndef PROFILE_TERRAIN_H
#define PROFILE_TERRAIN_H

#include "scenario/scenario.h"

/* The height profiles that stations name: text files, a distance from the station in km and the
 * ground's height over the sea in m a line, distances growing from 0 on. Blanks, a tab, a comma or
 * a semicolon stand between the two; what follows '#' is a comment, a first line of words a
 * heading. */

#define TERRAIN_BYTES_MAX 262144

/* A fault's place is "line N" or empty. `terrain` is then left alone. */
enum status terrain_read_text(const char *bytes, size_t length, struct terrain *terrain,
                              struct fault *fault);

/* Reads those that stations name and do not hold yet. A path counts from the folder of `profile`,
 * or from the working folder where that is NULL or has none. A fault's place is "station
 * NAME.terrain", what is wrong begins with file and line. */
enum status terrain_fetch(struct scenario *scenario, const char *profile, struct fault *fault);

/* Those that are named count as read, and nothing is known of them. */
void terrain_leave(struct scenario *scenario);

/* For a profile that goes to another folder: names that counted from the old one's are told from
 * the root on, where they have room. */
void terrain_name_whole(struct scenario *scenario, const char *profile);

#endif
