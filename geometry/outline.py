"""The outside of a section, rolled out flat: where a distance round it is, and which way is into the wall."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from geometry.arrays import Floats, Ints
from geometry.section import RoundTube, Section
from geometry.tolerances import CHORD_AIM_MM, MAX_STEP_DEG

_FROM_THIRDS = 1.3
_MOST_ROUNDS = 24
_LEAST_STEP = 1e-8
"""Of the whole way round: where the line jumps, its two vertices stand this close."""


class Outline(Hashable, Protocol):
    """The outside of a section seen along its axis, from its datum, right-handed about the axis."""

    @property
    def girth(self) -> float:
        """Once round, mm."""
        ...

    @property
    def corners(self) -> tuple[float, ...]:
        """Distances round at which the outline's curvature jumps, mm."""
        ...

    def at(self, round_mm: Floats, depth: float = 0.0) -> Floats:
        """Places (n, 2) along the datum and square to it, ``depth`` mm into the wall."""
        ...

    def place(self, flat: Floats) -> Floats:
        """Distances round (n,), from 0 to the girth, of places (n, 2) on the outside or beyond it."""
        ...

    def normals(self, round_mm: Floats) -> Floats:
        """Unit normals (n, 2) out of the outside at distances round (n,)."""
        ...


@dataclass(frozen=True)
class RoundOutline:
    """A circle; the datum is at (radius, 0)."""

    radius: float

    @property
    def girth(self) -> float:
        """Once round."""
        return math.tau * self.radius

    @property
    def corners(self) -> tuple[float, ...]:
        """None."""
        return ()

    def at(self, round_mm: Floats, depth: float = 0.0) -> Floats:
        """On the circle, or inside it."""
        phi = round_mm / self.radius
        return (self.radius - depth) * np.column_stack((np.cos(phi), np.sin(phi)))

    def place(self, flat: Floats) -> Floats:
        """By its direction."""
        return np.asarray(np.arctan2(flat[:, 1], flat[:, 0]) % math.tau * self.radius)

    def normals(self, round_mm: Floats) -> Floats:
        """Away from the middle."""
        return self.at(round_mm) / self.radius


@dataclass(frozen=True)
class BoxOutline:
    """A rounded rectangle; 0 is the middle of the side that the datum faces.

    Attributes:
        along: size along the datum, mm (the section's height).
        across: size square to it, mm.
        corner: outside radius of the corners, mm.
    """

    along: float
    across: float
    corner: float

    @property
    def _straights(self) -> tuple[float, float]:
        return self.across - 2 * self.corner, self.along - 2 * self.corner

    @property
    def girth(self) -> float:
        """Once round, corner arcs included."""
        return 2 * sum(self._straights) + math.tau * self.corner

    @property
    def corners(self) -> tuple[float, ...]:
        """Where the arcs begin and end."""
        wide, high = self._straights
        arc = math.pi / 2 * self.corner
        places, at = [], wide / 2
        for straight in (high, wide, high):
            places += [at, at + arc]
            at += arc + straight
        return (*places, at, at + arc)

    def at(self, round_mm: Floats, depth: float = 0.0) -> Floats:
        """On the outline; inside it the corners' arcs keep their centres, down to a sharp corner."""
        wide, high = self._straights
        arc = math.pi / 2 * self.corner
        rest = np.asarray(round_mm) % self.girth
        places = np.zeros((len(rest), 2))
        # Quarter by quarter: half a side, a corner, half of the next side, turned by right angles.
        sides = ((wide, high), (high, wide), (wide, high), (high, wide))
        begin = 0.0
        for quarter, (here, following) in enumerate(sides):
            length = here / 2 + arc + following / 2
            s = rest - begin
            chosen = (s >= 0) & (s < length)
            s = s[chosen]
            turn = np.clip(
                (s - here / 2) / self.corner if self.corner else s * 0.0, 0.0, math.pi / 2
            )
            if not self.corner:
                turn = np.where(s >= here / 2, math.pi / 2, 0.0)
            centre_out, centre_side = following / 2, here / 2
            # Along a side the place moves; in the corner the arc turns about its centre.
            side = np.minimum(s, here / 2)
            back = np.maximum(s - here / 2 - arc, 0.0)
            radius = self.corner - depth
            out = centre_out + np.where(turn > 0, radius * np.cos(turn), radius) - back
            aside = np.where(turn > 0, centre_side + radius * np.sin(turn), side)
            if radius < 0:
                # Deeper than the corner's centre: the inside corner is sharp, nearer than the depth.
                aside = np.minimum(aside, centre_side + radius)
                out = np.minimum(out, centre_out + radius)
            x, y = out, aside
            for _ in range(quarter):
                x, y = -y, x
            places[chosen] = np.column_stack((x, y))
            begin += length
        return places

    def place(self, flat: Floats) -> Floats:
        """Along the side it is square to, or round the corner it is nearest to; from within, along the nearest side."""
        wide, high = self._straights
        places = np.zeros(len(flat))
        deepest = np.full(len(flat), -np.inf)
        x, y = flat[:, 0], flat[:, 1]
        for quarter, (here, following) in enumerate(
            ((wide, high), (high, wide), (wide, high), (high, wide))
        ):
            middle = quarter * self.girth / 4
            out = x - following / 2
            # Rounding puts places on a sharp-cornered outline a hair inside it.
            on_side = (np.abs(y) <= here / 2) & (out > deepest)
            places = np.where(on_side, middle + y, places)
            deepest = np.where(on_side, out, deepest)
            in_corner = (y > here / 2) & (out > 0)
            turn = np.arctan2(y - here / 2, out)
            places = np.where(in_corner, middle + here / 2 + self.corner * turn, places)
            x, y = y, -x
        return np.asarray(places % self.girth)

    def normals(self, round_mm: Floats) -> Floats:
        """Square to the sides, and turning round the corners; at a sharp corner between its two sides."""
        step = 1e-4 * self.girth
        before, after = self.at(round_mm - step), self.at(round_mm + step)
        if not self.corner:
            way = after - before
            return np.column_stack((way[:, 1], -way[:, 0])) / np.hypot(way[:, :1], way[:, 1:])
        inwards = self.at(round_mm) - self.at(round_mm, self.corner / 2)
        return inwards / np.hypot(inwards[:, :1], inwards[:, 1:])


