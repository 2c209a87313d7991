"""What is measured before and after tacking, in numbers: where tubes begin and end, how far apart, what is alike left and right."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from geometry.as_bent_checks import as_drawn
from geometry.fitup import Fitted
from geometry.frame import HANDS
from geometry.parts import Part, across
from geometry.path import Path, Point
from geometry.places import known_places
from geometry.tolerances import CENTRE_PLANE_MM
from geometry.vectors import cross, length

_SAME_MM = 0.05
"""Nearer than a tape tells."""
_FLAT = 0.005
"""Sine of the angle at which a straight may leave the plane of the first bend and still lie in it: a third of a degree."""
_SAME_DEG = 0.05


@dataclass(frozen=True)
class Across:
    """A point and its mirror image.

    Attributes:
        point: the one that is named.
        image: what its mirror image is called; "" where that is only on the opposite hand of a tube.
        apart: mm.
        other: the point of the pair that is farthest away; "" where there is none, or where it stands there already.
        far: what that pair's other side is called, as seen from the point; "" where there is no such pair.
        corner: from the point to there, mm.
        back: from the point's own other side to that pair's point's side, mm: as far, where both sides are alike.
    """

    point: str
    image: str
    apart: float
    other: str = ""
    far: str = ""
    corner: float = 0.0
    back: float = 0.0


def bend_points(fitted: Fitted, *, drawn: bool = False) -> dict[str, Point]:
    """Where bends begin and end on the centreline, mm, as "hoop, bend 1 begins"; of a handed tube for each hand.

    The corner itself, where the straights would cross, is not on the steel.
    """
    found = {}
    for one in fitted.parts:
        came = one.part.came
        path = came.nominal if drawn and came is not None else one.part.path
        for number, arc in enumerate(path.arcs, 1):
            begins, ends = arc.points(np.array([0.0, arc.angle_rad])).tolist()
            for words, (x, y, z) in (("begins", begins), ("ends", ends)):
                found[f"{one.part.name}, bend {number} {words}"] = (x, y, z)
    return found


def end_points(fitted: Fitted) -> dict[str, Point]:
    """The points at which tubes begin and end, as they are set out, mm, in the frame's order."""
    frame = fitted.frame
    ends = {point for tube in frame.tubes for point in (tube.path[0], tube.path[-1])}
    return {name: at for name, at in known_places(frame).items() if name in ends}


def beside_their_points(fitted: Fitted) -> dict[str, set[str]]:
    """Tubes that are built in as they came, their ends beside their points; and these points, by the tube's name."""
    at, found = end_points(fitted), dict[str, set[str]]()
    for one in fitted.parts:
        tube, path = one.part.tube, one.part.path
        for point, vertex in ((tube.path[0], path.vertices[0]), (tube.path[-1], path.vertices[-1])):
            x, y, z = at.get(point, vertex)
            near = min(math.dist(vertex, (x, y, z)), math.dist(vertex, (x, -y, z)))
            if near > _SAME_MM:
                found.setdefault(tube.name, set()).add(point)
    return found


@dataclass(frozen=True)
class Span:
    """A tube from its first point to its last, in a straight line.

    Attributes:
        tube: its name; that of a hand where the two are not alike.
        first: name of its first point.
        last: name of its last point.
        apart: mm.
        slope_deg: from level, 0 to 90: of a straight tube, or of the plane that all bends of a bent one lie in;
            None for one that lies in no plane.
        bent: whether it has bends.
    """

    tube: str
    first: str
    last: str
    apart: float
    slope_deg: float | None
    bent: bool = False


def tube_spans(fitted: Fitted) -> list[Span]:
    """Each tube in the frame's order; both hands have one row where they are alike."""
    rows = []
    places = known_places(fitted.frame)
    for tube in fitted.frame.tubes:
        parts = [one.part for one in fitted.parts if one.part.tube.name == tube.name]
        each = [_span(part, places) for part in parts]
        if each and all(_alike(one, each[0]) for one in each):
            first, last = tube.path[0], tube.path[-1]
            each = [replace(each[0], tube=tube.name, first=first, last=last)]
        rows += each
    return rows


def _alike(one: Span, other: Span) -> bool:
    """Whether a tape and a level cannot tell them apart."""
    if (one.slope_deg is None) != (other.slope_deg is None):
        return False
    slopes = abs((one.slope_deg or 0.0) - (other.slope_deg or 0.0))
    return abs(one.apart - other.apart) < _SAME_MM and slopes < _SAME_DEG


def _span(part: Part, places: Mapping[str, Point]) -> Span:
    path, points = part.path, (part.tube.path[0], part.tube.path[-1])
    drawn = part.came.nominal if part.came is not None else path
    names = []
    for name, (_, y, _) in zip(points, (drawn.vertices[0], drawn.vertices[-1]), strict=True):
        other = part.hand and abs(places[name][1] - y) > CENTRE_PLANE_MM
        names.append(opposite_hand(name) if other else name)
    apart = math.dist(path.vertices[0], path.vertices[-1])
    return Span(part.name, names[0], names[1], apart, slope_deg(path), len(path.directions) > 1)


def opposite_hand(point: str) -> str:
    """What a point's mirror image is called that has no name of its own."""
    return f"{point}, opposite hand"


def slope_deg(path: Path) -> float | None:
    """From level, 0 to 90 degrees: of a straight path, or of the plane that a bent one lies in; None for no plane."""
    ways = np.array(path.directions)
    if len(ways) == 1:
        return math.degrees(math.asin(min(abs(float(ways[0][2])), 1.0)))
    square = cross(ways[0], ways[1])
    square = square / length(square)
    if np.max(np.abs(ways @ square)) > _FLAT:
        return None
    return math.degrees(math.acos(min(abs(float(square[2])), 1.0)))


