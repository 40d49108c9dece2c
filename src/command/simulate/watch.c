/* The simulation runs in a thread of its own; this one waits for its end, writes progress to a
 * terminal, and passes on the wish to stop. */
#include <errno.h>
#include <pthread.h>
#include <signal.h>
#include <sys/ioctl.h>
#include <time.h>
#include <unistd.h>

#include "command/simulate/simulate.h"

#define PROGRESS_MS 200
#define COLUMNS_UNKNOWN 80
#define LINE_SIZE 256

/* Set by the signal handler, cleared before a sweep: a front end may have state of its own. */
static volatile sig_atomic_t interrupted;
static struct sigaction before_interrupts;

static void note_interrupt(int number)
{
    (void)number;
    interrupted = 1;
}

void simulate_interrupts_begin(void)
{
    struct sigaction note = {.sa_handler = note_interrupt, .sa_flags = (int)SA_RESETHAND};
    sigemptyset(&note.sa_mask);
    interrupted = 0;
    sigaction(SIGINT, &note, &before_interrupts);
}

bool simulate_is_interrupted(void)
{
    return interrupted != 0;
}

void simulate_interrupts_end(void)
{
    sigaction(SIGINT, &before_interrupts, NULL);
}

struct task_state {
    const struct simulate_task *task;
    struct run_watch watch;
    struct run_counts counts;
    struct fault fault;
    enum status status;
    pthread_mutex_t lock;
    pthread_cond_t ended;
    bool over;
};

static void *run_task(void *argument)
{
    struct task_state *state = argument;
    const struct simulate_task *task = state->task;
    enum status status = proof_run(&task->invocation->profile.scenario, task->choice, task->snr_db,
                                   task->limits, &state->watch, &state->counts, &state->fault);
    pthread_mutex_lock(&state->lock);
    state->status = status;
    state->over = true;
    pthread_cond_signal(&state->ended);
    pthread_mutex_unlock(&state->lock);
    return NULL;
}

static double now_s(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

/* Asked for each line anew: the window may have changed. */
static int terminal_columns(FILE *terminal)
{
    struct winsize size = {0};
    return ioctl(fileno(terminal), TIOCGWINSZ, &size) == 0 && size.ws_col > 0 ? size.ws_col
                                                                              : COLUMNS_UNKNOWN;
}

static void write_progress(struct task_state *state, double elapsed_s)
{
    FILE *err = state->task->invocation->err;
    const struct simulate_progress progress = {.task = state->task,
                                               .elapsed_s = elapsed_s,
                                               .frames = atomic_load(&state->watch.frames),
                                               .errors = atomic_load(&state->watch.frame_errors),
                                               .bits = atomic_load(&state->watch.bits)};
    char line[LINE_SIZE];
    /* The last column stays free: some terminals wrap as soon as it is written. */
    simulate_progress_format(&progress, terminal_columns(err) - 1, line, sizeof line);
    fprintf(err, "\r\033[K%s", line);
    fflush(err);
}

static void wait_for_end(struct task_state *state)
{
    FILE *err = state->task->invocation->err;
    bool shown = isatty(fileno(err));
    double begin_s = now_s();
    pthread_mutex_lock(&state->lock);
    while (!state->over) {
        struct timespec until;
        clock_gettime(CLOCK_MONOTONIC, &until);
        until.tv_nsec += PROGRESS_MS * 1000000L;
        until.tv_sec += until.tv_nsec / 1000000000L;
        until.tv_nsec %= 1000000000L;
        pthread_cond_timedwait(&state->ended, &state->lock, &until);
        if (interrupted) {
            atomic_store(&state->watch.stop, true);
        }
        if (shown && !state->over) {
            write_progress(state, now_s() - begin_s);
        }
    }
    pthread_mutex_unlock(&state->lock);
    if (shown) {
        fputs("\r\033[K", err);
        fflush(err);
    }
}

/* The task in a thread; in this one where none can be had. */
static void run_and_wait(struct task_state *state)
{
    pthread_t thread;
    if (pthread_create(&thread, NULL, run_task, state) == 0) {
        wait_for_end(state);
        pthread_join(thread, NULL);
    } else {
        run_task(state);
    }
}

enum status simulate_point(const struct simulate_task *task, struct run_counts *counts,
                           struct fault *fault)
{
    struct task_state state = {.task = task};
    run_watch_clear(&state.watch);
    pthread_mutex_init(&state.lock, NULL);
    /* By a clock that nobody sets: set back an hour, the other would let Ctrl-C wait so long. */
    pthread_condattr_t attributes;
    pthread_condattr_init(&attributes);
    pthread_condattr_setclock(&attributes, CLOCK_MONOTONIC);
    pthread_cond_init(&state.ended, &attributes);
    pthread_condattr_destroy(&attributes);
    run_and_wait(&state);
    pthread_cond_destroy(&state.ended);
    pthread_mutex_destroy(&state.lock);
    *counts = state.counts;
    *fault = state.fault;
    return state.status;
}
