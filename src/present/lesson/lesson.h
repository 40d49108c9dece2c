#ifndef PRESENT_LESSON_LESSON_H
#define PRESENT_LESSON_LESSON_H

#include "profile/profile.h"

/* A lesson: a plain text of steps, a line each, that the explorer plays, one stop at each press of
 * a key. Empty lines and those that begin with # are comments. */
enum lesson_verb {
    LESSON_TITLE,  /* title WORDS: the lesson's name */
    LESSON_SAY,    /* say WORDS, going on in lines that begin with a blank; a stop */
    LESSON_SET,    /* set SECTION.KEY VALUE, as --set does; quotes hold a name with blanks */
    LESSON_SLIDE,  /* slide SECTION.KEY VALUE [N]: goes there in steps, each one a stop: through the
                      legal choices, or a number in N steps (8); a say right behind it comes with
                      the last one */
    LESSON_PIN,    /* pin: keeps the mode beside the next ones to compare */
    LESSON_UNPIN,  /* unpin */
    LESSON_SHOW,   /* show NAME: a picture, in the view that has it */
    LESSON_SELECT, /* select NAME: a row, mode.guard or second.echo_us */
    LESSON_VERB_COUNT
};

#define LESSON_STEPS_MAX 400
#define LESSON_TEXT_MAX 600
#define LESSON_BYTES_MAX 200000

struct lesson_step {
    enum lesson_verb verb;
    int line;
    char name[96];  /* of a key, picture or row */
    char value[64]; /* to set or to slide to */
    int count;      /* of a slide's steps */
    char *text;     /* of what is said; owned by the lesson */
};

struct lesson {
    char title[96];
    int step_count;
    struct lesson_step *steps; /* owned */
};

/* A fault's place is "line N". */
enum status lesson_read_text(const char *text, size_t length, struct lesson *lesson,
                             struct fault *fault);
enum status lesson_read_file(const char *path, struct lesson *lesson, struct fault *fault);
void lesson_free(struct lesson *lesson);

/* What a lesson has made of a scenario at one of its stops. */
struct lesson_scene {
    struct scenario scenario;
    bool pinned;
    struct scenario pinned_scenario;
    const char *picture, *selected; /* NULL: as it was */
    const char *text;               /* ""  before anything was said */
    int stop, stop_count;
};

/* Plays from `begin` up to a stop, counted from 1; further than the last one is the last one. The
 * whole lesson is played for stop_count. A fault names the line of a step that cannot be done. */
enum status lesson_play(const struct lesson *lesson, const struct scenario *begin, int stop,
                        struct lesson_scene *scene, struct fault *fault);

#endif
