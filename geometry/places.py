"""Where a frame's points are: each in the way that it was set out, and tubes' paths through them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from geometry.as_bent import returned
from geometry.errors import BadFrame, BadPath, CopewrightError
from geometry.frame import Frame, Tube
from geometry.lengths import mm
from geometry.path import Path, Point, Straight
from geometry.place import Along, At, MirrorOf, OffsetFrom, Place, Swung
from geometry.said import said
from geometry.tolerances import CENTRE_PLANE_MM

_LONGEST_CHAIN = 200
"""Of points that hang on each other: more than any frame has, fewer than Python follows."""


class Places:
    """The points of a frame in space, worked out as they are asked for.

    A point may hang on others, and on tubes that run through others; a ring of them is an error that
    names it.

    Attributes:
        twin: the same for the hands that are not entered, seen in a mirror: what hangs on the other hand of a tube
            that came back otherwise than its twin is elsewhere. Without such, the places themselves.
    """

    def __init__(self, frame: Frame, twin: Places | None = None) -> None:
        self._frame = frame
        self._is_twin = twin is not None
        measured = any(one.use for tube in frame.tubes for one in tube.as_bent)
        self.twin: Places = twin or (Places(frame, self) if measured else self)
        self._points: dict[str, Point] = {}
        self._paths: dict[str, Path] = {}
        self._asked: list[str] = []

    def point(self, name: str) -> Point:
        """Coordinates of a point, mm.

        Raises:
            BadFrame: for points that hang on each other in a ring.
            BadPath: when a point is on a tube that cannot be bent.
        """
        if name not in self._points:
            if name in self._asked:
                ring = [*self._asked[self._asked.index(name) :], name]
                text = said(
                    "points hang on each other in a ring: {ring}; give one of them coordinates",
                    ring=_one_on_another(ring),
                )
                raise BadFrame(text)
            if len(self._asked) > _LONGEST_CHAIN:
                text = said(
                    "point {name} hangs on more than {most} others one behind the other; give one of them coordinates",
                    name=repr(self._asked[0]), most=_LONGEST_CHAIN,
                )  # fmt: skip
                raise BadFrame(text)
            self._asked.append(name)
            try:
                x, y, z = self._work_out(name, self._frame.points[name])
                # No negative zero: it would be told apart in print, but not by what is kept by value.
                self._points[name] = (x + 0.0, y + 0.0, z + 0.0)
            finally:
                self._asked.pop()
        return self._points[name]

    def _work_out(self, name: str, place: Place) -> Point:
        match place:
            case At(x, y, z):
                return (x, y, z)
            case OffsetFrom(base, (dx, dy, dz)):
                x, y, z = self.point(base)
                return (x + dx, y + dy, z + dz)
            case Swung(base, distance, angle):
                x, y, z = self.point(base)
                turn = math.radians(angle)
                return (x + distance * math.cos(turn), y, z + distance * math.sin(turn))
            case MirrorOf(base):
                x, y, z = self.twin.point(base)
                return (x, 0.0 - y, z)
            case Along(tube, share, distance):
                path = self.built(self._frame.tube(tube))
                length = path.developed_length
                if share is not None:
                    return point_along(path, share * length)
                assert distance is not None  # noqa: S101 - one of the two is given
                if abs(distance) > length:
                    text = said(
                        "point {name} is {distance} along tube {tube}, which is {length} long; allowed is up to its length, "
                        "negative from its finish",
                        name=repr(name), distance=mm(distance, places=None), tube=repr(tube), length=mm(length, fixed=True),
                    )  # fmt: skip
                    raise BadFrame(text)
                return point_along(path, distance if distance >= 0 else length + distance)

    def built(self, tube: Tube) -> Path:
        """The centreline as it is entered, or the real one where that is built in."""
        path = self.path(tube)
        hand = entered_hand(path) if tube.handed else ""
        other = tube.handed and self._is_twin
        for measured in tube.as_bent:
            if not measured.use or (measured.hand != hand) != other:
                continue
            try:
                if other:
                    return mirrored(returned(mirrored(path), measured).path)
                real = returned(path, measured).path
            except BadPath as error:
                text = said("tube {name}: {problem}", name=repr(tube.name), problem=error.words)
                raise BadPath(text) from error
            return _in_mirror(path, real) if self._is_twin else real
        return path

    def path(self, tube: Tube) -> Path:
        """The centreline of a tube, as it is entered and drawn.

        Raises:
            BadPath: when it cannot be bent; the text names the tube.
        """
        if tube.name not in self._paths:
            corners = tuple(self.point(name) for name in tube.path)
            try:
                self._paths[tube.name] = _centreline(corners, tube.radii)
            except BadPath as error:
                text = said("tube {name}: {problem}", name=repr(tube.name), problem=error.words)
                raise BadPath(text) from error
        return self._paths[tube.name]


def _one_on_another(names: Sequence[str]) -> str:
    """A chain of points in words; halved, so that the words of a long one are not nested deeply."""
    if len(names) == 1:
        return repr(names[0])
    half = len(names) // 2
    one, other = _one_on_another(names[:half]), _one_on_another(names[half:])
    return said("{one} on {other}", one=one, other=other)


def _in_mirror(drawn: Path, real: Path) -> Path:
    """What the other hands meet of a tube that is not handed, seen in the mirror: it is off to the other side.

    As drawn it is its own image: on the centre-plane, or across it, where its other half is run through from the
    finish. Where it is neither, the other hands meet nothing of it; it stays where it is.
    """
    if all(abs(y) < CENTRE_PLANE_MM for _, y, _ in drawn.vertices):
        return mirrored(real)
    image = [(x, -y, z) for x, y, z in reversed(drawn.vertices)]
    apart = (math.dist(one, other) for one, other in zip(image, drawn.vertices, strict=True))
    if drawn.radii[::-1] != drawn.radii or max(apart) >= CENTRE_PLANE_MM:
        return real
    seen = mirrored(real)
    return Path(seen.vertices[::-1], seen.radii[::-1])


def entered_hand(path: Path) -> str:
    """Which hand of a handed tube its centreline is: by its middle, or by its start where that is on the centre-plane."""
    middle = point_along(path, path.developed_length / 2)[1]
    side = middle if abs(middle) >= CENTRE_PLANE_MM else path.vertices[0][1]
    return "left" if side >= 0 else "right"


@lru_cache(maxsize=4096)
def mirrored(path: Path) -> Path:
    """The centreline of the opposite hand, y -> -y."""
    return Path(tuple((x, 0.0 - y, z) for x, y, z in path.vertices), path.radii)


@lru_cache(maxsize=4096)
def _centreline(corners: tuple[Point, ...], radii: tuple[float, ...]) -> Path:
    """A path; the same values give the same one, so that what was worked out for it holds."""
    return Path(corners, radii)


def forget_paths() -> None:
    """Drop the paths that are kept."""
    _centreline.cache_clear()
    point_along.cache_clear()
    mirrored.cache_clear()


@lru_cache(maxsize=4096)
def point_along(path: Path, distance: float) -> Point:
    """The point so far along a centreline from its start, mm; beyond its ends, its ends."""
    left = max(distance, 0.0)
    for segment in path.segments:
        if left <= segment.length:
            if isinstance(segment, Straight):
                share = left / segment.length if segment.length else 0.0
                at = segment.start + share * (segment.end - segment.start)
            else:
                at = segment.points(np.array([left / segment.radius]))[0]
            x, y, z = at.tolist()
            return (x, y, z)
        left -= segment.length
    return path.vertices[-1]


def known_places(frame: Frame) -> dict[str, Point]:
    """Where a frame's points are, mm, by name; those that are nowhere yet are left out."""
    places, found = Places(frame), {}
    for name in frame.points:
        try:
            found[name] = places.point(name)
        except CopewrightError:
            continue
    return found
