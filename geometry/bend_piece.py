"""The bent piece of a round tube, as a solid that lines run into: part of a torus between two flat ends."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from geometry.arrays import Bools, Floats, Ints
from geometry.path import Arc
from geometry.pieces import ON_MM, PARALLEL, Capsule, unit_rows
from geometry.quartic import falling_quartic_roots

_CHORD_RAD = math.radians(30.0)


@dataclass(frozen=True, eq=False)
class BendPiece:
    """A round bend: its centreline's arc, and the tube's outside radius."""

    arc: Arc
    radius: float

    def entries(self, starts: Floats, way: Floats, least: float) -> Floats:
        """Where a line enters the torus within the arc, or through the flat ends of the arc.

        The torus with the arc's axis N through its centre is ``(|p|^2 + R^2 - r^2)^2 = 4 R^2 (|p|^2 -
        (p.N)^2)``; along a line that is of the fourth degree (textbook).
        """
        arc, r = self.arc, self.radius
        from_centre = starts - arc.centre
        b = from_centre @ way
        middle = from_centre - b[:, None] * way
        # From the point of each line nearest to the centre, for the sake of the digits.
        c = np.einsum("ij,ij->i", middle, middle)
        entries = np.full(len(starts), np.inf)
        near = self._near(from_centre, way, b, c, least)
        if near.size:
            big, climb = arc.radius, float(way @ arc.normal)
            middle, c = middle[near], c[near]
            h, k, c = middle @ arc.normal / big, (c + big * big - r * r) / big**2, c / big**2
            p = 2 * k - 4 * (1 - climb * climb)
            rows, roots = falling_quartic_roots(p, 8 * h * climb, k * k - 4 * (c - h * h))
            at = middle[rows] + (big * roots)[:, None] * way
            rows = near[rows]
            along = big * roots - b[rows]
            turn = np.arctan2(at @ arc.forwards, at @ arc.outwards)
            good = (turn >= 0) & (turn <= arc.angle_rad) & (along >= least)
            np.minimum.at(entries, rows[good], along[good])
        for middle, inwards in self._ends:
            # Only lines that come from beyond a flat end can enter through it.
            speed = float(way @ inwards)
            if speed >= PARALLEL:
                along = (middle - starts) @ inwards / speed
                hit = starts + along[:, None] * way - middle
                through = np.einsum("ij,ij->i", hit, hit) <= r * r
                through &= along >= least
                np.minimum(entries, along, out=entries, where=through)
        return entries

    def _near(self, from_centre: Floats, way: Floats, b: Floats, c: Floats, least: float) -> Ints:
        """The lines (k,) that may enter the round side: the torus is asked of these alone.

        They are at some place at once within the ball round the torus, between the planes that it lies between, and on
        the inner sides of the arc's two flat ends.

        Args:
            from_centre: where the lines begin, from the arc's centre (n, 3).
            way: unit way (3,) of them all.
            b: how far from there on they are past the place nearest to the centre (n,).
            c: how far from the centre they pass, squared (n,).
            least: where they may enter at the nearest.
        """
        arc, r = self.arc, self.radius
        reach = (arc.radius + r) ** 2 - c
        half = np.sqrt(np.maximum(reach, 0.0))
        first, last = np.maximum(-half - b, least - ON_MM), half - b
        there = reach >= 0
        (_, start), (_, finish) = self._ends
        for inwards, depth in ((start, 0.0), (finish, 0.0), (arc.normal, r), (-arc.normal, r)):
            within, speed = from_centre @ inwards + (depth + ON_MM), float(way @ inwards)
            if abs(speed) < PARALLEL:
                there &= within >= 0
            elif speed > 0:
                np.maximum(first, within / -speed, out=first)
            else:
                np.minimum(last, within / -speed, out=last)
        return np.flatnonzero(there & (first <= last))

    @cached_property
    def _ends(self) -> list[tuple[Floats, Floats]]:
        """Middle (3,) of each flat end, and the unit vector (3,) into the piece there."""
        turns = np.array([0.0, self.arc.angle_rad])
        inwards = self.arc.directions(turns) * [[1.0], [-1.0]]
        return list(zip(self.arc.points(turns), inwards, strict=True))

    def grown(self, gap: float) -> BendPiece:
        """Larger by a gap all round."""
        return replace(self, radius=self.radius + gap) if gap else self

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

    def normals(self, points: Floats) -> Floats:
        """Away from the centreline's arc."""
        from_centre = points - self.arc.centre
        x, y = from_centre @ self.arc.outwards, from_centre @ self.arc.forwards
        spoke = x[:, None] * self.arc.outwards + y[:, None] * self.arc.forwards
        return unit_rows(from_centre - self.arc.radius * unit_rows(spoke))

    def on_end(self, points: Floats) -> Bools:
        """Nearer to the arc than its side."""
        from_centre = points - self.arc.centre
        x, y = from_centre @ self.arc.outwards, from_centre @ self.arc.forwards
        away = np.hypot(np.hypot(x, y) - self.arc.radius, from_centre @ self.arc.normal)
        return np.asarray(away < self.radius - ON_MM)

    def capsules(self) -> list[Capsule]:
        """About chords of 30 degrees or less; the arc stands off them by no more than their rise."""
        arc = self.arc
        count = math.ceil(arc.angle_rad / _CHORD_RAD)
        points = arc.points(np.linspace(0.0, arc.angle_rad, count + 1))
        rise = arc.radius * (1 - math.cos(arc.angle_rad / count / 2))
        pairs = zip(points[:-1], points[1:], strict=True)
        return [(start, end, self.radius + rise) for start, end in pairs]
