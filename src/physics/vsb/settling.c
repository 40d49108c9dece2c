/* Idea. With x what the feedback taps are at the end of a step of reach g that begins from f and b,
 * x = (b + g u) / (1 + g), u being what the forward taps weigh of each symbol fed back: what is
 * left of that symbol is (u - b) / (1 + g). So a share e = 1 / (1 + g) of these symbols stays in,
 * all of the others, and the forward taps solve
 *
 *     A w = f / g + h + e H b,   A(s, s') = (1 / g + noise) delta + sum over k of e(k) h h',
 *
 * e(k) = e for symbols fed back and 1 for others, h in the sum the channel tap by which symbol k
 * comes into sample s. A is Toeplitz but for two outer products, (1 - e) h h' where the wanted
 * symbol follows those fed back, and where feedback ends: its factor follows column by column as in
 * equaliser.c, no longer than the channel lasts, and each as the one before where what turns it has
 * died.
 *
 * Validity: 32-bit numbers bear it, as A's eigenvalues are at least 1 / g; g up to thousands.
 * Worked number: h = (1), noise 0.1, one forward tap and none of feedback, from 0 with g = 2: (0.5
 * + 0.1 + 1) w = 1, 0.625 (computed, tests/physics/vsb/test_settling.c). */
#include "physics/vsb/settling.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/twins.h"

#define LANES 8
typedef float lanes __attribute__((vector_size(4 * LANES)));
#define BLOCK 4         /* rows that are solved backwards together */
#define PAD (2 * LANES) /* zeros behind a column, read by rows of a block */
#define LOOK_EACH 8     /* columns, from look to look whether a generator has died */
#define DEAD 1e-4f      /* of the column, sums of squares: it acts by its square */

/* The channel's taps, rounded up. */
static int length_of(const struct curve *c)
{
    return (c->range + LANES - 1) / LANES * LANES;
}

enum status settling_make(const struct curve *c, struct settling *s)
{
    int length = length_of(c);
    size_t n = (size_t)c->forward, stride = (size_t)length + PAD, each = n + 2 * stride + PAD;
    size_t sums = (size_t)(c->forward > c->spans.feedback ? c->forward : c->spans.feedback);
    *s = (struct settling){.stride = (int)stride};
    s->column = malloc((n + BLOCK) * sizeof *s->column);
    s->memory = malloc(((n + 1) * stride + 2 * stride + 6 * each + sums + CURVE_PLACES) *
                       sizeof *s->memory);
    if (s->column == NULL || s->memory == NULL) {
        return STATUS_NO_MEMORY;
    }
    s->columns = s->memory;
    s->dense = s->columns + (n + 1) * stride;
    float **const arrays[] = {&s->centre, &s->minus, &s->old, &s->right, &s->inverse, &s->solved};
    float *next = s->dense + 2 * stride;
    for (size_t i = 0; i < sizeof arrays / sizeof arrays[0]; i++, next += each) {
        *arrays[i] = next;
    }
    s->sums = next;
    return STATUS_OK;
}

void settling_free(struct settling *s)
{
    free(s->memory);
    free(s->column);
    *s = (struct settling){0};
}

/* What there is of A yet to be factored: rows, length of a column, and from which rows on there is
 * something of two of the generators. */
struct part {
    int n, length;
    int centre_from, old_from;
};

/* The first row of A, the generators and the channel, the oldest sample first. */
static struct part start(const struct curve *c, struct settling *s, float reach)
{
    struct part part = {c->forward, length_of(c), c->forward, c->forward};
    int first = c->at[0], earlier = c->spans.earlier, feedback = c->spans.feedback;
    float stays = 1.0f / (1.0f + reach), root = sqrtf(1.0f - stays), *row = s->columns;
    size_t bytes = (size_t)(c->forward + s->stride) * sizeof(float);
    memset(s->centre, 0, bytes);
    memset(s->minus, 0, bytes);
    memset(s->old, 0, bytes);
    memset(s->dense, 0, 2 * (size_t)s->stride * sizeof *s->dense);
    memset(row, 0, (size_t)s->stride * sizeof *row);
    for (int t = 0; t < c->tap_count; t++) {
        int centre = c->at[t] + earlier, old = centre - feedback;
        s->dense[c->at[t] - first] = c->channel[t];
        if (centre >= 1 && centre < part.n) {
            s->centre[centre] = root * c->channel[t];
            part.centre_from = centre < part.centre_from ? centre : part.centre_from;
        }
        if (old >= 1 && old < part.n) {
            s->old[old] = root * c->channel[t];
            part.old_from = old < part.old_from ? old : part.old_from;
        }
    }
    for (int t = 0; t < c->tap_count; t++) {
        int symbol = c->at[t] + earlier; /* before the wanted one */
        float weight = (symbol >= 1 && symbol <= feedback ? stays : 1.0f) * c->channel[t];
        const float *from = s->dense + c->at[t] - first;
        for (int i = 0; i < part.length; i++) {
            row[i] += weight * from[i];
        }
    }
    row[0] += 1.0f / reach + (float)c->learning->noise;
    float scale = 1.0f / sqrtf(row[0]);
    for (int i = 0; i < part.length; i++) {
        row[i] *= scale;
        s->minus[i] = i == 0 ? 0.0f : row[i];
    }
    return part;
}

