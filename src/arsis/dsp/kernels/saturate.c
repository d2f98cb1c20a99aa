/* What a smooth curve adds to a signal, free of aliasing to a stated level.

   The curve f(x) = x / sqrt(1 + k x^2), read around a bias b and scaled to slope 1:
   y = (f(x + b) - f(b)) / f'(b). Only the difference y - x is made here, in single precision and at a
   higher rate; the signal itself never passes a filter. The difference is cubic in small signals
   (square where biased), so that its rounding lies some 140 dB below the signal.

   Instead of y at each instant, its mean between one sample and the next is taken: first-order
   antiderivative antialiasing, J. Parker, V. Zavalishin, E. Le Bivic, "Reducing the Aliasing of
   Nonlinear Waveshaping Using Continuous-Time Convolution", DAFx-16, 2016. Because the antiderivative of f is
   sqrt(1 + k x^2) / k, the quotient of differences loses its small denominator altogether:

     (F(x1) - F(x0)) / (x1 - x0) = (x1 + x0) / (s1 + s0),   s = sqrt(1 + k x^2).

   All sequences at a higher rate are held as their phases, arrays at the rate of the signal, so that
   every loop runs along time. Interpolation and decimation are half-band filters. */
#include "house.h"

enum {
    CHUNK = 2048,    /* frames that go through all stages together: the phases stay in cache */
    MOST_REACH = 96, /* frames needed on either side, at most */
    GROUP = 16,      /* frames of one turn of the filter loop */
    ROOM = CHUNK + 2 * MOST_REACH + 4 * GROUP,
    MOST_PHASES = 4,
    MOST_TAPS = 48
};

typedef float v8 __attribute__((vector_size(32)));
typedef float Line[ROOM];
typedef const float *Phases[MOST_PHASES];
typedef struct { float k, bias, root; } Shape; /* root = sqrt(1 + k bias^2) */
typedef struct { int from, to; } Range;        /* frames that are right so far */

INLINE v8 load(const float *p) { v8 v; memcpy(&v, p, sizeof v); return v; }

INLINE Range within(Range r, int below, int above) { return (Range){r.from + below, r.to - above}; }

/* Samples half-way between those of a sequence of `count` phases: out[n] lies half a sample after
   place n * count + first. taps: one side, outermost first. */
INLINE void halfway(const float *const *phases, int count, int first, const float *taps, int reach, Range r,
                    float *restrict out)
{
    const float *before[MOST_TAPS], *after[MOST_TAPS];
    for (int j = 0; j < reach; j++) {
        int back = first - (reach - 1) + j + MOST_TAPS * count, fore = first + reach - j + MOST_TAPS * count;
        before[j] = phases[back % count] + back / count - MOST_TAPS;
        after[j] = phases[fore % count] + fore / count - MOST_TAPS;
    }
    for (int n = r.from; n < r.to; n += GROUP) {
        v8 low = {0}, high = {0};
        for (int j = 0; j < reach; j++) {
            low += taps[j] * (load(before[j] + n) + load(after[j] + n));
            high += taps[j] * (load(before[j] + n + 8) + load(after[j] + n + 8));
        }
        memcpy(out + n, &low, sizeof low);
        memcpy(out + n + 8, &high, sizeof high);
    }
}

/* Below -180 dBFS nothing is added, which keeps subnormals out; above +120 dBFS no more than there, so
   that any finite input stays finite in single precision. */
INLINE float heard(double x)
{
    x = x > 1e6 ? 1e6 : x;
    x = x < -1e6 ? -1e6 : x;
    return (float)(__builtin_fabs(x) < 1e-9 ? 0.0 : x);
}

/* The mean of what the curve adds, between each sample and the one before it. With d = s - root,
   e = d0 + d1 and q = x0 + x1 the algebra below holds no difference of nearly equal numbers. */
