"""Vectors, for the places where numpy's general calls cost more than the sum."""

from __future__ import annotations

import math

import numpy as np

from geometry.arrays import Floats


def cross(a: Floats, b: Floats) -> Floats:
    """The cross product of two vectors (3,)."""
    (ax, ay, az), (bx, by, bz) = a.tolist(), b.tolist()
    return np.array([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx])


def length(a: Floats) -> float:
    """The length of a vector (3,)."""
    return math.sqrt(float(a @ a))


def dots(rows: Floats, others: Floats) -> Floats:
    """Products (n,) of vectors (n, d) with as many others, or with one (d,)."""
    if others.ndim == 1:
        return np.asarray(rows @ others)
    return np.asarray(np.einsum("ij,ij->i", rows, others))