INLINED float sum_of(const lanes *sum)
{
    float low = ((*sum)[0] + (*sum)[1]) + ((*sum)[2] + (*sum)[3]);
    return low + (((*sum)[4] + (*sum)[5]) + ((*sum)[6] + (*sum)[7]));
}

INLINED float squares(const float *values, int count)
{
    lanes sum = {0.0f};
    for (int i = 0; i < count; i += LANES) {
        lanes x;
        memcpy(&x, values + i, sizeof x);
        sum += x * x;
    }
    return sum_of(&sum);
}

/* Takes x times a column off the right-hand side. */
INLINED void take_off(const float *column, int count, float x, float *right)
{
    for (int i = 0; i < count; i += LANES) {
        lanes a, r;
        memcpy(&a, column + i, sizeof a);
        memcpy(&r, right + i, sizeof r);
        r -= x * a;
        memcpy(right + i, &r, sizeof r);
    }
}

/* The plane rotation that takes (a, b) to (length, 0), the length of a's sign: where b has not
 * begun nothing turns. */
INLINED float plane_rotation(float a, float b, float *c, float *s)
{
    float length = copysignf(sqrtf(a * a + b * b), a);
    *c = length != 0.0f ? a / length : 1.0f;
    *s = length != 0.0f ? b / length : 0.0f;
    return length;
}

/* Rotates the column before, which has moved down by a row for nothing, and the generators so that
 * only it has an entry at row k: it is then column k, in `to`, and taken off the right-hand side.
 * Gives by how much. */
INLINED float next_column(const struct settling *s, int k, int count, const float *from, float *to,
                          bool centre, bool minus, bool old)
{
    float *b = s->centre + k, *c = s->minus + k, *d = s->old + k, *right = s->right + k;
    float pc = 1.0f, ps = 0.0f, mc = 1.0f, ms = 0.0f, plus = from[0], rho = 0.0f, root = 1.0f;
    if (centre) {
        plus = plane_rotation(from[0], b[0], &pc, &ps);
    }
    if (minus) {
        rho = (old ? plane_rotation(c[0], d[0], &mc, &ms) : c[0]) / plus;
        root = sqrtf((1.0f - rho) * (1.0f + rho));
    }
    float inverse = 1.0f / root, plain = pc * inverse, other = ps * inverse, drop = rho * inverse;
    float x = right[0] * inverse / plus;
    for (int i = 0; i < count; i += LANES) {
        lanes ai, bi, ci, di, ri, column;
        memcpy(&ai, from + i, sizeof ai);
        memcpy(&ri, right + i, sizeof ri);
        column = plain * ai;
        if (centre) {
            memcpy(&bi, b + i, sizeof bi);
            column += other * bi;
            bi = pc * bi - ps * ai;
            memcpy(b + i, &bi, sizeof bi);
        }
        if (minus) {
            memcpy(&ci, c + i, sizeof ci);
            if (old) {
                memcpy(&di, d + i, sizeof di);
                lanes turned = mc * ci + ms * di;
                di = mc * di - ms * ci;
                memcpy(d + i, &di, sizeof di);
                ci = turned;
            }
            column -= drop * ci;
            ci = root * ci - rho * column;
            memcpy(c + i, &ci, sizeof ci);
        }
        ri -= x * column;
        memcpy(to + i, &column, sizeof column);
        memcpy(right + i, &ri, sizeof ri);
    }
    memset(to + count, 0, PAD * sizeof *to);
    return x;
}