INLINE void bend(const Phases x, int count, Shape shape, Range r, Line *d, Line *added)
{
    const float k = shape.k, twice_bias = 2.0f * shape.bias, root = shape.root;
    const float straight = root * k * shape.bias * shape.bias, lopsided = root * root * shape.bias;
    for (int p = 0; p < count; p++)
        for (int n = r.from - 1; n < r.to; n++) {
            float u = x[p][n], rise = k * u * (twice_bias + u);
            d[p][n] = rise / (root + __builtin_sqrtf(root * root + rise));
        }
    for (int p = 0; p < count; p++) {
        int last = (p + count - 1) % count, ago = p == 0;
        for (int n = r.from; n < r.to; n++) {
            float q = x[p][n] + x[last][n - ago], e = d[p][n] + d[last][n - ago];
            added[p][n] = (straight * q - e * (0.5f * q + lopsided)) / (2.0f * root + e);
        }
    }
}

/* The same for a signal that follows another: the curve's gain is the other's. What is added is written
   above as x times what x decides, so that signals which add up to x have additions that add up to its own:
   e is the sum of d = u c(u), which becomes v c(u). */
INLINE void bend_like(const Phases x, const Phases v, int count, Shape shape, Range r, Line *c, Line *added)
{
    const float k = shape.k, twice_bias = 2.0f * shape.bias, root = shape.root;
    const float straight = root * k * shape.bias * shape.bias, lopsided = root * root * shape.bias;
    for (int p = 0; p < count; p++)
        for (int n = r.from - 1; n < r.to; n++) {
            float u = x[p][n], rise = k * u * (twice_bias + u);
            c[p][n] = k * (twice_bias + u) / (root + __builtin_sqrtf(root * root + rise));
        }
    for (int p = 0; p < count; p++) {
        int last = (p + count - 1) % count, ago = p == 0;
        for (int n = r.from; n < r.to; n++) {
            float c0 = c[last][n - ago], c1 = c[p][n], v0 = v[last][n - ago], v1 = v[p][n];
            float e = x[last][n - ago] * c0 + x[p][n] * c1, own = v0 * c0 + v1 * c1;
            added[p][n] = ((straight - 0.5f * e) * (v0 + v1) - lopsided * own) / (2.0f * root + e);
        }
    }
}

/* The means lie half a sample early; four samples bring them back. Of the weights (-a, b, b, -a) with
   b = 1/2 + a, this a makes up for what the mean takes from the top: at 176.4 kHz a sine of -1 dBFS leaves
   the curve within 0.1 dB of its level up to 16 kHz for drives up to 12 dB (found by trial, see
   docs/saturation.md; no source). */
INLINE void bring_back(Line *mean, int count, Range r, Line *out)
{
    for (int p = 0; p < count; p++) {
        const float *at[4];
        for (int i = 0; i < 4; i++) {
            int place = p - 1 + i + count;
            at[i] = mean[place % count] + place / count - 1;
        }
        for (int n = r.from; n < r.to; n++)
            out[p][n] = 0.65f * (at[1][n] + at[2][n]) - 0.15f * (at[0][n] + at[3][n]);
    }
}

typedef struct { const float *taps; const int64_t *reaches; int stages; } Rates;

/* Twice the phases for every stage; gives back how many there are. */
INLINE int raise_rate(Phases phases, const Rates *rates, Range *r, Line *made)
{
    int count = 1;
    for (int stage = 0; stage < rates->stages; stage++) {
        int reach = (int)rates->reaches[stage];
        Phases finer;
        *r = within(*r, reach / count + 1, reach / count + 1);
        for (int p = 0; p < count; p++) {
            halfway(phases, count, p, rates->taps + stage * MOST_TAPS, reach, *r, *made);
            finer[2 * p] = phases[p];
            finer[2 * p + 1] = *made++;
        }
        count *= 2;
        memcpy(phases, finer, sizeof(Phases));
    }
    return count;
}

/* Half the phases for every stage; the last left is line 0. */
INLINE void lower_rate(Line *line, int count, const Rates *rates, Range *r, float *half)
{
    for (int stage = rates->stages - 1; stage >= 0; stage--) {
        int reach = (int)rates->reaches[stage];
        Phases odd = {0};
        count /= 2;
        *r = within(*r, reach / count + 1, reach / count + 1);
        for (int p = 0; p < count; p++)
            odd[p] = line[2 * p + 1];
        for (int p = 0; p < count; p++) {
            halfway(odd, count, p - 1, rates->taps + stage * MOST_TAPS, reach, *r, half);
            for (int n = r->from; n < r->to; n++)
                line[p][n] = 0.5f * (line[2 * p][n] + half[n]); /* overwrites only what has been used */
        }
    }
}

