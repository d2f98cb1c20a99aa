/* Between the interleaved words of a file and planar sound. Every integer word is first made a
   32-bit one with its top bit at the top, so that one scale serves all widths. */
#include "house.h"

#if __BYTE_ORDER__ != __ORDER_LITTLE_ENDIAN__
#error "the words of a file are taken apart for little-endian processors only"
#endif

#define FULL_SCALE 2147483648.0 /* 2^31: scaling by it is exact in both directions */

enum { SIGNED_LITTLE, SIGNED_BIG, UNSIGNED };

INLINE int32_t word_at(const uint8_t *at, int width, int kind) {
    uint32_t word = 0;
    if (width == 1) word = ((uint32_t)at[0] ^ (kind == UNSIGNED ? 0x80u : 0u)) << 24;
    if (width == 2) {
        uint16_t half;
        memcpy(&half, at, 2);
        word = (uint32_t)(kind == SIGNED_BIG ? __builtin_bswap16(half) : half) << 16;
    }
    if (width == 3) { /* one load of four bytes is quicker than three of one; callers mind the last word */
        memcpy(&word, at, 4);
        word = kind == SIGNED_BIG ? __builtin_bswap32(word) & 0xFFFFFF00u : word << 8;
    }
    if (width == 4) {
        memcpy(&word, at, 4);
        if (kind == SIGNED_BIG) word = __builtin_bswap32(word);
    }
    return (int32_t)word;
}

INLINE int32_t last_word_at(const uint8_t *at, int width, int kind) {
    uint8_t padded[4] = {0, 0, 0, 0};
    memcpy(padded, at, (size_t)width);
    return word_at(padded, width, kind);
}

INLINE void unpack(const uint8_t *raw, int64_t channels, int64_t frames, int width, int kind, double *out,
                   int64_t stride) {
    const int64_t frame_bytes = channels * width;
    if (frames <= 0) return;
    for (int64_t channel = 0; channel < channels; channel++)
        out[channel * stride + frames - 1] =
            last_word_at(raw + (frames - 1) * frame_bytes + channel * width, width, kind) * (1.0 / FULL_SCALE);
    if (channels == 2) {
        double *restrict left = out, *restrict right = out + stride;
        for (int64_t i = 0; i < frames - 1; i++) {
            left[i] = word_at(raw + i * 2 * width, width, kind) * (1.0 / FULL_SCALE);
            right[i] = word_at(raw + i * 2 * width + width, width, kind) * (1.0 / FULL_SCALE);
        }
        return;
    }
    for (int64_t channel = 0; channel < channels; channel++)
        for (int64_t i = 0; i < frames - 1; i++)
            out[channel * stride + i] =
                word_at(raw + i * frame_bytes + channel * width, width, kind) * (1.0 / FULL_SCALE);
}

/* Interleaved integers to float64: value / 2^(bits-1). out: channel c starts at c * stride. */
KERNEL CLONED void pcm_unpack(const uint8_t *raw, int64_t channels, int64_t frames, int64_t width, int64_t kind,
                              double *out, int64_t start, int64_t stride) {
    out += start;
    if (width == 1 && kind == UNSIGNED) unpack(raw, channels, frames, 1, UNSIGNED, out, stride);
    else if (width == 1) unpack(raw, channels, frames, 1, SIGNED_LITTLE, out, stride);
    else if (width == 2 && kind == SIGNED_BIG) unpack(raw, channels, frames, 2, SIGNED_BIG, out, stride);
    else if (width == 2) unpack(raw, channels, frames, 2, SIGNED_LITTLE, out, stride);
    else if (width == 3 && kind == SIGNED_BIG) unpack(raw, channels, frames, 3, SIGNED_BIG, out, stride);
    else if (width == 3) unpack(raw, channels, frames, 3, SIGNED_LITTLE, out, stride);
    else if (width == 4 && kind == SIGNED_BIG) unpack(raw, channels, frames, 4, SIGNED_BIG, out, stride);
    else unpack(raw, channels, frames, 4, SIGNED_LITTLE, out, stride);
}

