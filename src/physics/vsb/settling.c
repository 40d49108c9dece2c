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
 * Without roots. What is to come of A is p a a' + q b b' + .., a the next column and b a generator,
 * q of either sign. With u = b(0) / a(0) and k = q / p the same is told by
 *
 *     a + k u b  and  b - u a,   both weights divided by 1 + k u^2,
 *
 * the second of which has no entry in the first row (fast rotations: Gentleman, J. Inst. Maths
 * Applics 12, 1973). All ratios but k grow by 1 + k u^2, so that from row to row a single quotient
 * has to be waited for, where plane and hyperbolic rotations wait for two roots and three.
 *
 * Rows by eight. What turns eight rows is found from their first eight entries; then it passes over
 * all others, eight at a time, which stay in registers for all eight rows. Meanwhile what turns the
 * next eight is found.
 *
 * Validity: 32-bit numbers bear it, as A's eigenvalues are at least 1 / g; g up to thousands. A
 * margin of 3 dB too few, by the nearest level behind two echoes that turn, is within 0.003 dB of
 * what 64-bit numbers and generators that never die give.
 * Worked number: h = (1), noise 0.1, one forward tap and none of feedback, from 0 with g = 2: (0.5
 * + 0.1 + 1) w = 1, 0.625 (computed, tests/physics/vsb/test_settling.c). */
#include "physics/vsb/settling.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/twins.h"

#define LANES 8
typedef float lanes __attribute__((vector_size(4 * LANES)));
typedef int32_t whole __attribute__((vector_size(4 * LANES)));
#define ROWS_EACH 2 /* of the next block, found while so many chunks are turned */
#define DEAD 1e-5f  /* of the column, sums of squares: it acts by its square */

/* Rows are taken LANES at a time, a block. A column of a block begins with the block's first row,
 * LANES entries a chunk, and has a chunk of zeros on either side. */
static int chunks_of(const struct curve *c)
{
    int chunks = (c->range + 2 * (LANES - 1)) / LANES;
    return (chunks + 2 - 1) / 2 * 2;
}

enum status settling_make(const struct curve *c, struct settling *s)
{
    int chunks = chunks_of(c), blocks = (c->forward + LANES - 1) / LANES;
    size_t stride = (size_t)(chunks + 2) * LANES, each = (size_t)(blocks + chunks + 1) * LANES;
    size_t sums = (size_t)(c->forward > c->spans.feedback ? c->forward : c->spans.feedback);
    *s = (struct settling){.stride = (int)stride, .chunks = chunks, .blocks = blocks};
    s->block = malloc((size_t)blocks * sizeof *s->block);
    s->memory = malloc(
        ((size_t)(blocks + 1) * LANES * stride + 2 * stride + 6 * each + sums + CURVE_PLACES) *
        sizeof *s->memory);
    if (s->block == NULL || s->memory == NULL) {
        return STATUS_NO_MEMORY;
    }
    s->columns = s->memory;
    s->first = s->columns + (size_t)blocks * LANES * stride;
    s->dense = s->first + LANES * stride;
    float **const arrays[] = {&s->others[0], &s->others[1], &s->others[2],
                              &s->right,     &s->inverse,   &s->solved};
    float *next = s->dense + 2 * stride;
    for (size_t i = 0; i < sizeof arrays / sizeof arrays[0]; i++, next += each) {
        *arrays[i] = next;
    }
    s->sums = next;
    for (int i = 0; i < (blocks + 1) * LANES; i++) {
        float *column = s->columns + (size_t)i * stride;
        memset(column, 0, LANES * sizeof *column);
        memset(column + stride - LANES, 0, LANES * sizeof *column);
    }
    return STATUS_OK;
}

void settling_free(struct settling *s)
{
    free(s->memory);
    free(s->block);
    *s = (struct settling){0};
}

/* Generators: what follows the wanted symbol and what the end of feedback adds, and what makes of a
 * Toeplitz matrix's column the next one. */
enum { CENTRE, MINUS, OLD, OTHERS };

/* What there is of A yet to be factored: rows, and from which rows on there is something of each
 * generator. */
struct part {
    int n;
    int from[OTHERS];
};

/* row[i] = sum over channel taps of each times the one i symbols after it, those by which symbols
 * fed back come in times what stays of these. `dense` has zeros behind the channel. */
