/* The spectra of many real signals of one length, windowed and followed by zeros. A lane of a vector is a signal.

   2 SIZE real samples are transformed as SIZE complex numbers, even samples real and odd ones imaginary: `parts`
   transforms of QUARTER = 4^n of them in passes of radix 4, and a last pass that joins them as its definition has
   it, `parts` being small. */
#include "lanes.h"

enum { MOST_PARTS = 8 };

/* Samples windowed into their places. */
INLINE void windowed(const float *const *signal, int64_t samples, const float *window, const int64_t *places,
                     Complex *z)
{
    int64_t n = 0;
    for (; n + LANES <= samples; n += LANES) {
        const Lanes weight = load(window + n);
        Lanes row[LANES];
        for (int lane = 0; lane < LANES; lane++) row[lane] = load(signal[lane] + n) * weight;
        transpose(row);
        for (int64_t i = 0; i < LANES / 2; i++) z[*places++] = (Complex){row[2 * i], row[2 * i + 1]};
    }
    for (; n < samples; n += 2, places++)
        for (int lane = 0; lane < LANES; lane++) {
            z[*places].re[lane] = signal[lane][n] * window[n];
            z[*places].im[lane] = n + 1 < samples ? signal[lane][n + 1] * window[n + 1] : 0.0f;
        }
}

/* turns: of every number, for all parts but the first. */
INLINE void last_pass(Complex *z, int64_t quarter, int64_t parts, const float *turns)
{
    for (int64_t m = 0; m < quarter; m++) {
        Complex in[MOST_PARTS];
        for (int64_t part = 0; part < parts; part++) in[part] = z[part * quarter + m];
        for (int64_t at = m; at < parts * quarter; at += quarter) {
            const float *turn = turns + 2 * (parts - 1) * at;
            Complex sum = in[0];
            for (int64_t part = 1; part < parts; part++, turn += 2) sum = plus(sum, turned(in[part], turn));
            z[at] = sum;
        }
    }
}

/* Bin k of the real signals; the parts of even and odd samples are those of the complex spectrum that are symmetric
   and antisymmetric under conjugation. turn: exp(-πi k / size). */
INLINE Complex bin(const Complex *z, int64_t size, int64_t k, const float *turn)
{
    const Complex a = z[k], b = z[k ? size - k : 0];
    const Complex even = {0.5f * (a.re + b.re), 0.5f * (a.im - b.im)};
    const Complex odd = {0.5f * (a.im + b.im), 0.5f * (b.re - a.re)};
    return plus(even, turned(odd, turn));
}

/* x: signals `hop` apart, of `samples` each. places: of every two samples. turns: of the passes by 16, 64 and so on,
   of the last, and of the bins. out: (signals, 2 bins), the bins a multiple of 4. room: for a transform. */
KERNEL CLONED void transforms(const float *x, int64_t signals, int64_t hop, int64_t samples, const float *window,
                              const int64_t *places, const float *turns, int64_t quarter, int64_t parts,
                              int64_t bins, float *out, float *room)
{
    Complex *z = aligned(room);
    const int64_t size = parts * quarter;
    const float *last = turns;
    for (int64_t four = 4; four < quarter; four *= 4) last += 6 * four;
    const float *split = last + 2 * (parts - 1) * size;
    for (int64_t at = 0; at < signals; at += LANES) {
        const float *signal[LANES];
        choose(x, at, signals, hop, signal);
        memset(z, 0, size * sizeof(Complex));
        windowed(signal, samples, window, places, z);
        fours(z, size);
        for (int64_t part = 0; part < parts; part++) passes(z + part * quarter, quarter, turns);
        if (parts > 1) last_pass(z, quarter, parts, last);
        for (int64_t k = 0; k < bins; k += LANES / 2) {
            Lanes row[LANES];
            for (int64_t i = 0; i < LANES / 2; i++) {
                const Complex there = bin(z, size, k + i, split + 2 * (k + i));
                row[2 * i] = there.re;
                row[2 * i + 1] = there.im;
            }
            transpose(row);
            for (int64_t lane = 0; lane < LANES && at + lane < signals; lane++)
                memcpy(out + (at + lane) * 2 * bins + 2 * k, row + lane, sizeof(Lanes));
        }
    }
}
