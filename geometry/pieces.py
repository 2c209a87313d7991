"""The pieces that tubes are made of, as solids that the lines of another tube's end run into.

A line starts at a point and runs along a unit way; a piece says how far along it the line first enters,
counted from the start, negative behind it. A tube is the union of its pieces, so the first of its pieces'
entries is the tube's.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Protocol, TypeAlias

import numpy as np

from geometry.arrays import Bools, Floats
from geometry.vectors import cross, dots
from geometry.vectors import length as norm

Number: TypeAlias = float | Floats
"""One for all lines, or one for each (n,)."""

Capsule = tuple[Floats, Floats, float]
"""Both ends (3,) of a straight line, and how far from it something is at most, mm."""

PARALLEL = 1e-12
ON_MM = 1e-6
_TOUCHES = 1e-9
"""As a share of a cylinder's radius, squared: half a micrometre beside 25 mm of tube."""


class Piece(Protocol):
    """A solid that lines can enter."""

    def entries(self, starts: Floats, way: Floats, least: float) -> Floats:
        """How far along ``way`` (3,) the lines from ``starts`` (n, 3) first enter, at ``least`` or later.

        Returns:
            (n,) mm; infinite for a line that does not enter.
        """
        ...

    def grown(self, gap: float) -> Piece:
        """The piece larger by a gap all round, its ends where they are."""
        ...

    def bounds(self) -> tuple[Floats, Floats]:
        """Lowest and highest corner (3,) of a box round it."""
        ...

    def on_end(self, points: Floats) -> Bools:
        """Whether points (n, 3) of its surface are on a flat end, not on its side."""
        ...

    def normals(self, points: Floats) -> Floats:
        """Unit normals (n, 3) out of its side at points (n, 3) on it."""
        ...

    def capsules(self) -> list[Capsule]:
        """Straight lines' neighbourhoods that hold all of the piece."""
        ...


def unit_rows(vectors: Floats) -> Floats:
    """Vectors (n, 3) at length 1; one of no length stays."""
    size = np.sqrt(np.einsum("ij,ij->i", vectors, vectors))
    return np.asarray(vectors / np.maximum(size, 1e-300)[:, None])


def _between(low: Floats, high: Floats, least: Number) -> Floats:
    """The entry of a convex piece whose lines are inside from ``low`` to ``high``, each (n,)."""
    return np.where((low <= high) & (low >= least), low, np.inf)


def _slab(along: Floats, speed: Number, low: Number, high: Number) -> tuple[Floats, Floats]:
    """Where lines at ``along`` (n,), moving at ``speed``, are between two parallel planes."""
    still = np.abs(speed) < PARALLEL
    speed = np.where(still, np.inf, speed)
    one, two = (low - along) / speed, (high - along) / speed
    first, last = np.minimum(one, two), np.maximum(one, two)
    if np.any(still):
        inside = (along >= low) & (along <= high)
        first = np.where(still, np.where(inside, -np.inf, np.inf), first)
        last = np.where(still, np.where(inside, np.inf, -np.inf), last)
    return first, last


def _in_cylinder(across: Floats, way: Floats, radius: Number) -> tuple[Floats, Floats]:
    """Where lines are inside an endless cylinder about the origin.

    Args:
        across: where they start, square to the axis, (n, d).
        way: how they move square to the axis, (d,) or (n, d).
        radius: mm; or (n,).
    """
    square = radius * radius
    a, b = dots(way, way), dots(across, way)
    c = np.einsum("ij,ij->i", across, across) - square
    still = a < PARALLEL**2
    root = b * b - a * c
    # A line that touches, but for rounding, is met: of two tubes as thick as each other two lines do no more than that.
    missed = root < -_TOUCHES * a * square
    root, a = np.sqrt(np.maximum(root, 0.0)), np.where(still, np.inf, a)
    low, high = np.where(missed, np.inf, (-b - root) / a), np.where(missed, -np.inf, (root - b) / a)
    if np.any(still):
        low = np.where(still, np.where(c <= 0, -np.inf, np.inf), low)
        high = np.where(still, np.where(c <= 0, np.inf, -np.inf), high)
    return low, high