def outline_of(section: Section) -> Outline:
    """The outline of a section."""
    if isinstance(section, RoundTube):
        return RoundOutline(section.radius)
    # A corner too small to be seen is sharp.
    corner = section.corner_radius if section.corner_radius > 1e-6 else 0.0
    return BoxOutline(section.height, section.width, corner)


def sample_line(height: Callable[[Floats], Floats], outline: Outline) -> tuple[Floats, Floats]:
    """A line round a section as a polyline on its development.

    Args:
        height: heights (n,) at distances round (n,), mm; it may have kinks, and jumps where a line of the
            tube passes the end of what it sits on.
        outline: the section.

    Returns:
        Distances round from 0 to the girth and heights, (n,) each; chords within the chord tolerance, and
        never more than 2.5 degrees of the turn apart.
    """
    girth = outline.girth
    even = np.linspace(0.0, girth, round(360 / MAX_STEP_DEG) + 1)
    inner = [place for place in outline.corners if 1e-9 < place < girth - 1e-9]
    place = np.unique(np.concatenate((even, inner)))
    place = place[np.diff(place, append=np.inf) > 1e-9 * girth]
    place[-1] = girth
    wanted = np.arange(len(place) - 1)
    # The first thirds are always asked for: one question is quicker than two.
    one, two = _thirds(place, wanted)
    value, at_one, at_two = np.split(
        height(np.concatenate((place, one, two))), (len(place), len(place) + len(one))
    )
    for _ in range(_MOST_ROUNDS):
        run, rise = place[wanted + 1] - place[wanted], value[wanted + 1] - value[wanted]
        chord = np.hypot(run, rise)
        off = np.maximum(
            np.abs((at_one - value[wanted]) * run - rise * (one - place[wanted])),
            np.abs((at_two - value[wanted]) * run - rise * (two - place[wanted])),
        )
        rough = (off / chord * _FROM_THIRDS > CHORD_AIM_MM) & (run > _LEAST_STEP * girth)
        if not rough.any():
            break
        at = wanted[rough]
        inserts = np.repeat(at + 1, 2)
        place = np.insert(place, inserts, np.column_stack((one[rough], two[rough])).ravel())
        value = np.insert(value, inserts, np.column_stack((at_one[rough], at_two[rough])).ravel())
        wanted = ((at + 2 * np.arange(len(at)))[:, None] + np.arange(3)).ravel()
        one, two = _thirds(place, wanted)
        at_one, at_two = np.split(height(np.concatenate((one, two))), 2)
    return place, value


def _thirds(place: Floats, wanted: Ints) -> tuple[Floats, Floats]:
    """The places (n,) a third and two thirds of the way from each wanted place (n,) to the next."""
    third = (place[wanted + 1] - place[wanted]) / 3
    return place[wanted] + third, place[wanted + 1] - third
