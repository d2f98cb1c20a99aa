"""Roots of quadratics in plain arithmetic and real square roots: the same bits on every machine."""

from __future__ import annotations

import math


def roots(a: complex, b: complex, c: complex) -> list[complex]:
    """Roots of a x² + b x + c; where the coefficients are real, of two conjugates the upper one.

    Leading zeros lower the degree. Each root keeps its relative accuracy (the larger one is found
    without cancellation, the other from the product of both).
    """
    if a == 0.0:
        return [] if b == 0.0 else [-c / b]
    half = b / 2.0
    inside = half * half - a * c
    if not (a.imag or b.imag or c.imag) and inside.real < 0.0:
        upper = math.sqrt(-inside.real) / abs(a.real)
        return [complex(-half.real / a.real, upper)]
    root = square_root(inside)
    if half.real * root.real + half.imag * root.imag < 0.0:
        root = -root
    far = -half - root
    return [far / a, c / far] if far else [0j, 0j]


def square_root(value: complex) -> complex:
    """The square root with a real part that is not negative."""
    size = math.sqrt(value.real * value.real + value.imag * value.imag)
    if size == 0.0:
        return 0j
    along = math.sqrt((size + abs(value.real)) / 2.0)
    across = abs(value.imag) / (2.0 * along)
    real, imag = (along, across) if value.real >= 0.0 else (across, along)
    return complex(real, math.copysign(imag, value.imag))


def conjugate_halves(x: complex) -> tuple[complex, complex]:
    """Both z with z + 1/z = 2 - 4x."""
    middle, root = 1.0 - 2.0 * x, 2.0 * square_root(x * (x - 1.0))
    return middle + root, middle - root


def monic(z: complex) -> tuple[float, float]:
    """c1 c2 of (1 - z/Z)(1 - z*/Z) = 1 + c1/Z + c2/Z²."""
    return -2.0 * z.real, z.real * z.real + z.imag * z.imag
