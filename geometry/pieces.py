"""The pieces that tubes are made of, as solids that the lines of another tube's end run into.

A line starts at a point and runs along a unit way; a piece says how far along it the line first enters,
counted from the start, negative behind it. A tube is the union of its pieces, so the first of its pieces'
entries is the tube's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from geometry.path import Arc
from geometry.surface import Floats
from geometry.vectors import cross
from geometry.vectors import length as norm

_PARALLEL = 1e-12
_NEWTON_STEPS = 4


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


def _between(low: Floats, high: Floats, least: float) -> Floats:
    """The entry of a convex piece whose lines are inside from ``low`` to ``high``, each (n,)."""
    return np.where((low <= high) & (low >= least), low, np.inf)


def _slab(along: Floats, speed: float, low: float, high: float) -> tuple[Floats, Floats]:
    """Where lines at ``along`` (n,), moving at ``speed``, are between two parallel planes."""
    if abs(speed) < _PARALLEL:
        inside = (along >= low) & (along <= high)
        return np.where(inside, -np.inf, np.inf), np.where(inside, np.inf, -np.inf)
    one, two = (low - along) / speed, (high - along) / speed
    return np.minimum(one, two), np.maximum(one, two)


def _in_cylinder(across: Floats, way: Floats, radius: float) -> tuple[Floats, Floats]:
    """Where lines are inside an endless cylinder about the origin.

    Args:
        across: where they start, square to the axis, (n, d).
        way: how they move square to the axis, (d,).
        radius: mm.
    """
    a = float(way @ way)
    c = np.einsum("ij,ij->i", across, across) - radius * radius
    if a < _PARALLEL**2:
        return np.where(c <= 0, -np.inf, np.inf), np.where(c <= 0, np.inf, -np.inf)
    b = across @ way
    root = b * b - a * c
    missed = root < 0
    root = np.sqrt(np.where(missed, 0.0, root))
    low, high = (-b - root) / a, (-b + root) / a
    return np.where(missed, np.inf, low), np.where(missed, -np.inf, high)


@dataclass(frozen=True, eq=False)
class RoundPiece:
    """A straight round piece from ``start`` to ``end`` (3,), filled, its ends flat."""

    start: Floats
    end: Floats
    radius: float

    @property
    def _axis(self) -> tuple[Floats, float]:
        run = self.end - self.start
        length = norm(run)
        return (run / length if length else np.array([0.0, 0.0, 1.0])), length

    def entries(self, starts: Floats, way: Floats, least: float) -> Floats:
        """Through its round side or one of its ends."""
        axis, length = self._axis
        from_start = starts - self.start
        along, speed = from_start @ axis, float(way @ axis)
        across = from_start - along[:, None] * axis
        side_in, side_out = _in_cylinder(across, way - speed * axis, self.radius)
        flat_in, flat_out = _slab(along, speed, 0.0, length)
        return _between(np.maximum(side_in, flat_in), np.minimum(side_out, flat_out), least)

    def grown(self, gap: float) -> RoundPiece:
        """Larger by a gap all round."""
        return replace(self, radius=self.radius + gap)

    def bounds(self) -> tuple[Floats, Floats]:
        """A box round it."""
        axis, _ = self._axis
        reach = self.radius * np.sqrt(np.maximum(1.0 - axis * axis, 0.0))
        return np.minimum(self.start, self.end) - reach, np.maximum(self.start, self.end) + reach


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
        return replace(
            self,
            width=self.width + 2 * gap,
            height=self.height + 2 * gap,
            corner=self.corner + gap,
        )

    def bounds(self) -> tuple[Floats, Floats]:
        """A box round it."""
        _, across, _ = self._frame()
        reach = np.abs(across) * self.width / 2 + np.abs(self.up) * self.height / 2
        return np.minimum(self.start, self.end) - reach, np.maximum(self.start, self.end) + reach


@dataclass(frozen=True, eq=False)
class BendPiece:
    """A round bend: its centreline's arc, and the tube's outside radius."""

    arc: Arc
    radius: float

    def entries(self, starts: Floats, way: Floats, least: float) -> Floats:
        """Where a line enters the torus within the arc, or through the flat ends of the arc.

        The torus with the arc's axis N through its centre is ``(|p|^2 + R^2 - r^2)^2 = 4 R^2 (|p|^2 -
        (p.N)^2)``; along a line that is of the fourth degree (textbook). Its roots are those of the
        companion matrix, sharpened by Newton's steps.
        """
        arc, r = self.arc, self.radius
        from_centre = starts - arc.centre
        out, forward, normal = arc.outwards, arc.forwards, arc.normal
        b = from_centre @ way
        middle = from_centre - b[:, None] * way
        # From the point of each line nearest to the centre, for the sake of the digits.
        c = np.einsum("ij,ij->i", middle, middle)
        height, climb = middle @ normal, float(way @ normal)
        big = arc.radius
        k = c + big * big - r * r
        ones = np.ones_like(c)
        coefficients = (
            ones,
            0.0 * ones,
            2 * k - 4 * big * big * (1 - climb * climb),
            8 * big * big * height * climb,
            k * k - 4 * big * big * (c - height * height),
        )
        entries = np.full(len(starts), np.inf)
        near = np.flatnonzero(c <= (big + r) ** 2)
        if near.size:
            rows = [row[near] for row in coefficients]
            roots = _real_quartic_roots(rows)
            at = middle[near][:, None, :] + roots[:, :, None] * way
            x, y = at @ out, at @ forward
            turn = np.arctan2(y, x)
            inside = (turn >= 0) & (turn <= arc.angle_rad)
            # Inwards: the surface faces the line where it enters.
            z = at @ normal
            ring = np.hypot(x, y)
            radial = (ring - big) / np.maximum(ring, 1e-300)
            facing = radial * (x * float(way @ out) + y * float(way @ forward)) + z * climb
            along = roots - b[near][:, None]
            good = np.isfinite(roots) & inside & (facing < 0) & (along >= least)
            entries[near] = np.min(np.where(good, along, np.inf), axis=1)
        for turned in (0.0, arc.angle_rad):
            entries = np.minimum(entries, self._through_end(starts, way, turned, least))
        return entries

    def _through_end(self, starts: Floats, way: Floats, turned: float, least: float) -> Floats:
        """Entries through a flat end of the arc, for lines that come from beyond it."""
        arc = self.arc
        middle = arc.points(np.array([turned]))[0]
        tangent = math.cos(turned) * arc.forwards - math.sin(turned) * arc.outwards
        inwards = tangent if turned == 0.0 else -tangent
        speed = float(way @ inwards)
        if speed < _PARALLEL:
            return np.full(len(starts), np.inf)
        along = (middle - starts) @ inwards / speed
        hit = starts + along[:, None] * way - middle
        inside = np.einsum("ij,ij->i", hit, hit) <= self.radius**2
        return np.where(inside & (along >= least), along, np.inf)

    def grown(self, gap: float) -> BendPiece:
        """Larger by a gap all round."""
        return replace(self, radius=self.radius + gap)

    def bounds(self) -> tuple[Floats, Floats]:
        """A box round it: the centreline's extreme points, the tube's radius about them."""
        arc = self.arc
        turns = [0.0, arc.angle_rad]
        for axis in range(3):
            extreme = math.atan2(float(arc.forwards[axis]), float(arc.outwards[axis]))
            for turn in (extreme % math.tau, (extreme + math.pi) % math.tau):
                if turn < arc.angle_rad:
                    turns.append(turn)
        points = arc.points(np.array(turns))
        return points.min(axis=0) - self.radius, points.max(axis=0) + self.radius


def _real_quartic_roots(rows: list[Floats]) -> Floats:
    """Real roots (n, 4) of ``t^4 + b t^3 + c t^2 + d t + e`` for each row; NaN for those that are not real.

    Args:
        rows: the coefficients from the highest power down, (n,) each, the first 1.
    """
    _, b, c, d, e = rows
    matrix = np.zeros((len(b), 4, 4))
    matrix[:, 0] = -np.column_stack((b, c, d, e))
    matrix[:, [1, 2, 3], [0, 1, 2]] = 1.0
    roots = np.linalg.eigvals(matrix)
    size = np.maximum(np.abs(roots), 1.0)
    real = np.abs(roots.imag) < 1e-6 * size
    t = np.where(real, roots.real, 0.0)
    b, c, d, e = (row[:, None] for row in (b, c, d, e))
    for _ in range(_NEWTON_STEPS):
        value = (((t + b) * t + c) * t + d) * t + e
        slope = ((4 * t + 3 * b) * t + 2 * c) * t + d
        step = np.where(np.abs(slope) > 1e-9, value / np.where(slope == 0, 1.0, slope), 0.0)
        t = t - np.where(np.abs(step) < 1.0, step, 0.0)
    return np.where(real, t, np.nan)
