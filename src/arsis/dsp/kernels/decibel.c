/* The functions of decibel.h over arrays. */
#include "decibel.h"

CLONED KERNEL void decibel_log2(const double *restrict x, int64_t frames, double *restrict y)
{
    for (int64_t i = 0; i < frames; i++)
        y[i] = arsis_log2(x[i]);
}

CLONED KERNEL void decibel_exp2(const double *restrict x, int64_t frames, double *restrict y)
{
    for (int64_t i = 0; i < frames; i++)
        y[i] = arsis_exp2(x[i]);
}
