/* Mean mutual information (MIESM) over a histogram of carriers' SNRs. Information depends on a
 * carrier only through its SNR in dB, so 27 649 carriers and a histogram with steps of 0.1 dB say
 * the same: a carrier is split (gain_gather.c) among the three nearest bins so that parabolas are
 * kept (Lagrange's weights t (t - 1) / 2, 1 - t^2, t (t + 1) / 2), which errs by less than 1e-6
 * bit. With the curve taken at the same bins a code's mean information is one inner product, and
 * raising all carriers by whole bins shifts it.
 *
 * Worked number: half the carriers at 5 dB and half at -1 dB: QPSK carries (1.718 + 0.828) / 2
 * bits, as at 1.93 dB steady. */
#include "physics/ofdm/gain_spread.h"

#include <math.h>
#include <string.h>

#include "base/units.h"
#include "base/wide.h"

static double bin_db(double bin)
{
    return GAIN_SPREAD_LOW_DB + bin * GAIN_SPREAD_STEP_DB;
}

TWINS static void normalise(double *shares, int count)
{
    wide sums = {0.0}, at;
    int i = 0;
    for (; i + WIDE <= count; i += WIDE) {
        memcpy(&at, shares + i, sizeof at);
        sums += at;
    }
    double sum = (sums[0] + sums[1]) + (sums[2] + sums[3]);
    for (; i < count; i++) {
        sum += shares[i];
    }
    for (i = 0; i < count; i++) {
        shares[i] *= 1.0 / sum;
    }
}

void gain_spread_normalise(struct gain_spread *spread)
{
    if (spread->last >= spread->first) {
        normalise(spread->shares + spread->first, spread->last - spread->first + 1);
    }
}

/* Of a power g = e^t the density over t is e^(t - e^t), smooth and falling fast on both sides: its
 * values at the bins are as good as exact integrals (the trapezoidal rule). From 60 dB below the
 * mean to 16 dB above it lies all but 1e-6 of the probability. */
void gain_spread_rayleigh(struct gain_spread *spread)
{
    gain_spread_clear(spread);
    spread->first = (int)lround((-60.0 - GAIN_SPREAD_LOW_DB) / GAIN_SPREAD_STEP_DB);
    spread->last = (int)lround((16.0 - GAIN_SPREAD_LOW_DB) / GAIN_SPREAD_STEP_DB);
    for (int i = spread->first; i <= spread->last; i++) {
        double power = ratio_from_db(bin_db(i));
        spread->shares[i] = power * exp(-power);
    }
    gain_spread_normalise(spread);
}

/* ---- Reading a spread. ---- */

#define FIRST_NODE (SURFACE_LOWEST - 2) /* that a bin above the lowest node has a share for */

/* Below the curve's samples information is proportional to SNR. */
void gain_raster_make(const struct information_curve *curve, struct gain_raster *raster)
{
    const double fall = ratio_from_db(-GAIN_SPREAD_STEP_DB);
    raster->curve = *curve;
    memset(raster->parts, 0, sizeof raster->parts);
    raster->bits[GAIN_SPREAD_BINS - 1] =
        information_curve_bits(curve, bin_db(GAIN_SPREAD_BINS - 1));
    for (int i = GAIN_SPREAD_BINS - 2; i >= 0; i--) {
        bool sampled = bin_db(i) > INFORMATION_FIRST_DB;
        raster->bits[i] =
            sampled ? information_curve_bits(curve, bin_db(i)) : fall * raster->bits[i + 1];
    }
    for (int phase = 0; phase < GAIN_NODE_BINS; phase++) {
        double from_lowest_db = phase * GAIN_SPREAD_STEP_DB;
        raster->places[phase] = surface_place(surface_node_db(SURFACE_LOWEST) + from_lowest_db);
        for (int k = 0; k < SURFACE_REACH; k++) {
            int node = raster->places[phase].first + k - FIRST_NODE;
            if (node >= 0 && node < SURFACE_REACH) {
                raster->parts[(SURFACE_REACH - 1 - node) * GAIN_NODE_BINS + phase] =
                    raster->places[phase].shares[k];
            }
        }
    }
}