#define SUMS 4 /* registers of them, so that no addition waits for the one before */
TWINS static void add_products(const struct curve *c, const float *dense, float stays, float *row)
{
    for (int i = 0; i < c->range; i += SUMS * LANES) {
        lanes sums[SUMS] = {{0.0f}}, at;
        for (int t = 0; t < c->tap_count; t++) {
            int symbol = c->at[t] + c->spans.earlier; /* before the wanted one */
            bool fed_back = symbol >= 1 && symbol <= c->spans.feedback;
            float weight = (fed_back ? stays : 1.0f) * c->channel[t];
            const float *from = dense + (c->at[t] - c->at[0]) + i;
            for (int k = 0; k < SUMS; k++) {
                memcpy(&at, from + (ptrdiff_t)k * LANES, sizeof at);
                sums[k] += weight * at;
            }
        }
        for (int k = 0; k < SUMS && i + k * LANES < c->range; k++) {
            memcpy(row + i + (ptrdiff_t)k * LANES, &sums[k], sizeof sums[k]);
        }
    }
}

/* The first row of A, the generators and the channel, the oldest sample first. */
static struct part start(const struct curve *c, struct settling *s, float reach)
{
    struct part part = {c->forward, {c->forward, 0, c->forward}};
    int first = c->at[0], earlier = c->spans.earlier, feedback = c->spans.feedback;
    float stays = 1.0f / (1.0f + reach), root = sqrtf(1.0f - stays);
    /* The last column of a block before the first: one row further down it is the first one. */
    float *row = s->first + (ptrdiff_t)(LANES - 1) * s->stride + 2 * LANES - 1;
    memset(s->others[0], 0, (size_t)(s->solved - s->others[0]) * sizeof(float));
    memset(row + 1 - LANES, 0, (size_t)(s->chunks + 1) * LANES * sizeof *row);
    memset(s->dense, 0, 2 * (size_t)s->stride * sizeof *s->dense);
    for (int t = 0; t < c->tap_count; t++) {
        int centre = c->at[t] + earlier, old = centre - feedback;
        s->dense[c->at[t] - first] = c->channel[t];
        if (centre >= 1 && centre < part.n) {
            s->others[CENTRE][centre] = root * c->channel[t];
            part.from[CENTRE] = centre < part.from[CENTRE] ? centre : part.from[CENTRE];
        }
        if (old >= 1 && old < part.n) {
            s->others[OLD][old] = root * c->channel[t];
            part.from[OLD] = old < part.from[OLD] ? old : part.from[OLD];
        }
    }
    add_products(c, s->dense, stays, row);
    row[0] += 1.0f / reach + (float)c->learning->noise;
    float scale = 1.0f / sqrtf(row[0]);
    for (int i = 0; i < c->range; i++) {
        row[i] *= scale;
        s->others[MINUS][i] = i == 0 ? 0.0f : row[i];
    }
    return part;
}

/* clang has another name for it. */
#if defined(__clang__)
#define PAIRED(a, b, ...) __builtin_shufflevector(a, b, __VA_ARGS__)
#else
#define PAIRED(a, b, ...) __builtin_shuffle(a, b, (whole){__VA_ARGS__})
#endif

INLINED void load(const float *from, lanes *to)
{
    memcpy(to, from, sizeof *to);
}

INLINED void store(const lanes *from, float *to)
{
    memcpy(to, from, sizeof *from);
}

/* `after`, a row further down, the chunk before it being `before`. */
INLINED void move_down(const lanes *before, const lanes *after, lanes *moved)
{
    *moved = PAIRED(*before, *after, 7, 8, 9, 10, 11, 12, 13, 14);
}

INLINED void move_up(lanes *values)
{
    *values = PAIRED(*values, *values, 1, 2, 3, 4, 5, 6, 7, 7);
}

/* What turns the rows of a block: of each generator what comes to the column, and of the column
 * what comes off the generator; how much of the column comes off the right-hand side. */
struct turns {
    float on[OTHERS][LANES], off[OTHERS][LANES], right[LANES];
};

/* A block's first entries, from the row on that is the next to be turned. */
struct head {
    lanes column, centre, minus, old, right;
    float ratios[OTHERS]; /* of the generators' weights to the column's */
    float scale;          /* one over the latter */
};

struct alive {
    bool centre, minus, old;
};

