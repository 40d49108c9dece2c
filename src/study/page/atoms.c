/* Cuts a line of a page into atoms, with the several ways in which receivers write numbers. Words
 * are kept in small letters without accents, so that "Fréquence" is "frequence". */
#include "study/page/atoms.h"

#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "base/text.h"
#include "study/page/mend.h"

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (unsigned char)c >= 0x80;
}

/* A line and a place in it. */
struct scan {
    const char *line;
    int length, at;
    bool table_commas; /* the table's cells end with commas, whatever the line looks like */
    bool commas_part;  /* the table's do, or the line's */
};

static char peek(const struct scan *s, int ahead)
{
    int at = s->at + ahead;
    return at >= 0 && at < s->length ? s->line[at] : '\0';
}

/* A minus sign belongs to a number where nothing that could be subtracted from stands before. */
static bool starts_number(const struct scan *s)
{
    char c = peek(s, 0);
    if (is_digit(c)) {
        return true;
    }
    char before = peek(s, -1);
    bool free_standing = before == '\0' || strchr(" \t:=|(/,<>~\"'", before);
    if (c == '.') {
        return is_digit(peek(s, 1)) && free_standing;
    }
    return (c == '-' || c == '+') && free_standing &&
           (is_digit(peek(s, 1)) || (peek(s, 1) == '.' && is_digit(peek(s, 2))));
}

/* "24,3" alone: a decimal point, unless commas part cells here or a second one follows, as in a
 * list
 * ("0,1,2") or in thousands ("551,000,000"). */
static char comma_without_unit(const struct scan *s, int digits)
{
    char next = peek(s, 1 + digits);
    if (next == ',' && is_digit(peek(s, 2 + digits))) {
        bool thousands = digits == 3;
        for (int i = 0; i < 3; i++) {
            thousands = thousands && is_digit(peek(s, 2 + digits + i));
        }
        return thousands && !is_digit(peek(s, 5 + digits)) ? ',' : 0;
    }
    char behind = peek(s, 2 + digits);
    bool power = (next == 'e' || next == 'E') && (behind == '-' || behind == '+');
    bool ends = next == '\0' || power || strchr(" \t|;,)]\"'%", next);
    int back = -1;
    while (is_digit(peek(s, back))) {
        back--;
    }
    bool in_list = peek(s, back) == ',' && is_digit(peek(s, back - 1));
    bool in_thousands = in_list && digits == 3 && back == -4;
    return in_thousands ? ',' : s->commas_part || in_list || !ends ? 0 : '.';
}

/* Is a comma after `digits` digits a decimal point or a mark of thousands? The unit tells: "24,3
 * dB" but "605,000 kHz". '.' for a decimal point, ',' for thousands, 0 for neither. */
static char comma_kind(const struct scan *s)
{
    int digits = 0;
    while (is_digit(peek(s, 1 + digits))) {
        digits++;
    }
    int after = 1 + digits;
    while (peek(s, after) == ' ') {
        after++;
    }
    static const char *const units[] = {"db", "mhz", "ms", "us", "mbit", "mbps", "%", "ghz"};
    char tail[5] = {0};
    for (int i = 0; i < 4; i++) {
        char c = peek(s, after + i);
        tail[i] = (char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
    }
    int back = -1;
    while (is_digit(peek(s, back))) {
        back--;
    }
    bool quoted = peek(s, back) == '"' && peek(s, 1 + digits) == '"';
    if (digits == 0 || (s->table_commas && !quoted)) {
        return 0;
    }
    if (quoted) {
        return '.';
    }
    if (digits == 3 && (strncmp(tail, "khz", 3) == 0 || strncmp(tail, "hz", 2) == 0)) {
        return ',';
    }
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        if (strncmp(tail, units[i], strlen(units[i])) == 0) {
            return '.';
        }
    }
    return comma_without_unit(s, digits);
}

static void scan_number(struct scan *s, struct atom *atom)
{
    char digits[40];
    size_t count = 0;
    bool point = false;
    int start = s->at;
    atom->whole = is_digit(peek(s, 0));
    if (!atom->whole) {
        if (peek(s, 0) != '+') {
            digits[count++] = peek(s, 0) == '.' ? '0' : '-';
        }
        s->at += peek(s, 0) != '.';
    }
    while (s->at < s->length && count < sizeof digits - 2) {
        char c = peek(s, 0);
        char comma = c == ',' && !point ? comma_kind(s) : (char)0;
        if (is_digit(c)) {
            digits[count++] = c;
            atom->decimals += point;
        } else if ((c == '.' && is_digit(peek(s, 1)) && !point) || comma == '.') {
            digits[count++] = '.';
            point = true;
            atom->comma = c == ',' && atom->whole ? s->at - start : 0;
            atom->whole = false;
        } else if (comma != ',') {
            break;
        }
        s->at++;
    }
    digits[count] = '\0';
    while (is_digit(peek(s, 0))) { /* more digits than any reading has */
        s->at++;
        atom->whole = false;
    }
    atom->kind = ATOM_NUMBER;
    atom->number = 0.0;
    number_read_double(digits, &atom->number);
}