bool gain_raster_is_of(const struct gain_raster *raster, const struct information_curve *curve)
{
    return raster->curve.microbits == curve->microbits && raster->curve.count == curve->count &&
           raster->curve.own_share == curve->own_share &&
           raster->curve.other_share == curve->other_share && raster->curve.apart == curve->apart;
}

/* The bins on both sides of `bits`, then the secant of the curve itself, twice. */
double gain_raster_snr_db(const struct gain_raster *raster, double bits)
{
    int low = 0, high = GAIN_SPREAD_BINS - 1;
    if (!(bits > raster->bits[low]) || !(bits < raster->bits[high])) {
        return information_curve_snr_db(&raster->curve, bits);
    }
    while (high - low > 1) {
        int middle = (low + high) / 2;
        if (raster->bits[middle] < bits) {
            low = middle;
        } else {
            high = middle;
        }
    }
    double slope = (raster->bits[high] - raster->bits[low]) / GAIN_SPREAD_STEP_DB;
    double snr_db = bin_db(low) + (bits - raster->bits[low]) / slope;
    for (int i = 0; i < 2; i++) {
        snr_db += (bits - information_curve_bits(&raster->curve, snr_db)) / slope;
    }
    return snr_db;
}

/* ---- A rotated set: shares of carriers as shares of its surface's nodes. ---- */

#define NODE_BINS GAIN_NODE_BINS

/* Those below the nodes' lowest carry in proportion to their SNR, those above the highest as there.
 */
static void add_ends(const struct gain_spread *spread, int below, int above,
                     struct surface_spread *on)
{
    const double fall = ratio_from_db(-GAIN_SPREAD_STEP_DB);
    double power = 1.0, all = 0.0, part = 0.0;
    for (int i = below - 1; i >= spread->first; i--) {
        power *= fall;
        if (i <= spread->last) {
            all += spread->shares[i];
            part += spread->shares[i] * power;
        }
    }
    on->shares[SURFACE_LOWEST] += part;
    on->shares[0] += all - part;
    for (int i = above > spread->first ? above : spread->first; i <= spread->last; i++) {
        on->shares[SURFACE_HIGHEST] += spread->shares[i];
    }
}

TWINS static double product(const double *a, const double *b, int count)
{
    return wide_inner(a, b, count);
}

/* All carriers raised by `bins`. Where a bin lies between two nodes repeats from node to node, so a
 * node's share is the same weights over the bins around it. */
static void spread_on_nodes(const struct gain_spread *spread, const struct gain_raster *raster,
                            int bins, struct surface_spread *on)
{
    const int count = (SURFACE_HIGHEST - SURFACE_LOWEST) * NODE_BINS;
    const double lowest_db = surface_node_db(SURFACE_LOWEST);
    int lowest = (int)lround((lowest_db - GAIN_SPREAD_LOW_DB) / GAIN_SPREAD_STEP_DB) - bins;
    int first = spread->first > lowest ? spread->first : lowest; /* bins between the ends */
    int last = spread->last < lowest + count - 1 ? spread->last : lowest + count - 1;
    memset(on, 0, sizeof *on);
    for (int node = FIRST_NODE; node < SURFACE_NODES; node++) {
        int bin = lowest + (node - FIRST_NODE - SURFACE_REACH + 1) * NODE_BINS;
        int from = bin > first ? bin : first, to = bin + SURFACE_REACH * NODE_BINS - 1;
        to = to < last ? to : last;
        if (from <= to) {
            on->shares[node] =
                product(raster->parts + (from - bin), spread->shares + from, to - from + 1);
        }
    }
    add_ends(spread, lowest, lowest + count, on);
}

/* Mean information with all carriers raised by `bins`. */
static double shifted(const struct gain_spread *spread, const struct gain_raster *raster, int bins)
{
    if (raster->curve.apart) {
        struct surface_spread on;
        spread_on_nodes(spread, raster, bins, &on);
        return surface_mean(raster->curve.apart, &on);
    }
    int from = spread->first, to = spread->last + 1;
    from = from + bins < 0 ? -bins : from;
    double ends = 0.0;
    for (; to > from && to - 1 + bins > GAIN_SPREAD_BINS - 1; to--) {
        ends += spread->shares[to - 1] * raster->bits[GAIN_SPREAD_BINS - 1];
    }
    return from < to
               ? ends + product(spread->shares + from, raster->bits + (from + bins), to - from)
               : ends;
}