/* Takes row j off a generator; all other ratios grow by what is given. */
INLINED float turn(lanes *column, lanes *other, float ratio, int j, float *on, float *off)
{
    float part = (*other)[0] / (*column)[0], comes = ratio * part;
    lanes before = *column;
    *column += comes * *other;
    *other -= part * before;
    move_up(other);
    on[j] = comes;
    off[j] = part;
    return 1.0f + comes * part;
}

/* Turns a row so that only the column has an entry in it. */
INLINED void turn_row(struct head *h, struct alive alive, int j, struct turns *turns,
                      float *inverse, float *solved)
{
    if (alive.centre) {
        float grows = turn(&h->column, &h->centre, h->ratios[CENTRE], j, turns->on[CENTRE],
                           turns->off[CENTRE]);
        h->ratios[MINUS] *= grows;
        h->ratios[OLD] *= grows;
        h->scale *= grows;
    }
    if (alive.minus) {
        float grows =
            turn(&h->column, &h->minus, h->ratios[MINUS], j, turns->on[MINUS], turns->off[MINUS]);
        h->ratios[CENTRE] *= grows;
        h->ratios[OLD] *= grows;
        h->scale *= grows;
    }
    if (alive.old) {
        float grows = turn(&h->column, &h->old, h->ratios[OLD], j, turns->on[OLD], turns->off[OLD]);
        h->ratios[CENTRE] *= grows;
        h->ratios[MINUS] *= grows;
        h->scale *= grows;
    }
    inverse[j] = 1.0f / h->column[0];
    float x = h->right[0] * inverse[j];
    h->right -= x * h->column;
    move_up(&h->right);
    turns->right[j] = x;
    solved[j] = x * h->scale;
}

/* A block on its way: what turns it, and the next one's first entries. */
struct passing {
    int row;
    const float *before; /* the column before its first */
    float *block;
    bool again; /* its columns are those of the block before */
    const struct turns *turns;
    struct alive next_alive;
    struct turns *next_turns;
};

/* Two chunks, which need not wait for each other. */
struct two {
    lanes first, second;
};

INLINED void load_two(const float *from, struct two *to)
{
    load(from, &to->first);
    load(from + LANES, &to->second);
}

INLINED void store_two(const struct two *from, float *to)
{
    store(&from->first, to);
    store(&from->second, to + LANES);
}

/* A generator meets a column. */
INLINED void meet(struct two *column, struct two *other, float on, float off)
{
    struct two before = *column;
    column->first += on * other->first;
    column->second += on * other->second;
    other->first -= off * before.first;
    other->second -= off * before.second;
}

/* Turns two chunks from one on, for all rows of a block. */
INLINED void turn_chunks(const struct settling *s, const struct passing *p, int chunk,
                         struct alive alive)
{
    const struct turns *turns = p->turns;
    ptrdiff_t first = (ptrdiff_t)chunk * LANES, at = p->row + first, stride = s->stride;
    float *to = p->block + first;
    struct two column, centre, minus, old, right;
    lanes below;
    load(p->before + first, &below);
    load_two(p->before + first + LANES, &column);
    load_two(s->others[CENTRE] + at, &centre);
    load_two(s->others[MINUS] + at, &minus);
    load_two(s->others[OLD] + at, &old);
    load_two(s->right + at, &right);
#pragma GCC unroll 1
    for (int j = 0; j < LANES; j++) {
        move_down(&column.first, &column.second, &column.second);
        move_down(&below, &column.first, &column.first);
        if (alive.centre) {
            meet(&column, &centre, turns->on[CENTRE][j], turns->off[CENTRE][j]);
        }
        if (alive.minus) {
            meet(&column, &minus, turns->on[MINUS][j], turns->off[MINUS][j]);
        }
        if (alive.old) {
            meet(&column, &old, turns->on[OLD][j], turns->off[OLD][j]);
        }
        store_two(&column, to);
        right.first -= turns->right[j] * column.first;
        right.second -= turns->right[j] * column.second;
        load(to - LANES, &below);
        to += stride;
    }
    store_two(&right, s->right + at);
    if (alive.centre) {
        store_two(&centre, s->others[CENTRE] + at);
    }
    if (alive.minus) {
        store_two(&minus, s->others[MINUS] + at);
    }
    if (alive.old) {
        store_two(&old, s->others[OLD] + at);
    }
}

