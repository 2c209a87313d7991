"""Moving, turning, mirroring and scaling a selection of a frame's points."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass, replace

import numpy as np

from geometry.arrays import Floats
from geometry.edits import followers
from geometry.errors import BadFrame, BadText, check_range
from geometry.frame import Frame
from geometry.names import point_words
from geometry.near_path import nearest_along, step_along
from geometry.path import Path, Point
from geometry.place import Along, At, MirrorOf, OffsetFrom, Place, Swung
from geometry.places import Places
from geometry.said import said
from geometry.tolerances import MAX_COORDINATE_MM

_SAME_MM = 1e-9
_MOST_SCALE = 1000.0
_STEP_MM = 0.1
AXES = {"x": 0, "y": 1, "z": 2}


@dataclass(frozen=True, eq=False)
class Change:
    """A change of place: about a middle by a matrix, then by a step.

    Attributes:
        matrix: (3, 3), in mm of the new place for mm of the old one.
        middle: (3,), what stays where it is but for the step.
        step: (3,) mm.
    """

    matrix: Floats
    middle: Floats
    step: Floats

    def to(self, point: Point) -> Point:
        """Where a point goes."""
        moved = self.matrix @ (np.array(point) - self.middle) + self.middle + self.step
        return _clean(moved)


_STILL = np.zeros(3)


def moved_by(step: Point) -> Change:
    """A step, mm along x, y and z."""
    for name, value in zip("xyz", step, strict=True):
        check_range(
            said("step along {axis}", axis=name), value, -MAX_COORDINATE_MM, MAX_COORDINATE_MM
        )
    return Change(np.eye(3), _STILL, np.array(step))


def turned_by(angle_deg: float, axis: str, about: Point) -> Change:
    """A turn about an axis through a point, right-handed, degrees."""
    check_range(said("turn"), angle_deg, -360.0, 360.0, unit="°")
    one, two = ((number + _axis(axis)) % 3 for number in (1, 2))
    cosine, sine = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    if angle_deg % 90 == 0:
        cosine, sine = float(round(cosine)), float(round(sine))
    matrix = np.eye(3)
    matrix[one, one] = matrix[two, two] = cosine
    matrix[one, two], matrix[two, one] = -sine, sine
    return Change(matrix, np.array(about), _STILL)


def mirrored_at(axis: str, at: float = 0.0) -> Change:
    """The mirror image at the plane square to an axis, so many mm along it; "y" at 0 is the centre-plane."""
    check_range(said("plane"), at, -MAX_COORDINATE_MM, MAX_COORDINATE_MM)
    signs, middle = np.ones(3), np.zeros(3)
    signs[_axis(axis)], middle[_axis(axis)] = -1.0, at
    return Change(np.diag(signs), middle, _STILL)


def scaled_by(factor: float, about: Point) -> Change:
    """All distances from a point times a factor."""
    check_range(said("factor"), factor, 0.0, _MOST_SCALE, unit=said("times"), above=True)
    return Change(factor * np.eye(3), np.array(about), _STILL)


def _axis(name: str) -> int:
    if name not in AXES:
        text = said("axis {name} is none; allowed are x, y and z", name=repr(name))
        raise BadText(text)
    return AXES[name]


def change_points(frame: Frame, names: Collection[str], change: Change) -> Frame:
    """The frame with some of its points in another place; how each is set out is kept where that still says it.

    What hangs on a moved point goes with it, as always. A moved point that hangs on another keeps hanging on it, by
    a new offset, distance or angle; one in side view that is turned out of it becomes an offset, a mirror image that
    would be none becomes coordinates.

    Raises:
        BadFrame: for a point that lies on a tube: it goes where its tube goes.
        BadText: for a point that there is not.
    """
    places = Places(frame)
    for name in names:
        if name not in frame.points:
            text = said("there is no {what}", what=point_words(name))
            raise BadText(text)
        if isinstance(frame.points[name], Along):
            text = said(
                "point {name} lies on a tube and goes where that goes; move the tube's points, or give it coordinates",
                name=repr(name),
            )  # fmt: skip
            raise BadFrame(text)
    return _put_to(frame, places, {name: change.to(places.point(name)) for name in names})


def _put_to(frame: Frame, places: Places, new: dict[str, Point]) -> Frame:
    """The frame with points where they are told, none of them on a tube."""
    followed = _Followed(frame, places, new)
    return replace(frame, points={**frame.points, **{name: followed.place(name) for name in new}})


def drag_point(
    frame: Frame, name: str, at: Point, shown: str = "xyz", also: Collection[str] = ()
) -> Frame:
    """The frame with a point dragged to a place, and still set out as it was.

    A mirror image takes what it is the image of with it, so that both stay alike; a point on a tube slides along it, alone.

    Args:
        frame: as it is.
        name: of the point.
        at: where it is dragged to, mm.
        shown: the axes that whoever drags it sees, such as "xz".
        also: others that go along by the same step; those on a tube go where that goes.

    Raises:
        BadText: for a point that there is not.
    """
    root, side = _root(frame, name)
    x, y, z = at
    there, place, places = (x, side * y + 0.0, z), frame.points.get(root), Places(frame)
    if isinstance(place, Along):
        path = places.built(frame.tube(place.tube))
        distance, _ = nearest_along(path, there, shown)
        return replace(frame, points={**frame.points, root: _slid(place, path, distance)})
    if place is None:
        return change_points(frame, [name], moved_by((0.0, 0.0, 0.0)))
    dx, dy, dz = _between(places.point(root), there)
    new: dict[str, Point] = {}
    # Of a point and its image that are both chosen the point itself decides, or the one that is dragged.
    for other, hand in sorted((_root(frame, one) for one in also), key=lambda one: one[1]):
        if other in frame.points and not isinstance(frame.points[other], Along):
            x, y, z = places.point(other)
            new[other] = _clean(np.array([x + dx, y + side * hand * dy, z + dz]))
    return _put_to(frame, places, {**new, root: there})


def dragged_with(
    frame: Frame, name: str, also: Collection[str] = ()
) -> tuple[frozenset[str], frozenset[str]]:
    """The points and the parts that go along when a point is dragged, by name; the point itself left out.

    Args:
        frame: as it is.
        name: of the point.
        also: others that are dragged with it.
    """
    points, parts = set[str](), set[str]()
    for root, _ in (_root(frame, one) for one in (name, *also)):
        hanging, through = followers(frame, root)
        points |= {root, *hanging}
        parts |= through
    return frozenset(points | {*also}) - {name}, frozenset(parts)


def _root(frame: Frame, name: str) -> tuple[str, float]:
    """What a point is the mirror image of in the end, itself if of none; and whether it is on its side, 1, or not, -1."""
    side = 1.0
    while isinstance(place := frame.points.get(name), MirrorOf):
        name, side = place.base, -side
    return name, side


def _slid(place: Along, path: Path, distance: float) -> Along:
    """A point on a tube, elsewhere on it; to 0.1 mm or a thousandth of it, and never beyond its ends."""
    whole = path.developed_length
    if place.share is not None:
        return Along(place.tube, share=min(max(round(distance / whole, 3), 0.0), 1.0))
    from_finish = -step_along(whole - distance, whole, _STEP_MM)
    # Nought from the finish would be nought from the start.
    behind = place.distance is not None and place.distance < 0 and from_finish < 0
    along = step_along(distance, whole, _STEP_MM)
    return Along(place.tube, distance=from_finish if behind else along)


class _Followed:
    """Where every point is after the change: the moved ones where they are told, those on them with them."""

    def __init__(self, frame: Frame, places: Places, new: dict[str, Point]) -> None:
        self._frame, self._places, self._new = frame, places, new

    def _after(self, name: str) -> Point:
        """A point's new place; what hangs on a moved one has gone with it."""
        if name in self._new:
            return self._new[name]
        x, y, z = self._places.point(name)
        match self._frame.points[name]:
            case OffsetFrom(base=base) | Swung(base=base):
                before, after = self._places.point(base), self._after(base)
                dx, dy, dz = (b - a for a, b in zip(before, after, strict=True))
                return (x + dx, y + dy, z + dz)
            case MirrorOf(base=base):
                ax, ay, az = self._after(base)
                return (ax, 0.0 - ay, az)
        return (x, y, z)

    def place(self, name: str) -> Place:
        """How a moved point is set out now."""
        at, was = self._new[name], self._frame.points[name]
        match was:
            case OffsetFrom(base, offset):
                now = _between(self._after(base), at)
                return was if _same(now, offset) else OffsetFrom(base, now)
            case Swung(base):
                dx, dy, dz = now = _between(self._after(base), at)
                if _same(now, _between(self._places.point(base), self._places.point(name))):
                    return was
                if abs(dy) > _SAME_MM:
                    return OffsetFrom(base, (dx, dy, dz))
                return Swung(base, math.hypot(dx, dz), math.degrees(math.atan2(dz, dx)))
            case MirrorOf(base):
                x, y, z = self._after(base)
                if _same(at, (x, 0.0 - y, z)):
                    return was
        return At(*at)


def _between(one: Point, other: Point) -> Point:
    return _clean(np.array(other) - np.array(one))


def _same(one: Point, other: Point) -> bool:
    return max(abs(a - b) for a, b in zip(one, other, strict=True)) < _SAME_MM


def _clean(values: Floats) -> Point:
    """Coordinates as a person would write them, without the crumbs of rounding."""
    x, y, z = (round(value, 9) + 0.0 for value in values.tolist())
    return (x, y, z)