/* Factors A = L L' and solves L u = right, u in `solved`. */
INLINED void go_down(const struct settling *s, struct part part)
{
    float *column = s->columns;
    bool centre_died = false, minus_died = false, old_died = part.old_from == part.n;
    for (int k = 0; k < part.n; k++) {
        bool centre = k >= part.centre_from && !centre_died, there = centre || !minus_died;
        float *to = column + s->stride;
        if (k > 0 && there) {
            s->solved[k] =
                minus_died ? next_column(s, k, part.length, column, to, true, false, false)
                : old_died && centre ? next_column(s, k, part.length, column, to, true, true, false)
                : old_died ? next_column(s, k, part.length, column, to, false, true, false)
                           : next_column(s, k, part.length, column, to, true, true, true);
            column = to;
        }
        s->inverse[k] = k > 0 && !there ? s->inverse[k - 1] : 1.0f / column[0];
        s->column[k] = column;
        if (k == 0 || !there) {
            s->solved[k] = s->right[k] * s->inverse[k];
            take_off(column, part.length, s->solved[k], s->right + k);
        }
        if (k % LOOK_EACH == 0 && there) {
            float least = DEAD * column[0] * column[0];
            const float *b = s->centre + k + 1, *c = s->minus + k + 1, *d = s->old + k + 1;
            centre_died = centre && squares(b, part.length) < least;
            old_died = old_died || (k > part.old_from && squares(d, part.length) < least);
            minus_died = minus_died || (old_died && squares(c, part.length) < least);
        }
    }
}

/* Solves L' x = u, in `solved`. Rows of a block share what later ones have. */
INLINED void go_up(const struct settling *s, struct part part)
{
    float *x = s->solved;
    memset(x + part.n, 0, (size_t)s->stride * sizeof *x);
    int k = part.n - 1;
    for (; k >= 0 && k % BLOCK != BLOCK - 1; k--) {
        lanes sum = {0.0f};
        for (int i = 0; i < part.length; i += LANES) {
            lanes a, b;
            memcpy(&a, s->column[k] + 1 + i, sizeof a);
            memcpy(&b, x + k + 1 + i, sizeof b);
            sum += a * b;
        }
        x[k] = (x[k] - sum_of(&sum)) * s->inverse[k];
    }
    for (; k >= 0; k -= BLOCK) {
        lanes sum[BLOCK] = {{0.0f}};
        for (int i = 0; i < part.length; i += LANES) {
            lanes a, b;
            memcpy(&b, x + k + 1 + i, sizeof b);
            for (int m = 0; m < BLOCK; m++) {
                memcpy(&a, s->column[k - m] + 1 + m + i, sizeof a);
                sum[m] += a * b;
            }
        }
        for (int m = 0; m < BLOCK; m++) {
            float rest = x[k - m] - sum_of(&sum[m]);
            for (int later = 0; later < m; later++) {
                rest -= s->column[k - m][m - later] * x[k - later];
            }
            x[k - m] = rest * s->inverse[k - m];
        }
    }
}

TWINS static void solve(const struct settling *s, struct part part)
{
    go_down(s, part);
    go_up(s, part);
}

void settling_find(struct curve *c, struct settling *s, double reach, const float *from,
                   float *taps)
{
    int n = c->forward, feedback = c->spans.feedback;
    float g = (float)reach, stays = 1.0f / (1.0f + g);
    struct part part = start(c, s, g);
    float *zero = c->symbols - c->first_symbol;
    memset(c->symbols, 0, (size_t)c->symbol_count * sizeof *c->symbols);
    zero[0] = 1.0f;
    for (int j = 0; j < feedback; j++) {
        zero[1 + j] = stays * from[n + j];
    }
    curve_put_back(c, s->sums);
    for (int i = 0; i < n; i++) {
        s->right[n - 1 - i] = s->sums[i] + from[i] / g;
    }
    memset(s->right + n, 0, (size_t)s->stride * sizeof *s->right);
    solve(s, part);
    for (int i = 0; i < n; i++) {
        taps[i] = s->solved[n - 1 - i];
    }
    curve_weigh_fed_back(c, taps, s->sums);
    for (int j = 0; j < feedback; j++) {
        taps[n + j] = (from[n + j] + g * s->sums[j]) * stays;
    }
}
