/* Fields of the L1 signalling, as dumps give them: "L1D_plp_mod 3" with the code of ATSC
 * A/322:2024-04 Tables 9.2, 9.8 and 9.9, or "PLP_MOD 3" with that of EN 302 755 clause 7.2, with or
 * without indices ("L1D_plp_mod[0][1] = 3") and with what the code means behind it. Some fields
 * carry one less than the quantity; dumps give them as they are sent or corrected, and counting
 * what a dump holds tells which. A value that is no code of its field is read as any other value:
 * "L1D_plp_mod: 256QAM". */
#include <math.h>
#include <string.h>

#include "scenario/field.h"
#include "study/page/reader.h"

struct l1_field {
    const char *name; /* behind "L1B_" or "L1D_" */
    enum topic topic;
    const char *key;      /* of the entry; NULL: see `take` */
    int high;             /* the largest code */
    double scale, offset; /* number = offset + scale * code */
    void (*take)(struct reader *r, int code, struct value *value);
};

/* ---- Fields that say more than one thing, or are told in their own way. ---- */

static void keep_number(struct reader *r, enum topic topic, const char *key, double number,
                        struct value *value)
{
    const struct field *field = field_named(key);
    value->key = key;
    value->number = number;
    if (field) {
        char text[FIELD_TEXT_BYTES];
        field_write(field, number, text, sizeof text);
        text_format(value->text, sizeof value->text, "%s%s%s", text, field->unit[0] ? " " : "",
                    field->unit);
    } else {
        text_format(value->text, sizeof value->text, "%.6g", number);
    }
    reader_keep_entry(r, topic, value, value->first);
}

/* 0..5: BCH, CRC or no outer code, each with short and long blocks. */
static void take_fec(struct reader *r, int code, struct value *value)
{
    static const enum outer_code outers[] = {OUTER_BCH, OUTER_CRC, OUTER_NONE};
    enum outer_code outer = outers[code / 2];
    keep_number(r, TOPIC_OUTER, "mode.outer", outer, value);
    keep_number(r, TOPIC_LENGTH, "mode.length", code % 2 ? LENGTH_64800 : LENGTH_16200, value);
}

static void take_ti_mode(struct reader *r, int code, struct value *value)
{
    if (code == 0) {
        keep_number(r, TOPIC_INTERLEAVER, "mode.interleaver", INTERLEAVER_NONE, value);
    } /* of the others more follows */
}

static void take_inter(struct reader *r, int code, struct value *value)
{
    (void)value;
    r->l1.inter = code == 1;
}

static void take_extended(struct reader *r, int code, struct value *value)
{
    (void)value;
    r->l1.extended = code == 1;
}

static void take_cti_depth(struct reader *r, int code, struct value *value)
{
    static const enum interleaver plain[] = {CTI_512, CTI_724, CTI_887, CTI_1024},
                                  extended[] = {CTI_512, CTI_724, CTI_1254_EXTENDED,
                                                CTI_1448_EXTENDED};
    keep_number(r, TOPIC_INTERLEAVER, "mode.interleaver", (r->l1.extended ? extended : plain)[code],
                value);
}

/* Table 9.24: steps of half a dB to 5 dB, then of one. */
static void take_injection(struct reader *r, int code, struct value *value)
{
    double db = code <= 10 ? 0.5 * code : code - 5.0;
    value->key = "plp.injection_db";
    value->number = db;
    text_format(value->text, sizeof value->text, "%.4g dB", db);
    reader_keep_entry(r, TOPIC_INJECTION, value, value->first);
}

static void take_layer(struct reader *r, int code, struct value *value)
{
    value->key = "plp.layer";
    value->number = code;
    text_format(value->text, sizeof value->text, "%s", code == 0 ? "core" : "enhanced");
    reader_keep_entry(r, TOPIC_LAYER, value, value->first);
}

static void take_plp_id(struct reader *r, int code, struct value *value)
{
    if (r->l1.index >= 0) {
        r->l1.ids[r->l1.index] = code;
    }
    r->plp = r->line_plp = code;
    r->l1.plps_seen++;
    r->l1.extended = r->l1.inter = false;
    keep_number(r, TOPIC_PLP, "page.plp", code, value);
}

/* ---- One less than the quantity, or not. ---- */

