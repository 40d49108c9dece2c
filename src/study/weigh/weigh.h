#ifndef STUDY_WEIGH_WEIGH_H
#define STUDY_WEIGH_WEIGH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"
#include "physics/ofdm/doppler.h"
#include "physics/ofdm/gain_spread.h"
#include "scenario/field.h"
#include "scenario/scenario.h"
#include "study/report/report.h"
#include "system/space/space.h"

/* Weighing: every legal mode of a bandwidth (system/space/space.h; 243 000 of A/322, 22 848 of
 * DVB-T2) with its figures, held against limits, ordered, and its frontier: the modes that no other
 * legal mode beats in net rate, required SNR, echo and speed at once. What is no choice of the
 * space (outer code, frame length, signalling, interleaver) is the scenario's.
 *
 * Figures are those of a report, computed from factors: what follows from a geometry once for each
 * of them, what follows from a code and constellation once for each of those. */

enum snr_kind { SNR_RECEIVER, SNR_IDEAL, SNR_RAYLEIGH, SNR_KIND_COUNT };
const char *snr_kind_name(enum snr_kind kind); /* "receiver", "ideal", "rayleigh" */
int snr_kind_from_name(const char *name);      /* -1: none */

/* What every mode of a space has at hand. */
struct weighed {
    uint16_t geometry;
    uint8_t code;
    bool frontier;
    double net_mbps;
    double snr_db; /* required, of the space's kind */
    double speed_kmh;
};

struct weigh_code {
    struct space_code own;
    double ideal_inverse; /* 10^(-ideal/10) */
    double backstop;      /* 10^(backstop/10) */
    struct gain_rayleigh_needs rayleigh_needs;
};

struct weigh_space {
    struct scenario scenario;
    const struct system_space *choices; /* of the system that is weighed */
    const struct field *fields[SPACE_CHOICES_MAX];
    int wanted[SPACE_CHOICES_MAX]; /* the scenario's numbers of the choices */
    enum snr_kind snr_kind;
    double center_hz;
    struct conditions conditions; /* of the second generation, from the scenario */
    double field_offset_dbuvm;    /* field less receiver SNR */
    size_t geometry_count;
    struct space_geometry *geometries;
    struct doppler_limits limits[SPACE_WAVEFORMS_MAX];
    int code_count;
    struct weigh_code codes[SPACE_CODES_MAX];
    size_t count;
    struct weighed *modes; /* by geometry, then by code */
    struct weigh_margins {
        float half_db, most_db, nearly_all_db; /* at 50, 90 and 99 % of the positions */
        float asked_db;                        /* at receiver.position_percent of them */
    } * echo_margins; /* under the scenario's conditions by mode; NULL: not made */
};

/* Builds the space of the scenario's bandwidth and marks the frontier. Faults: STATUS_NO_MEMORY,
 * and STATUS_ILLEGAL where no mode has room for data in the frame. */
enum status weigh_space_make(const struct scenario *scenario, enum snr_kind snr_kind,
                             struct weigh_space *space, struct fault *fault);
void weigh_space_free(struct weigh_space *space);

/* True where the space serves another scenario as it is: only choices of the space differ, and
 * what is measured; weigh_space_adopt then takes these over. Echo margins stay where echoes and
 * receiver are the same. */
bool weigh_space_serves(const struct weigh_space *space, const struct scenario *scenario);
void weigh_space_adopt(struct weigh_space *space, const struct scenario *scenario);

/* A mode's number of a choice: field_number's. */
int weigh_number(const struct weigh_space *space, size_t i, int choice);

/* The mode in place of the scenario's, with one pipe; all else of that is left alone. */
void weigh_put(const struct weigh_space *space, size_t i, struct scenario *scenario);

/* space_name of a mode, or of one of its parts. */
enum weigh_part { PART_OF_GEOMETRY = 1, PART_OF_CODE = 2, PARTS_OF_MODE = 3 };
void weigh_name(const struct weigh_space *space, size_t i, enum weigh_part part, bool whole,
                char *buffer, size_t size);

double weigh_echo_us(const struct weigh_space *space, size_t i);

