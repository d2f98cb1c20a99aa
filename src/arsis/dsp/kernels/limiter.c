/* Look-ahead true-peak limiter: stages in a row, each measuring what the ones before it left. */
#include "limiter.h"

enum { MOST_STAGES = 4 };

/* Gives the stage its part of the memory and says where that part ends. */
static int64_t lay_out(Stage *s, const int64_t *form, const double *rule, int64_t channels, double *memory,
                       int64_t *count)
{
    double *at = memory;
    s->channels = channels;
    s->form = form;
    s->rule = rule;
    s->count = count;
    s->stride = form[FORM_KEEP] + SPAN;
    s->level = at;
    s->need = at += LEVEL_SIZE;
    s->step = at += form[FORM_WINDOW];
    s->ramp = at += form[FORM_BOX_1];
    s->turn = at += form[FORM_BOX_2];
    s->gain = at += form[FORM_BOX_2];
    s->signal = at += s->stride;
    at += channels * s->stride;
    return at - memory;
}

/* How many doubles and whole numbers of memory: `stages` stages and one finished hop. */
KERNEL int64_t limiter_memory(const int64_t *form, int64_t stages, int64_t channels)
{
    Stage s;
    int64_t size = HOP * (channels + 1);
    for (int64_t k = 0; k < stages; k++)
        size += lay_out(&s, form + k * FORM_SIZE, NULL, channels, NULL, NULL);
    return size;
}

/* Silence came before, at a gain of 1; `memory` and `count` come in as zeros. */
KERNEL void limiter_start(const int64_t *form, int64_t stages, int64_t channels, double *memory, int64_t *count)
{
    Stage s;
    double *at = memory + HOP * (channels + 1);
    for (int64_t i = 0; i < HOP; i++)
        memory[i] = 1.0;
    for (int64_t k = 0; k < stages; k++) {
        at += lay_out(&s, form + k * FORM_SIZE, NULL, channels, at, count + k * COUNT_SIZE);
        for (int64_t i = 0; i < s.stride; i++)
            s.gain[i] = 1.0;
        s.count[COUNT_FILL] = form[k * FORM_SIZE + FORM_KEEP];
    }
}

/* Room for one more hop behind the last. */
static void make_room(Stage *s)
{
    const int64_t keep = s->form[FORM_KEEP], fill = s->count[COUNT_FILL];
    if (fill + HOP <= s->stride)
        return;
    memmove(s->gain, s->gain + fill - keep, (size_t)keep * sizeof(double));
    for (int64_t c = 0; c < s->channels; c++) {
        double *signal = s->signal + c * s->stride;
        memmove(signal, signal + fill - keep, (size_t)keep * sizeof(double));
    }
    s->count[COUNT_FILL] = keep;
}

/* One hop through one stage; what it lets out goes to the end of `next`, the total gain to `total`. */
CLONED static void pass_hop(Stage *s, const Tables *tables, Stage *next, double *total)
{
    double needs[HOP_TICKS], gain[HOP];
    s->count[COUNT_FILL] += HOP;
    const int64_t from = s->count[COUNT_FILL] - HOP - s->form[FORM_AHEAD];
    const int64_t late = from - TICK * (s->form[FORM_BOX_1] + s->form[FORM_BOX_2] + 1);
    limiter_needs(s, tables, from, needs);
    limiter_gain(s, needs, gain);
    for (int64_t i = 0; i < HOP; i++)
        total[i] = s->gain[late + i] * gain[i];
    if (!next)
        return;
    make_room(next);
    const int64_t end = next->count[COUNT_FILL];
    memcpy(next->gain + end, total, HOP * sizeof(double));
    for (int64_t c = 0; c < s->channels; c++) {
        const double *x = s->signal + c * s->stride + late;
        double *y = next->signal + c * next->stride + end;
        for (int64_t i = 0; i < HOP; i++)
            y[i] = x[i] * gain[i];
    }
}

/* The hop that has just filled goes through every stage; `done` takes the total gain and the first
   stage's input, as late as all stages together, times that gain. */
CLONED static void finish_hop(Stage *stages, int64_t count, const Tables *tables, int64_t latency, double *done)
{
    const Stage *first = stages;
    for (int64_t k = 0; k < count; k++)
        pass_hop(stages + k, tables, k + 1 < count ? stages + k + 1 : NULL, done);
    for (int64_t c = 0; c < first->channels; c++) {
        const double *x = first->signal + c * first->stride + first->count[COUNT_FILL] - HOP - latency;
        double *y = done + (c + 1) * HOP;
        for (int64_t i = 0; i < HOP; i++)
            y[i] = x[i] * done[i];
    }
}

/* x, y (channels, frames), gain (frames); form (stages, FORM_SIZE), rule (stages, RULE_SIZE), count
   (stages + 1, COUNT_SIZE), the last row holding how much of the present hop has come in. */
KERNEL void limiter_run(const double *x, int64_t channels, int64_t frames, int64_t stages, int64_t latency,
                        const int64_t *form, const double *rule, const float *coarse, const float *fine,
                        const int64_t *starts, int64_t filters, double *memory, int64_t *count, double *y,
                        double *gain)
{
    Stage stage[MOST_STAGES];
    const Tables tables = {coarse, fine, starts, filters};
    double *done = memory;
    int64_t *came = count + stages * COUNT_SIZE;
    memory += HOP * (channels + 1);
    for (int64_t k = 0; k < stages; k++)
        memory += lay_out(stage + k, form + k * FORM_SIZE, rule + k * RULE_SIZE, channels, memory, count + k * COUNT_SIZE);
    for (int64_t at = 0; at < frames;) {
        const int64_t left = frames - at, room = HOP - *came, some = left < room ? left : room;
        if (*came == 0)
            make_room(stage);
        memcpy(gain + at, done + *came, (size_t)some * sizeof(double));
        for (int64_t c = 0; c < channels; c++) {
            memcpy(stage->signal + c * stage->stride + stage->count[COUNT_FILL] + *came, x + c * frames + at,
                   (size_t)some * sizeof(double));
            memcpy(y + c * frames + at, done + (c + 1) * HOP + *came, (size_t)some * sizeof(double));
        }
        at += some;
        *came += some;
        if (*came == HOP) {
            finish_hop(stage, stages, &tables, latency, done);
            *came = 0;
        }
    }
}