/* Until it is known which, entries of hybrid interleavers have these keys. */
#define HTI_INTRA "page.hybrid_interleaver"
#define HTI_INTER "page.hybrid_inter"

static void judge(struct l1_state *l1, int told, int seen)
{
    if (told == 0 || (seen > 0 && told == seen - 1)) {
        l1->raw++;
    } else if (seen > 0 && told == seen) {
        l1->corrected++;
    }
}

static void judge_plps(struct l1_state *l1)
{
    if (l1->plps_told >= 0) {
        judge(l1, l1->plps_told, l1->plps_seen);
    }
    l1->plps_told = -1;
    l1->plps_seen = 0;
}

static void keep_count(struct reader *r, enum topic topic, const char *key, int code,
                       struct value *value)
{
    size_t before = r->page->entry_count;
    keep_number(r, topic, key, code, value);
    if (r->page->entry_count > before && r->l1.count_count < L1_COUNTS_MAX) {
        r->l1.counts[r->l1.count_count++] = before;
    }
}

static void take_num_plp(struct reader *r, int code, struct value *value)
{
    judge_plps(&r->l1);
    r->l1.plps_told = code;
    r->subframe = r->subframe < 0 ? 0 : r->subframe;
    r->plp = -1;
    keep_count(r, TOPIC_PLP_COUNT, "page.plp_count", code, value);
}

static void take_num_subframes(struct reader *r, int code, struct value *value)
{
    r->l1.subframes_told = code;
    keep_count(r, TOPIC_SUBFRAME_COUNT, "page.subframe_count", code, value);
}

static void take_num_symbols(struct reader *r, int code, struct value *value)
{
    keep_count(r, TOPIC_SYMBOLS, "page.ofdm_symbols", code, value);
}

/* A subframe's loop begins with this field. */
/* TI blocks a subframe, or subframes that one block spans: the interleaver's name has them. */
static void take_ti_blocks(struct reader *r, int code, struct value *value)
{
    keep_count(r, TOPIC_INTERLEAVER, r->l1.inter ? HTI_INTER : HTI_INTRA, code, value);
}

static void take_fft(struct reader *r, int code, struct value *value)
{
    if (r->l1.in_detail) {
        judge_plps(&r->l1);
        r->subframe = r->subframe < 0 ? 1 : r->subframe + 1;
        r->plp = -1;
    } else {
        r->subframe = 0;
    }
    keep_number(r, TOPIC_FFT, "mode.fft", code, value);
}

/* The blocks of a hybrid interleaver are its name's number. */
static void name_hybrid(struct page_entry *entry)
{
    bool inter = strcmp(entry->key, HTI_INTER) == 0;
    if (!inter && strcmp(entry->key, HTI_INTRA) != 0) {
        return;
    }
    text_format(entry->value, sizeof entry->value, "HTI %.0f%s", entry->number,
                inter ? " inter" : "");
    int interleaver = interleaver_from_name(entry->value);
    bool known = interleaver >= 0;
    text_format(entry->key, sizeof entry->key, "%s",
                known ? "mode.interleaver" : "page.hybrid_interleaver");
    entry->number = known ? interleaver : 1.0;
}

void codes_finish(struct reader *r)
{
    struct l1_state *l1 = &r->l1;
    judge_plps(l1);
    if (l1->subframes_told >= 0) {
        judge(l1, l1->subframes_told, r->subframe + 1);
    }
    for (int i = 0; i < l1->count_count; i++) {
        struct page_entry *entry = &r->page->entries[l1->counts[i]];
        if (l1->raw > l1->corrected) {
            entry->number += 1.0;
            text_format(entry->value, sizeof entry->value, "%.0f", entry->number);
            text_format(entry->note, sizeof entry->note, "sent as %.0f", entry->number - 1.0);
        } else if (l1->corrected == l1->raw) {
            text_format(entry->note, sizeof entry->note, "or %.0f, if this is the code sent",
                        entry->number + 1.0);
        }
        name_hybrid(entry);
    }
}

/* ---- The fields. ---- */

#define CODE(key_, high_, scale_, offset_) \
    .key = (key_), .high = (high_), .scale = (scale_), .offset = (offset_)