/* Columns are as in the block before: takes them off the right-hand side. */
INLINED void take_chunks_off(const struct settling *s, const struct passing *p, int chunk)
{
    ptrdiff_t first = (ptrdiff_t)chunk * LANES;
    const float *from = p->block + first;
    struct two right, column;
    load_two(s->right + p->row + first, &right);
    for (int j = 0; j < LANES; j++, from += s->stride) {
        load_two(from, &column);
        right.first -= p->turns->right[j] * column.first;
        right.second -= p->turns->right[j] * column.second;
    }
    store_two(&right, s->right + p->row + first);
}

INLINED void pass_chunks(const struct settling *s, const struct passing *p, int chunk,
                         struct alive alive)
{
    if (!alive.centre && !alive.minus && !alive.old && p->again) {
        take_chunks_off(s, p, chunk);
    } else {
        turn_chunks(s, p, chunk, alive);
    }
}

/* The first entries of the next block. */
INLINED void start_head(const struct settling *s, const struct passing *p, struct head *h)
{
    const float *last = p->block + (ptrdiff_t)(LANES - 1) * s->stride;
    int next = p->row + LANES;
    lanes before, after;
    load(last, &before);
    load(last + LANES, &after);
    move_down(&before, &after, &h->column);
    load(s->others[CENTRE] + next, &h->centre);
    load(s->others[MINUS] + next, &h->minus);
    load(s->others[OLD] + next, &h->old);
    load(s->right + next, &h->right);
}

/* Passes over a block, and turns the first entries of the next between its chunks: neither has to
 * wait for the other. */
INLINED void pass(const struct settling *s, const struct passing *p, struct alive alive,
                  struct head *head)
{
    float *inverse = s->inverse + p->row + LANES, *solved = s->solved + p->row + LANES;
    struct head h = *head;
    pass_chunks(s, p, 0, alive);
    start_head(s, p, &h);
    int j = 0;
    for (int chunk = 2; chunk < s->chunks; chunk += 2) {
        for (int k = 0; k < ROWS_EACH && j < LANES; k++, j++) {
            turn_row(&h, p->next_alive, j, p->next_turns, inverse, solved);
        }
        pass_chunks(s, p, chunk, alive);
    }
    for (; j < LANES; j++) {
        turn_row(&h, p->next_alive, j, p->next_turns, inverse, solved);
    }
    *head = h;
}

INLINED void pass_as(const struct settling *s, const struct passing *p, struct alive alive,
                     struct head *head)
{
    if (alive.old) {
        pass(s, p, (struct alive){true, true, true}, head);
    } else if (alive.centre && alive.minus) {
        pass(s, p, (struct alive){true, true, false}, head);
    } else if (alive.centre) {
        pass(s, p, (struct alive){true, false, false}, head);
    } else if (alive.minus) {
        pass(s, p, (struct alive){false, true, false}, head);
    } else {
        pass(s, p, (struct alive){false, false, false}, head);
    }
}

INLINED float sum_of(const lanes *sum)
{
    float low = ((*sum)[0] + (*sum)[1]) + ((*sum)[2] + (*sum)[3]);
    return low + (((*sum)[4] + (*sum)[5]) + ((*sum)[6] + (*sum)[7]));
}

/* Whether a generator has begun and what is left of it behind that block is nothing to speak of. */
INLINED bool has_died(const struct settling *s, const struct part *part, const struct passing *p,
                      int generator, float ratio)
{
    if (part->from[generator] >= p->row + LANES) {
        return false;
    }
    float lead = p->block[(ptrdiff_t)(LANES - 1) * s->stride + LANES - 1];
    const float *values = s->others[generator] + p->row;
    lanes sum = {0.0f}, x;
    for (int chunk = 1; chunk <= s->chunks; chunk++) {
        load(values + (ptrdiff_t)chunk * LANES, &x);
        sum += x * x;
    }
    return fabsf(ratio) * sum_of(&sum) < DEAD * lead * lead;
}

/* Which generators have something in the block at that row: while feedback's end does, all. */
INLINED struct alive alive_at(const struct part *part, const struct alive *died, int row)
{
    bool old = part->from[OLD] < row + LANES && !died->old;
    return (struct alive){old || (part->from[CENTRE] < row + LANES && !died->centre),
                          old || !died->minus, old};
}