double gain_spread_information(const struct gain_spread *spread, const struct gain_raster *raster)
{
    return shifted(spread, raster, 0);
}

/* A shift and the mean information there. */
struct shift {
    int bins;
    double bits;
};

static struct shift shift_to(const struct gain_spread *spread, const struct gain_raster *raster,
                             int bins)
{
    return (struct shift){bins, shifted(spread, raster, bins)};
}

/* Two shifts that enclose `bits`: from a guess on, in steps that double. */
static void enclose(const struct gain_spread *spread, const struct gain_raster *raster, int guess,
                    double bits, struct shift *low, struct shift *high)
{
    *low = *high = shift_to(spread, raster, guess);
    for (int step = 4; low->bits >= bits; step *= 2) {
        *high = *low;
        *low = shift_to(spread, raster, low->bins - step);
    }
    for (int step = 4; high->bits < bits && step < 2 * GAIN_SPREAD_BINS; step *= 2) {
        *low = *high;
        *high = shift_to(spread, raster, high->bins + step);
    }
}

/* How far between two neighbouring shifts `bits` lies, 0 to 1, on the parabola that a third gives.
 */
static double between(const struct shift *low, const struct shift *high, double below_bits,
                      double bits)
{
    double rise = high->bits - low->bits, bend = high->bits - 2.0 * low->bits + below_bits;
    double part = (bits - low->bits) / rise;
    for (int i = 0; i < 3; i++) {
        part = (bits - low->bits + 0.5 * part * (1.0 - part) * bend) / rise;
    }
    return part;
}

/* What the mean SNR of a spread lacks of what a steady channel needs, NAN: not known yet; then what
 * the last answer was. */
struct lack {
    double db;
};

static double mean_db(const struct gain_spread *spread)
{
    double mean = 0.0;
    for (int i = spread->first; i <= spread->last; i++) {
        mean += i * spread->shares[i];
    }
    return GAIN_SPREAD_LOW_DB + GAIN_SPREAD_STEP_DB * mean;
}

/* Narrows two shifts that enclose `bits` to neighbours and gives the offset between them. */
static double offset_between(const struct gain_spread *spread, const struct gain_raster *raster,
                             double bits, struct shift low, struct shift high)
{
    for (int i = 0; high.bins - low.bins > 1; i++) {
        double part = i % 3 == 2 ? 0.5 : (bits - low.bits) / (high.bits - low.bits);
        int bins = low.bins + (int)lround(part * (high.bins - low.bins));
        bins = bins <= low.bins ? low.bins + 1 : bins >= high.bins ? high.bins - 1 : bins;
        struct shift middle = shift_to(spread, raster, bins);
        *(middle.bits < bits ? &low : &high) = middle;
    }
    double below_bits = shifted(spread, raster, low.bins - 1);
    return GAIN_SPREAD_STEP_DB * (low.bins + between(&low, &high, below_bits, bits));
}

static double offset_near(const struct gain_spread *spread, const struct gain_raster *raster,
                          double bits, struct lack *lack)
{
    double steady_db = gain_raster_snr_db(raster, bits);
    if (!isfinite(steady_db) || spread->last < 0) {
        return steady_db;
    }
    struct shift low, high;
    lack->db = isnan(lack->db) ? -mean_db(spread) : lack->db;
    enclose(spread, raster, (int)lround((steady_db + lack->db) / GAIN_SPREAD_STEP_DB), bits, &low,
            &high);
    if (high.bits < bits) {
        return INFINITY; /* the curve's end, but for rounding */
    }
    double offset_db = offset_between(spread, raster, bits, low, high);
    lack->db = offset_db - steady_db;
    return offset_db;
}

double gain_spread_rank(const struct gain_spread *spread, const struct gain_raster *raster,
                        double literal_bits, double rank)
{
    double bits = gain_spread_information(spread, raster);
    if (bits <= literal_bits || !isfinite(rank)) {
        return bits - literal_bits;
    }
    int guess = (int)floor(-rank / GAIN_SPREAD_STEP_DB);
    struct shift low = shift_to(spread, raster, guess), high = shift_to(spread, raster, guess + 1);
    if (low.bits >= literal_bits || high.bits < literal_bits) { /* between two others */
        enclose(spread, raster, guess, literal_bits, &low, &high);
    }
    return -offset_between(spread, raster, literal_bits, low, high);
}

