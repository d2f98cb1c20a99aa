/* What every kernel shares. A kernel trusts its caller: the binding has checked the arrays. */
#ifndef ARSIS_HOUSE_H
#define ARSIS_HOUSE_H

#include <stdint.h>
#include <stddef.h>
#include <string.h>

#define KERNEL __attribute__((visibility("default")))

/* A second copy of a hot function for newer processors, chosen at load time. Contraction is off and
   sums keep their order, so both copies give the same bits. */
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && defined(__linux__) && !defined(ARSIS_SANITIZE)
#define CLONED __attribute__((target_clones("avx2", "default")))
#else
#define CLONED
#endif

#define INLINE static inline __attribute__((always_inline))

#endif
