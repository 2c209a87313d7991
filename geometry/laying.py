"""A bent tube laid on a bench: the planes it can lie in, and how high the rest of it stands."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats
from geometry.bend import BendRow, bend_table
from geometry.path import Path, Point, Straight
from geometry.vectors import cross

_IN_PLANE_DEG = 1e-6
_STEEP = math.sin(math.radians(45))
"""On a steeper straight no block stays put."""
_ON_BENCH_MM = 0.05
_APART_MM = 60.0
"""Supports nearer to each other are one."""
_ARC_STEPS = 181


@dataclass(frozen=True)
class PlaneRun:
    """Bends that lie in one plane, from ``first`` to ``last``, counted from 0."""

    first: int
    last: int

    @property
    def words(self) -> str:
        """As "bend 2" or "bends 2 to 4"."""
        if self.first == self.last:
            return f"bend {self.first + 1}"
        return f"bends {self.first + 1} to {self.last + 1}"


def plane_runs(rows: tuple[BendRow, ...]) -> list[PlaneRun]:
    """The bends of a table in runs of one plane each; half a turn stays in the plane."""
    runs: list[PlaneRun] = []
    for index, row in enumerate(rows):
        flat = min(abs(row.rotation_deg), 180.0 - abs(row.rotation_deg)) < _IN_PLANE_DEG
        if index and flat:
            runs[-1] = PlaneRun(runs[-1].first, index)
        else:
            runs.append(PlaneRun(index, index))
    return runs


def run_path(path: Path, run: PlaneRun) -> Path:
    """A run's bends with the straights on both sides, each up to the tangent point of the next bend."""
    straights = path.straight_pieces
    begin, end = straights[run.first].start, straights[run.last + 1].end
    inner = path.vertices[run.first + 1 : run.last + 2]
    return Path((_point(begin), *inner, _point(end)), path.radii[run.first : run.last + 1])


def run_axes(path: Path, run: PlaneRun) -> tuple[Floats, Floats]:
    """Unit vectors in a run's plane: along the straight before it, and towards the side its first bend turns to."""
    before, after = path.directions[run.first], path.directions[run.first + 1]
    up = after - np.dot(after, before) * before
    return before, up / np.linalg.norm(up)


@dataclass(frozen=True)
class Support:
    """A place where something can stand under a tube.

    Attributes:
        at: the point of the centreline above it, mm.
        block: height of the tube's underside straight below that point over the bench, mm.
        centre: height of the centreline there, mm.
    """

    at: Point
    block: float
    centre: float


@dataclass(frozen=True)
class Lying:
    """One way for a tube to lie: a run of its bends level, the rest above or at the bench.

    Attributes:
        run: the bends that are level.
        right: unit vector to the right on the bench, seen from above: along the straight before the run.
        up: unit vector away from who looks, on the bench.
        lift: height of the run's centreline over the bench, mm.
        supports: where blocks go and what stands how high, from start to finish.
        ends: heights of the middles of the start and the finish, mm.
    """

    run: PlaneRun
    right: Point
    up: Point
    lift: float
    supports: tuple[Support, ...]
    ends: tuple[float, float]


def ways_to_lie(path: Path, radius: float) -> tuple[Lying, ...]:
    """Every way a bent tube can lie with one run of its bends level; a flat tube has one.

    The side that needs the lower blocks is underneath.

    Args:
        path: of at least one bend.
        radius: outside radius of the tube, mm.
    """
    if path.plane is not None:
        return (_lying(path, PlaneRun(0, len(path.radii) - 1), radius),)
    return tuple(_lying(path, run, radius) for run in plane_runs(bend_table(path)))


def _lying(path: Path, run: PlaneRun, radius: float) -> Lying:
    right, up = run_axes(path, run)
    if path.plane is not None:
        # All its bends together say better than the first how it lies.
        right = right - np.dot(right, path.plane[1]) * path.plane[1]
        right = right / np.linalg.norm(right)
        up = np.cross(path.plane[1], right) * np.sign(np.dot(np.cross(path.plane[1], right), up))
    sight = np.cross(right, up)
    origin = np.array(path.vertices[run.first + 1])
    # How far it reaches below the run's centreline, as it is and turned over.
    below = farthest(path, radius, -sight) + float(np.dot(origin, sight))
    turned = farthest(path, radius, sight) - float(np.dot(origin, sight))
    if turned < below - 1e-6:
        up, sight = -up, -sight
    lift = min(turned, below)

    def height(at: Floats) -> float:
        return lift + float(np.dot(at - origin, sight))

    ends = height(np.array(path.vertices[0])), height(np.array(path.vertices[-1]))
    supports = []
    if path.plane is None:
        supports = [
            Support(_point(at), _block(height(at), float(np.dot(way, sight)), radius), height(at))
            for at, way in _places(path, run, 2 * radius)
            if abs(float(np.dot(way, sight))) <= _STEEP
        ]
        if lift < radius + _ON_BENCH_MM:
            level = {_point(at) for at, _ in _level_places(path, run, 2 * radius)}
            supports = [one for one in supports if one.at not in level]
    return Lying(run, _point(right), _point(up), lift, tuple(supports), ends)


