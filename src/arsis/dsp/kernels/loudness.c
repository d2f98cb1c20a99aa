/* Energy of the K-weighted signal between given frames (ITU-R BS.1770-5, Annex 1).

   The four lanes are stage 1 of left and right and stage 2 of left and right, stage 2 one frame behind,
   so that one step of both channels through both stages is one step of a vector. The lag lives only
   inside a call: the first step leaves stage 2 as it was, the last leaves stage 1 as it was. */
#include "house.h"

typedef double v4 __attribute__((vector_size(32)));

typedef struct {
    v4 b0, b1, b2, a1, a2; /* feedback with its sign turned */
    v4 p, q;               /* transposed direct form II */
    v4 out;
    v4 energy;
} Weighting;

INLINE void advance(Weighting *w, v4 in) {
    v4 v = w->b0 * in + w->p;
    w->p = w->a1 * v + (w->b1 * in + w->q);
    w->q = w->a2 * v + w->b2 * in;
    w->out = v;
}

INLINE v4 lower_upper(v4 lower, v4 upper) { return (v4){lower[0], lower[1], upper[2], upper[3]}; }

/* x: (channels, frames), 1 or 2 channels. ends: rising, in (0, frames]. coefficients: b0 b1 b2 a1 a2 of
   stage 1, then of stage 2. state: p[4], q[4], energy since the last end of left and right.
   out: (n_ends, 2), the sum of squares of left and right up to each end (mono: twice the same). */
KERNEL CLONED void kweighted_energy(const double *x, int64_t channels, int64_t frames, const int64_t *ends,
                                    int64_t n_ends, const double *coefficients, double *state, double *out) {
    if (frames == 0) return;
    const double *left = x, *right = channels > 1 ? x + frames : x, *c = coefficients;
    const v4 zero = {0, 0, 0, 0};
    Weighting w = {
        {c[0], c[0], c[5], c[5]},     {c[1], c[1], c[6], c[6]},     {c[2], c[2], c[7], c[7]},
        {-c[3], -c[3], -c[8], -c[8]}, {-c[4], -c[4], -c[9], -c[9]}, {0, 0, state[2], state[3]},
        {0, 0, state[6], state[7]},   {0, 0, 0, 0},                 {0, 0, state[8], state[9]},
    };
    const v4 p_before = w.p, q_before = w.q;
    w.p = (v4){state[0], state[1], 0, 0};
    w.q = (v4){state[4], state[5], 0, 0};
    advance(&w, (v4){left[0], right[0], 0, 0});
    w.p = lower_upper(w.p, p_before);
    w.q = lower_upper(w.q, q_before);

    int64_t t = 0;
    for (int64_t k = 0; k <= n_ends; k++) {
        const int64_t end = k < n_ends ? ends[k] : frames;
        const int64_t paired = end < frames ? end : frames - 1;
        for (; t < paired; t++) {
            advance(&w, (v4){left[t + 1], right[t + 1], w.out[0], w.out[1]});
            w.energy += w.out * w.out;
        }
        if (t < end) { /* the last frame: stage 2 alone */
            const v4 p = w.p, q = w.q;
            advance(&w, (v4){0, 0, w.out[0], w.out[1]});
            w.energy += w.out * w.out;
            w.p = lower_upper(p, w.p);
            w.q = lower_upper(q, w.q);
            t = end;
        }
        if (k < n_ends) {
            out[2 * k] = w.energy[2];
            out[2 * k + 1] = w.energy[3];
            w.energy = zero;
        }
    }
    memcpy(state, &w.p, sizeof w.p);
    memcpy(state + 4, &w.q, sizeof w.q);
    state[8] = w.energy[2];
    state[9] = w.energy[3];
}