typedef struct { Shape curve; Rates rates; int64_t margin; } Job;

/* A chunk of one channel, `n` frames and their margins, with all its phases at the higher rate. */
INLINE int fine(const double *at, int n, const Job *job, Line raw, Line *made, Phases phases, Range *r)
{
    *r = (Range){0, n + 2 * (int)job->margin};
    for (int i = 0; i < r->to; i++)
        raw[i] = heard(at[i]);
    phases[0] = raw;
    int count = raise_rate(phases, &job->rates, r, made);
    *r = within(*r, 2, 0);
    return count;
}

/* The means of a chunk, back in place and at the signal's rate. */
INLINE void settle(Line *mean, Line *work, int count, Range r, int n, const Job *job, double *added)
{
    r = within(r, 1, 2);
    bring_back(mean, count, r, work);
    lower_rate(work, count, &job->rates, &r, mean[0]);
    for (int i = 0; i < n; i++)
        added[i] = (double)work[0][job->margin + i];
}

/* x: (channels, frames + 2 margin); shape: k, bias, sqrt(1 + k bias^2); taps: (stages, 48), one side of
   each half-band filter, outermost first, the slowest stage first; reaches: (stages,) how many of them
   count; stages: 0 to 2; added: (channels, frames), what the curve adds to x[margin:margin + frames]. */
CLONED KERNEL void saturate_added(const double *restrict x, int64_t channels, int64_t frames, int64_t margin,
                                  const double *restrict shape, const float *restrict taps,
                                  const int64_t *restrict reaches, int64_t stages, double *restrict added)
{
    const Job job = {{(float)shape[0], (float)shape[1], (float)shape[2]}, {taps, reaches, (int)stages},
                     margin};
    const int64_t wide = frames + 2 * margin;
    Line raw = {0}, made[MOST_PHASES - 1] = {0}, work[MOST_PHASES] = {0}, line[MOST_PHASES] = {0};
    for (int64_t c = 0; c < channels; c++)
        for (int64_t start = 0; start < frames; start += CHUNK) {
            int n = (int)(frames - start < CHUNK ? frames - start : CHUNK);
            Phases phases = {0};
            Range r;
            int count = fine(x + c * wide + start, n, &job, raw, made, phases, &r);
            bend(phases, count, job.curve, r, work, line);
            settle(line, work, count, r, n, &job, added + c * frames + start);
        }
}

/* The same for v, (channels, frames + 2 margin), with the gain that the curve has for x. */
CLONED KERNEL void saturate_added_like(const double *restrict v, const double *restrict x, int64_t channels,
                                       int64_t frames, int64_t margin, const double *restrict shape,
                                       const float *restrict taps, const int64_t *restrict reaches,
                                       int64_t stages, double *restrict added)
{
    const Job job = {{(float)shape[0], (float)shape[1], (float)shape[2]}, {taps, reaches, (int)stages},
                     margin};
    const int64_t wide = frames + 2 * margin;
    Line raw = {0}, made[MOST_PHASES - 1] = {0}, work[MOST_PHASES] = {0}, line[MOST_PHASES] = {0};
    Line own_raw = {0}, own_made[MOST_PHASES - 1] = {0};
    for (int64_t c = 0; c < channels; c++)
        for (int64_t start = 0; start < frames; start += CHUNK) {
            int n = (int)(frames - start < CHUNK ? frames - start : CHUNK);
            Phases lead = {0}, own = {0};
            Range r;
            fine(x + c * wide + start, n, &job, raw, made, lead, &r);
            int count = fine(v + c * wide + start, n, &job, own_raw, own_made, own, &r);
            bend_like(lead, own, count, job.curve, r, work, line);
            settle(line, work, count, r, n, &job, added + c * frames + start);
        }
}
