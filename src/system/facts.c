/* Facts of which nothing is known yet, and what was chosen in a line. */
#include "system/facts.h"

#include <math.h>
#include <string.h>

static void forget(void *numbers, size_t bytes)
{
    const double unknown = NAN;
    for (size_t at = 0; at + sizeof unknown <= bytes; at += sizeof unknown) {
        memcpy((char *)numbers + at, &unknown, sizeof unknown);
    }
}

#define WORDS_END offsetof(struct facts, boost)
_Static_assert((sizeof(struct facts) - WORDS_END) % sizeof(double) == 0 &&
                   sizeof(struct fare_facts) % sizeof(double) == 0,
               "numbers stand together");

struct facts facts_none(void)
{
    struct facts facts = {0};
    forget((char *)&facts + WORDS_END, sizeof facts - WORDS_END);
    return facts;
}

struct fare_facts fare_facts_none(void)
{
    struct fare_facts facts;
    forget(&facts, sizeof facts);
    return facts;
}

void facts_words(const struct facts *facts, struct text *out)
{
    const char *const words[] = {facts->fft, facts->guard, facts->pilots, facts->constellation,
                                 facts->rate};
    const char *join = "";
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (words[i] != NULL) {
            text_printf(out, "%s%s", words[i] == facts->constellation && *join ? ", " : join,
                        words[i]);
            join = " ";
        }
    }
    if (facts->hierarchy != NULL) {
        text_printf(out, ", alpha %s, %s priority", facts->hierarchy, facts->priority);
    }
}