INLINED void look_for_dead(const struct settling *s, const struct part *part,
                           const struct passing *p, struct alive alive, const float *ratios,
                           struct alive *died)
{
    died->old = died->old || (alive.old && has_died(s, part, p, OLD, ratios[OLD]));
    if (died->old || part->from[OLD] == part->n) {
        died->centre =
            died->centre || (alive.centre && has_died(s, part, p, CENTRE, ratios[CENTRE]));
        died->minus = died->minus || (alive.minus && has_died(s, part, p, MINUS, ratios[MINUS]));
    }
}

/* Factors A and solves L W u = right, W the columns' weights, u in `solved`. */
INLINED void go_down(const struct settling *s, struct part part)
{
    struct turns turns[2];
    struct head head = {.ratios = {1.0f, -1.0f, -1.0f}, .scale = 1.0f};
    struct alive died = {false, false, false}, alive = alive_at(&part, &died, 0);
    struct passing p = {.row = -LANES, .block = s->first + LANES};
    bool none = false;
    start_head(s, &p, &head);
    for (int j = 0; j < LANES; j++) {
        turn_row(&head, alive, j, &turns[0], s->inverse, s->solved);
    }
    for (int i = 0; i < s->blocks; i++) {
        float ratios[OTHERS];
        memcpy(ratios, head.ratios, sizeof ratios);
        p.row = i * LANES;
        p.before = p.block + (ptrdiff_t)(LANES - 1) * s->stride;
        p.again = none && !alive.centre && !alive.minus && !alive.old;
        p.block = p.again ? p.block : s->columns + (ptrdiff_t)i * LANES * s->stride + LANES;
        s->block[i] = p.block;
        p.turns = &turns[i % 2];
        p.next_turns = &turns[(i + 1) % 2];
        p.next_alive = alive_at(&part, &died, p.row + LANES);
        pass_as(s, &p, alive, &head);
        none = !alive.centre && !alive.minus && !alive.old;
        look_for_dead(s, &part, &p, alive, ratios, &died);
        alive = p.next_alive;
    }
}

/* The sums of eight. */
INLINED void sums_of(const lanes *all, float *sums)
{
    for (int j = 0; j < LANES; j++) {
        sums[j] = sum_of(&all[j]);
    }
}

/* Solves a block's rows from below, their right-hand side in x. */
INLINED void solve_rows(const float *block, int stride, int rows, const float *inverse, float *x)
{
#pragma GCC unroll 8
    for (int j = rows - 1; j >= 0; j--) {
        float rest = x[j];
#pragma GCC unroll 8
        for (int later = rows - 1; later > j; later--) {
            rest -= block[(ptrdiff_t)j * stride + later] * x[later];
        }
        x[j] = rest * inverse[j];
    }
}

/* Solves L' x = u, in `solved`. */
INLINED void go_up(const struct settling *s, int n)
{
    memset(s->solved + n, 0, (size_t)((s->blocks + s->chunks + 1) * LANES - n) * sizeof(float));
    for (int i = s->blocks - 1; i >= 0; i--) {
        float *x = s->solved + (ptrdiff_t)i * LANES, sums[LANES];
        const float *block = s->block[i], *inverse = s->inverse + (ptrdiff_t)i * LANES;
        lanes all[LANES] = {{0.0f}}, at, column;
        for (int chunk = s->chunks - 1; chunk > 0; chunk--) {
            load(x + (ptrdiff_t)chunk * LANES, &at);
            for (int j = 0; j < LANES; j++) {
                load(block + (ptrdiff_t)j * s->stride + (ptrdiff_t)chunk * LANES, &column);
                all[j] += column * at;
            }
        }
        sums_of(all, sums);
        for (int j = 0; j < LANES; j++) {
            x[j] -= sums[j];
        }
        if (n - i * LANES < LANES) {
            solve_rows(block, s->stride, n - i * LANES, inverse, x);
        } else {
            solve_rows(block, s->stride, LANES, inverse, x);
        }
    }
}

TWINS static void solve(const struct settling *s, struct part part)
{
    go_down(s, part);
    go_up(s, part.n);
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
    solve(s, part);
    for (int i = 0; i < n; i++) {
        taps[i] = s->solved[n - 1 - i];
    }
    curve_weigh_fed_back(c, taps, s->sums);
    for (int j = 0; j < feedback; j++) {
        taps[n + j] = (from[n + j] + g * s->sums[j]) * stays;
    }
}
