#ifndef SCENARIO_SECTION_H
#define SCENARIO_SECTION_H

#include "scenario/field.h"
#include "scenario/scenario.h"

/* The sections of a profile, and where their values stand in a scenario. Subframes, PLPs, stations
 * and echoes are repeated: each is an item with a name. */

struct section {
    const char *name; /* "mode", "station" */
    unsigned pairs;   /* that it counts in, 1 << enum pair; 0: in all */
    int most;         /* of a repeated section: how many may stand; 0: it stands once */
    size_t count_at, items_at, item_bytes, names_at, name_bytes;
    void (*fill)(struct scenario *scenario, int item); /* a new item, beside its fields; or NULL */
    void (*leave)(struct scenario *scenario); /* the last item, where [mode] then counts; or NULL */
};

size_t section_count(void);
bool section_counts_in(const struct section *section, enum pair pair);
const struct section *section_at(size_t i);
const struct section *section_find(const char *name); /* NULL: there is none */
/* The one that counts in the pair, where pairs have one each; else as section_find. */
const struct section *section_find_in(const char *name, enum pair pair);

/* The section's fields by their order in the table: the one after another, NULL for the first; and
 * by number. NULL beyond the last. */
const struct field *section_field_after(const struct section *section, const struct field *before);
const struct field *section_field_at(const struct section *section, int i);
const struct field *section_field_of(const struct section *section, const char *name);
/* The items in whose stead a field of [mode] counts (field.h, unless) stand in the scenario. */
bool section_has_instead(const struct field *field, const struct scenario *scenario);

/* How many items stand in the scenario: 1 where the section is not repeated. */
int section_items(const struct section *section, const struct scenario *scenario);
/* The struct that the offsets of the section's fields count in. */
const void *section_item(const struct section *section, const struct scenario *scenario, int item);
void *section_item_of(const struct section *section, struct scenario *scenario, int item);
/* "" where the section is not repeated. */
const char *section_item_name(const struct section *section, const struct scenario *scenario,
                              int item);
int section_item_find(const struct section *section, const struct scenario *scenario,
                      const char *name); /* -1: none; case does not matter */
/* "echo hill", "mode". */
void section_item_title(const struct section *section, const struct scenario *scenario, int item,
                        char *buffer, size_t size);

/* Every field of the item to its default. */
void section_clear(const struct section *section, void *base);
/* A new item of a repeated section, all at its defaults: NAN or channel 0 where a value must be
 * said, for which scenario_check asks. NULL: there is no room. */
void *section_add(const struct section *section, struct scenario *scenario, const char *name);
void section_remove(const struct section *section, struct scenario *scenario, int item);

/* True for the name of an item that a profile can carry. */
bool section_name_is_usable(const char *name);
/* The same for another text that has so much room, its end included. */
bool section_text_is_usable(const char *text, size_t room);

/* Another name for an item, which all that name it follow. STATUS_MALFORMED where the name is not
 * usable, STATUS_ILLEGAL where another item has it; the scenario is then as it was. */
enum status section_rename(const struct section *section, struct scenario *scenario, int item,
                           const char *name, struct fault *fault);

/* Makes up a name that no item of the section has: "2". */
void section_free_name(const struct section *section, const struct scenario *scenario, char *name,
                       size_t size);

/* What a user writes between brackets, "mode" or "echo hill", in any case: its section and the
 * item's name, "" where it is not repeated, usable or not. NULL: there is no such section. */
const struct section *section_of(const char *written, enum pair pair, const char **name);

/* The section and the base of its item; adds a station or an echo that is not there yet. `place` is
 * what a fault names. */
enum status section_open(struct scenario *scenario, const char *written, const char *place,
                         const struct section **section, void **base, struct fault *fault);

/* The field of a key, or a fault that lists the section's keys. */
enum status section_field(const struct section *section, const char *key, const char *place,
                          const struct field **field, struct fault *fault);

/* Of what [mode] says and sections of their own say instead, only one may stand: a fault where the
 * field, about to be set, meets the other in the scenario as it was. */
enum status section_refuse_beside(const struct scenario *scenario, const struct section *section,
                                  const struct field *field, const char *place,
                                  struct fault *fault);

/* "SECTION.KEY", "echo hill.delay_us": the field and its item's base; NULL: there is none. */
const struct field *scenario_field(const struct scenario *scenario, const char *name,
                                   const void **base);

#endif
