/* Where a signal comes near a ceiling between its samples, and what gain it needs there. */
#include "limiter.h"

typedef float Lane __attribute__((vector_size(32)));
enum { LANES = 8, PART = 32 }; /* frames judged together inside a hop */

/* How far around a part the loudest content near half the rate is looked for. */
enum { EDGE_REACH = 64 };

/* How far before and behind a hop a fine stage looks. */
enum { SIGHT_BEHIND = FINE_HALF + LANES, SIGHT_AHEAD = FINE_HALF + LANES };

/* Coarse peaks below this share of the ceiling are none by any interpolator, but for what lies near half
   the rate: an eighth-sample grid misses at most 0.1 % of a crest at an eighth of the rate. */
static const double NEAR = 0.999;

/* Change of gain per frame below which moving the gain cannot raise a true peak by as much as 0.001 dB. */
static const double STEEP = 1e-5;

/* Far above any sound, far below what float can hold: a sample beyond it needs a gain of 0 anyway. */
static const double ENOUGH = 1e30;

INLINE Lane lanes(const float *from)
{
    Lane value;
    memcpy(&value, from, sizeof value);
    return value;
}

INLINE Lane greater(Lane a, Lane b)
{
    typedef int32_t Mask __attribute__((vector_size(32)));
    const Mask mask = a > b;
    return (Lane)(((Mask)a & mask) | ((Mask)b & ~mask));
}

INLINE Lane size(Lane a)
{
    typedef int32_t Mask __attribute__((vector_size(32)));
    const Mask no_sign = {INT32_MAX, INT32_MAX, INT32_MAX, INT32_MAX, INT32_MAX, INT32_MAX, INT32_MAX, INT32_MAX};
    return (Lane)((Mask)a & no_sign);
}

INLINE void narrow(const double *u, int64_t count, float *out)
{
    for (int64_t i = 0; i < count; i++) {
        double a = u[i] < ENOUGH ? u[i] : ENOUGH;
        a = a > -ENOUGH ? a : -ENOUGH;
        out[i] = (float)a;
    }
}

typedef double Pair __attribute__((vector_size(32)));
enum { PAIR = 4 };

INLINE Pair at(const double *from)
{
    Pair value;
    memcpy(&value, from, sizeof value);
    return value;
}

/* The greater size, lane by lane. */
INLINE Pair greater_size(Pair most, Pair a)
{
    typedef int64_t Mask __attribute__((vector_size(32)));
    const Mask no_sign = {INT64_MAX, INT64_MAX, INT64_MAX, INT64_MAX};
    const Pair size = (Pair)((Mask)a & no_sign);
    const Mask mask = size > most;
    return (Pair)(((Mask)size & mask) | ((Mask)most & ~mask));
}

INLINE double greatest_lane(Pair a, Pair b)
{
    const Pair most = greater_size(a, b);
    const double left = most[0] > most[1] ? most[0] : most[1], right = most[2] > most[3] ? most[2] : most[3];
    return left > right ? left : right;
}

/* Greatest of |u|; count is a multiple of 8. */
INLINE double greatest(const double *u, int64_t count)
{
    Pair a = {0.0}, b = {0.0};
    for (int64_t i = 0; i < count; i += 2 * PAIR) {
        a = greater_size(a, at(u + i));
        b = greater_size(b, at(u + i + PAIR));
    }
    return greatest_lane(a, b);
}

INLINE Pair bend_at(const double *u)
{
    const Pair middle = at(u);
    return (at(u - 1) + at(u + 1)) - (middle + middle);
}

/* Greatest second difference, centred on u[0] to u[count - 1]; count is a multiple of 8. */
INLINE double greatest_bend(const double *u, int64_t count)
{
    Pair a = {0.0}, b = {0.0};
    for (int64_t i = 0; i < count; i += 2 * PAIR) {
        a = greater_size(a, bend_at(u + i));
        b = greater_size(b, bend_at(u + i + PAIR));
    }
    return greatest_lane(a, b);
}

/* peak[i] = the greatest of |u| on an eighth-sample grid over [i, i + 1]; needs u from i - 15 to i + 16.

   Phases p and 1 - p of an interpolator mirror each other, so that half-sums and half-differences of
   the samples serve both: max(|e + d|, |e - d|) = |e| + |d|. table: even and odd halves of phases 1/8,
   2/8 and 3/8, then of 4/8, whose odd half is nothing. */
INLINE void coarse_peaks(const double *u, int64_t count, const float *table, float *peak)
{
    float near[PART + 2 * LANES + 2 * COARSE_HALF];
    const int64_t back = COARSE_HALF - 1;
    narrow(u - back, count + 2 * COARSE_HALF - 1, near);
    for (int64_t i = 0; i < count; i += LANES) {
        Lane sum[7] = {{0.0f}};
        for (int64_t k = 0; k < COARSE_HALF; k++) {
            const Lane a = lanes(near + i + k), b = lanes(near + i + 2 * COARSE_HALF - 1 - k);
            const Lane even = a + b, odd = a - b;
            for (int64_t p = 0; p < 3; p++) {
                sum[2 * p] += table[2 * p * COARSE_HALF + k] * even;
                sum[2 * p + 1] += table[(2 * p + 1) * COARSE_HALF + k] * odd;
            }
            sum[6] += table[6 * COARSE_HALF + k] * even;
        }
        Lane most = greater(size(lanes(near + i + back)), size(lanes(near + i + back + 1)));
        for (int64_t p = 0; p < 3; p++)
            most = greater(most, size(sum[2 * p]) + size(sum[2 * p + 1]));
        most = greater(most, size(sum[6]));
        memcpy(peak + i, &most, sizeof most);
    }
}

