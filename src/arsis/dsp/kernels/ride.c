/* A drawn ride: level linear in dB between points. */
#include "decibel.h"

/* gain[i] = 10^((start_db + slope_db * i) / 20), with i counted from `first`, so that where a block
   starts never changes a bit. */
KERNEL CLONED void arsis_ride(int64_t first, int64_t n, double start_db, double slope_db, double *gain)
{
    for (int64_t i = 0; i < n; i++)
        gain[i] = arsis_db_to_gain(start_db + slope_db * (double)(first + i));
}