#define PLAIN(key_, high_) CODE(key_, high_, 1.0, 0.0)
#define TAKEN(take_, high_) .high = (high_), .take = (take_)
static const struct l1_field fields[] = {
    {"first sub fft size", TOPIC_FFT, TAKEN(take_fft, 2)},
    {"first sub guard interval", TOPIC_GUARD, CODE("mode.guard", 12, 1.0, -1.0)},
    {"first sub reduced carriers", TOPIC_REDUCTION, PLAIN("mode.reduction", 4)},
    {"first sub scattered pilot pattern", TOPIC_PILOTS, PLAIN("mode.pilots", 15)},
    {"first sub scattered pilot boost", TOPIC_BOOST, PLAIN("mode.boost", 4)},
    {"first sub num ofdm symbols", TOPIC_SYMBOLS, TAKEN(take_num_symbols, 2047)},
    {"first sub sbs first", TOPIC_FIRST_BOUNDARY, PLAIN("mode.first_boundary", 1)},
    {"fft size", TOPIC_FFT, TAKEN(take_fft, 2)},
    {"guard interval", TOPIC_GUARD, CODE("mode.guard", 12, 1.0, -1.0)},
    {"reduced carriers", TOPIC_REDUCTION, PLAIN("mode.reduction", 4)},
    {"scattered pilot pattern", TOPIC_PILOTS, PLAIN("mode.pilots", 15)},
    {"scattered pilot boost", TOPIC_BOOST, PLAIN("mode.boost", 4)},
    {"num ofdm symbols", TOPIC_SYMBOLS, TAKEN(take_num_symbols, 2047)},
    {"sbs first", TOPIC_FIRST_BOUNDARY, PLAIN("mode.first_boundary", 1)},
    {"l 1 detail fec type", TOPIC_L1_DETAIL, CODE("mode.l1_detail_mode", 6, 1.0, 1.0)},
    {"frame length", TOPIC_FRAME, CODE("mode.frame_ms", 1000, 5.0, 0.0)},
    {"num subframes", TOPIC_SUBFRAME_COUNT, TAKEN(take_num_subframes, 255)},
    {"num plp", TOPIC_PLP_COUNT, TAKEN(take_num_plp, 63)},
    {"plp id", TOPIC_PLP, TAKEN(take_plp_id, 63)},
    {"plp layer", TOPIC_LAYER, TAKEN(take_layer, 3)},
    {"plp size", TOPIC_CELLS, PLAIN("plp.cells", (1 << 24) - 1)},
    {"plp fec type", TOPIC_LENGTH, TAKEN(take_fec, 5)},
    {"plp mod", TOPIC_CONSTELLATION, PLAIN("mode.constellation", 5)},
    {"plp cod", TOPIC_RATE, CODE("mode.rate", 11, 1.0, 2.0)},
    {"plp ti mode", TOPIC_INTERLEAVER, TAKEN(take_ti_mode, 2)},
    {"plp ti extended interleaving", TOPIC_INTERLEAVER, TAKEN(take_extended, 1)},
    {"plp hti inter subframe", TOPIC_INTERLEAVER, TAKEN(take_inter, 1)},
    {"plp hti num ti blocks", TOPIC_INTERLEAVER, TAKEN(take_ti_blocks, 15)},
    {"plp cti depth", TOPIC_INTERLEAVER, TAKEN(take_cti_depth, 3)},
    {"plp ldm injection level", TOPIC_INJECTION, TAKEN(take_injection, 30)},
};

/* EN 302 755 clause 7.2.2, from memory: 1/32 1/16 1/8 1/4 1/128 19/128 19/256. */
static void take_t2_guard(struct reader *r, int code, struct value *value)
{
    static const enum t2_guard guards[] = {T2_GI_1_32,  T2_GI_1_16,   T2_GI_1_8,   T2_GI_1_4,
                                           T2_GI_1_128, T2_GI_19_128, T2_GI_19_256};
    keep_number(r, TOPIC_GUARD, "dvbt2.guard", guards[code], value);
}