INLINE float total(Lane v)
{
    return ((v[0] + v[4]) + (v[2] + v[6])) + ((v[1] + v[5]) + (v[3] + v[7]));
}

/* One interpolator over [0, 1], at every `stride`th pair of phases: the greatest size, and the values at 0, 1/2 and 1. */
typedef struct {
    float most, first, middle, last;
} Crest;

INLINE Crest crest(const float *even, const float *odd, const float *table, int64_t start, int64_t stride)
{
    Crest c = {0.0f, 0.0f, 0.0f, 0.0f};
    for (int64_t p = 0; p < FINE_PAIRS; p += stride) {
        const float *row = table + p * 2 * FINE_HALF;
        Lane e = {0.0f}, d = {0.0f};
        for (int64_t k = start; k < FINE_HALF; k += LANES) {
            e += lanes(row + k) * lanes(even + k);
            d += lanes(row + FINE_HALF + k) * lanes(odd + k);
        }
        const float a = total(e), b = total(d);
        const float peak = (a < 0.0f ? -a : a) + (b < 0.0f ? -b : b);
        c.most = peak > c.most ? peak : c.most;
        if (p == 0) {
            c.first = a + b;
            c.last = a - b;
        }
        c.middle = a;
    }
    return c;
}

/* The greatest of |u| over [0, 1] on a sixteenth-sample grid that a meter may find.

   Interpolator 0 is the sharpest and reaches half the rate, interpolator 1 stops just below it. What
   one has and the other has not is a narrow band whose envelope, from two values a quarter period
   apart, is the most that any meter can make of it. The others are worked out only where that sum
   comes above `close`. */
INLINE float fine_peak(const double *u, const Tables *tables, float close)
{
    float near[2 * FINE_HALF], even[FINE_HALF], odd[FINE_HALF];
    const int64_t size = FINE_PAIRS * 2 * FINE_HALF;
    narrow(u - FINE_HALF + 1, 2 * FINE_HALF, near);
    for (int64_t k = 0; k < FINE_HALF; k++) {
        even[k] = near[k] + near[2 * FINE_HALF - 1 - k];
        odd[k] = near[k] - near[2 * FINE_HALF - 1 - k];
    }
    const Crest low = crest(even, odd, tables->fine + size, tables->starts[1], 1);
    const Crest full = crest(even, odd, tables->fine, tables->starts[0], FINE_PAIRS - 1);
    const float first = full.first - low.first, middle = full.middle - low.middle, last = full.last - low.last;
    const float side = first * first > last * last ? first : last;
    float most = low.most + __builtin_sqrtf(side * side + middle * middle);
    if (most < close)
        return most;
    for (int64_t f = 0; f < tables->filters; f++) {
        const float other = crest(even, odd, tables->fine + f * size, tables->starts[f], 1).most;
        most = other > most ? other : most;
    }
    return most;
}

/* A bound on what lies near half the rate: the greatest eighth difference, as a sine's amplitude. */
INLINE double greatest_edge(const double *u, int64_t count)
{
    double d[PART + 2 * EDGE_REACH + 8];
    for (int64_t i = 0; i < count + 6; i++)
        d[i] = (u[i - 4] + u[i - 2]) - (u[i - 3] + u[i - 3]);
    for (int64_t pass = 4; pass >= 0; pass -= 2)
        for (int64_t i = 0; i < count + pass; i++)
            d[i] = (d[i] + d[i + 2]) - (d[i + 1] + d[i + 1]);
    return greatest(d, count) * (1.0 / 256.0);
}

INLINE void raise(double *peaks, int64_t tick, double peak)
{
    peaks[tick] = peak > peaks[tick] ? peak : peaks[tick];
}

/* Coarse stage: every tick of a part has the greatest of its coarse peaks. */
INLINE void judge_coarse(const double *u, const Tables *tables, double *peaks)
{
    float peak[PART];
    coarse_peaks(u, PART, tables->coarse, peak);
    for (int64_t i = 0; i < PART; i++)
        raise(peaks, i / TICK, (double)peak[i]);
}

/* Fine stage: only where the coarse peaks have a crest near the ceiling is the fine peak worked out.
   How far coarse and fine may differ follows from what the signal holds near half the rate; `bend`, the
   greatest second difference, bounds that from above, and mostly saves looking. */