/* The plain letters of an accented one; "" for a mark that stands upon the letter before it; NULL:
 * the bytes themselves. */
static const char *plain_letters(const char *at, size_t *length)
{
    static const struct {
        const char *from, *to; /* UTF-8, both ends included */
        const char *plain;
    } rows[] = {
        {"\xC3\x80", "\xC3\x85", "a"},  {"\xC3\x86", "\xC3\x86", "ae"},
        {"\xC3\x87", "\xC3\x87", "c"},  {"\xC3\x88", "\xC3\x8B", "e"},
        {"\xC3\x8C", "\xC3\x8F", "i"},  {"\xC3\x91", "\xC3\x91", "n"},
        {"\xC3\x92", "\xC3\x96", "o"},  {"\xC3\x99", "\xC3\x9C", "u"},
        {"\xC3\x9F", "\xC3\x9F", "ss"}, {"\xC3\xA0", "\xC3\xA5", "a"},
        {"\xC3\xA6", "\xC3\xA6", "ae"}, {"\xC3\xA7", "\xC3\xA7", "c"},
        {"\xC3\xA8", "\xC3\xAB", "e"},  {"\xC3\xAC", "\xC3\xAF", "i"},
        {"\xC3\xB1", "\xC3\xB1", "n"},  {"\xC3\xB2", "\xC3\xB6", "o"},
        {"\xC3\xB9", "\xC3\xBC", "u"},  {"\xCC\x80", "\xCC\xBF", ""},
        {"\xCD\x80", "\xCD\xAF", ""},   {"\xC5\x92", "\xC5\x93", "oe"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (memcmp(at, rows[i].from, 2) >= 0 && memcmp(at, rows[i].to, 2) <= 0) {
            *length = 2;
            return rows[i].plain;
        }
    }
    *length = 1;
    return NULL;
}

/* Letters up to `end`. */
static void scan_word(struct scan *s, int end, struct atom *atom)
{
    size_t count = 0;
    while (s->at < end && is_letter(peek(s, 0))) {
        char c = peek(s, 0), one[2] = {(char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c), '\0'};
        size_t taken = 1;
        const char *plain = (unsigned char)c >= 0x80 && s->at + 1 < s->length
                                ? plain_letters(s->line + s->at, &taken)
                                : NULL;
        for (plain = plain ? plain : one; *plain && count < ATOM_WORD_BYTES - 1; plain++) {
            atom->word[count++] = *plain;
        }
        s->at += (int)taken;
    }
    atom->word[count] = '\0';
    atom->kind = ATOM_WORD;
}

/* "2?.1": a number that lost a digit is no number. Takes what is left of it as one odd word. */
static bool scan_damaged(struct scan *s, struct atom *atom)
{
    if (peek(s, 0) != '?' ||
        (!is_digit(peek(s, 1)) && peek(s, 1) != '.' && !is_digit(peek(s, -1)))) {
        return false;
    }
    while (is_digit(peek(s, 0)) || (peek(s, 0) != '\0' && strchr("?.", peek(s, 0)))) {
        s->at++;
    }
    *atom = (struct atom){.kind = ATOM_WORD, .word = "?", .start = atom->start};
    return true;
}

/* Two spaces and more, a tab, or a mark that parts cells. */
static bool scan_break(struct scan *s, struct atom *atom)
{
    int start = s->at;
    bool parts = false;
    while (s->at < s->length && strchr(" \t|;,", peek(s, 0))) {
        parts = parts || peek(s, 0) != ' ' || s->at > start;
        atom->parts += peek(s, 0) != ' ';
        s->at++;
    }
    atom->kind = ATOM_BREAK;
    return parts;
}

/* A token that is damaged, as the atoms of its sound and mended parts; 0: it is not. A sign before
 * what was a word is a mark of its own: "-5NR" is no number. */
static int scan_mended(struct scan *s, struct atom *atoms)
{
    int sign = peek(s, 0) == '-' || peek(s, 0) == '+';
    size_t before;
    char last = peek(s, -1);
    if ((is_digit(last) && !is_letter(peek(s, 0))) || (is_letter(last) && !(last & 0x80)) ||
        (sign && !starts_number(s))) {
        return 0;
    }
    struct mended mended =
        mend_token(s->line, (size_t)s->length, (size_t)s->at + (size_t)sign, &before);
    int count = 0, start = s->at;
    bool behind_number = is_digit(last); /* "256OAM": its number is sound */
    if (mended.kind == MEND_SOUND || (behind_number && mended.kind != MEND_WORD)) {
        return 0;
    }
    if (sign && mended.kind == MEND_WORD) {
        atoms[0] = (struct atom){.kind = ATOM_MARK, .mark = '-', .start = start};
        s->at++;
        return 1;
    }
    if (before > 0) {
        scan_word(s, s->at + (int)before, &atoms[count]);
        atoms[count].start = start;
        atoms[count++].end = s->at;
    }
    struct atom *atom = &atoms[count];
    *atom = (struct atom){.start = s->at, .guess = true, .glued = before > 0};
    s->at += sign + (int)mended.length;
    atom->end = s->at;
    if (mended.kind == MEND_NUMBER) {
        atom->kind = ATOM_NUMBER;
        atom->whole = !sign && !strchr(mended.text, '.');
        number_read_double(mended.text, &atom->number);
        atom->number *= sign && s->line[start] == '-' ? -1.0 : 1.0;
    } else {
        atom->kind = ATOM_WORD;
        atom->guess = mended.kind == MEND_WORD;
        text_format(atom->word, sizeof atom->word, "%s",
                    mended.kind == MEND_WORD ? mended.text : "?");
    }
    return count + 1;
}

bool line_parts_by_commas(const char *line, size_t length)
{
    for (size_t i = 1; i + 1 < length; i++) {
        bool between_digits = is_digit(line[i - 1]) && is_digit(line[i + 1]);
        if (line[i] == ',' && !between_digits && line[i + 1] != ' ') {
            return true;
        }
    }
    return false;
}

/* One atom, or the two of a token that was mended. */
static int scan_atom(struct scan *s, struct atom *atom)
{
    char c = peek(s, 0);
    *atom = (struct atom){.start = s->at};
    if (strchr(" \t|;,", c)) { /* a page has no NUL */
        return scan_break(s, atom);
    }
    int mended = scan_mended(s, atom);
    if (mended > 0) {
        return mended;
    }
    if (starts_number(s)) {
        scan_number(s, atom);
        scan_damaged(s, atom);
    } else if (is_letter(c)) {
        scan_word(s, s->length, atom);
    } else if (!scan_damaged(s, atom)) {
        atom->kind = ATOM_MARK;
        atom->mark = c;
        s->at++;
    }
    return 1;
}

/* One space stands between two atoms. */
static bool are_apart(const struct atom *before, const struct atom *after)
{
    return after->start == before->end + 1;
}

/* "22 . 4", "22 .4": a number that a photograph took apart, put together as a guess. */
static int mend_parted(const char *line, struct atom *atoms, int count)
{
    int kept = 0;
    for (int at = 0; at < count; at++, kept++) {
        struct atom *atom = &atoms[kept], *next = &atoms[at + 1];
        *atom = atoms[at];
        if (at + 1 >= count || atom->kind != ATOM_NUMBER || !atom->whole ||
            !are_apart(atom, next) ||
            (kept > 0 && atoms[kept - 1].kind == ATOM_MARK && atoms[kept - 1].mark == '.')) {
            continue;
        }
        bool point = next->kind == ATOM_NUMBER && line[next->start] == '.';
        bool apart = at + 2 < count && next->kind == ATOM_MARK && next->mark == '.' &&
                     atoms[at + 2].kind == ATOM_NUMBER && atoms[at + 2].whole;
        if (!point && !apart) {
            continue;
        }
        const struct atom *last = apart ? &atoms[at + 2] : next;
        int digits = last->end - last->start - point;
        double fraction = last->number;
        for (int i = 0; apart && i < digits; i++) {
            fraction /= 10.0;
        }
        atom->number += fraction;
        atom->decimals = digits;
        atom->whole = false;
        atom->guess = true;
        atom->end = last->end;
        at += apart ? 2 : 1;
    }
    return kept;
}

int atoms_split(const char *line, size_t length, bool commas_part, struct atom *atoms)
{
    struct scan s = {line, (int)length, 0, commas_part,
                     commas_part || line_parts_by_commas(line, length)};
    int count = 0;
    while (s.at < s.length && count < ATOMS_MAX - 1) {
        int more = scan_atom(&s, &atoms[count]);
        if (more > 0) {
            atoms[count + more - 1].end = s.at;
            atoms[count].glued = count > 0 && atoms[count - 1].end == atoms[count].start &&
                                 atoms[count - 1].kind != ATOM_BREAK;
        }
        count += more;
    }
    return mend_parted(line, atoms, count);
}

int atoms_part_comma(const char *line, struct atom *atoms, int count, int at)
{
    struct atom whole = atoms[at];
    if (count + 2 > ATOMS_MAX || whole.comma == 0) {
        return count;
    }
    memmove(&atoms[at + 2], &atoms[at], sizeof atoms[0] * (size_t)(count - at));
    struct scan s = {line, whole.start + whole.comma, whole.start, true, true};
    atoms[at] = (struct atom){.start = whole.start, .glued = whole.glued};
    scan_number(&s, &atoms[at]);
    atoms[at].end = s.at;
    atoms[at + 1] = (struct atom){.kind = ATOM_BREAK, .start = s.at, .end = s.at + 1, .parts = 1};
    s = (struct scan){line, whole.end, s.at + 1, true, true};
    atoms[at + 2] = (struct atom){.start = s.at};
    scan_number(&s, &atoms[at + 2]);
    atoms[at + 2].end = s.at;
    return count + 2;
}

bool atom_is(const struct atom *atom, const char *word)
{
    return atom->kind == ATOM_WORD && strcmp(atom->word, word) == 0;
}
