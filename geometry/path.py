"""A tube's centreline: straights and arcs from vertices and radii."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.linalg import norm

from geometry.arrays import Floats
from geometry.errors import BadPath, check_range
from geometry.lengths import mm, place
from geometry.said import Said, said
from geometry.tolerances import (
    COINCIDENT_MM,
    LEG_SLACK_MM,
    MAX_COORDINATE_MM,
    MAX_SIZE_MM,
    PLANAR_MM,
    STRAIGHT_RAD,
)
from geometry.vectors import cross
from geometry.vectors import length as size_of

Point = tuple[float, float, float]


@dataclass(frozen=True)
class Straight:
    """A straight piece from ``start`` to ``end``, each (3,) mm."""

    start: Floats
    end: Floats

    @cached_property
    def length(self) -> float:
        """Length, mm; 0 where two bends follow each other at once."""
        return size_of(self.end - self.start)


@dataclass(frozen=True)
class Arc:
    """A circular piece of a centreline.

    Attributes:
        centre: (3,) mm.
        radius: centreline radius, mm.
        angle_rad: how far it turns, in (0, pi).
        outwards: unit vector (3,) from the centre to its start.
        forwards: unit vector (3,) along the path at its start.
    """

    centre: Floats
    radius: float
    angle_rad: float
    outwards: Floats
    forwards: Floats

    @property
    def length(self) -> float:
        """Length along the centreline, mm."""
        return self.radius * self.angle_rad

    @property
    def rise(self) -> float:
        """How far it stands off its chord at most, mm."""
        return self.radius * (1 - math.cos(self.angle_rad / 2))

    @cached_property
    def normal(self) -> Floats:
        """Unit axis (3,) about which it turns, right-handed."""
        return cross(self.outwards, self.forwards)

    def points(self, turn_rad: Floats) -> Floats:
        """Points (n, 3) at the turns (n,), radians, 0 at its start."""
        cosine, sine = np.cos(turn_rad)[:, None], np.sin(turn_rad)[:, None]
        return np.asarray(
            self.centre + self.radius * (cosine * self.outwards + sine * self.forwards)
        )

    def directions(self, turn_rad: Floats) -> Floats:
        """Unit vectors (n, 3) along the path at the turns (n,), radians, 0 at its start."""
        cosine, sine = np.cos(turn_rad)[:, None], np.sin(turn_rad)[:, None]
        return np.asarray(cosine * self.forwards - sine * self.outwards)


class SpineLine(NamedTuple):
    """A segment of a centreline as a straight line, in plain numbers.

    Attributes:
        segment: the segment.
        start: where it begins, mm.
        way: unit vector from there to its end.
        size: how far that is, mm.
        rise: how far the segment stands off the line at most, mm.
    """

    segment: Straight | Arc
    start: list[float]
    way: list[float]
    size: float
    rise: float


def _spine_line(segment: Straight | Arc) -> SpineLine:
    if isinstance(segment, Straight):
        start, end, rise = segment.start, segment.end, 0.0
    else:
        (start, end), rise = segment.points(np.array([0.0, segment.angle_rad])), segment.rise
    size = size_of(end - start)
    return SpineLine(segment, start.tolist(), ((end - start) / size).tolist(), size, rise)


@dataclass(frozen=True)
class Path:
    """A centreline from its start to its finish.

    Attributes:
        vertices: where the centrelines of neighbouring straights cross, first and last point
            included, at least two, mm.
        radii: one centreline radius for each inner vertex, as in the finished part, mm.

    Raises:
        BadPath: when the bends cannot be made of these legs; the text names the bend or points.
        OutOfRange: for coordinates or radii no frame has.
    """

    vertices: tuple[Point, ...]
    radii: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse what cannot be bent."""
        count = len(self.vertices)
        if count < 2:
            text = (
                said("the path has 1 point; it needs at least 2")
                if count
                else said("the path has 0 points; it needs at least 2")
            )
            raise BadPath(text)
        if len(self.radii) != count - 2:
            radii = len(self.radii)
            text = (
                said("the path has 1 bend and {radii} radii; it needs one radius for each bend", radii=radii)
                if count == 3
                else said(
                    "the path has {bends} bends and {radii} radii; it needs one radius for each bend",
                    bends=count - 2, radii=radii,
                )
            )  # fmt: skip
            raise BadPath(text)
        if not all(abs(value) <= MAX_COORDINATE_MM for vertex in self.vertices for value in vertex):
            for number, vertex in enumerate(self.vertices, 1):
                for name, value in zip("xyz", vertex, strict=True):
                    what = said("path point {number} {axis}", number=number, axis=name)
                    check_range(what, value, -MAX_COORDINATE_MM, MAX_COORDINATE_MM)
        for number, radius in enumerate(self.radii, 1):
            what = said("bend {number} radius", number=number)
            check_range(what, radius, 0.0, MAX_SIZE_MM, above=True)
        self._check_vertices()
        self._check_legs()

    def _check_vertices(self) -> None:
        for number, length in enumerate(self._legs, 1):
            if length <= COINCIDENT_MM:
                text = said(
                    "path points {one} and {other} are the same place {place}; take one out",
                    one=number, other=number + 1, place=place(self.vertices[number - 1], places=None),
                )  # fmt: skip
                raise BadPath(text)
        for number, angle in enumerate(self.bend_angles_rad, 1):
            if angle < STRAIGHT_RAD:
                text = said(
                    "{bend} is in line with its neighbours, so it is no bend; take it out", bend=self._bend_words(number)
                )  # fmt: skip
                raise BadPath(text)
            if angle > math.pi - STRAIGHT_RAD:
                text = said(
                    "{bend} turns straight back; allowed is less than 180°", bend=self._bend_words(number)
                )  # fmt: skip
                raise BadPath(text)

    def _bend_words(self, number: int) -> Said:
        return said(
            "bend {number} at path point {point} {place}",
            number=number, point=number + 1, place=place(self.vertices[number], places=None),
        )  # fmt: skip

    def _check_legs(self) -> None:
        if not self.radii:
            return
        setbacks = [0.0, *self.setbacks, 0.0]
        for index, leg in enumerate(self._legs):
            short = setbacks[index] + setbacks[index + 1] - leg
            if short <= LEG_SLACK_MM:
                continue
            tangent = sum(
                math.tan(self.bend_angles_rad[i] / 2)
                for i in (index - 1, index)
                if 0 <= i < len(self.radii)
            )
            raise BadPath(self._short_leg(index, float(leg), short, leg / tangent))

    def _short_leg(self, index: int, leg: float, short: float, radius: float) -> Said:
        """A leg that is too short for its bends, and the radius that goes with it."""
        last = len(self._legs) - 1
        sizes = {"leg": mm(leg, fixed=True), "need": mm(leg + short, fixed=True)}
        if 0 < index < last:
            what = said(
                "the leg between bends {one} and {other} is {leg}, and bends {one} and {other} take up {need}",
                one=index, other=index + 1, **sizes,
            )  # fmt: skip
        elif index == 0:
            what = said("the leg before bend 1 is {leg}, and bend 1 takes up {need}", **sizes)
        else:
            what = said(
                "the leg after bend {bend} is {leg}, and bend {bend} takes up {need}",
                bend=last,
                **sizes,
            )
        return said(
            "{what}; make it {longer} longer or the radius {radius} or less",
            what=what, longer=mm(short, fixed=True), radius=mm(radius, fixed=True),
        )  # fmt: skip

    @cached_property
    def _corners(self) -> Floats:
        return np.array(self.vertices, dtype=np.float64)

    @cached_property
    def _legs(self) -> Floats:
        return np.array([math.dist(a, b) for a, b in pairwise(self.vertices)])

    @cached_property
    def directions(self) -> Floats:
        """Unit direction of each leg, (legs, 3)."""
        corners = self._corners
        return np.asarray((corners[1:] - corners[:-1]) / self._legs[:, None])

    @cached_property
    def bend_angles_rad(self) -> tuple[float, ...]:
        """How far the tube turns at each inner vertex, in (0, pi); 0 would be straight on."""
        if not self.radii:
            return ()
        before, after = self.directions[:-1], self.directions[1:]
        # Half-angle form (Kahan): exact for the smallest and the largest turns, where acos is not.
        angles = 2 * np.arctan2(norm(after - before, axis=1), norm(after + before, axis=1))
        return tuple(float(angle) for angle in angles)

    @cached_property
    def setbacks(self) -> tuple[float, ...]:
        """Distance from each inner vertex to its tangent points, ``radius tan(angle / 2)``, mm."""
        return tuple(
            radius * math.tan(angle / 2)
            for radius, angle in zip(self.radii, self.bend_angles_rad, strict=True)
        )

    @cached_property
    def segments(self) -> tuple[Straight | Arc, ...]:
        """Straight, arc, straight, … from start to finish, tangent to tangent."""
        pieces: list[Straight | Arc] = []
        at = self._corners[0]
        for index, (radius, angle, setback) in enumerate(
            zip(self.radii, self.bend_angles_rad, self.setbacks, strict=True)
        ):
            corner = self._corners[index + 1]
            before, after = self.directions[index], self.directions[index + 1]
            begin = corner - setback * before
            pieces.append(Straight(at, begin))
            inwards = after - np.dot(after, before) * before
            inwards /= norm(inwards)
            pieces.append(Arc(begin + radius * inwards, radius, angle, -inwards, before))
            at = corner + setback * after
        pieces.append(Straight(at, self._corners[-1]))
        return tuple(pieces)

    @cached_property
    def spine(self) -> tuple[SpineLine, ...]:
        """The segments that have a length, as lines."""
        return tuple(_spine_line(one) for one in self.segments if one.length >= 1e-9)

    @cached_property
    def straight_pieces(self) -> tuple[Straight, ...]:
        """The straights from start to finish, one more than there are bends."""
        return tuple(piece for piece in self.segments if isinstance(piece, Straight))

    @cached_property
    def arcs(self) -> tuple[Arc, ...]:
        """The bends from start to finish."""
        return tuple(piece for piece in self.segments if isinstance(piece, Arc))

    @cached_property
    def straights(self) -> tuple[float, ...]:
        """Lengths of the straights, tangent to tangent, first and last included, mm."""
        setbacks = [0.0, *self.setbacks, 0.0]
        return tuple(
            max(float(leg) - setbacks[i] - setbacks[i + 1], 0.0) for i, leg in enumerate(self._legs)
        )

    @property
    def developed_length(self) -> float:
        """Length along the centreline from start to finish, mm."""
        arcs = (r * a for r, a in zip(self.radii, self.bend_angles_rad, strict=True))
        return sum(self.straights) + sum(arcs)

    @cached_property
    def plane(self) -> tuple[Floats, Floats] | None:
        """A point (3,) and unit normal (3,) of the plane the path lies in; None for one in space.

        A path counts as planar within 0.01 mm. A straight one lies in many planes; then None.
        """
        if not self.radii:
            return None
        middle = self._corners.mean(axis=0)
        normal = np.linalg.svd(self._corners - middle)[2][2]
        if np.max(np.abs((self._corners - middle) @ normal)) > PLANAR_MM:
            return None
        return middle, normal
