/* Mending damaged tokens. A letter stands for a digit only where the pair is alike on a screen (l
 * and I for 1, O for 0; S, B and Z for 5, 8 and 2 between digits) and something else in the token
 * says that it is a number. */
#include "study/page/mend.h"

#include <string.h>
#include <strings.h>

#include "base/text.h"
#include "study/page/topics.h"

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_plain_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/* Damaged words and numbers without a single digit are no longer than this. */
#define LETTERS_MOST 5

/* What may stand behind a number without a space. */
static const char *const suffixes[] = {
    "db",      "dbm",      "dbuv", "dbmv", "hz",    "khz",  "mhz",   "us",    "usec",
    "ms",      "msec",     "kbps", "mbps", "mbit",  "kbit", "mbits", "k",     "kw",
    "qam",     "nuc",      "kqam", "ke",   "nuqam", "vsb",  "psk",   "bit",   "bits",
    "samples", "carriers", "rows", "x",    "km",    "m",    "s",     "cells", "plps",
    "symbols", "dbd",      "ghz",  "e",    "q"};

/* What may stand before one. */
static const char *const prefixes[] = {"gi",  "g",   "sp",   "mp",       "plp", "rf",
                                       "ch",  "cti", "qam",  "nuc",      "fft", "snr",
                                       "mer", "hti", "pipe", "subframe", "pp"};

/* Words that come out of photographs, and what they were. */
static const struct {
    const char *seen, *meant;
} words[] = {{"opsk", "qpsk"}, {"qpsx", "qpsk"}, {"oam", "qam"}, {"gam", "qam"}, {"qan", "qam"},
             {"nug", "nuc"},   {"d8", "db"},     {"d8m", "dbm"}, {"mh2", "mhz"}};

/* Case does not matter but for a single letter: "5S" may be 55. */
static bool is_listed(const char *const *list, size_t count, const char *word, size_t length)
{
    char first = (char)(*word | 32);
    for (size_t i = 0; i < count; i++) {
        bool same_case = length > 1 || *word == list[i][0] || strchr("KGQ", *word);
        if (first == list[i][0] && same_case && strlen(list[i]) == length &&
            strncasecmp(list[i], word, length) == 0) {
            return true;
        }
    }
    return false;
}
#define IS_LISTED(list, word, length) is_listed(list, sizeof(list) / sizeof(list)[0], word, length)

/* The digit that a character is or looks like, '.' for a point or comma; '\0': neither. */
static char digit_like(char c, bool inside)
{
    static const char like[] = "lIOo", digits[] = "1100", inner_like[] = "SBZ", inner[] = "582";
    const char *found = c != '\0' ? strchr(like, c) : NULL;
    if (is_digit(c)) {
        return c;
    }
    if (c == '.' || c == ',') {
        return '.';
    }
    if (found) {
        return digits[found - like];
    }
    found = inside && c != '\0' ? strchr(inner_like, c) : NULL;
    return found ? inner[found - inner_like] : '\0';
}

/* A token: letters and digits, and points or commas between them. */
static size_t token_length(const char *at, size_t left)
{
    size_t length = 0;
    while (length < left) {
        char c = at[length], next = length + 1 < left ? at[length + 1] : '\0';
        bool number = c == '.' && is_digit(at[0]) && is_digit(next);
        bool alike = length > 0 && digit_like(next, false) && digit_like(at[length - 1], false) &&
                     next != '.' && next != ',';
        bool joins = (c == '.' || c == ',') && length > 0 && (number || alike);
        if (!is_digit(c) && !is_plain_letter(c) && !joins) {
            break;
        }
        length++;
    }
    return length;
}

/* How many digits, letters and points the bytes have. */
struct census {
    int digits, letters, points;
};

static struct census count(const char *at, size_t length)
{
    struct census census = {0, 0, 0};
    for (size_t i = 0; i < length; i++) {
        census.digits += is_digit(at[i]);
        census.letters += is_plain_letter(at[i]);
        census.points += at[i] == '.' || at[i] == ',';
    }
    return census;
}

/* What a damaged word was; NULL: it is none of them. */
static const char *meant_by(const char *at, size_t length)
{
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (strlen(words[i].seen) == length && strncasecmp(at, words[i].seen, length) == 0) {
            return words[i].meant;
        }
    }
    return NULL;
}

/* Letters behind the last digit that are a known suffix; the digit may be in disguise ("2l.OdB").
 */
static size_t suffix_length(const char *at, size_t length)
{
    for (size_t from = 1; from < length; from++) {
        if (IS_LISTED(suffixes, at + from, length - from) || meant_by(at + from, length - from)) {
            return length - from;
        }
    }
    return 0;
}

static size_t prefix_length(const char *at, size_t length)
{
    for (size_t to = length - 1; to > 0; to--) {
        if (IS_LISTED(prefixes, at, to)) {
            return to;
        }
    }
    return 0;
}

