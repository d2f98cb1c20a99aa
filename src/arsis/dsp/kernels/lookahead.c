/* From what each tick needs to a smooth gain: hold, two-speed release, two running means. */
#include "limiter.h"

/* The sums below are of whole numbers kept in doubles: below 2^53 they are exact, so that a running
   sum neither drifts nor depends on where it began, and comes back to zero exactly. */
static const double SCALE = 1073741824.0; /* 2^30 to a gain of 1 */

/* The greatest need of the last `window` ticks. */
INLINE double hold(const Stage *s, double need, int64_t tick)
{
    const int64_t window = s->form[FORM_WINDOW];
    double held = s->level[LEVEL_HELD];
    s->need[tick % window] = need;
    if (need >= held) {
        held = need;
        s->count[COUNT_PEAK_TICK] = tick;
    } else if (tick - s->count[COUNT_PEAK_TICK] >= window) {
        held = 0.0;
        for (int64_t age = window - 1; age >= 0; age--) {
            const double old = s->need[(tick + window - age) % window];
            if (old >= held) {
                held = old;
                s->count[COUNT_PEAK_TICK] = tick - age;
            }
        }
    }
    s->level[LEVEL_HELD] = held;
    return held;
}

/* The fast follower lets go at once; the slow one fills only while there is something to follow and
   lets go late. Both aim a little below zero, and so arrive at exactly zero. */
INLINE double release(const Stage *s, double held)
{
    const double *rule = s->rule;
    double fast = s->level[LEVEL_FAST] * rule[RULE_FAST] - rule[RULE_FAST_STEP];
    double slow = s->level[LEVEL_SLOW];
    fast = fast > held ? fast : held;
    const double filled = slow + (fast - slow) * rule[RULE_CHARGE];
    const double let_go = slow * rule[RULE_SLOW] - rule[RULE_SLOW_STEP];
    slow = fast > slow ? filled : let_go;
    slow = slow > 0.0 ? slow : 0.0;
    s->level[LEVEL_FAST] = fast;
    s->level[LEVEL_SLOW] = slow;
    return fast > slow ? fast : slow;
}

INLINE double round_up(double value)
{
    const double whole = (double)(int64_t)value;
    return whole < value ? whole + 1.0 : whole;
}

/* One tick of two running means over `box_1` and `box_2` ticks of a staircase: within a tick the first
   sum is a straight line and the second a parabola. */
INLINE void smooth(const Stage *s, double reduction, int64_t tick, double *gain)
{
    const int64_t at_1 = tick % s->form[FORM_BOX_1], at_2 = tick % s->form[FORM_BOX_2];
    const double whole = round_up(reduction * SCALE);
    const double turn = whole - s->step[at_1], ramp = s->level[LEVEL_RAMP];
    const double slope = ramp - s->ramp[at_2], bend = turn - s->turn[at_2];
    const double sum = s->level[LEVEL_SUM], unit = s->rule[RULE_UNIT];
    s->step[at_1] = whole;
    s->ramp[at_2] = ramp;
    s->turn[at_2] = turn;
    for (int i = 0; i < TICK; i++)
        gain[i] = 1.0 - (sum + (i + 1) * slope + ((i + 1) * (i + 2) / 2) * bend) * unit;
    s->level[LEVEL_RAMP] = ramp + TICK * turn;
    s->level[LEVEL_SUM] = sum + TICK * slope + (TICK * (TICK + 1) / 2) * bend;
}

CLONED void limiter_gain(const Stage *s, const double *needs, double *gain)
{
    const int64_t tick = s->count[COUNT_TICK], still = s->form[FORM_BOX_1] + s->form[FORM_BOX_2];
    double most = s->level[LEVEL_HELD];
    for (int k = 0; k < HOP_TICKS; k++)
        most = needs[k] > most ? needs[k] : most;
    s->count[COUNT_TICK] = tick + HOP_TICKS;
    if (most == 0.0 && s->count[COUNT_CALM] > still) { /* every ring holds nothing but zeros */
        for (int i = 0; i < HOP; i++)
            gain[i] = 1.0;
        return;
    }
    for (int k = 0; k < HOP_TICKS; k++) {
        const double reduction = release(s, hold(s, needs[k], tick + k));
        s->count[COUNT_CALM] = reduction > 0.0 ? 0 : s->count[COUNT_CALM] + 1;
        smooth(s, reduction, tick + k, gain + k * TICK);
    }
}
