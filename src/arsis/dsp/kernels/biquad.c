/* A cascade of second-order sections, transposed direct form II, over planar channels.

   Every path below does the same arithmetic for a section and a sample, in the same order; they
   differ only in which sections and channels travel together. So the number of channels, the
   grouping and the block size never change a bit. Denormal state is left to the processor
   (no cost was measured on Zen 3; others differ): flushing it would change the last bits. */
#include "house.h"

typedef double v2 __attribute__((vector_size(16)));
typedef double v4 __attribute__((vector_size(32)));

#if defined(__clang__)
#define MIX4(a, b, i, j, k, l) __builtin_shufflevector(a, b, i, j, k, l)
#else
typedef int64_t i4 __attribute__((vector_size(32)));
#define MIX4(a, b, i, j, k, l) __builtin_shuffle(a, b, (i4){i, j, k, l})
#endif

enum { COEFFICIENTS = 5, STATE = 2, MOST = 6 };

typedef struct { v2 b0, b1, b2, a1, a2, p, q; } section2;
typedef struct { v4 b0, b1, b2, a1, a2, p, q; } section4;

/* One section, one sample: works for a scalar, for two lanes and for four. */
#define STEP(s, u, v) \
    do { \
        (v) = (s).b0 * (u) + (s).p; \
        (s).p = ((s).b1 * (u) + (s).q) - (s).a1 * (v); \
        (s).q = (s).b2 * (u) - (s).a2 * (v); \
    } while (0)

INLINE section2 both(const double *c, const double *left, const double *right)
{
    return (section2){{c[0], c[0]}, {c[1], c[1]}, {c[2], c[2]}, {c[3], c[3]}, {c[4], c[4]},
                      {left[0], right[0]}, {left[1], right[1]}};
}

#define JOIN(field) .field = {a.field[0], a.field[1], b.field[0], b.field[1]}
INLINE section4 pair(section2 a, section2 b)
{
    return (section4){JOIN(b0), JOIN(b1), JOIN(b2), JOIN(a1), JOIN(a2), JOIN(p), JOIN(q)};
}

/* One channel, one section at a time. */
INLINE void one_scalar(const double *x, double *y, int64_t frames, const double *c, double *state)
{
    struct { double b0, b1, b2, a1, a2, p, q; } s = {c[0], c[1], c[2], c[3], c[4], state[0], state[1]};
    for (int64_t t = 0; t < frames; t++) {
        double u = x[t], v;
        STEP(s, u, v);
        y[t] = v;
    }
    state[0] = s.p;
    state[1] = s.q;
}

/* One channel, `n` sections (two to four): lane k runs section k, k samples behind lane 0. */
INLINE void skewed_mono(const double *x, double *y, int64_t frames, const double *c, double *state, const int n)
{
    section4 s = {0};
    for (int k = 0; k < n; k++) {
        const double *r = c + COEFFICIENTS * k;
        s.b0[k] = r[0], s.b1[k] = r[1], s.b2[k] = r[2], s.a1[k] = r[3], s.a2[k] = r[4];
        s.p[k] = state[STATE * k], s.q[k] = state[STATE * k + 1];
    }
    v4 out = {0};
    for (int64_t t = 0; t < frames + n - 1; t++) {
        section4 before = s;
        double first = t < frames ? x[t] : 0.0;
        v4 in = MIX4(out, ((v4){first, first, first, first}), 4, 0, 1, 2);
        STEP(s, in, out);
        if (t < n - 1 || t >= frames) /* lanes that have no sample yet, or no more, keep their state */
            for (int k = 0; k < n; k++)
                if (t < k || t - k >= frames) {
                    s.p[k] = before.p[k];
                    s.q[k] = before.q[k];
                }
        if (t >= n - 1) y[t - n + 1] = out[n - 1];
    }
    for (int k = 0; k < n; k++) {
        state[STATE * k] = s.p[k];
        state[STATE * k + 1] = s.q[k];
    }
}

/* Two channels, `n` sections one after another in each sample. */
INLINE void plain_stereo(const double *const x[2], double *const y[2], int64_t frames, section2 *s, int n)
{
    for (int64_t t = 0; t < frames; t++) {
        v2 u = {x[0][t], x[1][t]}, v = u;
        for (int k = 0; k < n; k++) {
            STEP(s[k], u, v);
            u = v;
        }
        y[0][t] = v[0];
        y[1][t] = v[1];
    }
}

/* Two channels, `n` sections (even), section k running k samples behind the first: one vector holds
   left and right of two sections, so that nothing waits for its neighbour. The ramps at both ends
   run the sections that have a sample, with the same arithmetic. Needs frames >= n. */