/* Interleaved floats of 4 or 8 bytes to float64. Returns 1 where any is not finite. */
KERNEL CLONED int64_t pcm_unpack_float(const uint8_t *raw, int64_t channels, int64_t frames, int64_t width,
                                       int64_t big, double *out, int64_t start, int64_t stride) {
    int64_t unfit = 0;
    for (int64_t channel = 0; channel < channels; channel++) {
        double *restrict to = out + start + channel * stride;
        const uint8_t *from = raw + channel * width;
        const int64_t step = channels * width;
        if (width == 4) {
            for (int64_t i = 0; i < frames; i++) {
                uint32_t bits;
                float value;
                memcpy(&bits, from + i * step, 4);
                if (big) bits = __builtin_bswap32(bits);
                memcpy(&value, &bits, 4);
                unfit |= (bits & 0x7F800000u) == 0x7F800000u;
                to[i] = value;
            }
        } else {
            for (int64_t i = 0; i < frames; i++) {
                uint64_t bits;
                memcpy(&bits, from + i * step, 8);
                if (big) bits = __builtin_bswap64(bits);
                unfit |= (bits & 0x7FF0000000000000u) == 0x7FF0000000000000u;
                memcpy(to + i, &bits, 8);
            }
        }
    }
    return unfit;
}

INLINE int64_t pack(const int32_t *in, int64_t channels, int64_t frames, int width, int big, uint8_t *out) {
    const int shift = 32 - 8 * width;
    uint32_t over = 0;
    for (int64_t channel = 0; channel < channels; channel++) {
        const int32_t *from = in + channel * frames;
        for (int64_t i = 0; i < frames; i++) over |= (uint32_t)((int32_t)((uint32_t)from[i] << shift) >> shift) ^ (uint32_t)from[i];
    }
    for (int64_t i = 0; i < frames; i++)
        for (int64_t channel = 0; channel < channels; channel++) {
            uint8_t *at = out + (i * channels + channel) * width;
            uint32_t word = (uint32_t)in[channel * frames + i];
            if (big) word = __builtin_bswap32(word << shift);
            if (width == 3 && i < frames - 1) memcpy(at, &word, 4); /* the next word covers the fourth byte */
            else memcpy(at, &word, (size_t)width);
        }
    return over != 0;
}

/* Planar integers to interleaved words of 2, 3 or 4 bytes. Returns 1 where one does not fit its word. */
KERNEL CLONED int64_t pcm_pack(const int32_t *in, int64_t channels, int64_t frames, int64_t width, int64_t big,
                               uint8_t *out) {
    if (channels == 2 && width == 3 && !big) return pack(in, 2, frames, 3, 0, out);
    if (channels == 2 && width == 2 && !big) return pack(in, 2, frames, 2, 0, out);
    if (width == 2) return pack(in, channels, frames, 2, big != 0, out);
    if (width == 3) return pack(in, channels, frames, 3, big != 0, out);
    return pack(in, channels, frames, 4, big != 0, out);
}

/* Planar float64 to interleaved float32. Returns 1 where one is not finite in 32 bits. */
KERNEL CLONED int64_t pcm_pack_float(const double *in, int64_t channels, int64_t frames, int64_t big,
                                     uint8_t *out) {
    int64_t unfit = 0;
    for (int64_t channel = 0; channel < channels; channel++) {
        const double *from = in + channel * frames;
        for (int64_t i = 0; i < frames; i++) {
            const float value = (float)from[i];
            uint32_t bits;
            memcpy(&bits, &value, 4);
            unfit |= (bits & 0x7F800000u) == 0x7F800000u;
            if (big) bits = __builtin_bswap32(bits);
            memcpy(out + (i * channels + channel) * 4, &bits, 4);
        }
    }
    return unfit;
}
