/* The largest magnitude of the signal between samples, 16 points a sample, in two stages: a long filter
   for the half-way points, then a short one between those (the twofold signal has no content in the upper
   half of its band, so a few taps are enough).

   Stretches that cannot raise the running maximum are skipped. A point between two samples lies off the
   straight line between them by at most `bend` times the largest second difference within reach
   (`dsp.truepeak` derives it); so it is at most the largest sample plus that. */
#include "house.h"

enum {
    LONG_HALF = 32,                     /* taps of the first stage on each side */
    SHORT_HALF = 5,                     /* taps of the second stage on each side, twofold signal */
    INNER = 7,                          /* points of the second stage between two of the first */
    MARGIN = 3,                         /* samples that the second stage reaches to each side */
    REACH = LONG_HALF + MARGIN,         /* samples that a point needs to each side of its own */
    HISTORY = 2 * REACH,
    GROUP = 32,                         /* half-way points made together */
    CHUNK = 4 * GROUP - 2 * MARGIN,     /* samples that the first stage takes or skips together */
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

/* The largest of x[0 .. count - 1]. */
INLINE float largest(const float *x, int64_t count) {
    v8 top = all(0);
    int64_t i = 0;
    for (; i + 8 <= count; i += 8) top = larger(top, magnitude(load(x + i)));
    float most = larger_of_lanes(top);
    for (; i < count; i++) {
        const float here = x[i] < 0 ? -x[i] : x[i];
        most = here > most ? here : most;
    }
    return most;
}

INLINE v8 bent(const float *x) { return magnitude((load(x - 1) - load(x)) + (load(x + 1) - load(x))); }

/* The largest second difference of x[0 .. count - 1], count at least 10; the last eight overlap others. */
INLINE float sharpest(const float *x, int64_t count) {
    v8 top = bent(x + count - 9);
    for (int64_t i = 1; i + 8 < count; i += 8) top = larger(top, bent(x + i));
    return larger_of_lanes(top);
}

/* half[i]: half-way between w[i] and w[i + 1], for i in [first, last), in groups of 32: four sums in flight
   hide the time an addition takes. */
INLINE void half_way(const float *w, float *half, int64_t first, int64_t last, const float *taps) {
    for (int64_t i = first; i < last; i += GROUP) {
        v8 s0 = all(0), s1 = s0, s2 = s0, s3 = s0;
        for (int k = 0; k < LONG_HALF; k++) {
            const v8 tap = all(taps[k]);
            const float *before = w + i - k, *after = w + i + 1 + k;
            s0 += tap * (load(before) + load(after));
            s1 += tap * (load(before + 8) + load(after + 8));
            s2 += tap * (load(before + 16) + load(after + 16));
            s3 += tap * (load(before + 24) + load(after + 24));
        }
        store(half + i, s0);
        store(half + i + 8, s1);
        store(half + i + 16, s2);
        store(half + i + 24, s3);
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
    float line, bend;             /* of both stages: a point is at most line * largest + bend * sharpest */
    float line_short, bend_short; /* of the second alone, on the twofold signal */
} Filters;

/* The running maximum after `count` points of one channel; the first stands at w[REACH]. */
INLINE float heard(const float *w, int64_t count, const Filters *f, float running) {
    float half[CHUNK + HISTORY + GROUP], twofold[2 * (CHUNK + HISTORY + GROUP)];
    if (largest(w + REACH, count + 1) * f->line + sharpest(w, count + HISTORY) * f->bend <= running) return running;
    const int64_t first = REACH - MARGIN, last = REACH + count + MARGIN;
    half_way(w, half, first, last, f->taps);
    for (int64_t i = first; i < last; i++) {
        twofold[2 * i] = w[i];
        twofold[2 * i + 1] = half[i];
    }
    for (int64_t i = REACH; i < REACH + count; i += STRETCH) {
        const int64_t length = i + STRETCH < REACH + count ? STRETCH : REACH + count - i;
        const float *at = twofold + 2 * i;
        const float line = largest(at, 2 * length + 1) * f->line_short;
        if (line + sharpest(at - SHORT_HALF + 1, 2 * length + 2 * SHORT_HALF - 1) * f->bend_short <= running) continue;
        v8 top = all(0);
        int64_t m = 0;
        for (; m + 8 <= 2 * length; m += 8)
            top = larger(top, larger(magnitude(load(at + m)), between(at + m, f->even, f->odd)));
        if (m < 2 * length) { /* the last points of the stretch, and some that are not its own */
            const v8 edge = larger(magnitude(load(at + m)), between(at + m, f->even, f->odd));
            for (int64_t lane = 0; m + lane < 2 * length; lane++) top[0] = edge[lane] > top[0] ? edge[lane] : top[0];
        }
        const float here = larger_of_lanes(top);
        running = here > running ? here : running;
    }
    return running;
}

/* x: (channels, frames). ends: rising, in (0, frames]. filters: LONG_HALF taps, then 4 x SHORT_HALF even and
   as many odd ones, then line and bend of both stages and of the second. history: (channels, HISTORY), the
   frames before. running: the maximum since the last end, updated. out: the maximum up to each end. The
   points of frame t are those in [t, t + 1), and are heard REACH frames late: `ends` count heard frames. */
KERNEL CLONED void true_peaks(const double *x, int64_t channels, int64_t frames, const int64_t *ends, int64_t n_ends,
                              const float *filters, float *history, float *running, float *out) {
    const float *limits = filters + LONG_HALF + 8 * SHORT_HALF;
    const Filters f = {
        filters, filters + LONG_HALF, filters + LONG_HALF + 4 * SHORT_HALF,
        limits[0], limits[1], limits[2], limits[3],
    };
    float w[HISTORY + CHUNK + GROUP];
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
