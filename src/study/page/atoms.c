/* Cuts a line of a page into atoms, with the several ways in which receivers write numbers. */
#include "study/page/atoms.h"

#include <stdlib.h>
#include <string.h>

#include "base/number.h"

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
    if (digits == 0) {
        return 0;
    }
    if (digits == 3 && (strncmp(tail, "khz", 3) == 0 || strncmp(tail, "hz", 2) == 0)) {
        return ',';
    }
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        if (strncmp(tail, units[i], strlen(units[i])) == 0) {
            return '.';
        }
    }
    return 0;
}

static void scan_number(struct scan *s, struct atom *atom)
{
    char digits[40];
    size_t count = 0;
    bool point = false;
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
        } else if ((c == '.' && is_digit(peek(s, 1)) && !point) || comma == '.') {
            digits[count++] = '.';
            point = true;
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

static void scan_word(struct scan *s, struct atom *atom)
{
    size_t count = 0;
    while (is_letter(peek(s, 0))) {
        char c = peek(s, 0);
        if (count < ATOM_WORD_BYTES - 1) {
            atom->word[count++] = (char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
        }
        s->at++;
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
static bool scan_break(struct scan *s)
{
    int start = s->at;
    bool parts = false;
    while (s->at < s->length && strchr(" \t|;,", peek(s, 0))) {
        parts = parts || peek(s, 0) != ' ' || s->at > start;
        s->at++;
    }
    if (s->at > start && !parts) {
        return false;
    }
    return s->at > start;
}

int atoms_split(const char *line, size_t length, struct atom *atoms)
{
    struct scan s = {line, (int)length, 0};
    int count = 0;
    while (s.at < s.length && count < ATOMS_MAX) {
        struct atom *atom = &atoms[count];
        *atom = (struct atom){.start = s.at};
        if (strchr(" \t|;,", peek(&s, 0)) && peek(&s, 0) != '\0') {
            if (!scan_break(&s)) {
                continue;
            }
            atom->kind = ATOM_BREAK;
        } else if (starts_number(&s)) {
            scan_number(&s, atom);
            scan_damaged(&s, atom);
        } else if (is_letter(peek(&s, 0))) {
            scan_word(&s, atom);
        } else if (!scan_damaged(&s, atom)) {
            atom->kind = ATOM_MARK;
            atom->mark = peek(&s, 0);
            s.at++;
        }
        atom->end = s.at;
        atom->glued =
            count > 0 && atoms[count - 1].end == atom->start && atoms[count - 1].kind != ATOM_BREAK;
        count++;
    }
    return count;
}

bool atom_is(const struct atom *atom, const char *word)
{
    return atom->kind == ATOM_WORD && strcmp(atom->word, word) == 0;
}
