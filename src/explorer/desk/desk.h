#ifndef EXPLORER_DESK_DESK_H
#define EXPLORER_DESK_DESK_H

#include "explorer/desk/errand.h"
#include "explorer/desk/history.h"
#include "explorer/desk/offer.h"
#include "explorer/desk/piping.h"
#include "explorer/desk/typing.h"
#include "profile/preferences.h"
#include "profile/profile.h"
#include "study/report/report.h"

/* What is being worked on, and every change of it: the scenario with its report, what is pinned
 * beside it, what was saved, what is said and asked. The desk knows no screen. */

struct desk;
struct grid;

/* What a function is called with that a key, a line taken or an effect leads to. */
struct call {
    struct desk *desk;
    void *owner;              /* a view's state or the explorer: who has the key, who asked */
    uint32_t key;             /* that was pressed */
    const char *text;         /* that was typed */
    const struct grid *drawn; /* of an effect: the screen that it was asked from */
};

/* What is asked of the outside, files above all: done once the screen has been drawn. */
struct effect {
    void (*done)(const struct call *call); /* NULL: nothing is asked */
    void *owner;                           /* lives as long as the desk */
    char text[TYPING_BYTES];
};

enum tone { TONE_PLAIN, TONE_QUIET, TONE_GOOD, TONE_WARN, TONE_BAD, TONE_COUNT };

/* A line to type in. */
struct prompt {
    bool open;
    bool outside;   /* what is done with it is an effect */
    char label[96]; /* "": whoever asks shows the line in its place */
    struct typing typing;
    struct offer offer; /* to choose from besides; empty: none */
    void (*done)(const struct call *call);
    void *owner;
};

/* A question with a few answers, a key each; the last is "Escape". */
struct reply {
    uint32_t key;                          /* that gives it */
    const char *what;                      /* "s saves and leaves" */
    bool outside;                          /* what is done then is an effect */
    void (*done)(const struct call *call); /* NULL: nothing */
};

struct question {
    const struct reply *replies; /* ends with a row of zeros; NULL: nothing is asked */
    const char *title;           /* "Leave?" */
    char text[TYPING_BYTES + 64];
    void *owner;
};

/* Many echoes take longer than a key press may, so verdicts are made beside the interface: first
 * over few positions, then, where there are more, over all. */
#define JUDGED_FIRST 32
struct judgement {
    bool first; /* a better one follows */
    int count;  /* of cases: what lies on the desk, and what is pinned */
    struct {
        struct scenario scenario;
        bool known; /* else `fault` says why there is no verdict */
        struct verdicts verdicts;
        struct fault fault;
    } cases[2];
};

struct desk {
    struct profile profile;
    char path[TYPING_BYTES]; /* of the profile; "": none yet */
    struct scenario *saved;  /* owned: what was opened or saved last */
    bool changed;            /* against that */
    bool rescued;            /* it is unsaved work of an earlier run (rescue.h) */
    unsigned revision;       /* grows with every change of what is compared or shown */
    struct history history;

    bool report_known; /* else `fault` says why there is none */
    struct report report;
    struct fault fault;

    struct scenario *pinned; /* owned; NULL: nothing pinned */
    struct report pinned_report;

    struct errand
        judging;     /* a struct judgement: its verdicts enter the reports once they are there */
    bool refining;   /* the answer that is there is of the scenario as it is, over few positions */
    unsigned judged; /* grows as they do */
    struct piping piping;
    unsigned piped; /* grows with its answers */

    char message[1200]; /* a fault with all that is allowed has room */
    enum tone tone;     /* of the message */
    struct prompt prompt;
    struct question question;
    struct effect effect; /* asked for by the last event */
    struct preferences likes;
    bool likes_kept; /* there is a folder to remember them in (likes.h) */
    bool leave;      /* the program ends as soon as that is done */
};

/* Of a zeroed desk. Takes the profile over; `path` may be NULL. False when memory runs out. */
bool desk_open(struct desk *desk, struct profile *profile, const char *path);
void desk_close(struct desk *desk);