def farthest(path: Path, radius: float, way: Floats) -> float:
    """How far a tube's outside reaches in a direction: its greatest coordinate along it, mm.

    Args:
        path: its centreline.
        radius: its outside radius, mm.
        way: unit vector (3,).
    """
    points, ways = [], []
    for segment in path.segments:
        if isinstance(segment, Straight):
            if segment.length > 0:
                along = (segment.end - segment.start) / segment.length
                points += [segment.start, segment.end]
                ways += [along, along]
        else:
            turns = np.linspace(0.0, segment.angle_rad, _ARC_STEPS)
            points += list(segment.points(turns))
            ways += list(segment.directions(turns))
    lean = np.array(ways) @ way
    # The circle about a point of the centreline, square to it, reaches this far.
    reach = radius * np.sqrt(np.maximum(1.0 - lean**2, 0.0))
    return float(np.max(np.array(points) @ way + reach))


def envelope(path: Path, radius: float) -> Point:
    """Size along x, y and z of the box that just holds a tube, mm."""
    return _box(path, radius, np.eye(3))


def flat_box(path: Path, radius: float) -> Point | None:
    """Size of the box that just holds a flat tube laid down, mm; None for a tube in space.

    Along its first straight, square to that in the plane of its bends, and square to the plane.
    """
    if path.plane is None:
        return None
    way, (_, normal) = path.directions[0], path.plane
    return _box(path, radius, np.array((way, cross(normal, way), normal)))


def _box(path: Path, radius: float, ways: Floats) -> Point:
    """How far a tube reaches from one side to the other along each of three unit ways (3, 3), mm."""
    return _point(np.array([farthest(path, radius, w) + farthest(path, radius, -w) for w in ways]))


def _block(centre: float, lean: float, radius: float) -> float:
    """Height of the underside straight below a point of a straight that leans by the sine ``lean``."""
    return max(centre - radius / math.sqrt(1 - lean**2), 0.0)


def _level_places(path: Path, run: PlaneRun, inset: float) -> list[tuple[Floats, Floats]]:
    """Where blocks go under the run that is level: its ends, and the middle of each of its bends."""
    straights = path.straight_pieces
    first, last = straights[run.first], straights[run.last + 1]
    places = [(_along(first, inset), path.directions[run.first])]
    for arc in path.arcs[run.first : run.last + 1]:
        turn = np.array([arc.angle_rad / 2])
        places.append((arc.points(turn)[0], arc.directions(turn)[0]))
    places.append((_along(last, last.length - inset), path.directions[run.last + 1]))
    return places


def _places(path: Path, run: PlaneRun, inset: float) -> list[tuple[Floats, Floats]]:
    """Places along the whole tube, with its direction there, that lie well apart."""
    before: list[tuple[Floats, Floats]] = []
    after: list[tuple[Floats, Floats]] = []
    for index, straight in enumerate(path.straight_pieces):
        found = before if index < run.first else after
        # On a shorter one the steel straight below is that of a bend.
        if run.first <= index <= run.last + 1 or straight.length < inset:
            continue
        ends = _along(straight, inset), _along(straight, straight.length - inset)
        way = path.directions[index]
        if math.dist(*ends) < _APART_MM:
            found.append(((straight.start + straight.end) / 2, way))
        else:
            found += [(at, way) for at in ends]
    return [*before, *_level_places(path, run, inset), *after]


def _along(straight: Straight, by: float) -> Floats:
    """A point of a straight, held inside it."""
    share = min(max(by / straight.length, 0.0), 1.0) if straight.length > 0 else 0.0
    return straight.start + share * (straight.end - straight.start)


def _point(values: Floats) -> Point:
    x, y, z = values.tolist()
    return (x, y, z)
