/* Sound read at places between its frames: a windowed sinc whose phase is looked up and interpolated.

   The taps are summed in four lanes, in the same order on every processor. */
#include "house.h"

typedef double v4 __attribute__((vector_size(32)));
typedef double v4u __attribute__((vector_size(32), aligned(8)));

INLINE double sum_of_lanes(v4 a) { return (a[0] + a[1]) + (a[2] + a[3]); }

/* out[i] = the signal at frame `start + ratio * i`, i counted from `first`; x holds frames from `x_first`.
   table: (phases + 1) rows of `taps`, which four divides; row p interpolates p / phases of a frame after the
   tap taps/2 - 1. The caller makes sure that x covers every tap. */
KERNEL CLONED void arsis_shift(const double *x, int64_t x_first, int64_t first, int64_t n, double start,
                               double ratio, const double *table, int64_t phases, int64_t taps, double *out)
{
    for (int64_t i = 0; i < n; i++) {
        double at = start + ratio * (double)(first + i);
        int64_t whole = (int64_t)at;
        if ((double)whole > at)
            whole--;
        double phase = (at - (double)whole) * (double)phases;
        int64_t row = (int64_t)phase;
        if (row >= phases)
            row = phases - 1;
        double along = phase - (double)row;
        const double *h = table + row * taps;
        const double *s = x + (whole - (taps / 2 - 1) - x_first);
        v4 here = {0, 0, 0, 0}, next = {0, 0, 0, 0};
        for (int64_t k = 0; k < taps; k += 4) {
            v4 sound = (v4)*(const v4u *)(s + k);
            here += (v4)*(const v4u *)(h + k) * sound;
            next += (v4)*(const v4u *)(h + taps + k) * sound;
        }
        double sum = sum_of_lanes(here);
        out[i] = sum + along * (sum_of_lanes(next) - sum);
    }
}