/* Takes over another scenario: checked, undoable. False when it is refused; then the message says
 * why and nothing has changed. */
bool desk_change(struct desk *desk, const struct scenario *next);

/* Goes back to the scenario before the last change, or forward again, and says so. */
void desk_undo(struct desk *desk);
void desk_redo(struct desk *desk);

/* Takes over a profile that was read, with nothing to undo; the desk becomes its owner. */
void desk_take_profile(struct desk *desk, struct profile *profile, const char *path);

/* The same of work that was never saved: it has no name, and counts as changed. */
void desk_take_unsaved(struct desk *desk, struct profile *profile);

/* What is there now counts as saved under this name. */
void desk_mark_saved(struct desk *desk, const char *path);

/* Verdicts that have come since are taken into the reports; desk_wait waits for them. */
void desk_look(struct desk *desk);
void desk_wait(struct desk *desk);

/* The verdicts on the scenario as it is; NULL: there are none, which desk_no_verdict explains. */
const struct verdicts *desk_verdicts(const struct desk *desk);
const char *desk_no_verdict(const struct desk *desk);

/* The verdict on one of the PLPs of the second generation, by its place in the profile. NULL: it is
 * under way (desk_busy), or cannot be made. */
const struct verdict *desk_plp(const struct desk *desk, int plp);
/* All of them where there are several; NULL: under way, or there is one. */
const struct pipes *desk_pipes(const struct desk *desk);

/* Something is still computed. */
bool desk_busy(const struct desk *desk);

/* The verdict as it is said in every view: what the n-th generation does, then a remark; "" where
 * there is nothing to say. Returns how it is meant. */
#define DESK_VERDICT_PARTS (GENERATION_COUNT + 1)
enum tone desk_say_verdict(const struct desk *desk, int part, char *buffer, size_t size);

/* Keeps a scenario's mode as the one to compare with; or forgets the one that was kept. */
void desk_pin(struct desk *desk, const struct scenario *scenario);
void desk_unpin(struct desk *desk);

void desk_say(struct desk *desk, enum tone tone, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
void desk_say_fault(struct desk *desk, const struct fault *fault);
void desk_say_file_fault(struct desk *desk, const char *path, const struct fault *fault);

/* Opens a line to type in; `done` gets the text when it is taken, as an effect where it touches the
 * outside. Without a label (NULL) whoever asks shows the line. */
void desk_ask(struct desk *desk, const char *label, const char *initial,
              void (*done)(const struct call *call), void *owner);
void desk_ask_outside(struct desk *desk, const char *label, const char *initial,
                      void (*done)(const struct call *call), void *owner);

/* Asks a question: `text` tells what it is about, the replies what there is to answer. */
void desk_question(struct desk *desk, const char *title, const char *text,
                   const struct reply *replies, void *owner);

/* A key for the question: Escape and every reply end it, others do nothing. */
void desk_reply(struct desk *desk, uint32_t key);

/* The same with a list to choose from below the line, which the prompt becomes the owner of. */
void desk_offer(struct desk *desk, const char *label, struct offer *offer, bool outside,
                void (*done)(const struct call *call), void *owner);

/* A line is open that whoever asked shows in its place: it has no label. */
bool desk_types_in_place(const struct desk *desk);

/* Leaves the line, and takes what stands there or is selected. */
void desk_close_prompt(struct desk *desk);
void desk_take_prompt(struct desk *desk);

/* Moves in the list. */
void desk_move_offer(struct desk *desk, int by);

/* A key for the open line: Enter takes it, Escape leaves it, others edit. In a line shown in its
 * place Up, Down and Tab take it too. True where the key was the line's alone. */
bool desk_type(struct desk *desk, uint32_t key);

/* Asks for something outside. */
void desk_request(struct desk *desk, void (*done)(const struct call *call), void *owner,
                  const char *text);

#endif