double gain_spread_offset_db(const struct gain_spread *spread, const struct gain_raster *raster,
                             double bits)
{
    struct lack lack = {NAN};
    return offset_near(spread, raster, bits, &lack);
}

void gain_spread_effective_many(const struct gain_spread *spread, const struct gain_raster *raster,
                                int count, const double *ideal_db, double *effective_db)
{
    double bits = gain_spread_information(spread, raster);
    struct lack lack = {NAN};
    for (int i = 0; i < count; i++) {
        double most = information_curve_bits(&raster->curve, ideal_db[i] + GAIN_LITERAL_DB);
        effective_db[i] =
            bits <= most ? gain_raster_snr_db(raster, bits)
                         : ideal_db[i] + GAIN_LITERAL_DB - offset_near(spread, raster, most, &lack);
    }
}

double gain_spread_effective_db(const struct gain_spread *spread, const struct gain_raster *raster,
                                double ideal_db)
{
    double effective_db;
    gain_spread_effective_many(spread, raster, 1, &ideal_db, &effective_db);
    return effective_db;
}

static double required_near(const struct gain_spread *spread, const struct gain_raster *raster,
                            double ideal_db, double effective_db, struct lack *lack)
{
    double literal_db = fmin(effective_db, ideal_db + GAIN_LITERAL_DB);
    double bits = information_curve_bits(&raster->curve, literal_db);
    return offset_near(spread, raster, bits, lack) + effective_db - literal_db;
}

double gain_spread_required_db(const struct gain_spread *spread, const struct gain_raster *raster,
                               double ideal_db, double effective_db)
{
    struct lack lack = {NAN};
    return required_near(spread, raster, ideal_db, effective_db, &lack);
}

/* ---- Needs in an isotropic channel. ---- */

#define NEED_STEP_DB (GAIN_LITERAL_DB / (GAIN_NEEDS - 1))

/* What a cell carries with one part at each bin from `first` on and its other part on any carrier,
 * from what it carries by nodes. */
static void read_by_bin(const struct gain_raster *raster, const double *by_node, int first,
                        int count, double *bits)
{
    const double lowest_db = surface_node_db(SURFACE_LOWEST);
    const int lowest = (int)lround((lowest_db - GAIN_SPREAD_LOW_DB) / GAIN_SPREAD_STEP_DB);
    const int highest = lowest + (SURFACE_HIGHEST - SURFACE_LOWEST) * NODE_BINS;
    const double growth = ratio_from_db(GAIN_SPREAD_STEP_DB);
    double power = ratio_from_db(bin_db(first) - lowest_db);
    for (int i = 0; i < count; i++) {
        int bin = first + i;
        if (bin < lowest) {
            bits[i] = by_node[0] + power * (by_node[SURFACE_LOWEST] - by_node[0]);
            power *= growth;
        } else if (bin >= highest) {
            bits[i] = by_node[SURFACE_HIGHEST];
        } else {
            const struct surface_place *place = &raster->places[(bin - lowest) % NODE_BINS];
            const double *nodes = by_node + place->first + (bin - lowest) / NODE_BINS;
            bits[i] = 0.0;
            for (int k = 0; k < SURFACE_REACH; k++) {
                bits[i] += place->shares[k] * nodes[k];
            }
        }
    }
}

/* Needs are told one after the other. */
struct needing {
    const struct gain_spread *spread;
    double gains[GAIN_SPREAD_BINS]; /* of its bins, from the first on */
    struct lack lack;
};

static void needing_of(const struct gain_spread *spread, struct needing *needing)
{
    double gain = ratio_from_db(bin_db(spread->first)), growth = ratio_from_db(GAIN_SPREAD_STEP_DB);
    needing->spread = spread;
    needing->lack.db = NAN;
    for (int i = 0; i <= spread->last - spread->first; i++) {
        needing->gains[i] = gain;
        gain *= growth;
    }
}