INLINE void judge_fine(const double *u, const Tables *tables, double trigger, double bend, double *peaks)
{
    float peak[PART + LANES];
    double edge = 0.25 * bend;
    int looked = 0;
    coarse_peaks(u - 1, PART + LANES, tables->coarse, peak);
    for (int64_t i = 0; i < PART; i++) {
        const double before = (double)peak[i], here = (double)peak[i + 1], after = (double)peak[i + 2];
        if (here <= NEAR * trigger - edge)
            continue;
        if (!looked) {
            edge = greatest_edge(u - EDGE_REACH, PART + 2 * EDGE_REACH);
            looked = 1;
        }
        const double crest = here + 0.25 * edge;
        if (here > NEAR * trigger - edge && crest >= before && crest >= after)
            raise(peaks, i / TICK, (double)fine_peak(u + i, tables, (float)(trigger - 0.5 * edge)));
    }
}

/* Every part of the hop whose samples lie near enough to the ceiling for something between them to
   pass it: no interpolator rises above the samples beside it by more than `rise`. */
INLINE void judge(const double *u, const Stage *s, const Tables *tables, double bend, double *peaks)
{
    const double trigger = s->rule[RULE_TRIGGER], rise = bend * s->rule[RULE_BEND];
    for (int64_t part = 0; part < HOP; part += PART) {
        const double end = u[part + PART] < 0.0 ? -u[part + PART] : u[part + PART];
        const double most = greatest(u + part, PART);
        if ((most > end ? most : end) + rise <= trigger)
            continue;
        if (s->form[FORM_KIND] == COARSE)
            judge_coarse(u + part, tables, peaks + part / TICK);
        else
            judge_fine(u + part, tables, trigger, bend, peaks + part / TICK);
    }
}

/* The greatest of what was noted for each hop, over all that touch [from, end). */
INLINE double noted(const double *row, int64_t from, int64_t end)
{
    double most = 0.0;
    for (int64_t hop = from / HOP; hop * HOP < end; hop++)
        most = row[hop] > most ? row[hop] : most;
    return most;
}

CLONED void limiter_look(const Past *past)
{
    const int64_t from = past->fill - HOP;
    double top = 0.0, bend = 0.0;
    for (int64_t c = 0; c < past->channels; c++) {
        const double *x = past->signal + c * past->stride + from;
        const double most = greatest(x, HOP), most_bend = greatest_bend(x - 1, HOP);
        top = most > top ? most : top;
        bend = most_bend > bend ? most_bend : bend;
    }
    past->tops[from / HOP] = top;
    past->bends[from / HOP] = bend;
}

INLINE void needs_coarse(const Stage *s, const Past *past, const Tables *tables, int64_t from, double *peaks)
{
    const double bend = noted(past->bends, from - COARSE_HALF, from + HOP + COARSE_HALF);
    if (noted(past->tops, from, from + HOP + 1) + bend * s->rule[RULE_BEND] <= s->rule[RULE_TRIGGER])
        return;
    for (int64_t c = 0; c < past->channels; c++)
        judge(past->signal + c * past->stride + from, s, tables, bend, peaks);
}

/* Whether a fine stage can tell from what was noted that nothing passes its ceiling. A moving gain adds
   to second differences: those of a product are at most d2(x) g + 2 d(x) d(g) + x d2(g). */
INLINE int quiet(const Stage *s, const Stage *before, const Past *past, int64_t from)
{
    const int64_t low = from - SIGHT_BEHIND, high = from + HOP + SIGHT_AHEAD;
    const double move = noted(before->moves, low - HOP, high - HOP + 1);
    if (s->form[FORM_KIND] == FINE_AGAIN)
        return move <= STEEP;
    const double bend = noted(past->bends, low, high) + 6.0 * move * noted(past->tops, low, high);
    return noted(past->tops, from, from + HOP + 1) + bend * s->rule[RULE_BEND] <= s->rule[RULE_TRIGGER];
}

INLINE void needs_fine(const Stage *s, const Stage *before, const Past *past, const Tables *tables, int64_t from,
                       double *peaks)
{
    double u[SIGHT_BEHIND + HOP + SIGHT_AHEAD];
    if (quiet(s, before, past, from))
        return;
    const double *g = before->gain + from - SIGHT_BEHIND;
    for (int64_t c = 0; c < past->channels; c++) {
        const double *x = past->signal + c * past->stride + from - SIGHT_BEHIND;
        for (int64_t i = 0; i < SIGHT_BEHIND + HOP + SIGHT_AHEAD; i++)
            u[i] = x[i] * g[i];
        const double bend = greatest_bend(u + LANES, SIGHT_BEHIND + HOP + SIGHT_AHEAD - 2 * LANES);
        judge(u + SIGHT_BEHIND, s, tables, bend, peaks);
    }
}

CLONED void limiter_needs(const Stage *s, const Stage *before, const Past *past, const Tables *tables, int64_t from,
                          double *needs)
{
    const double trigger = s->rule[RULE_TRIGGER], target = s->rule[RULE_TARGET];
    double peaks[HOP_TICKS] = {0.0};
    if (s->form[FORM_KIND] == COARSE)
        needs_coarse(s, past, tables, from, peaks);
    else
        needs_fine(s, before, past, tables, from, peaks);
    for (int64_t k = 0; k < HOP_TICKS; k++)
        needs[k] = peaks[k] > trigger ? 1.0 - target / peaks[k] : 0.0;
}
