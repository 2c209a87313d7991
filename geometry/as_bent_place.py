"""Where a tube that came back lies in the frame: its centreline, held at its start, its finish or all its points."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from geometry.arrays import Floats
from geometry.path import Path
from geometry.vectors import cross, length

if TYPE_CHECKING:
    from geometry.as_bent import Hold


def laid(loose: Path, nominal: Path, hold: Hold, *, as_drawn: bool) -> Path:
    """A centreline somewhere in space, moved and turned to where it belongs.

    Args:
        loose: the centreline.
        nominal: the one that was drawn.
        hold: by what it is laid.
        as_drawn: both are the same but for where they are.
    """
    if as_drawn:
        # To the last digit: a line that just touches what it lands on must not be lost by rounding.
        return nominal
    points, wanted = np.array(loose.vertices), np.array(nominal.vertices)
    if hold == "all":
        turn, middle, target = best_turn(points, wanted), points.mean(axis=0), wanted.mean(axis=0)
    else:
        turn = _corner(nominal, hold) @ _corner(loose, hold).T
        end = 0 if hold == "start" else -1
        middle, target = points[end], wanted[end]
    placed = (points - middle) @ turn.T + target
    return Path(tuple((float(x), float(y), float(z)) for x, y, z in placed), loose.radii)


def _corner(path: Path, hold: Hold) -> Floats:
    """Axes (3, 3), in columns: along the end straight, into its bend, and square to both."""
    ways = path.directions
    way, other = (ways[0], ways[1]) if hold == "start" else (-ways[-1], -ways[-2])
    side = other - np.dot(other, way) * way
    side /= length(side)
    return np.column_stack((way, side, cross(way, side)))


def best_turn(points: Floats, wanted: Floats) -> Floats:
    """The turn (3, 3) about their middles that brings points (n, 3) nearest to others, never mirrored.

    Least squares by singular values; W. Kabsch, Acta Crystallographica A 32 (1976) 922.
    """
    spread = (points - points.mean(axis=0)).T @ (wanted - wanted.mean(axis=0))
    left, _, right = np.linalg.svd(spread)
    sign = math.copysign(1.0, float(np.linalg.det(left) * np.linalg.det(right)))
    return np.asarray(right.T @ np.diag([1.0, 1.0, sign]) @ left.T)
