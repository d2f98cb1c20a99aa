/* Sums and peaks of the plain signal between given frames: squares, product, means, largest sample.

   Four lanes by the frame's place since the last end, so the order of sums does not depend on blocks. */
#include "house.h"

typedef double v4 __attribute__((vector_size(32)));
typedef double v4u __attribute__((vector_size(32), aligned(8)));
typedef int64_t i4 __attribute__((vector_size(32)));

enum { SUMS = 5, PEAKS = 2, ROWS = SUMS + PEAKS };

INLINE v4 larger(v4 a, v4 b) {
    i4 keep = a > b;
    return (v4)(((i4)a & keep) | ((i4)b & ~keep));
}
INLINE v4 magnitude(v4 a) { return (v4)((i4)a & INT64_MAX); }
INLINE double larger_of_lanes(v4 a) {
    double top = a[0];
    for (int lane = 1; lane < 4; lane++) top = a[lane] > top ? a[lane] : top;
    return top;
}

/* rows: left squared, right squared, left times right, left, right, |left|, |right| */
INLINE void add_four(v4 *rows, v4 left, v4 right) {
    rows[0] += left * left;
    rows[1] += right * right;
    rows[2] += left * right;
    rows[3] += left;
    rows[4] += right;
    rows[5] = larger(rows[5], magnitude(left));
    rows[6] = larger(rows[6], magnitude(right));
}

/* One frame into its lane; the zeros in the other lanes change no bit of any sum or peak. */
INLINE void add_one(v4 *rows, int64_t lane, double left, double right) {
    v4 l = {0, 0, 0, 0}, r = {0, 0, 0, 0};
    l[lane] = left;
    r[lane] = right;
    add_four(rows, l, r);
}

/* x: (channels, frames), 1 or 2 channels. ends: rising, in (0, frames]. state: 7 rows of 4 lanes, then the
   number of frames since the last end. out: (n_ends, 7), the rows above up to each end. */
KERNEL CLONED void level_sums(const double *x, int64_t channels, int64_t frames, const int64_t *ends, int64_t n_ends,
                              double *state, double *out) {
    const double *left = x, *right = channels > 1 ? x + frames : x;
    v4 rows[ROWS];
    memcpy(rows, state, sizeof rows);
    int64_t place = (int64_t)state[4 * ROWS], t = 0;
    for (int64_t k = 0; k <= n_ends; k++) {
        const int64_t end = k < n_ends ? ends[k] : frames;
        for (; t < end && place % 4; t++, place++) add_one(rows, place % 4, left[t], right[t]);
        for (; t + 4 <= end; t += 4, place += 4)
            add_four(rows, (v4)*(const v4u *)(left + t), (v4)*(const v4u *)(right + t));
        for (; t < end; t++, place++) add_one(rows, place % 4, left[t], right[t]);
        if (k == n_ends) break;
        for (int row = 0; row < SUMS; row++)
            out[k * ROWS + row] = (rows[row][0] + rows[row][1]) + (rows[row][2] + rows[row][3]);
        for (int row = SUMS; row < ROWS; row++) out[k * ROWS + row] = larger_of_lanes(rows[row]);
        memset(rows, 0, sizeof rows);
        place = 0;
    }
    memcpy(state, rows, sizeof rows);
    state[4 * ROWS] = (double)place;
}
