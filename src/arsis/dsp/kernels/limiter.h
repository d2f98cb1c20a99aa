/* The parts of the limiter that its three files share.

   Time runs in ticks of 8 frames, judged in hops of 16 ticks. What a tick needs is one number: by how
   much (0 to 1) the gain must lie below 1 there. */
#ifndef ARSIS_LIMITER_H
#define ARSIS_LIMITER_H

#include "house.h"

enum { TICK = 8, HOP_TICKS = 16, HOP = TICK * HOP_TICKS, SPAN = 16 * HOP };

/* The shape of one stage, as the binding lays it out (limiter.py, class Form). */
enum { FORM_FINE, FORM_AHEAD, FORM_BOX_1, FORM_BOX_2, FORM_WINDOW, FORM_KEEP, FORM_SIZE };

/* The figures of one stage (limiter.py, class Rule). */
enum {
    RULE_TRIGGER, RULE_TARGET, RULE_FAST, RULE_FAST_STEP, RULE_CHARGE, RULE_SLOW, RULE_SLOW_STEP, RULE_UNIT,
    RULE_BEND, RULE_SIZE
};

/* Whole numbers that a stage carries from call to call. */
enum { COUNT_FILL, COUNT_TICK, COUNT_PEAK_TICK, COUNT_SIZE };

/* Figures that a stage carries from call to call. */
enum { LEVEL_HELD, LEVEL_FAST, LEVEL_SLOW, LEVEL_RAMP, LEVEL_SUM, LEVEL_BEND, LEVEL_SIZE = LEVEL_BEND + 8 };

/* The interpolators of a fine stage: `filters` windowed sincs at sixteen phases, as even and odd
   halves (filters, 9, 2, FINE_HALF); filter f is zero before tap `starts[f]`. */
enum { COARSE_HALF = 16, FINE_HALF = 256, FINE_PAIRS = 9 };

typedef struct {
    const float *coarse, *fine;
    const int64_t *starts;
    int64_t filters;
} Tables;

typedef struct {
    int64_t channels, stride;
    const int64_t *form;
    const double *rule;
    int64_t *count;
    double *level;
    double *need, *step, *ramp, *turn; /* rings of ticks: needs, what is smoothed, and its first sums */
    double *gain, *signal;             /* the gain so far and the signal, both with `keep` frames of past */
} Stage;

/* What each tick of [from, from + HOP) needs; `from` counts in the stage's buffers. */
void limiter_needs(const Stage *stage, const Tables *tables, int64_t from, double *needs);

/* The gain of the next HOP frames from the needs of the next HOP_TICKS ticks. */
void limiter_gain(const Stage *stage, const double *needs, double *gain);

#endif
