"""Real roots of many polynomials of the fourth degree at once."""

from __future__ import annotations

import numpy as np

from geometry.arrays import Floats, Ints

_NEWTON_STEPS = 4


def falling_quartic_roots(p: Floats, q: Floats, s: Floats) -> tuple[Ints, Floats]:
    """Real roots of ``t^4 + p t^2 + q t + s`` at which it falls, for each row, (n,) each.

    Ferrari's way: two quadratics ``t^2 + a t + b`` and ``t^2 - a t + c``, where ``u = a^2`` is the greatest
    root of the resolvent ``u^3 + 2 p u^2 + (p^2 - 4 s) u - q^2`` (textbook); Newton's steps sharpen the
    roots. The numbers are to be of the size of 1.

    Returns:
        The row (m,) and the root (m,), in no order.
    """
    u = _greatest_cubic_root(2 * p, p * p - 4 * s, -q * q)
    a = np.sqrt(np.maximum(u, 0.0))
    split = a > 1e-6
    # Without a linear term: a quadratic of the square.
    half = np.where(split, q / np.where(split, 2 * a, 1.0), np.sqrt(np.maximum(p * p / 4 - s, 0.0)))
    middle = np.where(split, (p + u) / 2, p / 2)
    a = np.where(split, a / 2, 0.0)
    under = a * a - middle
    square, side = np.array((under + half, under - half)), np.array((-a, a))
    root = np.sqrt(np.maximum(square, 0.0))
    roots = np.array((side - root, side + root))
    falls = ((4 * roots * roots + 2 * p) * roots + q < 1e-6) & (square > -1e-12)
    row, t = np.nonzero(falls)[2], roots[falls]
    p, q, s = p[row], q[row], s[row]
    for _ in range(_NEWTON_STEPS):
        square = t * t
        slope = (4 * square + 2 * p) * t + q
        step = ((square + p) * square + q * t + s) / np.where(slope < -1e-12, slope, np.inf)
        t -= np.where(np.abs(step) < 1e-3, step, 0.0)
        # Each step squares what is wrong.
        if np.max(np.abs(step), initial=0.0) < 1e-10:
            break
    return row, t


def _greatest_cubic_root(b: Floats, c: Floats, d: Floats) -> Floats:
    """The greatest real root (n,) of ``u^3 + b u^2 + c u + d``: Viete's where all are real, else Cardano's."""
    third = b / 3
    m = c / 3 - third * third
    n = (third * third - c / 2) * third + d / 2
    inside = n * n + m * m * m
    three = inside <= 0
    u = np.zeros(len(b))
    if three.any():
        depth = np.sqrt(np.maximum(-m, 1e-60))
        u = 2 * depth * np.cos(np.arccos(np.clip(-n / (depth * depth * depth), -1.0, 1.0)) / 3)
    if not three.all():
        far = np.cbrt(np.abs(n) + np.sqrt(np.maximum(inside, 0.0)))
        far = np.where(n > 0, -far, far)
        u = np.where(three, u, far - m / np.where(far == 0, 1.0, far))
    u = u - third
    for _ in range(2):
        slope = (3 * u + 2 * b) * u + c
        step = (((u + b) * u + c) * u + d) / np.where(np.abs(slope) > 1e-9, slope, np.inf)
        u = u - step
    return np.asarray(u)