@dataclass(frozen=True)
class Middle:
    """A point on the centre-plane, and the points to its left and right from which it is as far, where all is in its place.

    Attributes:
        point: the one in the middle.
        left: name of the point on the left.
        right: name of its mirror image.
        from_left: mm.
        from_right: mm.
    """

    point: str
    left: str
    right: str
    from_left: float
    from_right: float


@dataclass(frozen=True)
class _Mirrored:
    """Points as they are drawn, mm; which of them are mirror images; where both really are, by their sides."""

    drawn: Mapping[str, Point]
    bent: frozenset[str]
    pairs: tuple[tuple[str, str], ...]
    sides: Mapping[str, Mapping[str, Point]]

    def place(self, pair: tuple[str, str], side: str) -> Point:
        """Where the one of a pair is that is on a side."""
        name, image = pair
        known = self.sides[name] if side in self.sides[name] else self.sides.get(image, {})
        return known.get(side) or across(next(iter(self.sides[name].values())))

    def named(self, pair: tuple[str, str], side: str) -> str:
        """What the one of a pair is called that is on a side."""
        name, image = pair
        return name if _side(self.drawn[name]) == side else image or opposite_hand(name)

    def farthest(self, point: str) -> tuple[tuple[str, str], float]:
        """The pair that tells most of a point, and how far away it is, seen from the side; one on the same line across tells nothing."""
        x, _, z = self.drawn[point]
        away = [
            math.hypot(self.drawn[name][0] - x, self.drawn[name][2] - z) for name, _ in self.pairs
        ]
        # Where tubes end is found with a tape, unlike where a bend does: half as far is as good.
        worth = [
            far * (0.5 if name in self.bent else 1.0)
            for far, (name, _) in zip(away, self.pairs, strict=True)
        ]
        return self.pairs[worth.index(max(worth))], max(away)


def across_pairs(fitted: Fitted) -> list[Across]:
    """The ends of tubes that are drawn as far to the left as to the right, in the frame's order, and where they really are."""
    mirrored = _mirrored(fitted)
    found, done = [], set[frozenset[str]]()
    for pair in mirrored.pairs:
        name, image = pair
        own, other = HANDS if mirrored.drawn[name][1] > 0 else HANDS[::-1]
        here, there = mirrored.place(pair, own), mirrored.place(pair, other)
        apart = math.dist(here, there)
        after, away = mirrored.farthest(name)
        if away < _SAME_MM or frozenset((name, after[0])) in done:
            found.append(Across(name, image, apart))
            continue
        done.add(frozenset((name, after[0])))
        corner = math.dist(here, mirrored.place(after, other))
        back = math.dist(there, mirrored.place(after, own))
        far = mirrored.named(after, other)
        found.append(Across(name, image, apart, after[0], far, corner, back))
    return found


def middle_points(fitted: Fitted) -> list[Middle]:
    """The ends of tubes on the centre-plane, in the frame's order, from the pair that is farthest from each; none without a pair."""
    mirrored, found = _mirrored(fitted), []
    left, right = HANDS
    for name, (_, y, _) in mirrored.drawn.items():
        if abs(y) >= CENTRE_PLANE_MM or not mirrored.pairs or name in mirrored.bent:
            continue
        pair, _ = mirrored.farthest(name)
        # Both hands of a tube may end there, each a little beside it.
        there = mirrored.sides[name]
        near, far = (there.get(side) or next(iter(there.values())) for side in HANDS)
        found.append(
            Middle(
                name,
                mirrored.named(pair, left),
                mirrored.named(pair, right),
                math.dist(near, mirrored.place(pair, left)),
                math.dist(far, mirrored.place(pair, right)),
            )
        )
    return found


def _mirrored(fitted: Fitted) -> _Mirrored:
    drawn_places, sides = known_places(as_drawn(fitted.frame)), _sides(fitted)
    # Of a tube that cannot be made there is no steel to measure to.
    at = {name: place for name, place in drawn_places.items() if name in sides}
    bent = bend_points(fitted, drawn=True)
    at |= bent
    made = [one.part.tube for one in fitted.parts]
    handed = {point for tube in made if tube.handed for point in (tube.path[0], tube.path[-1])}
    both: dict[Point, list[str]] = {}
    for name, (x, y, z) in at.items():
        if abs(y) >= CENTRE_PLANE_MM:
            both.setdefault((round(x, 1), round(abs(y), 1), round(z, 1)), []).append(name)
    pairs = []
    for name, *others in both.values():
        image = next((other for other in others if at[other][1] * at[name][1] < 0), "")
        if image or handed & {name, *others}:
            pairs.append((name, image))
    return _Mirrored(at, frozenset(bent), tuple(pairs), sides)


def _sides(fitted: Fitted) -> dict[str, dict[str, Point]]:
    """Where tubes' ends and bends really are, by the point's name and by the side, "left" or "right"."""
    found: dict[str, dict[str, Point]] = {}
    for one in fitted.parts:
        tube, came = one.part.tube, one.part.came
        drawn = came.nominal if came is not None else one.part.path
        for end in (0, -1):
            at, hand = found.setdefault(tube.path[end], {}), one.part.hand
            middle = abs(drawn.vertices[end][1]) < CENTRE_PLANE_MM
            side = hand if middle and hand else _side(drawn.vertices[end])
            at.setdefault(side, one.part.path.vertices[end])
    # By the side that they are drawn on: a bend that came otherwise may lie across the middle.
    drawn_bends = bend_points(fitted, drawn=True)
    for name, place in bend_points(fitted).items():
        found[name] = {_side(drawn_bends[name]): place}
    return found


def _side(place: Point) -> str:
    return HANDS[0] if place[1] > 0 else HANDS[1]
