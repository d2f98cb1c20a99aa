/* The largest magnitude of the signal between samples, 16 points a sample, in two stages: a long filter
   for the half-way points, then a short one between those (all rates but the first stage's are easy: the
   twofold signal has no content in the upper half of its band).

   Stretches that cannot raise the running maximum are skipped: first where the largest sample near by
   times the most the filters can gain is below it, then the same for the twofold signal. */
#include "house.h"

enum {
    LONG_HALF = 32,                     /* taps of the first stage on each side */
    SHORT_HALF = 5,                     /* taps of the second stage on each side, twofold signal */
    INNER = 7,                          /* points of the second stage between two of the first */
    MARGIN = 3,                         /* samples that the second stage reaches to each side */
    REACH = LONG_HALF + MARGIN,         /* samples that a point needs to each side of its own */
    HISTORY = 2 * REACH,
    CHUNK = 128,
    STRETCH = 16                        /* samples that the second stage takes or skips together */
};

typedef float v8 __attribute__((vector_size(32)));
typedef float v8u __attribute__((vector_size(32), aligned(4)));
typedef int32_t i8 __attribute__((vector_size(32)));

INLINE v8 load(const float *at) { return (v8)*(const v8u *)at; }
INLINE void store(float *at, v8 value) { *(v8u *)at = (v8u)value; }
INLINE v8 all(float value) { return (v8){value, value, value, value, value, value, value, value}; }
INLINE v8 magnitude(v8 a) { return (v8)((i8)a & 0x7fffffff); }
INLINE v8 larger(v8 a, v8 b) {
    i8 keep = a > b;
    return (v8)(((i8)a & keep) | ((i8)b & ~keep));
}
INLINE float larger_of_lanes(v8 a) {
    float top = a[0];
    for (int lane = 1; lane < 8; lane++) top = a[lane] > top ? a[lane] : top;
    return top;
}

/* The largest of `count` magnitudes; reads up to 7 further, which are finite. */
INLINE float largest(const float *x, int64_t count) {
    v8 top = all(0);
    for (int64_t i = 0; i < count; i += 8) top = larger(top, magnitude(load(x + i)));
    return larger_of_lanes(top);
}

/* half[i]: half-way between w[i] and w[i + 1], for i in [first, last), in groups of 16. */
INLINE void half_way(const float *w, float *half, int64_t first, int64_t last, const float *taps) {
    for (int64_t i = first; i < last; i += 16) {
        v8 low = all(0), high = all(0);
        for (int k = 0; k < LONG_HALF; k++) {
            const v8 tap = all(taps[k]);
            const float *before = w + i - k, *after = w + i + 1 + k;
            low += tap * (load(before) + load(after));
            high += tap * (load(before + 8) + load(after + 8));
        }
        store(half + i, low);
        store(half + i + 8, high);
    }
}

/* The largest of the inner points after twofold[m .. m + 7]. Points j and 8 - j are mirror images: from the
   sums and differences of mirrored taps, the larger of |even + odd| and |even - odd| is |even| + |odd|. */
INLINE v8 between(const float *twofold, const float *even, const float *odd) {
    v8 sum[SHORT_HALF], difference[SHORT_HALF], top = all(0);
    for (int k = 0; k < SHORT_HALF; k++) {
        const v8 before = load(twofold - k), after = load(twofold + 1 + k);
        sum[k] = before + after;
        difference[k] = before - after;
    }
    for (int j = 0; j < (INNER + 1) / 2; j++) {
        v8 e = all(0), d = all(0);
        for (int k = 0; k < SHORT_HALF; k++) {
            e += all(even[j * SHORT_HALF + k]) * sum[k];
            d += all(odd[j * SHORT_HALF + k]) * difference[k];
        }
        top = larger(top, magnitude(e) + magnitude(d));
    }
    return top;
}

typedef struct {
    const float *taps, *even, *odd;
    float most, most_short; /* gains of both stages, and of the second, at most */
} Filters;

/* The running maximum after `count` points of one channel; the first stands at w[REACH]. */
INLINE float heard(const float *w, int64_t count, const Filters *f, float running) {
    float half[CHUNK + HISTORY + 32], twofold[2 * (CHUNK + HISTORY + 32)];
    if (largest(w, count + HISTORY) * f->most <= running) return running;
    const int64_t first = REACH - MARGIN, last = REACH + count + MARGIN;
    half_way(w, half, first, last, f->taps);
    for (int64_t i = first; i < last; i++) {
        twofold[2 * i] = w[i];
        twofold[2 * i + 1] = half[i];
    }
    for (int64_t i = REACH; i < REACH + count; i += STRETCH) {
        const int64_t length = i + STRETCH < REACH + count ? STRETCH : REACH + count - i;
        /* the last stretch must not look past the points it was asked for */
        v8 top = all(0), edge = all(0);
        const float *at = twofold + 2 * i;
        float near = 0;
        for (int64_t m = -(SHORT_HALF - 1); m < 2 * length + SHORT_HALF; m++) {
            const float here = at[m] < 0 ? -at[m] : at[m];
            near = here > near ? here : near;
        }
        if (near * f->most_short <= running) continue;
        int64_t m = 0;
        for (; m + 8 <= 2 * length; m += 8)
            top = larger(top, larger(magnitude(load(at + m)), between(at + m, f->even, f->odd)));
        if (m < 2 * length) edge = larger(magnitude(load(at + m)), between(at + m, f->even, f->odd));
        for (int64_t lane = 0; m + lane < 2 * length; lane++) top[0] = edge[lane] > top[0] ? edge[lane] : top[0];
        const float here = larger_of_lanes(top);
        running = here > running ? here : running;
    }
    return running;
}

/* x: (channels, frames), at most 8 channels. ends: rising, in (0, frames]. filters: LONG_HALF taps, then 4 x
   SHORT_HALF even and as many odd ones, then the two gains. history: (channels, HISTORY), the frames before.
   running: the maximum since the last end, updated. out: the maximum up to each end. The points of frame t
   are those in [t, t + 1), and are heard REACH frames late: `ends` count heard frames. */
KERNEL CLONED void true_peaks(const double *x, int64_t channels, int64_t frames, const int64_t *ends, int64_t n_ends,
                              const float *filters, float *history, float *running, float *out) {
    const Filters f = {
        filters, filters + LONG_HALF, filters + LONG_HALF + 4 * SHORT_HALF,
        filters[LONG_HALF + 8 * SHORT_HALF], filters[LONG_HALF + 8 * SHORT_HALF + 1],
    };
    float w[HISTORY + CHUNK + 32];
    int64_t t = 0;
    for (int64_t k = 0; k <= n_ends; k++) {
        const int64_t end = k < n_ends ? ends[k] : frames;
        while (t < end) {
            const int64_t count = end - t < CHUNK ? end - t : CHUNK;
            for (int64_t channel = 0; channel < channels; channel++) {
                const double *in = x + channel * frames + t;
                float *before = history + channel * HISTORY;
                memcpy(w, before, HISTORY * sizeof *w);
                for (int64_t i = 0; i < count; i++) w[HISTORY + i] = (float)in[i];
                memset(w + HISTORY + count, 0, 32 * sizeof *w);
                *running = heard(w, count, &f, *running);
                memcpy(before, w + count, HISTORY * sizeof *w);
            }
            t += count;
        }
        if (k == n_ends) break;
        out[k] = *running;
        *running = 0;
    }
}