/* Its numbers are those that count, and none is one short. */
static const struct l1_field t2_fields[] = {
    {"bwt ext", TOPIC_EXTENDED, PLAIN("dvbt2.extended", 1)},
    {"guard interval", TOPIC_GUARD, TAKEN(take_t2_guard, 6)},
    {"pilot pattern", TOPIC_PILOTS, PLAIN("dvbt2.pilots", 7)},
    {"l 1 mod", TOPIC_L1_POST, PLAIN("dvbt2.l1_constellation", 3)},
    {"num data symbols", TOPIC_SYMBOLS, PLAIN("second.data_symbols", 4095)},
    {"num plp", TOPIC_PLP_COUNT, PLAIN("page.plp_count", 255)},
    {"plp id", TOPIC_PLP, TAKEN(take_plp_id, PAGE_PLP_MAX)},
    {"plp cod", TOPIC_RATE, PLAIN("dvbt2.rate", 5)},
    {"plp mod", TOPIC_CONSTELLATION, PLAIN("dvbt2.constellation", 3)},
    {"plp rotation", TOPIC_ROTATION, PLAIN("dvbt2.rotation", 1)},
    {"plp fec type", TOPIC_LENGTH, CODE("dvbt2.length", 1, -1.0, 1.0)},
    {"plp num blocks", TOPIC_BLOCKS, PLAIN("page.fec_blocks", 1023)},
    {"plp mode", TOPIC_EFFICIENCY, CODE("dvbt2.high_efficiency", 2, 1.0, -1.0)},
};

/* Fields that no figure depends on end here. */
static const struct l1_field other_field = {"", TOPIC_IDENTITY,
                                            PLAIN("page.signalling", 2147483647)};

/* ---- Reading. ---- */

struct l1_name {
    const struct l1_field *field;
    bool detail;
    bool minus_1; /* said behind the name */
    int value;    /* the atom where its value begins */
};

static bool is_mark(const struct reader *r, int at, const char *marks)
{
    return at < r->count && r->atoms[at].kind == ATOM_MARK && strchr(marks, r->atoms[at].mark);
}

/* Past "L1B_" or "L1D_"; `at` where it does not stand there. */
static int past_prefix(const struct reader *r, int at, bool *detail)
{
    bool whole = at + 3 < r->count && atom_is(&r->atoms[at], "l") &&
                 r->atoms[at + 1].kind == ATOM_NUMBER && r->atoms[at + 1].number == 1.0 &&
                 (atom_is(&r->atoms[at + 2], "b") || atom_is(&r->atoms[at + 2], "d")) &&
                 is_mark(r, at + 3, "_");
    *detail = whole && atom_is(&r->atoms[at + 2], "d");
    return whole ? at + 4 : at;
}

/* Without its prefix a field is known by its underscores: "plp_mod", "first_sub_fft_size". In a
 * dump of DVB-T2's none has a prefix. */
static bool is_bare_name(const struct reader *r, int at, const char *name)
{
    bool by_form = is_mark(r, at + 1, "_") &&
                   (strncmp(name, "plp ", 4) == 0 || strncmp(name, "first sub", 9) == 0);
    return by_form || r->page->pair == PAIR_DVB;
}

/* "[0][1]" behind a name: the last one is a PLP's, one before it a subframe's. */
static int read_indices(struct reader *r, int at, bool of_plp)
{
    int indices[2], count = 0;
    while (count < 2 && is_mark(r, at, "[(") && at + 2 < r->count &&
           r->atoms[at + 1].kind == ATOM_NUMBER && r->atoms[at + 1].whole &&
           is_mark(r, at + 2, "])")) {
        indices[count++] = (int)fmin(r->atoms[at + 1].number, 255.0);
        at += 3;
    }
    r->l1.index =
        count > 0 && of_plp && indices[count - 1] <= PAGE_PLP_MAX ? indices[count - 1] : -1;
    if (count == 2 || (count == 1 && !of_plp)) {
        r->subframe = indices[0];
    }
    return at;
}

/* "L1D_num_plp_minus1": a dump that says so gives what is sent. */
static int past_minus_1(const struct reader *r, int at)
{
    int word = is_mark(r, at, "_") ? at + 1 : at;
    bool said = word + 1 < r->count && atom_is(&r->atoms[word], "minus") &&
                r->atoms[word + 1].glued && r->atoms[word + 1].kind == ATOM_NUMBER &&
                r->atoms[word + 1].number == 1.0;
    return said ? word + 2 : at;
}