/* A mode's margin under the scenario's conditions, at half of the positions; NAN before
 * weigh_echo_margins has made them. */
double weigh_margin_db(const struct weigh_space *space, size_t i);

/* A mode's figures, the same as a report gives: facts and margins. The rest of the verdict, how it
 * fared, stays unset. */
void weigh_report(const struct weigh_space *space, size_t i, struct verdict *verdict);

/* The place of the mode in the space that the scenario has, of its first pipe; -1 where it has no
 * room there. */
long weigh_find(const struct weigh_space *space, const struct scenario *scenario);

/* Makes the margins with the scenario's echoes at its SNR, of a real receiver, for all modes;
 * needed for LIMIT_MARGIN: the very margins that each mode's own verdict has. `keep_on`
 * (NULL: always) is asked before each look with the share done; STATUS_STOPPED when it says no.
 * Faults as of echo_input_make. */
struct weigh_progress {
    bool (*keep_on)(void *owner, double share);
    void *owner;
};
enum status weigh_echo_margins(struct weigh_space *space, const struct weigh_progress *progress,
                               struct fault *fault);

/* ---- Choosing. ---- */

enum weigh_limit {
    LIMIT_ECHO,   /* us, at least */
    LIMIT_SPEED,  /* km/h, at least */
    LIMIT_RATE,   /* net Mbit/s, at least */
    LIMIT_SNR,    /* dB of the space's kind, at most */
    LIMIT_MARGIN, /* dB with the profile's echoes, at least: needs weigh_echo_margins */
    LIMIT_COUNT
};

/* The choice of the scenario's second system, as a bit, that may be fixed: from "mode.fft" and the
 * like; 0 for keys that are the same for the whole space ("mode.outer", "site.rf_channel"), -1 for
 * those of something else. */
int weigh_factor_of_key(const struct scenario *scenario, const char *key);

struct weigh_wish {
    double limits[LIMIT_COUNT]; /* NAN: none */
    unsigned fixed;             /* 1 << a choice of the space */
    const struct figure *order; /* of generation_figures; NULL: see weigh_order */
    bool unfolded; /* list all that a mode folds (system/space/space.h), not only the best */
    size_t most;   /* rows wanted; 0: all */
};
struct weigh_wish weigh_wish_none(void);

struct weigh_row {
    uint32_t mode;
    uint32_t folded; /* more modes that differ only in choices that fold */
};

/* Where one limit that is set stands when nothing or little is left. */
struct weigh_relaxation {
    size_t excluded;   /* modes that miss this limit, whatever the others say */
    size_t alone;      /* modes that miss only this one */
    double attainable; /* the best value among the modes that keep all others; NAN: none does */
};

struct weigh_list {
    size_t count;
    struct weigh_row *rows; /* best first; owned */
    size_t matching;        /* modes within all limits, folded ones counted */
    size_t considered;      /* modes with the fixed settings */
    struct weigh_relaxation relaxations[LIMIT_COUNT];
};

/* What the list is ordered by, the better ones first: a number, or of a word the number in it
 * ("256QAM", "10/15"). Without an order it is the margin where that is limited, else net rate. */
const struct figure *weigh_order(const struct weigh_wish *wish);

/* STATUS_NO_MEMORY is the only failure. */
enum status weigh_pick(const struct weigh_space *space, const struct weigh_wish *wish,
                       struct weigh_list *list, struct fault *fault);
void weigh_list_free(struct weigh_list *list);

/* The mode is within all limits and has the fixed settings. */
bool weigh_keeps(const struct weigh_space *space, const struct weigh_wish *wish, size_t i);

/* The limit that excludes most modes among those set; -1 where none is set. */
int weigh_tightest_limit(const struct weigh_wish *wish, const struct weigh_list *list);

/* Limit or order want what weigh_echo_margins makes. */
bool weigh_wants_margins(const struct weigh_wish *wish);

/* One sentence on why nothing is left and by how much to relax what. */
void weigh_explain_empty(const struct weigh_space *space, const struct weigh_wish *wish,
                         const struct weigh_list *list, struct text *out);

#endif
