/* Rounds sound to integers with triangular noise, white or shaped.

   The noise of a sample is a function of seed, channel and frame alone: SplitMix64 (Steele, Lea and Flood,
   "Fast splittable pseudorandom number generators", OOPSLA 2014, figure 14, with Stafford's variant 13),
   entered at any frame by one multiplication. Its upper and lower 32 bits are each uniform over one step;
   their difference is triangular over two. Shaping is error feedback: with e the error of a rounding, its
   noise included, NTF = 1 - sum c_k z^-k (Lipshitz, Vanderkooy and Wannamaker, "Minimally audible noise
   shaping", JAES 39(11), 1991). */
#include "house.h"

#define CHUNK 256
#define TAPS 9
#define GAMMA 0x9E3779B97F4A7C15u
#define ROUND_HALF_EVEN 6755399441055744.0 /* 1.5 * 2^52: adding it leaves no room for a fraction */

typedef double pair __attribute__((vector_size(16)));

INLINE double rounded(double value) { return (value + ROUND_HALF_EVEN) - ROUND_HALF_EVEN; }

INLINE double as_double(uint64_t bits) {
    double value;
    memcpy(&value, &bits, 8);
    return value;
}

/* Triangular noise over (-1, 1) for `count` frames of a channel; zero where a sample passes as it is. */
INLINE void fill_noise(double *restrict noise, int64_t count, uint64_t start, int64_t frame,
                       const uint8_t *exact) {
    if (exact && !memchr(exact, 0, (size_t)count)) {
        memset(noise, 0, (size_t)count * sizeof *noise);
        return;
    }
    uint64_t at = start + (uint64_t)frame * GAMMA;
    for (int64_t i = 0; i < count; i++) {
        uint64_t z = at += GAMMA;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
        z ^= z >> 31;
        /* 0x433 is the exponent of 2^52: the 32 bits below it are the value, without a conversion */
        const double upper = as_double(z >> 32 | 0x4330000000000000u);
        const double lower = as_double((z & 0xFFFFFFFFu) | 0x4330000000000000u);
        noise[i] = (upper - lower) * (1.0 / 4294967296.0);
    }
    if (exact)
        for (int64_t i = 0; i < count; i++) noise[i] = exact[i] ? 0.0 : noise[i];
}

/* Kept within twice the range, so that no later sum can go astray. */
INLINE double bounded(double value, double limit) {
    value = value < limit ? value : limit;
    return value > -limit ? value : -limit;
}

/* A rounded number of steps as an integer within [-scale, scale - 1]; counts what lay outside. */
INLINE int32_t fitted(double value, double scale, int64_t *clipped) {
    const double low = value < scale - 1.0 ? value : scale - 1.0;
    const double fit = low > -scale ? low : -scale;
    *clipped += fit != value;
    return (int32_t)fit;
}

INLINE int64_t round_flat(int32_t *restrict out, const double *restrict in, const double *restrict noise,
                          int64_t count, double scale) {
    int64_t clipped = 0;
    for (int64_t i = 0; i < count; i++)
        out[i] = fitted(rounded(in[i] * scale + noise[i]), scale, &clipped);
    return clipped;
}

/* Error feedback over two channels at once. errors: the last TAPS errors, newest first. The error is
   taken before clipping, so that a clipped peak does not unsettle the loop. */
INLINE void shape(double steps[2][CHUNK], double noise[2][CHUNK], int64_t count, const double *c, pair *errors,
                  const uint8_t *exact) {
    const pair half_even = {ROUND_HALF_EVEN, ROUND_HALF_EVEN};
    pair e1 = errors[0], e2 = errors[1], e3 = errors[2], e4 = errors[3], e5 = errors[4], e6 = errors[5],
         e7 = errors[6], e8 = errors[7], e9 = errors[8];
    for (int64_t i = 0; i < count; i++) {
        pair input = {steps[0][i], steps[1][i]}, error = {0.0, 0.0}, output;
        if (exact && exact[i]) {
            output = (input + half_even) - half_even;
            e1 = e2 = e3 = e4 = e5 = e6 = e7 = e8 = error;
        } else {
            const pair dither = {noise[0][i], noise[1][i]};
            input -= ((((((((c[8] * e9 + c[7] * e8) + c[6] * e7) + c[5] * e6) + c[4] * e5) + c[3] * e4) +
                        c[2] * e3) + c[1] * e2));
            const pair newest = c[0] * e1;
            output = (((input + dither) - newest) + half_even) - half_even;
            error = output - (input - newest);
        }
        steps[0][i] = output[0];
        steps[1][i] = output[1];
        e9 = e8, e8 = e7, e7 = e6, e6 = e5, e5 = e4, e4 = e3, e3 = e2, e2 = e1, e1 = error;
    }
    errors[0] = e1, errors[1] = e2, errors[2] = e3, errors[3] = e4, errors[4] = e5, errors[5] = e6;
    errors[6] = e7, errors[7] = e8, errors[8] = e9;
}

INLINE int64_t round_shaped(int32_t *restrict out, int64_t channels, int64_t stride, const double *in,
                            double noise[2][CHUNK], int64_t count, double scale, const double *c, pair *errors,
                            const uint8_t *exact) {
    double steps[2][CHUNK] = {{0.0}};
    int64_t clipped = 0;
    for (int64_t channel = 0; channel < channels; channel++)
        for (int64_t i = 0; i < count; i++)
            steps[channel][i] = bounded(in[channel * stride + i] * scale, 2.0 * scale);
    shape(steps, noise, count, c, errors, exact);
    for (int64_t channel = 0; channel < channels; channel++)
        for (int64_t i = 0; i < count; i++)
            out[channel * stride + i] = fitted(steps[channel][i], scale, &clipped);
    return clipped;
}

enum { NO_NOISE, FLAT, SHAPED };

/* in: (channels, frames), 1 or 2 channels; full scale is `scale` steps. starts: the noise of each channel.
   exact: one byte a frame, or none of them. coefficients: TAPS. errors: (TAPS, 2), carried.
   out: (channels, frames). Returns the samples that had to be clipped. */
KERNEL CLONED int64_t dither_quantise(const double *in, int64_t channels, int64_t frames, double scale,
                                      int64_t kind, const uint64_t *starts, int64_t first_frame,
                                      const uint8_t *exact, int64_t exact_frames, const double *coefficients,
                                      double *errors, int32_t *out) {
    double noise[2][CHUNK] = {{0.0}};
    pair history[TAPS];
    int64_t clipped = 0;
    memcpy(history, errors, sizeof history);
    for (int64_t at = 0; at < frames; at += CHUNK) {
        const int64_t count = frames - at < CHUNK ? frames - at : CHUNK;
        const uint8_t *marks = exact_frames ? exact + at : NULL;
        for (int64_t channel = 0; kind != NO_NOISE && channel < channels; channel++)
            fill_noise(noise[channel], count, starts[channel], first_frame + at, marks);
        if (kind == SHAPED)
            clipped += round_shaped(out + at, channels, frames, in + at, noise, count, scale, coefficients,
                                    history, marks);
        else
            for (int64_t channel = 0; channel < channels; channel++)
                clipped += round_flat(out + channel * frames + at, in + channel * frames + at, noise[channel],
                                      count, scale);
    }
    memcpy(errors, history, sizeof history);
    return clipped;
}
