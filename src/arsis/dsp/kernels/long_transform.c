/* The spectra of long real signals, one after another, in double precision.

   2 SIZE samples are transformed as SIZE complex numbers z, even samples real and odd ones imaginary. Lane r of a
   vector has the numbers z[4 m + r], so the four transforms of a quarter of them travel together (lanes.h), and a
   pass over their results joins them. */
#define DOUBLES
#include "lanes.h"

INLINE void store(double *at, Lanes value) { *(Loose *)at = value; }

/* Four complex numbers after one another, from their real and imaginary parts. */
INLINE void store_complex(double *at, Lanes re, Lanes im)
{
    store(at, MIX(re, im, 0, 4, 1, 5));
    store(at + LANES, MIX(re, im, 2, 6, 3, 7));
}

INLINE Complex times(Complex a, const double *by_re, const double *by_im)
{
    const Lanes re = load(by_re), im = load(by_im);
    return (Complex){a.re * re - a.im * im, a.re * im + a.im * re};
}

/* Two transforms of half the size become one. turns: of every number of the second. */
INLINE void halves(Complex *z, int64_t half, const double *turns)
{
    for (int64_t k = 0; k < half; k++) {
        const Complex there = turned(z[half + k], turns + 2 * k);
        z[half + k] = minus(z[k], there);
        z[k] = plus(z[k], there);
    }
}

/* The four lanes' transforms become one, its real parts in `re`, imaginary in `im`. turns: of lanes 1 to 3 for every
   number of a lane, real parts and then imaginary ones. */
INLINE void lanes_joined(const Complex *z, int64_t quarter, const double *turns, double *re, double *im)
{
    for (int64_t k = 0; k < quarter; k += LANES) {
        Lanes real[LANES], imaginary[LANES];
        for (int i = 0; i < LANES; i++) real[i] = z[k + i].re, imaginary[i] = z[k + i].im;
        transpose(real);
        transpose(imaginary);
        Complex in[LANES], out[LANES];
        in[0] = (Complex){real[0], imaginary[0]};
        for (int r = 1; r < LANES; r++) {
            const double *turn = turns + 2 * (r - 1) * quarter + k;
            in[r] = times((Complex){real[r], imaginary[r]}, turn, turn + quarter);
        }
        butterfly(in[0], in[1], in[2], in[3], out, 1);
        for (int j = 0; j < LANES; j++) store(re + j * quarter + k, out[j].re), store(im + j * quarter + k, out[j].im);
    }
}

/* Bins of the real signal, from the transform of its even and odd samples: the parts of these are symmetric and
   antisymmetric under conjugation. turns: exp(-πi k / size), real parts and then imaginary ones. re, im: of `size`
   numbers, with the first again after the last. power: their squares are added to it. */
INLINE void real_bins(const double *re, const double *im, int64_t size, const double *turns, double *out,
                      double *power)
{
    for (int64_t k = 0; k < size; k += LANES) {
        const Lanes a = load(re + k), b = load(im + k);
        const Lanes c = load(re + size - k - 3), d = load(im + size - k - 3);
        const Lanes e = MIX(c, c, 3, 2, 1, 0), f = MIX(d, d, 3, 2, 1, 0);
        const Complex odd = times((Complex){0.5 * (b + f), 0.5 * (e - a)}, turns + k, turns + size + k);
        const Complex bin = plus((Complex){0.5 * (a + e), 0.5 * (b - f)}, odd);
        store_complex(out + 2 * k, bin.re, bin.im);
        store(power + k, load(power + k) + (bin.re * bin.re + bin.im * bin.im));
    }
    out[2 * size] = re[0] - im[0];
    out[2 * size + 1] = 0.0;
    power[size] += out[2 * size] * out[2 * size];
}

/* x: signals of 2 size samples. places: of every four numbers. turns: of the passes by 16, 64 and so on; where there
   are two parts, of their join; of the lanes; of the bins. out: size + 1 complex bins of each. power: of all, to be
   added to. room: for 4 size + 12 numbers. */
KERNEL CLONED void long_transforms(const double *x, int64_t signals, const double *window, int64_t size,
                                   const int64_t *places, const double *turns, int64_t parts, double *out,
                                   double *power, double *room)
{
    const int64_t quarter = size / LANES, part = quarter / parts;
    const double *join = turns + 2 * part - 8, *lanes = join + (parts - 1) * 2 * part, *bins = lanes + 6 * quarter;
    Complex *z = aligned(room);
    double *re = (double *)(z + quarter), *im = re + size + LANES;
    for (; signals > 0; signals--, x += 2 * size, out += 2 * size + 2) {
        for (int64_t m = 0; m < quarter; m++) {
            const double *sound = x + 2 * LANES * m, *by = window + 2 * LANES * m;
            const Lanes a = load(sound) * load(by), b = load(sound + LANES) * load(by + LANES);
            z[places[m]] = (Complex){MIX(a, b, 0, 2, 4, 6), MIX(a, b, 1, 3, 5, 7)};
        }
        fours(z, quarter);
        for (int64_t i = 0; i < parts; i++) passes(z + i * part, part, turns);
        if (parts == 2) halves(z, part, join);
        lanes_joined(z, quarter, lanes, re, im);
        re[size] = re[0];
        im[size] = im[0];
        real_bins(re, im, size, bins, out, power);
    }
}
