/* The parts of the limiter that its three files share.

   Time runs in ticks of 8 frames, judged in hops of 16 ticks. What a tick needs is one number: by how
   much (0 to 1) the gain must lie below 1 there. All stages look at one past of the signal, each times
   the gain of the stages before it; every row of the past has the same frame at the same place. */
#ifndef ARSIS_LIMITER_H
#define ARSIS_LIMITER_H

#include "house.h"

enum { TICK = 8, HOP_TICKS = 16, HOP = TICK * HOP_TICKS };

/* What a stage measures: quick estimates everywhere, or careful ones, or those only where the gain of
   the stage before it moved (elsewhere that stage's own measurement still stands). */
enum { COARSE, FINE, FINE_AGAIN };

/* The shape of one stage, as the binding lays it out (limiter.py, class Form). */
enum { FORM_KIND, FORM_LATE, FORM_AHEAD, FORM_BOX_1, FORM_BOX_2, FORM_WINDOW, FORM_SIZE };

/* The figures of one stage (limiter.py, class Rule). */
enum {
    RULE_TRIGGER, RULE_TARGET, RULE_FAST, RULE_FAST_STEP, RULE_CHARGE, RULE_SLOW, RULE_SLOW_STEP, RULE_UNIT,
    RULE_BEND, RULE_SIZE
};

/* What a stage carries from call to call, besides its rings. */
enum { COUNT_TICK, COUNT_PEAK_TICK, COUNT_CALM, COUNT_SIZE };
enum { LEVEL_HELD, LEVEL_FAST, LEVEL_SLOW, LEVEL_RAMP, LEVEL_SUM, LEVEL_SIZE };

/* The interpolators of a fine stage: `filters` windowed sincs at sixteen phases, as even and odd
   halves (filters, 9, 2, FINE_HALF); filter f is zero before tap `starts[f]`. */
enum { COARSE_HALF = 16, FINE_HALF = 256, FINE_PAIRS = 9 };

typedef struct {
    const float *coarse, *fine;
    const int64_t *starts;
    int64_t filters;
} Tables;

/* The signal (channels, stride) up to frame `fill`, and for each hop of it the greatest sample and the
   greatest second difference. */
typedef struct {
    int64_t channels, stride, fill;
    double *signal, *tops, *bends;
} Past;

typedef struct {
    const int64_t *form;
    const double *rule;
    int64_t *count;
    double *level;
    double *need, *step, *ramp, *turn; /* rings of ticks: needs, what is smoothed, and its first sums */
    double *gain;                      /* (stride) the gain of this stage and those before it */
    double *moves;                     /* for each hop, the steepest change of this stage's own gain */
} Stage;

/* Measures the hop that ends the past. */
void limiter_look(const Past *past);

/* What each tick of [from, from + HOP) needs; `before` is the stage before, if any. */
void limiter_needs(const Stage *stage, const Stage *before, const Past *past, const Tables *tables, int64_t from,
                   double *needs);

/* The gain of the next HOP frames from the needs of the next HOP_TICKS ticks. */
void limiter_gain(const Stage *stage, const double *needs, double *gain);

#endif
