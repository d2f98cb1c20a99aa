/* How far many signals agree with one template, at the best of many shifts. A lane of a vector is a signal.

   Their correlation at every shift is the inverse transform of the product of two spectra. Its 4 QUARTER real
   values come of a transform of half as many complex ones: even shifts are the real part, odd ones the imaginary
   one. That is taken in two halves, joined only at the shifts that are asked for. */
#include "lanes.h"

/* The product of a signal's bins with the template's, at its places. Each bin counts twice: as it is, and for the
   upper half of the spectrum mirrored. factors: two complex ones of every bin; places: two as well. */
INLINE void product(const float *const *signal, int64_t bins, const float *factors, const int64_t *places,
                    Complex *z)
{
    for (int64_t k = 0; k < bins; k += LANES / 2) {
        Lanes row[LANES];
        for (int lane = 0; lane < LANES; lane++) row[lane] = load(signal[lane] + 2 * k);
        transpose(row);
        for (int64_t i = 0; i < LANES / 2; i++, factors += 4, places += 2) {
            const Complex mirrored = {row[2 * i], -row[2 * i + 1]};
            z[places[0]] = plus(z[places[0]], turned(mirrored, factors));
            z[places[1]] = plus(z[places[1]], turned((Complex){row[2 * i], row[2 * i + 1]}, factors + 2));
        }
    }
}

/* The values at shifts from -2 `pairs` on, 4 `pairs` of them. turns: of every two shifts. */
INLINE void shifted(const Complex *z, int64_t quarter, const float *turns, int64_t pairs, Lanes *at)
{
    for (int64_t m = -pairs; m < pairs; m++, turns += 2, at += 2) {
        const int64_t place = m & (quarter - 1);
        const Complex both = plus(z[place], turned(z[quarter + place], turns));
        at[0] = both.re;
        at[1] = -both.im;
    }
}

INLINE Ints chosen_of(Ints which, Ints a, Ints b) { return (which & a) | (~which & b); }

/* The first place of the greatest value from `first` to `last`, in every lane. */
INLINE Ints greatest(const Lanes *values, int64_t first, int64_t last)
{
    Lanes best = values[first];
    Ints at = (Ints){0} + (int32_t)first;
    for (int64_t i = first + 1; i <= last; i++) {
        const Ints more = values[i] > best;
        best = (Lanes)chosen_of(more, (Ints)values[i], (Ints)best);
        at = chosen_of(more, (Ints){0} + (int32_t)i, at);
    }
    return at;
}

/* x: (signals, 2 bins), real and imaginary parts. factors, places: two of every bin. turns: of the passes, then of
   4 pairs shifts. out: (signals, 4): the place of the greatest value with less than `most` shifts, in shifts, and
   the values before, there and after. room: for 2 quarter numbers and 4 pairs values in every lane. */
KERNEL CLONED void agreements(const float *x, int64_t signals, int64_t bins, const float *factors,
                              const int64_t *places, const float *turns, int64_t quarter, int64_t pairs,
                              int64_t most, float *out, float *room)
{
    Complex *z = aligned(room);
    Lanes *values = (Lanes *)(z + 2 * quarter);
    const float *last = turns;
    for (int64_t four = 4; four < quarter; four *= 4) last += 6 * four;
    for (int64_t at = 0; at < signals; at += LANES) {
        const float *signal[LANES];
        choose(x, at, signals, 2 * bins, signal);
        memset(z, 0, 2 * quarter * sizeof(Complex));
        product(signal, bins, factors, places, z);
        fours(z, 2 * quarter);
        passes(z, quarter, turns);
        passes(z + quarter, quarter, turns);
        shifted(z, quarter, last, pairs, values);
        const Ints best = greatest(values, 2 * pairs - most + 1, 2 * pairs + most - 1);
        for (int64_t lane = 0; lane < LANES && at + lane < signals; lane++, out += 4) {
            const Lanes *there = values + best[lane];
            out[0] = (float)(best[lane] - 2 * pairs);
            for (int64_t i = 0; i < 3; i++) out[1 + i] = there[i - 1][lane];
        }
    }
}
