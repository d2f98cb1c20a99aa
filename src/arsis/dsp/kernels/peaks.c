/* Where a signal comes near a ceiling between its samples, and what gain it needs there. */
#include "limiter.h"

typedef float Lane __attribute__((vector_size(32)));
enum { LANES = 8, PART = 32 }; /* frames judged together inside a hop */

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

INLINE double absolute(double a)
{
    return a < 0.0 ? -a : a;
}

INLINE void narrow(const double *u, int64_t count, float *out)
{
    for (int64_t i = 0; i < count; i++) {
        double a = u[i] < ENOUGH ? u[i] : ENOUGH;
        a = a > -ENOUGH ? a : -ENOUGH;
        out[i] = (float)a;
    }
}

/* Greatest of |u|. */
INLINE double greatest(const double *u, int64_t count)
{
    double most = 0.0;
    for (int64_t i = 0; i < count; i++) {
        const double a = absolute(u[i]);
        most = a > most ? a : most;
    }
    return most;
}

/* Greatest second difference, centred on u[0] to u[count - 1]. */
INLINE double greatest_bend(const double *u, int64_t count)
{
    double most[LANES] = {0.0};
    for (int64_t i = 0; i < count; i += LANES)
        for (int64_t k = 0; k < LANES; k++) {
            const double a = absolute((u[i + k - 1] + u[i + k + 1]) - (u[i + k] + u[i + k]));
            most[k] = a > most[k] ? a : most[k];
        }
    return greatest(most, LANES);
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

/* One interpolator over [0, 1]: the greatest size, and the values at 0, 1/2 and 1. */
typedef struct {
    float most, first, middle, last;
} Crest;

INLINE Crest crest(const float *even, const float *odd, const float *table, int64_t start)
{
    Crest c = {0.0f, 0.0f, 0.0f, 0.0f};
    for (int64_t p = 0; p < FINE_PAIRS; p++) {
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
   apart, is the most that any meter can make of it. */
INLINE float fine_peak(const double *u, const Tables *tables)
{
    float near[2 * FINE_HALF], even[FINE_HALF], odd[FINE_HALF];
    const int64_t size = FINE_PAIRS * 2 * FINE_HALF;
    narrow(u - FINE_HALF + 1, 2 * FINE_HALF, near);
    for (int64_t k = 0; k < FINE_HALF; k++) {
        even[k] = near[k] + near[2 * FINE_HALF - 1 - k];
        odd[k] = near[k] - near[2 * FINE_HALF - 1 - k];
    }
    const Crest full = crest(even, odd, tables->fine, tables->starts[0]);
    const Crest low = crest(even, odd, tables->fine + size, tables->starts[1]);
    const float first = full.first - low.first, middle = full.middle - low.middle, last = full.last - low.last;
    const float side = first * first > last * last ? first : last;
    const float guarded = low.most + __builtin_sqrtf(side * side + middle * middle);
    float most = full.most > guarded ? full.most : guarded;
    for (int64_t f = 2; f < tables->filters; f++) {
        const float other = crest(even, odd, tables->fine + f * size, tables->starts[f]).most;
        most = other > most ? other : most;
    }
    return most;
}

/* A bound on what lies near half the rate: the greatest eighth difference, as a sine's amplitude. */
INLINE double greatest_edge(const double *u, int64_t count)
{
    double d[HOP + 2 * FINE_HALF + 8];
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
   How far coarse and fine may differ follows from what the signal holds near half the rate. */
INLINE void judge_fine(const double *u, const Tables *tables, double near, double edge, double *peaks)
{
    float peak[PART + 2 * LANES];
    coarse_peaks(u - LANES, PART + 2 * LANES, tables->coarse, peak);
    for (int64_t i = 0; i < PART; i++) {
        const double here = (double)peak[LANES + i];
        const double before = (double)peak[LANES + i - 1], after = (double)peak[LANES + i + 1];
        const double slack = 0.25 * edge;
        if (here > near && here + slack >= before && here + slack >= after)
            raise(peaks, i / TICK, (double)fine_peak(u + i, tables));
    }
}

CLONED void limiter_needs(const Stage *s, const Tables *tables, int64_t from, double *needs)
{
    const double trigger = s->rule[RULE_TRIGGER], target = s->rule[RULE_TARGET];
    const int64_t fine = s->form[FORM_FINE];
    double peaks[HOP_TICKS] = {0.0};
    double *bends = s->level + LEVEL_BEND, bend = 0.0;
    /* The second differences of the last eight hops; enough for everything an interpolator sees. */
    double fresh = 0.0;
    for (int64_t c = 0; c < s->channels; c++) {
        const double b = greatest_bend(s->signal + c * s->stride + s->count[COUNT_FILL] - HOP - 1, HOP);
        fresh = b > fresh ? b : fresh;
    }
    memmove(bends + 1, bends, 7 * sizeof *bends);
    bends[0] = fresh;
    for (int64_t k = 0; k < 8; k++)
        bend = bends[k] > bend ? bends[k] : bend;
    bend *= s->rule[RULE_BEND];

    for (int64_t c = 0; c < s->channels; c++) {
        const double *u = s->signal + c * s->stride + from;
        double edge = -1.0;
        for (int64_t part = 0; part < HOP; part += PART) {
            if (greatest(u + part, PART + 1) + bend <= trigger)
                continue;
            if (!fine) {
                judge_coarse(u + part, tables, peaks + part / TICK);
                continue;
            }
            if (edge < 0.0)
                edge = greatest_edge(u - FINE_HALF, HOP + 2 * FINE_HALF);
            judge_fine(u + part, tables, 0.999 * trigger - 5.0 * edge, edge, peaks + part / TICK);
        }
    }
    for (int64_t k = 0; k < HOP_TICKS; k++)
        needs[k] = peaks[k] > trigger ? 1.0 - target / peaks[k] : 0.0;
}