INLINE void skewed_stereo(const double *const x[2], double *const y[2], int64_t frames, section2 *s, const int n)
{
    v2 last[MOST] = {0};
    for (int t = 0; t < n - 1; t++)
        for (int k = t; k >= 0; k--) {
            v2 u = k ? last[k - 1] : (v2){x[0][t], x[1][t]};
            STEP(s[k], u, last[k]);
        }
    section4 w[MOST / 2] = {0};
    v4 out[MOST / 2] = {0};
#pragma GCC unroll 3
    for (int j = 0; j < n / 2; j++) {
        w[j] = pair(s[2 * j], s[2 * j + 1]);
        out[j] = (v4){last[2 * j][0], last[2 * j][1], last[2 * j + 1][0], last[2 * j + 1][1]};
    }
    for (int64_t t = n - 1; t < frames; t++) {
        v4 in[MOST / 2] = {0};
        in[0] = MIX4(((v4){x[0][t], x[1][t], 0, 0}), out[0], 0, 1, 4, 5);
#pragma GCC unroll 3
        for (int j = 1; j < n / 2; j++) in[j] = MIX4(out[j - 1], out[j], 2, 3, 4, 5);
#pragma GCC unroll 3
        for (int j = 0; j < n / 2; j++) STEP(w[j], in[j], out[j]);
        y[0][t - n + 1] = out[n / 2 - 1][2];
        y[1][t - n + 1] = out[n / 2 - 1][3];
    }
#pragma GCC unroll 3
    for (int j = 0; j < n / 2; j++) {
        s[2 * j].p = (v2){w[j].p[0], w[j].p[1]};
        s[2 * j].q = (v2){w[j].q[0], w[j].q[1]};
        s[2 * j + 1].p = (v2){w[j].p[2], w[j].p[3]};
        s[2 * j + 1].q = (v2){w[j].q[2], w[j].q[3]};
        last[2 * j] = (v2){out[j][0], out[j][1]};
        last[2 * j + 1] = (v2){out[j][2], out[j][3]};
    }
    for (int64_t t = frames; t < frames + n - 1; t++) {
        for (int k = n - 1; k > t - frames; k--) STEP(s[k], last[k - 1], last[k]);
        y[0][t - n + 1] = last[n - 1][0];
        y[1][t - n + 1] = last[n - 1][1];
    }
}

INLINE void group_stereo(const double *const x[2], double *const y[2], int64_t frames, const double *c,
                         double *left, double *right, const int n)
{
    section2 s[MOST] = {0};
    for (int k = 0; k < n; k++) s[k] = both(c + COEFFICIENTS * k, left + STATE * k, right + STATE * k);
    if (n > 1 && frames >= n)
        skewed_stereo(x, y, frames, s, n);
    else
        plain_stereo(x, y, frames, s, n);
    for (int k = 0; k < n; k++) {
        left[STATE * k] = s[k].p[0];
        left[STATE * k + 1] = s[k].q[0];
        right[STATE * k] = s[k].p[1];
        right[STATE * k + 1] = s[k].q[1];
    }
}

CLONED static void stereo(const double *x, double *y, int64_t frames, const double *sos, int64_t sections, double *state)
{
    const double *in[2] = {x, x + frames};
    double *const out[2] = {y, y + frames};
    for (int64_t k = 0; k < sections;) {
        const double *c = sos + COEFFICIENTS * k;
        double *left = state + STATE * k, *right = left + STATE * sections;
        int64_t rest = sections - k;
        int n = rest >= 6 ? 6 : rest >= 4 ? 4 : rest >= 2 ? 2 : 1;
        if (n == 6) group_stereo(in, out, frames, c, left, right, 6);
        else if (n == 4) group_stereo(in, out, frames, c, left, right, 4);
        else if (n == 2) group_stereo(in, out, frames, c, left, right, 2);
        else group_stereo(in, out, frames, c, left, right, 1);
        in[0] = out[0];
        in[1] = out[1];
        k += n;
    }
}

CLONED static void mono(const double *x, double *y, int64_t frames, const double *sos, int64_t sections, double *state)
{
    for (int64_t k = 0; k < sections;) {
        const double *c = sos + COEFFICIENTS * k;
        double *z = state + STATE * k;
        int64_t rest = sections - k;
        int n = rest >= 4 ? 4 : (int)rest;
        if (n == 4) skewed_mono(x, y, frames, c, z, 4);
        else if (n == 3) skewed_mono(x, y, frames, c, z, 3);
        else if (n == 2) skewed_mono(x, y, frames, c, z, 2);
        else one_scalar(x, y, frames, c, z);
        k += n;
        x = y;
    }
}

/* x, y: (channels, frames); sos: (sections, 5), rows b0 b1 b2 a1 a2 with a0 = 1, at least one;
   state: (channels, sections, 2), carried from block to block. y may be x. */
KERNEL void biquad_cascade(const double *x, double *y, int64_t channels, int64_t frames, const double *sos,
                           int64_t sections, double *state)
{
    if (channels == 2) {
        stereo(x, y, frames, sos, sections, state);
        return;
    }
    for (int64_t k = 0; k < channels; k++)
        mono(x + k * frames, y + k * frames, frames, sos, sections, state + k * sections * STATE);
}