@dataclass(frozen=True, eq=False)
class RoundPiece:
    """A straight round piece from ``start`` to ``end`` (3,), filled, its ends flat."""

    start: Floats
    end: Floats
    radius: float

    @cached_property
    def run(self) -> tuple[Floats, float]:
        """Unit vector (3,) from its start to its end, and how far that is, mm."""
        run = self.end - self.start
        length = norm(run)
        return (run / length if length else np.array([0.0, 0.0, 1.0])), length

    def entries(self, starts: Floats, way: Floats, least: float) -> Floats:
        """Through its round side or one of its ends."""
        axis, length = self.run
        return _between(*_in_round(starts - self.start, way, axis, length, self.radius), least)

    def away(self, point: Floats) -> float:
        """Distance of a point (3,) from the centreline, mm."""
        axis, length = self.run
        apart = point - self.start
        along = min(max(float(apart @ axis), 0.0), length)
        return norm(apart - along * axis)

    def grown(self, gap: float) -> RoundPiece:
        """Larger by a gap all round."""
        return replace(self, radius=self.radius + gap) if gap else self

    def bounds(self) -> tuple[Floats, Floats]:
        """A box round it."""
        axis, _ = self.run
        reach = self.radius * np.sqrt(np.maximum(1.0 - axis * axis, 0.0))
        return np.minimum(self.start, self.end) - reach, np.maximum(self.start, self.end) + reach

    def normals(self, points: Floats) -> Floats:
        """Away from the centreline."""
        axis, _ = self.run
        off = points - self.start
        return unit_rows(off - (off @ axis)[:, None] * axis)

    def on_end(self, points: Floats) -> Bools:
        """Nearer to the centreline than its side."""
        axis, _ = self.run
        off = points - self.start
        off = off - (off @ axis)[:, None] * axis
        return np.asarray(np.einsum("ij,ij->i", off, off) < (self.radius - ON_MM) ** 2)

    def capsules(self) -> list[Capsule]:
        """About its centreline."""
        return [(self.start, self.end, self.radius)]


def round_entries(
    pieces: Sequence[RoundPiece], starts: Sequence[Floats], ways: Floats, least: Floats
) -> list[Floats]:
    """Where lines enter straight round pieces, as each piece's own ``entries`` says: all of them at once.

    Args:
        pieces: the pieces (k,).
        starts: where the lines of each start, k arrays (n, 3).
        ways: unit ways (k, 3) of the lines of each.
        least: where they may enter at the nearest (k,), mm.
    """
    if not pieces:
        return []
    counts = [len(some) for some in starts]
    runs = [(one.start, *one.run, one.radius) for one in pieces]
    every = (*map(np.array, zip(*runs, strict=True)), ways, least)
    froms, axes, lengths, radii, way, nearest = (np.repeat(one, counts, axis=0) for one in every)
    low, high = _in_round(np.concatenate(starts) - froms, way, axes, lengths, radii)
    return np.split(_between(low, high, nearest), np.cumsum(counts[:-1]))


def _in_round(
    from_start: Floats, way: Floats, axis: Floats, length: Number, radius: Number
) -> tuple[Floats, Floats]:
    """Where lines are inside round pieces: of one, or of one for each line.

    Args:
        from_start: where they begin, from the piece's start (n, 3).
        way: unit way (3,) or (n, 3) of the lines.
        axis: unit vector (3,) or (n, 3) along the piece.
        length: of the piece, mm; or (n,).
        radius: mm; or (n,).
    """
    along, speed = dots(from_start, axis), dots(way, axis)
    across = from_start - along[:, None] * axis
    aside = way - speed[..., None] * axis
    side_in, side_out = _in_cylinder(across, aside, radius)
    flat_in, flat_out = _slab(along, speed, 0.0, length)
    return np.maximum(side_in, flat_in), np.minimum(side_out, flat_out)


