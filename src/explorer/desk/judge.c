#include "explorer/desk/judge.h"

#include <math.h>
#include <stdlib.h>
#include <time.h>

/* A case, with what is given in it. */
struct judge_case {
    struct scenario scenarios[JUDGED_COUNT];
    struct judgement given[JUDGED_COUNT];
};

static void work(struct job *job, void *context)
{
    struct judge_case *one = context;
    for (int i = 0; i < JUDGED_COUNT && !job_is_stopped(job); i++) {
        struct judgement *given = &one->given[i];
        given->fault = (struct fault){0};
        given->known = given->wanted && verdicts_make(&one->scenarios[i], &given->verdicts,
                                                      &given->fault) == STATUS_OK;
    }
}

bool judge_is_done(const struct judge *judge)
{
    return judge->of == judge->wanted;
}

static void take_over(struct judge *judge)
{
    for (int i = 0; i < JUDGED_COUNT; i++) {
        judge->given[i] = judge->work->given[i];
    }
    judge->of = judge->running;
}

/* Where no memory or no thread can be had there is no verdict, and that is said. */
static void give_up(struct judge *judge)
{
    for (int i = 0; i < JUDGED_COUNT; i++) {
        judge->given[i].known = false;
        fault_set(&judge->given[i].fault, STATUS_NO_MEMORY, "", NULL, "out of memory");
    }
    judge->of = judge->wanted;
}

void judge_look(struct judge *judge)
{
    if (job_finished(&judge->job)) {
        take_over(judge);
    }
    if (judge_is_done(judge) || judge->job.started) {
        return;
    }
    if (judge->next && judge->work) {
        *judge->work = *judge->next;
        judge->running = judge->wanted;
    }
    if (!judge->next || !judge->work || !job_start(&judge->job, work, judge->work)) {
        give_up(judge);
    }
}

static double now_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return 1e3 * (double)now.tv_sec + 1e-6 * (double)now.tv_nsec;
}

static void look_for(struct judge *judge, double ms)
{
    const struct timespec pause = {.tv_nsec = 200000};
    double end_ms = now_ms() + ms;
    judge_look(judge);
    while (!judge_is_done(judge) && now_ms() < end_ms) {
        nanosleep(&pause, NULL);
        judge_look(judge);
    }
}

void judge_want(struct judge *judge, const struct scenario *now, const struct scenario *pinned)
{
    if (!judge->next) {
        judge->next = calloc(1, sizeof *judge->next);
        judge->work = calloc(1, sizeof *judge->work);
    }
    if (judge->next) {
        judge->next->scenarios[JUDGED_NOW] = *now;
        judge->next->given[JUDGED_NOW].wanted = true;
        judge->next->given[JUDGED_PINNED].wanted = pinned != NULL;
        if (pinned) {
            judge->next->scenarios[JUDGED_PINNED] = *pinned;
        }
    }
    judge->wanted++;
    look_for(judge, 6.0); /* of the 16 that a key press may take to the screen */
}

void judge_wait(struct judge *judge)
{
    look_for(judge, INFINITY);
}

void judge_free(struct judge *judge)
{
    job_stop(&judge->job);
    free(judge->next);
    free(judge->work);
}
