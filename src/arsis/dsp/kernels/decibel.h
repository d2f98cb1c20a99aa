/* log2 and exp2 that give the same bits on every machine, scalar or vectorised by the compiler.

   Plain arithmetic and integer bit moves only, so a loop over them vectorises and libm, whose last
   bit differs between systems, stays out of the sound path. The polynomials interpolate at Chebyshev
   nodes, made with 60 digits (docs/dynamics.md); the stated errors are measured in
   tests/test_decibel.py against 80-bit arithmetic, rounding included:

     arsis_log2  relative error of the logarithm below 1e-15 (6e-16 as measured), also close to 1
     arsis_exp2  relative error below 1e-15; exactly 1 at 0 and exact powers of two at whole numbers

   In decibels that is less than 1e-14 dB of gain, and less than 1e-12 dB of a level within 1000 dB. */
#ifndef ARSIS_DECIBEL_H
#define ARSIS_DECIBEL_H

#include "house.h"

#define ARSIS_DB_PER_LOG2 6.020599913279624    /* 20 log10(2) */
#define ARSIS_LOG2_PER_DB 0.16609640474436813  /* its inverse */

INLINE uint64_t arsis_bits(double x) { uint64_t b; memcpy(&b, &x, 8); return b; }
INLINE double arsis_from_bits(uint64_t b) { double x; memcpy(&x, &b, 8); return x; }

/* log2 of a positive normal number. 0 gives a finite value near -1023 (-6158 dB), so silence needs no
   floor. With m the mantissa in [sqrt(1/2), sqrt(2)) and s = (m-1)/(m+1), log2 m = 2/ln 2 * atanh s
   (Abramowitz and Stegun, Handbook of Mathematical Functions, 1964, eq. 4.1.27). */
INLINE double arsis_log2(double x)
{
    const uint64_t sqrt_half = 0x3fe6a09e667f3bcdULL;
    uint64_t i = arsis_bits(x) + (0x3ff0000000000000ULL - sqrt_half);
    double m = arsis_from_bits((i & 0x000fffffffffffffULL) + sqrt_half);
    /* the biased exponent becomes a double through the low bits of 2^52: vector units lack the direct way */
    double e = arsis_from_bits((i >> 52) | 0x4330000000000000ULL) - (4503599627370496.0 + 1023.0);
    double s = (m - 1.0) / (m + 1.0), z = s * s;
    double p = 0x1.f17dfd13ae0efp-3;
    p = p * z + 0x1.0bb80a92c80ccp-2;
    p = p * z + 0x1.484fa9965bc9cp-2;
    p = p * z + 0x1.a61756810b0f8p-2;
    p = p * z + 0x1.2776c516a083cp-1;
    p = p * z + 0x1.ec709dc39ca40p-1;
    p = p * z + 0x1.71547652b82ffp+1;
    return e + s * p;
}

/* 2 to the power x, for x held within -1000 to 1000: 2^k by the exponent bits, with k the nearest whole
   number, times a polynomial for the rest in [-1/2, 1/2]. */
INLINE double arsis_exp2(double x)
{
    const double to_whole = 6755399441055744.0; /* 1.5 * 2^52: adding it rounds to a whole number */
    x = x < -1000.0 ? -1000.0 : x;
    x = x > 1000.0 ? 1000.0 : x;
    double t = x + to_whole, f = x - (t - to_whole);
    double p = 0x1.e5e9f548e5726p-28;
    p = p * f + 0x1.b6571de2f2351p-24;
    p = p * f + 0x1.62bfe46117445p-20;
    p = p * f + 0x1.ffcb76789860fp-17;
    p = p * f + 0x1.4309130378460p-13;
    p = p * f + 0x1.5d87fe908f88ap-10;
    p = p * f + 0x1.3b2ab6fba385fp-7;
    p = p * f + 0x1.c6b08d7044119p-5;
    p = p * f + 0x1.ebfbdff82c590p-3;
    p = p * f + 0x1.62e42fefa39f7p-1;
    p = p * f + 1.0;
    return arsis_from_bits(arsis_bits(p) + (arsis_bits(t) << 52));
}

/* Level in dB of an amplitude ratio above 0, and back. */
INLINE double arsis_gain_to_db(double gain) { return ARSIS_DB_PER_LOG2 * arsis_log2(gain); }
INLINE double arsis_db_to_gain(double level_db) { return arsis_exp2(ARSIS_LOG2_PER_DB * level_db); }

#endif