static bool find_name(struct reader *r, int at, struct l1_name *name)
{
    int start = past_prefix(r, at, &name->detail), best = 0;
    bool dvb = r->page->pair == PAIR_DVB;
    const struct l1_field *rows = dvb ? t2_fields : fields;
    size_t count = dvb ? sizeof t2_fields / sizeof t2_fields[0] : sizeof fields / sizeof fields[0];
    name->field = NULL;
    for (size_t i = 0; i < count; i++) {
        int taken = label_match(rows[i].name, r->atoms, r->count, start);
        if (taken > best && (start > at || is_bare_name(r, start, rows[i].name))) {
            best = taken;
            name->field = &rows[i];
        }
    }
    int end = past_minus_1(r, start + best);
    name->minus_1 = end > start + best;
    if (!name->field && start == at && !(dvb && is_mark(r, at + 1, "_"))) {
        return false;
    }
    bool longer = end < r->count && r->atoms[end].glued &&
                  (r->atoms[end].kind == ATOM_WORD || is_mark(r, end, "_"));
    if (!name->field || longer) { /* a field that is not in the table */
        name->field = start > at || dvb ? &other_field : NULL;
        while (
            end < r->count && (end == start || r->atoms[end].glued) &&
            past_minus_1(r, end) == end &&
            (r->atoms[end].kind == ATOM_WORD || is_mark(r, end, "_") || is_mark(r, end + 1, "_"))) {
            end++;
        }
        end = past_minus_1(r, end);
    }
    name->value = end;
    return name->field != NULL;
}

/* What stands in brackets behind a code says it again. */
static int past_brackets(const struct reader *r, int at)
{
    if (!is_mark(r, at, "(")) {
        return at;
    }
    while (at < r->count && !is_mark(r, at, ")")) {
        at++;
    }
    return at < r->count ? at + 1 : at;
}

static void take_code(struct reader *r, const struct l1_name *name, int first, int at)
{
    const struct l1_field *field = name->field;
    int code = (int)r->atoms[at].number;
    struct value value = {.first = first, .last = at};
    r->l1.in_detail = name->detail;
    r->l1.raw += name->minus_1;
    if (field->take) {
        field->take(r, code, &value);
    } else {
        keep_number(r, field->topic, field->key, field->offset + field->scale * code, &value);
    }
}

/* The name at `first` and its value; returns where to go on. */
static int read_field(struct reader *r, const struct l1_name *name, int first)
{
    bool of_plp = topic_is_of_plp(name->field->topic) || name->field->topic == TOPIC_PLP;
    int at = read_indices(r, name->value, of_plp);
    while (at < r->count && (r->atoms[at].kind == ATOM_BREAK || is_mark(r, at, ":=\"'>-"))) {
        at++;
    }
    r->line_plp = of_plp && r->l1.index >= 0 ? r->l1.ids[r->l1.index] : -1;
    bool number = at < r->count && r->atoms[at].kind == ATOM_NUMBER && r->atoms[at].whole;
    bool alone = number && !(at + 1 < r->count && r->atoms[at + 1].glued &&
                             (r->atoms[at + 1].kind == ATOM_WORD || is_mark(r, at + 1, "/_-")));
    bool reserved = number && name->field->take == NULL &&
                    name->field->offset + name->field->scale * r->atoms[at].number < 0.0;
    if (alone && !reserved && r->atoms[at].number <= name->field->high) {
        take_code(r, name, first, at);
        int end = past_brackets(r, at + 1);
        reader_consume(r, first, end);
        return end;
    }
    int end = at;
    struct l1_name next;
    while (!reader_is_break(r, end) &&
           !(r->atoms[end].kind == ATOM_WORD && find_name(r, end, &next))) {
        end++;
    }
    reader_consume(r, first, at);
    if (name->field != &other_field && end > at) {
        reader_read_value(r, name->field->topic, UNIT_NONE, first, at, end);
    } else {
        reader_consume(r, at, end);
    }
    return end;
}

bool codes_read_line(struct reader *r)
{
    bool any = false;
    for (int at = 0; at < r->count;) {
        struct l1_name name;
        if (r->atoms[at].kind == ATOM_WORD && find_name(r, at, &name)) {
            int end = read_field(r, &name, at);
            for (; at < end; at++) { /* for whoever reads the rest of the line */
                bool read = r->atoms[at].consumed && r->atoms[at].kind != ATOM_BREAK;
                r->atoms[at].kind = read ? ATOM_MARK : r->atoms[at].kind;
                r->atoms[at].mark = ' ';
            }
            any = true;
        } else {
            at++;
        }
    }
    return any;
}

bool codes_read_t2_line(struct reader *r)
{
    return r->l1.of_t2 && codes_read_line(r);
}
