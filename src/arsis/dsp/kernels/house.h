/* What every kernel shares. A kernel trusts its caller: the binding has checked the arrays. */
#ifndef ARSIS_HOUSE_H
#define ARSIS_HOUSE_H

#include <stdint.h>
#include <stddef.h>
#include <string.h>

#define KERNEL __attribute__((visibility("default")))

/* More copies of a hot function for newer processors, chosen at load time. Contraction is off and sums
   keep their order, so all copies give the same bits. The newest has 64-bit multiplications for the noise
   and twice the registers; compilers before GCC 12 cannot name it. FLOATS: of how many a
   vector is then best made. */
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && defined(__linux__) && !defined(ARSIS_SANITIZE)
#define FLOATS 8
#if __GNUC__ >= 12
#define CLONED __attribute__((target_clones("arch=x86-64-v4", "avx2", "default")))
#else
#define CLONED __attribute__((target_clones("avx2", "default")))
#endif
#else
#define FLOATS 4
#define CLONED
#endif

#define INLINE static inline __attribute__((always_inline))

#endif