@dataclass(frozen=True, eq=False)
class BoxPiece:
    """A straight piece of box section from ``start`` to ``end`` (3,), filled, its ends flat.

    Attributes:
        start: middle of one end.
        end: middle of the other.
        up: unit vector (3,), square to the axis, along the section's height.
        width: mm.
        height: mm.
        corner: outside radius of the corners, mm.
    """

    start: Floats
    end: Floats
    up: Floats
    width: float
    height: float
    corner: float

    def _frame(self) -> tuple[Floats, Floats, float]:
        run = self.end - self.start
        length = norm(run)
        axis = run / length
        return axis, cross(self.up, axis), length

    def entries(self, starts: Floats, way: Floats, least: float) -> Floats:
        """The section is two crossing rectangles and a circle in each corner."""
        axis, across, length = self._frame()
        from_start = starts - self.start
        ends_in, ends_out = _slab(from_start @ axis, float(way @ axis), 0.0, length)
        x, dx = from_start @ across, float(way @ across)
        y, dy = from_start @ self.up, float(way @ self.up)
        half_x, half_y, corner = self.width / 2, self.height / 2, self.corner
        parts = []
        for reach_x, reach_y in ((half_x, half_y - corner), (half_x - corner, half_y)):
            x_in, x_out = _slab(x, dx, -reach_x, reach_x)
            y_in, y_out = _slab(y, dy, -reach_y, reach_y)
            parts.append((np.maximum(x_in, y_in), np.minimum(x_out, y_out)))
        if corner > 0:
            for sign_x in (-1.0, 1.0):
                for sign_y in (-1.0, 1.0):
                    centre = np.array([sign_x * (half_x - corner), sign_y * (half_y - corner)])
                    at = np.column_stack((x, y)) - centre
                    parts.append(_in_cylinder(at, np.array([dx, dy]), corner))
        entries = [
            _between(np.maximum(ends_in, low), np.minimum(ends_out, high), -np.inf)
            for low, high in parts
        ]
        # Convex as a whole: a line that has entered one part before has entered the piece.
        first = np.min(entries, axis=0)
        return np.where(first >= least, first, np.inf)

    def grown(self, gap: float) -> BoxPiece:
        """Larger by a gap all round, the corners' radius too."""
        if not gap:
            return self
        return replace(
            self,
            width=self.width + 2 * gap,
            height=self.height + 2 * gap,
            corner=max(self.corner + gap, 0.0),
        )

    def bounds(self) -> tuple[Floats, Floats]:
        """A box round it."""
        _, across, _ = self._frame()
        reach = np.abs(across) * self.width / 2 + np.abs(self.up) * self.height / 2
        return np.minimum(self.start, self.end) - reach, np.maximum(self.start, self.end) + reach

    def normals(self, points: Floats) -> Floats:
        """Square to a side, or away from the middle of a corner's round."""
        _, across, _ = self._frame()
        x, y = (points - self.start) @ across, (points - self.start) @ self.up
        over_x = np.maximum(np.abs(x) - self.width / 2 + self.corner, 0.0) * np.sign(x)
        over_y = np.maximum(np.abs(y) - self.height / 2 + self.corner, 0.0) * np.sign(y)
        if not self.corner:
            flat_x = self.width / 2 - np.abs(x) < self.height / 2 - np.abs(y)
            over_x, over_y = np.where(flat_x, np.sign(x), 0.0), np.where(flat_x, 0.0, np.sign(y))
        return unit_rows(over_x[:, None] * across + over_y[:, None] * self.up)

    def on_end(self, points: Floats) -> Bools:
        """At one of its ends."""
        axis, _, length = self._frame()
        along = (points - self.start) @ axis
        return np.asarray((along < ON_MM) | (along > length - ON_MM))

    def capsules(self) -> list[Capsule]:
        """About its centreline."""
        return [(self.start, self.end, math.hypot(self.width, self.height) / 2)]
