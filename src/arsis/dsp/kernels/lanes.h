/* Transforms of many signals at once: a lane of a vector is a signal, so no signal's bits depend on those that
   it travels with. Radix 4, decimated in time (Cooley and Tukey, An Algorithm for the Machine Calculation of
   Complex Fourier Series, 1965). */
#ifndef ARSIS_LANES_H
#define ARSIS_LANES_H

#include "house.h"

/* With DOUBLES defined the numbers are of double precision, four to a vector on every machine. */
#ifdef DOUBLES
#define WIDTH 4
typedef double Real;
typedef int64_t Int;
#else
#define WIDTH FLOATS
typedef float Real;
typedef int32_t Int;
#endif

enum { LANES = WIDTH, BYTES = sizeof(Real) };

typedef Real Lanes __attribute__((vector_size(BYTES * LANES)));
typedef Real Loose __attribute__((vector_size(BYTES * LANES), aligned(BYTES)));
typedef Int Ints __attribute__((vector_size(BYTES * LANES)));
typedef struct { Lanes re, im; } Complex;

#if defined(__clang__)
#define MIX(a, b, ...) __builtin_shufflevector(a, b, __VA_ARGS__)
#else
#define MIX(a, b, ...) __builtin_shuffle(a, b, (Ints){__VA_ARGS__})
#endif

INLINE Lanes load(const Real *at) { return (Lanes)*(const Loose *)at; }
INLINE Complex plus(Complex a, Complex b) { return (Complex){a.re + b.re, a.im + b.im}; }
INLINE Complex minus(Complex a, Complex b) { return (Complex){a.re - b.re, a.im - b.im}; }
INLINE Complex turned(Complex a, const Real *by)
{
    return (Complex){a.re * by[0] - a.im * by[1], a.re * by[1] + a.im * by[0]};
}

/* Rows become columns. */
#if WIDTH == 8
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

/* The first pass: every four numbers in a row become their transform. */
INLINE void fours(Complex *z, int64_t size)
{
    for (Complex *four = z; four < z + size; four += 4) butterfly(four[0], four[1], four[2], four[3], four, 1);
}

/* Four transforms of `quarter` numbers each, one after another, become one. turns: three for every number. */
INLINE void join(Complex *z, int64_t quarter, const Real *turns)
{
    for (int64_t k = 0; k < quarter; k++, turns += 6)
        butterfly(z[k], turned(z[k + quarter], turns), turned(z[k + 2 * quarter], turns + 2),
                  turned(z[k + 3 * quarter], turns + 4), z + k, quarter);
}

/* The transform of `size` numbers of which every four in a row have been transformed already. turns: of the
   passes by 16, 64 and so on. */
INLINE void passes(Complex *z, int64_t size, const Real *turns)
{
    for (int64_t quarter = 4; quarter < size; turns += 6 * quarter, quarter *= 4)
        for (int64_t start = 0; start < size; start += 4 * quarter) join(z + start, quarter, turns);
}

/* Where in a caller's room numbers may lie; it has one more than are needed. */
INLINE Complex *aligned(Real *room)
{
    return (Complex *)(((uintptr_t)room + sizeof(Lanes) - 1) / sizeof(Lanes) * sizeof(Lanes));
}

/* The signals from the `at`th on, `hop` apart; past the last of them the last again. */
INLINE void choose(const Real *x, int64_t at, int64_t signals, int64_t hop, const Real **chosen)
{
    for (int64_t lane = 0; lane < LANES; lane++)
        chosen[lane] = x + (at + lane < signals ? at + lane : signals - 1) * hop;
}

#endif
