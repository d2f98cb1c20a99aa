/* From the level of a signal to a gain that follows it: gain computer, then detector, in decibels.

   D. Giannoulis, M. Massberg, J. D. Reiss, "Digital Dynamic Range Compressor Design - A Tutorial and
   Analysis", J. Audio Eng. Soc. 60(6), 2012: feed-forward, soft knee of eq. (4), smooth branching
   detector of eq. (16) after the gain computer (equation numbers from memory). */
#include "decibel.h"

enum { STEP = 512 }; /* frames a stage works through before the next one takes over: 4 KB of stack */

typedef struct {
    double threshold_db, half_knee_db; /* the curve is quadratic within half a knee of the threshold */
    double knee_scale;                 /* 1 / (2 knee), or 0 for a corner */
    double slope;                      /* 1 - 1/ratio: dB of change for each dB above */
    double most_db;                    /* the change goes no further than this */
    double attack, release;            /* what is left of a difference after one frame: exp(-1/(tau rate)) */
    double direction, offset_db;       /* -1 turns down, +1 up; constant gain on top */
} Curve;

INLINE double above(double a, double b) { return a > b ? a : b; }

/* The loudest channel, frame by frame, in log2 of full scale. */
INLINE void linked_levels(const double *restrict x, int64_t channels, int64_t stride, int64_t n,
                          double *restrict levels)
{
    for (int64_t i = 0; i < n; i++)
        levels[i] = __builtin_fabs(x[i]);
    for (int64_t c = 1; c < channels; c++)
        for (int64_t i = 0; i < n; i++)
            levels[i] = above(levels[i], __builtin_fabs(x[c * stride + i]));
}

/* Level to wanted change, in dB, never negative. The floor keeps the recursion that follows out of
   subnormal numbers, which are slow; a change of 1e-30 dB is a gain of exactly 1. */
INLINE double wanted_db(const Curve *k, double level)
{
    double over = arsis_gain_to_db(level) - k->threshold_db;
    double bend = above(over + k->half_knee_db, 0.0), straight = above(over - k->half_knee_db, 0.0);
    double knee = bend - straight;
    double change = k->slope * (knee * knee * k->knee_scale + straight);
    change = change > k->most_db ? k->most_db : change;
    return above(change, 1e-30);
}

/* x: (channels, frames); curve: the nine numbers of Curve; state: (1,) the change in dB that the last
   frame reached, updated; gains: (frames,). */
CLONED KERNEL void compressor_gains(const double *restrict x, int64_t channels, int64_t frames,
                                    const double *restrict curve, double *restrict state,
                                    double *restrict gains)
{
    Curve k;
    memcpy(&k, curve, sizeof k);
    const double attack_in = 1.0 - k.attack, release_in = 1.0 - k.release;
    double held[STEP], change = *state;
    for (int64_t start = 0; start < frames; start += STEP) {
        int64_t n = frames - start < STEP ? frames - start : STEP;
        linked_levels(x + start, channels, frames, n, held);
        for (int64_t i = 0; i < n; i++)
            held[i] = wanted_db(&k, held[i]);
        for (int64_t i = 0; i < n; i++) {
            double wanted = held[i];
            double rising = k.attack * change + attack_in * wanted;
            double falling = k.release * change + release_in * wanted;
            change = wanted > change ? rising : falling;
            held[i] = change;
        }
        for (int64_t i = 0; i < n; i++)
            gains[start + i] = arsis_db_to_gain(k.direction * held[i] + k.offset_db);
    }
    *state = change;
}
