/* Look-ahead true-peak limiter: stages in a row, each measuring what the ones before it left. */
#include "limiter.h"

enum { MOST_STAGES = 4, SPAN_HOPS = 32 };

/* What is carried from call to call beside the stages: how far the past is filled, and how much of the
   present hop has come in. */
enum { SHARED_FILL, SHARED_CAME, SHARED_SIZE };

typedef struct {
    Past past;
    Stage stage[MOST_STAGES];
    int64_t stages, keep;
    double *done; /* the hop that goes out now: gain, then each channel */
} Limiter;

/* Shares `memory` out and says how much of it was needed. keep is a multiple of HOP. */
static int64_t lay_out(Limiter *l, const int64_t *form, const double *rule, int64_t stages, int64_t channels,
                       int64_t keep, double *memory, int64_t *count)
{
    const int64_t stride = keep + SPAN_HOPS * HOP, hops = stride / HOP;
    int64_t at = HOP * (channels + 1);
    l->done = memory;
    l->stages = stages;
    l->keep = keep;
    l->past = (Past){channels, stride, 0, memory + at, memory + at + channels * stride,
                     memory + at + channels * stride + hops};
    at += channels * stride + 2 * hops;
    for (int64_t k = 0; k < stages; k++) {
        Stage *s = l->stage + k;
        s->form = form + k * FORM_SIZE;
        s->rule = rule + k * RULE_SIZE;
        s->count = count + SHARED_SIZE + k * COUNT_SIZE;
        s->level = memory + at;
        s->need = s->level + LEVEL_SIZE;
        s->step = s->need + s->form[FORM_WINDOW];
        s->ramp = s->step + s->form[FORM_BOX_1];
        s->turn = s->ramp + s->form[FORM_BOX_2];
        s->gain = s->turn + s->form[FORM_BOX_2];
        s->moves = s->gain + stride;
        at = s->moves + hops - memory;
    }
    return at;
}

/* Sizes of the two arrays a limiter lives in. */
KERNEL int64_t limiter_memory(const int64_t *form, int64_t stages, int64_t channels, int64_t keep)
{
    static double nothing;
    static int64_t none;
    Limiter l;
    return lay_out(&l, form, &nothing, stages, channels, keep, &nothing, &none);
}

KERNEL int64_t limiter_counts(int64_t stages)
{
    return SHARED_SIZE + stages * COUNT_SIZE;
}

/* Silence came before, at a gain of 1; `memory` and `count` come in as zeros. */
KERNEL void limiter_start(const int64_t *form, const double *rule, int64_t stages, int64_t channels, int64_t keep,
                          double *memory, int64_t *count)
{
    Limiter l;
    lay_out(&l, form, rule, stages, channels, keep, memory, count);
    count[SHARED_FILL] = keep;
    for (int64_t i = 0; i < HOP; i++)
        l.done[i] = 1.0;
    for (int64_t k = 0; k < stages; k++)
        for (int64_t i = 0; i < l.past.stride; i++)
            l.stage[k].gain[i] = 1.0;
}

INLINE void slide(double *row, int64_t end, int64_t keep)
{
    memmove(row, row + end - keep, (size_t)keep * sizeof *row);
}

/* Room for one more hop behind the last. */
static void make_room(Limiter *l)
{
    Past *past = &l->past;
    const int64_t end = past->fill, keep = l->keep;
    if (end + HOP <= past->stride)
        return;
    for (int64_t c = 0; c < past->channels; c++)
        slide(past->signal + c * past->stride, end, keep);
    slide(past->tops, end / HOP, keep / HOP);
    slide(past->bends, end / HOP, keep / HOP);
    for (int64_t k = 0; k < l->stages; k++) {
        slide(l->stage[k].gain, end, keep);
        slide(l->stage[k].moves, end / HOP, keep / HOP);
    }
    past->fill = keep;
}

INLINE double apart(double a, double b)
{
    return a > b ? a - b : b - a;
}

/* The steepest change of gain from frame to frame. Within a tick the gain is a parabola, so that its
   steepest places are at the ends. */
INLINE double steepest(const double *gain)
{
    double most = 0.0;
    for (int64_t i = 0; i < HOP; i += TICK) {
        const double first = apart(gain[i], gain[i + 1]), last = apart(gain[i + TICK - 2], gain[i + TICK - 1]);
        const double change = first > last ? first : last;
        most = change > most ? change : most;
    }
    return most;
}

/* The hop that has just filled goes through every stage; the first one in, as late as all stages
   together, comes out times the gain of all of them. */
CLONED static void finish_hop(Limiter *l, const Tables *tables, int64_t latency)
{
    Past *past = &l->past;
    past->fill += HOP;
    limiter_look(past);
    for (int64_t k = 0; k < l->stages; k++) {
        Stage *s = l->stage + k;
        const Stage *before = k ? s - 1 : NULL;
        double needs[HOP_TICKS], gain[HOP];
        const int64_t from = past->fill - HOP - s->form[FORM_LATE] - s->form[FORM_AHEAD];
        const int64_t out = from - TICK * (s->form[FORM_BOX_1] + s->form[FORM_BOX_2] + 1);
        limiter_needs(s, before, past, tables, from, needs);
        limiter_gain(s, needs, gain);
        s->moves[out / HOP] = steepest(gain);
        for (int64_t i = 0; i < HOP; i++)
            s->gain[out + i] = before ? before->gain[out + i] * gain[i] : gain[i];
    }
    const int64_t out = past->fill - HOP - latency;
    memcpy(l->done, l->stage[l->stages - 1].gain + out, HOP * sizeof(double));
    for (int64_t c = 0; c < past->channels; c++)
        for (int64_t i = 0; i < HOP; i++)
            l->done[(c + 1) * HOP + i] = past->signal[c * past->stride + out + i] * l->done[i];
}

/* x, y (channels, frames), gain (frames); form (stages, FORM_SIZE), rule (stages, RULE_SIZE). What goes
   out is late by `latency` frames and the hop that must fill first. */
KERNEL void limiter_run(const double *x, int64_t channels, int64_t frames, int64_t stages, int64_t latency,
                        int64_t keep, const int64_t *form, const double *rule, const float *coarse,
                        const float *fine, const int64_t *starts, int64_t filters, double *memory, int64_t *count,
                        double *y, double *gain)
{
    Limiter l;
    const Tables tables = {coarse, fine, starts, filters};
    lay_out(&l, form, rule, stages, channels, keep, memory, count);
    l.past.fill = count[SHARED_FILL];
    for (int64_t at = 0; at < frames;) {
        const int64_t came = count[SHARED_CAME], left = frames - at;
        const int64_t some = left < HOP - came ? left : HOP - came;
        if (came == 0)
            make_room(&l);
        memcpy(gain + at, l.done + came, (size_t)some * sizeof *gain);
        for (int64_t c = 0; c < channels; c++) {
            memcpy(l.past.signal + c * l.past.stride + l.past.fill + came, x + c * frames + at, (size_t)some * sizeof *x);
            memcpy(y + c * frames + at, l.done + (c + 1) * HOP + came, (size_t)some * sizeof *y);
        }
        at += some;
        count[SHARED_CAME] = (came + some) % HOP;
        if (came + some == HOP)
            finish_hop(&l, &tables, latency);
    }
    count[SHARED_FILL] = l.past.fill;
}
