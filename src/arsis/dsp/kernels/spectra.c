/* Spectra of many frames at once, and what the section finder keeps of them. A lane of a vector is a frame: no
   frame's bits depend on the frames that it travels with.

   A frame of SIZE real samples is transformed as one of HALF complex numbers, even samples real and odd ones
   imaginary, in five passes of radix 4, decimated in time (Cooley and Tukey, An Algorithm for the Machine
   Calculation of Complex Fourier Series, 1965). Passes up to a quarter of it stay in the first-level cache. */
#include "decibel.h"

enum {
    SIZE = 2048,
    HALF = SIZE / 2,
    QUARTER = HALF / 4,
    BINS = HALF + 1,
    LANES = FLOATS,
    DIGITS = 4 /* of a place within a quarter, base 4 */
};

typedef float Lanes __attribute__((vector_size(4 * LANES)));
typedef float Loose __attribute__((vector_size(4 * LANES), aligned(4)));
typedef int32_t Ints __attribute__((vector_size(4 * LANES)));
typedef struct { Lanes re, im; } Complex;

#define LN_2 0.6931471805599453

#if defined(__clang__)
#define MIX(a, b, ...) __builtin_shufflevector(a, b, __VA_ARGS__)
#else
#define MIX(a, b, ...) __builtin_shuffle(a, b, (Ints){__VA_ARGS__})
#endif

INLINE Lanes load(const float *at) { return (Lanes)*(const Loose *)at; }
INLINE Complex plus(Complex a, Complex b) { return (Complex){a.re + b.re, a.im + b.im}; }
INLINE Complex minus(Complex a, Complex b) { return (Complex){a.re - b.re, a.im - b.im}; }
INLINE Complex turned(Complex a, const float *by)
{
    return (Complex){a.re * by[0] - a.im * by[1], a.re * by[1] + a.im * by[0]};
}

/* Rows become columns. */
#if FLOATS == 8
INLINE void transpose(Lanes *r)
{
    Lanes a[LANES], b[LANES];
    for (int i = 0; i < LANES; i += 2) {
        a[i] = MIX(r[i], r[i + 1], 0, 8, 2, 10, 4, 12, 6, 14);
        a[i + 1] = MIX(r[i], r[i + 1], 1, 9, 3, 11, 5, 13, 7, 15);
    }
    for (int i = 0; i < LANES; i += 4)
        for (int j = i; j < i + 2; j++) {
            b[j] = MIX(a[j], a[j + 2], 0, 1, 8, 9, 4, 5, 12, 13);
            b[j + 2] = MIX(a[j], a[j + 2], 2, 3, 10, 11, 6, 7, 14, 15);
        }
    for (int j = 0; j < 4; j++) {
        r[j] = MIX(b[j], b[j + 4], 0, 1, 2, 3, 8, 9, 10, 11);
        r[j + 4] = MIX(b[j], b[j + 4], 4, 5, 6, 7, 12, 13, 14, 15);
    }
}
#else
INLINE void transpose(Lanes *r)
{
    const Lanes a = MIX(r[0], r[1], 0, 4, 2, 6), b = MIX(r[0], r[1], 1, 5, 3, 7);
    const Lanes c = MIX(r[2], r[3], 0, 4, 2, 6), d = MIX(r[2], r[3], 1, 5, 3, 7);
    r[0] = MIX(a, c, 0, 1, 4, 5);
    r[1] = MIX(b, d, 0, 1, 4, 5);
    r[2] = MIX(a, c, 2, 3, 6, 7);
    r[3] = MIX(b, d, 2, 3, 6, 7);
}
#endif

/* Four numbers, `apart` from each other, become their transform. */
INLINE void butterfly(Complex a, Complex b, Complex c, Complex d, Complex *out, int64_t apart)
{
    const Complex ac = plus(a, c), bd = plus(b, d), a_c = minus(a, c), b_d = minus(b, d);
    out[0] = plus(ac, bd);
    out[apart] = (Complex){a_c.re + b_d.im, a_c.im - b_d.re};
    out[2 * apart] = minus(ac, bd);
    out[3 * apart] = (Complex){a_c.re - b_d.im, a_c.im + b_d.re};
}

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

/* Four transforms of `quarter` numbers each, one after another, become one. */
INLINE void join(Complex *z, int64_t quarter, const float *turns)
{
    for (int64_t k = 0; k < quarter; k++, turns += 6)
        butterfly(z[k], turned(z[k + quarter], turns), turned(z[k + 2 * quarter], turns + 2),
                  turned(z[k + 3 * quarter], turns + 4), z + k, quarter);
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
    for (Complex *part = z; part < z + HALF; part += QUARTER) {
        const float *here = turns;
        for (int64_t quarter = 4; quarter < QUARTER; here += 6 * quarter, quarter *= 4)
            for (int64_t start = 0; start < QUARTER; start += 4 * quarter) join(part + start, quarter, here);
    }
    turns += 6 * (4 + 16 + 64);
    join(z, QUARTER, turns);
    powers(z, turns + 6 * QUARTER, power);
}

/* The frames from the `at`th on; past the last of them the last again. */
INLINE void choose(const float *x, int64_t at, int64_t frames, int64_t hop, const float **frame)
{
    for (int64_t lane = 0; lane < LANES; lane++)
        frame[lane] = x + (at + lane < frames ? at + lane : frames - 1) * hop;
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