/* Digits for all of it; false where one has no digit. */
static bool mend_digits(const char *at, size_t length, struct mended *mended)
{
    if (length == 0 || length >= MEND_BYTES) {
        return false;
    }
    for (size_t i = 0; i < length; i++) {
        bool inside = i > 0 && i + 1 < length;
        mended->text[i] = digit_like(at[i], inside);
        if (mended->text[i] == '\0') {
            return false;
        }
    }
    mended->text[length] = '\0';
    mended->kind = MEND_NUMBER;
    mended->length = length;
    return count(mended->text, length).points <= 1;
}

/* "5NR" is "snr": digits that look like letters of a known word; without the vocabulary only of one
 * that photographs are known to give. */
static bool mend_word(const char *at, size_t length, bool vocabulary, struct mended *mended)
{
    static const char digits[] = "0158", ways[2][5] = {"olsb", "oisb"};
    struct census census = count(at, length);
    bool changed = false;
    if (length < 2 || length >= MEND_BYTES ||
        (vocabulary && (census.letters < 2 || census.digits > 2))) {
        return false;
    }
    for (int way = 0; way < 2; way++) {
        for (size_t i = 0; i < length; i++) {
            const char *digit = strchr(digits, at[i]);
            char c = digit ? ways[way][digit - digits] : at[i];
            mended->text[i] = (char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
        }
        mended->text[length] = '\0';
        changed = changed || vocabulary;
        for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
            if (strcmp(mended->text, words[i].seen) == 0 ||
                (strlen(words[i].seen) == length && strncasecmp(at, words[i].seen, length) == 0)) {
                text_format(mended->text, MEND_BYTES, "%s", words[i].meant);
                changed = true;
            }
        }
        if (changed && word_is_known(mended->text)) {
            mended->kind = MEND_WORD;
            mended->length = length;
            return true;
        }
    }
    return false;
}

/* "1.2e" of "1.2e-6", "0x1A2B", "l1d": not numbers in need of mending. */
static bool is_of_another_kind(const char *at, size_t length, size_t left)
{
    bool signalling = length >= 2 && (at[0] == 'l' || at[0] == 'L') && at[1] == '1';
    bool hexadecimal = length > 2 && at[0] == '0' && (at[1] == 'x' || at[1] == 'X');
    bool power = length > 1 && (at[length - 1] | 32) == 'e' && left > length &&
                 (at[length] == '-' || at[length] == '+');
    return signalling || hexadecimal || power;
}

/* A number with letters in it: with what stands before and after it cut off. */
static bool mend_number(const char *at, size_t length, size_t left, struct mended *mended,
                        size_t *before)
{
    size_t prefix = is_digit(at[0]) ? 0 : prefix_length(at, length);
    for (int try = 0; try < 2; try++) {
        size_t suffix = try == 0 ? suffix_length(at + prefix, length - prefix) : 0;
        size_t middle = length - prefix - suffix;
        struct census census = count(at + prefix, middle);
        bool of_rate = left > length + 2 && strncmp(at + length, "/15", 3) == 0 && middle == 2;
        bool of_plp = prefix > 0 && middle == 1 && strncasecmp(at, "plp", 3) == 0;
        bool of_guard = prefix == 2 && middle == 1 && at[2] == 'S' && left > length &&
                        at[length] == '_' && strncasecmp(at, "gi", 2) == 0;
        if (of_guard) {
            *mended = (struct mended){MEND_NUMBER, 1, "5"};
            *before = prefix;
            return true;
        }
        if ((census.digits > 0 || of_rate || of_plp) && census.letters > 0 &&
            mend_digits(at + prefix, middle, mended)) {
            *before = prefix;
            return true;
        }
    }
    return false;
}

struct mended mend_token(const char *line, size_t length, size_t at, size_t *before)
{
    struct mended mended = {MEND_SOUND, 0, ""};
    size_t left = length - at, token = token_length(line + at, left);
    const char *start = line + at;
    struct census census = count(start, token);
    *before = 0;
    if (token == 0 || census.letters == 0 || is_of_another_kind(start, token, left) ||
        (census.digits == 0 && token > LETTERS_MOST)) {
        return mended;
    }
    if (token <= LETTERS_MOST && mend_word(start, token, false, &mended)) {
        return mended;
    }
    size_t suffix = suffix_length(start, token), prefix = prefix_length(start, token);
    bool sound = (suffix > 0 && count(start, token - suffix).letters == 0) ||
                 (prefix > 0 && count(start + prefix, token - prefix).letters == 0);
    if (sound) {
        return mended;
    }
    if (mend_number(start, token, left, &mended, before) ||
        (census.digits > 0 && mend_word(start, token, true, &mended))) {
        return mended;
    }
    /* A digit, then letters, then more of a number: it was one, and cannot be told. */
    bool lost = is_digit(start[0]) && suffix == 0;
    return (struct mended){lost ? MEND_LOST : MEND_SOUND, lost ? token : 0, ""};
}