/* Mean gain of a spread raised by `offset_db`, each bin weighed by what a dB changes its
 * information; of a rotated set with the cell's other part on any carrier. */
static double deciding_gain(const struct needing *needing, const struct gain_raster *raster,
                            double offset_db)
{
    const struct gain_spread *spread = needing->spread;
    double weights = 0.0, sum = 0.0, by_bin[GAIN_SPREAD_BINS + 2];
    int shift = (int)lround(offset_db / GAIN_SPREAD_STEP_DB), first = spread->first + shift;
    const double *bits = raster->bits;
    int at = first; /* where the spread's first bin stands among them */
    if (raster->curve.apart) {
        struct surface_spread on;
        double by_node[SURFACE_NODES];
        spread_on_nodes(spread, raster, shift, &on);
        surface_against(raster->curve.apart, &on, by_node);
        read_by_bin(raster, by_node, first - 1, spread->last - spread->first + 3, by_bin);
        bits = by_bin;
        at = 1;
    }
    for (int i = 0; i <= spread->last - spread->first; i++) {
        if (first + i > 0 && first + i < GAIN_SPREAD_BINS - 1) {
            double weight =
                spread->shares[spread->first + i] * (bits[at + i + 1] - bits[at + i - 1]);
            weights += weight;
            sum += weight * needing->gains[i];
        }
    }
    return weights > 0.0 ? sum / weights : 1.0;
}

static struct doppler_need need_at(struct needing *rayleigh, const struct gain_raster *raster,
                                   double ideal_db, int i)
{
    double needed_db = ideal_db + i * NEED_STEP_DB;
    double snr_db = required_near(rayleigh->spread, raster, ideal_db, needed_db, &rayleigh->lack);
    return (struct doppler_need){.noise = ratio_from_db(-snr_db),
                                 .gain = deciding_gain(rayleigh, raster, snr_db)};
}

void gain_rayleigh_needs_make(const struct gain_spread *rayleigh, const struct gain_raster *raster,
                              double ideal_db, struct gain_rayleigh_needs *needs)
{
    struct needing needing;
    needing_of(rayleigh, &needing);
    needs->ideal_db = ideal_db;
    for (int i = 0; i < GAIN_NEEDS; i++) {
        needs->needs[i] = need_at(&needing, raster, ideal_db, i);
    }
}

/* The need at or before one, and the next; the last alone beyond it. */
static int need_before(double ideal_db, double needed_db)
{
    double position = (needed_db - ideal_db) / NEED_STEP_DB;
    return !(position < GAIN_NEEDS - 1) ? GAIN_NEEDS - 1 : position > 0.0 ? (int)position : 0;
}

/* Straight lines between needs a quarter of a dB apart err by less than 0.02 dB. */
static struct doppler_need need_between(const struct doppler_need *a, const struct doppler_need *b,
                                        int i, double more_db)
{
    if (i == GAIN_NEEDS - 1) {
        return (struct doppler_need){a->noise * ratio_from_db(GAIN_LITERAL_DB - more_db), a->gain};
    }
    double part = more_db / NEED_STEP_DB - i;
    return (struct doppler_need){a->noise + part * (b->noise - a->noise),
                                 a->gain + part * (b->gain - a->gain)};
}

struct doppler_need gain_rayleigh_need(const struct gain_rayleigh_needs *needs, double needed_db)
{
    int i = need_before(needs->ideal_db, needed_db);
    const struct doppler_need *a = &needs->needs[i];
    return need_between(a, i < GAIN_NEEDS - 1 ? a + 1 : a, i, needed_db - needs->ideal_db);
}

struct doppler_need gain_rayleigh_need_of(const struct information_curve *curve, double ideal_db,
                                          double needed_db)
{
    struct gain_spread rayleigh;
    struct gain_raster raster;
    struct needing needing;
    int i = need_before(ideal_db, needed_db);
    gain_spread_rayleigh(&rayleigh);
    needing_of(&rayleigh, &needing);
    gain_raster_make(curve, &raster);
    struct doppler_need a = need_at(&needing, &raster, ideal_db, i), b = a;
    if (i < GAIN_NEEDS - 1) {
        b = need_at(&needing, &raster, ideal_db, i + 1);
    }
    return need_between(&a, &b, i, needed_db - ideal_db);
}
