#ifndef SUPPORT_FAILING_H
#define SUPPORT_FAILING_H

/* For a test program of its own, included once: every allocation fails in turn; each operation then
 * says so, leaves nothing half done and gives back what it took. The allocator's own names stand in
 * for the C library's in that program. The sanitizers bring their own, so there such a test has
 * nothing to fail. */

#include <errno.h>
#include <stdlib.h>

#include "support/near.h"

#if defined(__SANITIZE_ADDRESS__)
#define OWN_ALLOCATOR 0
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define OWN_ALLOCATOR 0
#endif
#endif
#ifndef OWN_ALLOCATOR
#define OWN_ALLOCATOR 1
#endif

/* Threads of what is tested take memory, too. */
static _Atomic long countdown = -1; /* allocations until one fails; below 0: none does */
static _Atomic long outstanding;    /* blocks taken and not given back */
static _Atomic long failures;

#if OWN_ALLOCATOR
/* NOLINTBEGIN(bugprone-reserved-identifier): names of the C library. */
extern void *__libc_malloc(size_t size);
extern void *__libc_calloc(size_t count, size_t size);
extern void *__libc_realloc(void *old, size_t size);
extern void *__libc_memalign(size_t alignment, size_t size);
extern void __libc_free(void *block);
/* NOLINTEND(bugprone-reserved-identifier) */

static int fails_now(void)
{
    if (countdown < 0 || countdown-- > 0) {
        return 0;
    }
    failures++;
    errno = ENOMEM;
    return 1;
}

void *malloc(size_t size)
{
    void *block = fails_now() ? NULL : __libc_malloc(size);
    outstanding += block != NULL;
    return block;
}

void *aligned_alloc(size_t alignment, size_t size)
{
    void *block = fails_now() ? NULL : __libc_memalign(alignment, size);
    outstanding += block != NULL;
    return block;
}

void *calloc(size_t count, size_t size)
{
    void *block = fails_now() ? NULL : __libc_calloc(count, size);
    outstanding += block != NULL;
    return block;
}

void *realloc(void *old, size_t size)
{
    void *block = fails_now() ? NULL : __libc_realloc(old, size);
    outstanding += block != NULL && old == NULL;
    return block;
}

void free(void *block)
{
    outstanding -= block != NULL;
    __libc_free(block);
}
#endif

/* An operation: true where it did its whole work. With a failed allocation it may also manage
 * without; what it must not do is crash, leak or half-do. */
typedef int operation(void);

#define fail_each_allocation(run, what) fail_allocations(run, what, 0)

/* Where there are many alike: `parts` > 0 leaves out one N-th of all between two that fail. */
static void fail_allocations(operation *run, const char *what, long parts)
{
    countdown = -1;
    assert_true(run()); /* lets libraries set themselves up */
    for (long n = 0;; n += 1 + (parts > 0 ? n / parts : 0)) {
        long before = outstanding;
        failures = 0;
        countdown = n;
        (void)run();
        countdown = -1;
        if (outstanding != before) {
            print_error("%s: allocation %ld fails and %ld blocks are left\n", what, n,
                        outstanding - before);
            fail();
        }
        if (failures == 0) {
            assert_true(OWN_ALLOCATOR == 0 || n > 1);
            return;
        }
    }
}

#endif
