/* The generator is the product of the minimal polynomials of a, a^3, ... a^23, where a is a root of
 * x^16 + x^5 + x^3 + x^2 + 1 (64800) or x^14 + x^5 + x^3 + x + 1 (16200): degrees 192 and 168
 * (the polynomials of ATSC A/322:2024-04 section 6.1.2, from memory; the code sizes of Tables 6.6
 * and 6.7 fit). A minimal polynomial is the product of (x - c) over the conjugates c = b, b^2,
 * b^4, ... of b. Systematic encoding appends the remainder of payload(x) x^parity, sixteen bits at
 * a time by two tables. Worked number: the minimal polynomial of a^3 in GF(2^16) is 1 + x + x^4 +
 * x^5 + x^6 + x^8 + x^16. */
#include "simulation/ldpc/bch.h"

#include <string.h>

#define DEGREE_MAX 192

static const struct field {
    int bits;
    unsigned primitive;
} fields[] = {{16, 0x1002D}, {14, 0x402B}};

static unsigned field_multiply(const struct field *field, unsigned a, unsigned b)
{
    unsigned product = 0;
    for (; b; b >>= 1) {
        if (b & 1) {
            product ^= a;
        }
        a <<= 1;
        if (a >> field->bits) {
            a ^= field->primitive;
        }
    }
    return product;
}

/* Coefficients (0 or 1, 16 at most above the constant) of the minimal polynomial of `root`; its
 * degree is returned. */
static int minimal_polynomial(const struct field *field, unsigned root, unsigned *coefficients)
{
    int degree = 0;
    unsigned conjugate = root;
    coefficients[0] = 1;
    do {
        coefficients[degree + 1] = 0;
        for (int i = ++degree; i >= 0; i--) { /* times (x + conjugate) */
            unsigned lower = i > 0 ? coefficients[i - 1] : 0;
            coefficients[i] = lower ^ field_multiply(field, coefficients[i], conjugate);
        }
        conjugate = field_multiply(field, conjugate, conjugate);
    } while (conjugate != root);
    return degree;
}

int bch_generator(int word_bits, int correctable, uint8_t *coefficients)
{
    const struct field *field = &fields[word_bits < 64800];
    int degree = 0;
    memset(coefficients, 0, DEGREE_MAX + 1);
    coefficients[0] = 1;
    unsigned root = 2, step = field_multiply(field, 2, 2);
    for (int i = 0; i < correctable; i++) {
        unsigned factor[18];
        uint8_t product[DEGREE_MAX + 1] = {0};
        int factor_degree = minimal_polynomial(field, root, factor);
        for (int a = 0; a <= degree; a++) {
            for (int b = 0; b <= factor_degree && coefficients[a]; b++) {
                product[a + b] ^= (uint8_t)factor[b];
            }
        }
        memcpy(coefficients, product, sizeof product);
        degree += factor_degree;
        root = field_multiply(field, root, step);
    }
    return degree;
}

static void shift_left(uint64_t *word, int by)
{
    word[0] = word[0] << by | word[1] >> (64 - by);
    word[1] = word[1] << by | word[2] >> (64 - by);
    word[2] <<= by;
}

void bch_build(struct bch *bch, int word_bits, int code_bits, int correctable)
{
    uint8_t coefficients[DEGREE_MAX + 1];
    int degree = bch_generator(word_bits, correctable, coefficients);
    uint64_t generator[3] = {0}; /* without its leading one, highest power first */
    for (int i = 0; i < degree; i++) {
        int place = degree - 1 - i;
        generator[place / 64] |= (uint64_t)coefficients[i] << (63 - place % 64);
    }
    bch->correctable = correctable;
    bch->code_bits = code_bits;
    bch->payload_bits = bch->code_bits - degree;
    for (unsigned byte = 0; byte < 256; byte++) {
        uint64_t rest[3] = {(uint64_t)byte << 56, 0, 0};
        for (int i = 0; i < 8; i++) {
            uint64_t feedback = -(rest[0] >> 63);
            shift_left(rest, 1);
            for (int k = 0; k < 3; k++) {
                rest[k] ^= generator[k] & feedback;
            }
        }
        memcpy(bch->remainder[0][byte], rest, sizeof rest);
    }
    for (unsigned byte = 0; byte < 256; byte++) { /* one more byte, of zeros, behind it */
        const uint64_t *near = bch->remainder[0][byte];
        uint64_t *far = bch->remainder[1][byte];
        memcpy(far, near, sizeof bch->remainder[1][byte]);
        shift_left(far, 8);
        for (int k = 0; k < 3; k++) {
            far[k] ^= bch->remainder[0][near[0] >> 56][k];
        }
    }
}

/* The next eight bits, the first as the most significant: gathered in one multiplication, in which
 * bit k, at place 8 k, comes to place 63 - k and no two products meet. */
static unsigned gather_byte(const uint8_t *bits)
{
    uint64_t spread = 0;
    for (int k = 0; k < 8; k++) {
        spread |= (uint64_t)bits[k] << 8 * k;
    }
    return (unsigned)(spread * 0x8040201008040201u >> 56);
}

/* Takes in `count` bytes, 1 or 2. */
static void take_bytes(const struct bch *bch, uint64_t *rest, unsigned bytes, int count)
{
    unsigned index = bytes ^ (unsigned)(rest[0] >> (64 - 8 * count));
    const uint64_t *near = bch->remainder[0][index & 255];
    const uint64_t *far = bch->remainder[1][index >> 8];
    shift_left(rest, 8 * count);
    for (int k = 0; k < 3; k++) {
        rest[k] ^= near[k] ^ far[k];
    }
}

void bch_encode(const struct bch *bch, uint8_t *bits)
{
    uint64_t rest[3] = {0};
    int done = 0;
    for (; done + 16 <= bch->payload_bits; done += 16) {
        take_bytes(bch, rest, gather_byte(bits + done) << 8 | gather_byte(bits + done + 8), 2);
    }
    if (done < bch->payload_bits) { /* payloads are whole bytes */
        take_bytes(bch, rest, gather_byte(bits + done), 1);
    }
    for (int i = bch->payload_bits; i < bch->code_bits; i++) {
        int place = i - bch->payload_bits;
        bits[i] = rest[place / 64] >> (63 - place % 64) & 1;
    }
}

int bch_count_errors(const struct bch *bch, const uint8_t *sent, const uint8_t *received)
{
    int errors = 0;
    for (int i = 0; i < bch->code_bits; i++) {
        errors += sent[i] != received[i];
    }
    return errors;
}
