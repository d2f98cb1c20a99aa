/* Spectra of many frames at once, and what the section finder keeps of them. A lane of a vector is a frame.

   A frame of SIZE real samples is transformed as one of HALF complex numbers, even samples real and odd ones
   imaginary, in five passes. Passes up to a quarter of it stay in the first-level cache. */
#include "decibel.h"
#include "lanes.h"

enum {
    SIZE = 2048,
    HALF = SIZE / 2,
    QUARTER = HALF / 4,
    BINS = HALF + 1,
    DIGITS = 4 /* of a place within a quarter, base 4 */
};

#define LN_2 0.6931471805599453

/* A place within a quarter, its base-4 digits in reverse. */
INLINE int64_t reversed(int64_t place)
{
    int64_t out = 0;
    for (int digit = 0; digit < DIGITS; digit++, place >>= 2) out = out << 2 | (place & 3);
    return out;
}

/* The frames windowed, and the first pass. */
INLINE void begin(const float *const *frame, const float *window, Complex *z)
{
    for (int64_t n = 0; n < QUARTER; n += LANES / 2) {
        Lanes row[4][LANES];
        for (int64_t quarter = 0; quarter < 4; quarter++) {
            const int64_t at = 2 * (n + quarter * QUARTER);
            const Lanes weight = load(window + at);
            for (int lane = 0; lane < LANES; lane++) row[quarter][lane] = load(frame[lane] + at) * weight;
            transpose(row[quarter]);
        }
        for (int64_t i = 0; i < LANES / 2; i++) {
            Complex in[4];
            for (int64_t quarter = 0; quarter < 4; quarter++)
                in[quarter] = (Complex){row[quarter][2 * i], row[quarter][2 * i + 1]};
            butterfly(in[0], in[1], in[2], in[3], z + 4 * reversed(n + i), 1);
        }
    }
}

/* power[k]: of bin k of every frame. The transforms of even and odd samples are the parts of the complex one
   that are symmetric and antisymmetric under conjugation; the window has the factor 1/2 of either. */
INLINE void powers(const Complex *z, const float *turns, Lanes *power)
{
    for (int64_t k = 0; k <= HALF / 2; k++, turns += 2) {
        const Complex a = z[k], b = z[(HALF - k) % HALF];
        const Complex even = {a.re + b.re, a.im - b.im};
        const Complex odd = turned((Complex){a.im + b.im, b.re - a.re}, turns);
        const Complex low = plus(even, odd), high = minus(even, odd);
        power[k] = low.re * low.re + low.im * low.im;
        power[HALF - k] = high.re * high.re + high.im * high.im;
    }
}

/* turns: of the passes by 16, 64, 256 and 1024, three for every number of a quarter; then those of `powers`. */
INLINE void spectra(const float *const *frame, const float *window, const float *turns, Lanes *power)
{
    Complex z[HALF];
    begin(frame, window, z);
    for (Complex *part = z; part < z + HALF; part += QUARTER) passes(part, QUARTER, turns);
    turns += 6 * (4 + 16 + 64);
    join(z, QUARTER, turns);
    powers(z, turns + 6 * QUARTER, power);
}

/* Weighted sums over bins. spans: first bin and number of bins of every output; weights: all in a row. */
INLINE void sums(const Lanes *level, const int64_t *spans, const float *weights, int64_t outputs, int64_t lanes,
                 float *out)
{
    for (int64_t output = 0; output < outputs; output++) {
        const Lanes *from = level + spans[2 * output];
        const int64_t count = spans[2 * output + 1];
        Lanes sum[4] = {{0.0f}};
        int64_t i = 0;
        for (; i + 4 <= count; i += 4)
            for (int part = 0; part < 4; part++) sum[part] += from[i + part] * weights[i + part];
        for (; i < count; i++) sum[0] += from[i] * weights[i];
        const Lanes whole = (sum[0] + sum[1]) + (sum[2] + sum[3]);
        for (int64_t lane = 0; lane < lanes; lane++) out[lane * outputs + output] = whole[lane];
        weights += count;
    }
}

/* The median over bins: bit by bit the greatest number that no more than half of the bins lie below. Floats that
   are not negative are in the order of their bits. */
INLINE Lanes median(const Lanes *power)
{
    Ints found = {0};
    for (int32_t bit = 1 << 30; bit; bit >>= 1) {
        const Ints tried = found | bit;
        Ints below = {0};
        for (int64_t k = 0; k < BINS; k++) below -= (Ints)power[k] < tried;
        const Ints keep = (below - (HALF / 2 + 1)) >> 31;
        found |= keep & bit;
    }
    return (Lanes)found;
}

/* ln(1 + gain |X|) of the power of one bin, in every lane. */
INLINE void compress(float *power, const double *gain)
{
    for (int lane = 0; lane < LANES; lane++)
        power[lane] = (float)(LN_2 * arsis_log2(1.0 + gain[lane] * __builtin_sqrt((double)power[lane])));
}

/* x: the (frames - 1) hop + SIZE samples of `frames` frames. out: (frames, outputs), sums of powers. */
KERNEL CLONED void power_sums(const float *x, int64_t frames, int64_t hop, const float *window, const float *turns,
                              const int64_t *spans, const float *weights, int64_t outputs, float *out)
{
    for (int64_t at = 0; at < frames; at += LANES) {
        const float *frame[LANES];
        Lanes power[BINS];
        choose(x, at, frames, hop, frame);
        spectra(frame, window, turns, power);
        sums(power, spans, weights, outputs, frames - at < LANES ? frames - at : LANES, out + at * outputs);
    }
}

/* The same of compressed magnitudes: ln(1 + steepness |X| / (median of |X| + least)) of bins [first, last). */
KERNEL CLONED void compressed_sums(const float *x, int64_t frames, int64_t hop, const float *window,
                                   const float *turns, const int64_t *spans, const float *weights,
                                   int64_t outputs, float *out, double steepness, double least, int64_t first,
                                   int64_t last)
{
    for (int64_t at = 0; at < frames; at += LANES) {
        const float *frame[LANES];
        Lanes power[BINS];
        choose(x, at, frames, hop, frame);
        spectra(frame, window, turns, power);
        const Lanes middle = median(power);
        double gain[LANES];
        for (int lane = 0; lane < LANES; lane++)
            gain[lane] = steepness / (__builtin_sqrt((double)middle[lane]) + least);
        for (int64_t k = first; k < last; k++) compress((float *)(power + k), gain);
        sums(power, spans, weights, outputs, frames - at < LANES ? frames - at : LANES, out + at * outputs);
    }
}
