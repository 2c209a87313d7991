"""The parts that a frame's tubes are: both hands of a handed one, each with its centreline in space."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TypeAlias

import numpy as np

from geometry.arrays import Floats, Ints
from geometry.as_bent import Returned, returned
from geometry.bend import end_frames
from geometry.bend_piece import BendPiece
from geometry.errors import BadPath, CopewrightError
from geometry.findings import Finding
from geometry.frame import END_NAMES, End, Frame, Stock, Tube
from geometry.lengths import mm
from geometry.names import part_name
from geometry.outline import Outline, outline_of
from geometry.path import Arc, Path, Point
from geometry.pieces import BoxPiece, Piece, RoundPiece
from geometry.places import Places, entered_hand, forget_paths, mirrored
from geometry.said import said
from geometry.section import RoundTube, Section
from geometry.tolerances import CENTRE_PLANE_MM
from geometry.vectors import cross, length

PlaneAt: TypeAlias = tuple[Point, Point]
"""A point of a plane, mm, and its unit normal."""

KEPT = 16384
"""How many parts, and how many ends, are kept for an edit that does not touch them."""

_LOOK_MM = 200.0
MIRROR = np.array([1.0, -1.0, 1.0])
"""What a place or a way (3,) is multiplied by to be seen in the centre-plane's mirror."""
_UPRIGHT = 1 - 1e-9


@dataclass(frozen=True, eq=False)
class Part:
    """One piece of steel of the frame.

    Attributes:
        name: the tube's, with its hand.
        tube: as entered.
        hand: "left", "right", or "" for a tube that is not handed.
        path: its centreline.
        stock: what it is made of.
        up: of a box section, unit vector (3,) along its height; (0, 0, 0) of a round tube.
        planes: for each end that is cut at a plane, a point of it and its unit normal.
        came: as it came from the bender, where it is built in so; the path is then the real one.
    """

    name: str
    tube: Tube
    hand: str
    path: Path
    stock: Stock
    up: Floats
    planes: tuple[PlaneAt | None, PlaneAt | None] = (None, None)
    came: Returned | None = None

    @property
    def section(self) -> Section:
        """Its section."""
        return self.stock.section

    @cached_property
    def outline(self) -> Outline:
        """The outside of its section."""
        return outline_of(self.section)

    @cached_property
    def reach(self) -> float:
        """Greatest distance of the section's outside from its middle, mm."""
        section = self.section
        if isinstance(section, RoundTube):
            return section.radius
        return math.hypot(section.width, section.height) / 2

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """The solid, piece by piece, from start to finish; ``extra`` at a square end counts.

        A straight between two bends has its own piece even where it is short; a straight of no length is
        left out, but for the ends.
        """
        extras = [end.extra if end.cut == "square" else 0.0 for end in self.tube.ends]
        section, pieces = self.section, list[Piece]()
        last = len(self.path.segments) - 1
        for index, segment in enumerate(self.path.segments):
            if isinstance(segment, Arc):
                assert isinstance(section, RoundTube)  # noqa: S101 - boxes are not bent here
                pieces.append(BendPiece(segment, section.radius))
                continue
            start, end = segment.start, segment.end
            if index == 0:
                start = start - extras[0] * self.path.directions[0]
            if index == last:
                end = end + extras[1] * self.path.directions[-1]
            if length(end - start) < 1e-9 and last:
                continue
            if isinstance(section, RoundTube):
                pieces.append(RoundPiece(start, end, section.radius))
            else:
                pieces.append(
                    BoxPiece(
                        start, end, self.up, section.width, section.height, section.corner_radius
                    )
                )
        return tuple(pieces)

    @cached_property
    def hull(self) -> tuple[Floats, Floats, Floats, Ints]:
        """Straight lines' neighbourhoods round the pieces, in their order.

        Both ends (k, 3) of each line, how far out (k,), and the number (pieces,) of each piece's first one.
        """
        first = self.pieces[0]
        if len(self.pieces) == 1 and isinstance(first, RoundPiece):
            only = np.zeros(1, dtype=np.int64)
            return first.start[None], first.end[None], np.array([first.radius]), only
        capsules = [piece.capsules() for piece in self.pieces]
        starts, ends, reaches = zip(*(one for some in capsules for one in some), strict=True)
        firsts = np.cumsum([0, *(len(some) for some in capsules[:-1])])
        return np.array(starts), np.array(ends), np.array(reaches), firsts

    @cached_property
    def bounds(self) -> tuple[Floats, Floats]:
        """Lowest and highest corners (k, 3) of the boxes round its pieces."""
        low, high = zip(*(piece.bounds() for piece in self.pieces), strict=True)
        return np.array(low), np.array(high)

    @cached_property
    def ends(self) -> tuple[PartEnd, PartEnd]:
        """At its start and at its finish."""
        frames = end_frames(self.path)
        straights = (self.path.straights[0], self.path.straights[-1])
        made = []
        for frame, name, end, straight, plane in zip(
            frames, END_NAMES, self.tube.ends, straights, self.planes, strict=True
        ):
            datum = frame.datum if isinstance(self.section, RoundTube) else self.up
            made.append(PartEnd(self, name, end, frame.origin, frame.axis, datum, straight, plane))
        return made[0], made[1]


@dataclass(frozen=True, eq=False)
class PartEnd:
    """One end of a part, before it is cut.

    Attributes:
        part: whose it is.
        name: "start" or "finish".
        end: what is asked for.
        point: end of the centreline (3,), mm.
        axis: unit vector (3,) out of the tube.
        datum: unit vector (3,) square to it: a straight tube's faces up, or forward if it stands upright;
            a bent one's the outside of the nearest bend; a box's along its height.
        straight: length of the straight that ends here, mm.
        plane: what it is cut at: a point and the unit normal.
    """

    part: Part
    name: str
    end: End
    point: Floats
    axis: Floats
    datum: Floats
    straight: float
    plane: PlaneAt | None = None

    @property
    def behind(self) -> float:
        """How far behind its point the end looks for what it sits on, mm.

        Along its straight; into its own bend too, so that a cut that would run into it is seen.
        """
        return self.straight + (4 * self.part.reach if self.part.path.radii else 0.0)

    @cached_property
    def drawn(self) -> Floats:
        """Where its point is drawn (3,), mm: for a tube as it was bent, not where it is."""
        came = self.part.came
        if came is None:
            return self.point
        return np.array(came.nominal.vertices[0 if self.name == "start" else -1])

    @property
    def front(self) -> float:
        """How far behind its point something must be met to be what the end sits on, mm.

        A straight tube's other half is its other end's, and what crosses it far from its end is no target.
        """
        if self.part.path.radii:
            return self.straight + self.part.reach
        return min(self.straight / 2, 4 * self.part.reach + _LOOK_MM)

    @property
    def where(self) -> str:
        """For findings."""
        return f"{self.part.name}, {self.name}"

    @cached_property
    def third(self) -> Floats:
        """Square to axis and datum: where degrees go first."""
        return cross(self.axis, self.datum)

    def spread(self, flat: Floats) -> Floats:
        """Places (n, 2) of the section's outline as points (n, 3) in the plane of the end's point."""
        return np.asarray(flat @ self.across + self.point)

    @cached_property
    def across(self) -> Floats:
        """Datum and third (2, 3), which the section lies in."""
        return np.array((self.datum, self.third))


def parts_of(frame: Frame) -> tuple[tuple[Part, ...], tuple[Finding, ...]]:
    """Every part that can be made, in fit-up order, and what keeps the others from it."""
    places = Places(frame)
    parts: list[Part] = []
    findings: list[Finding] = []
    for tube in frame.tubes:
        try:
            parts += _made_of(tube, frame, places)
            path = places.path(tube)
        except CopewrightError as error:
            findings.append(
                Finding(
                    "cannot-be-made", "error", tube.name, f"{str(error)[:1].upper()}{str(error)[1:]}.",
                    "Change it; until then the tube is left out.",
                )
            )  # fmt: skip
            continue
        if tube.handed and max(abs(y) for _, y, _ in path.vertices) < CENTRE_PLANE_MM:
            findings.append(
                Finding(
                    "handed-on-centre", "error", tube.name,
                    "It is a handed tube that lies on the centre-plane, so its two hands are in one place.",
                    "Move it aside, or make it one tube.",
                )
            )  # fmt: skip
    return tuple(parts), tuple(findings)


def check_made(frame: Frame, tube: Tube) -> None:
    """Refuse a tube that cannot be made in a frame.

    Raises:
        CopewrightError: saying why.
    """
    _made_of(tube, frame, Places(frame))


def _made_of(tube: Tube, frame: Frame, places: Places) -> tuple[Part, ...]:
    drawn = _drawn(tube, places)
    twin = drawn if places.twin is places else _drawn(tube, places.twin)
    return _hands(tube, frame.stock[tube.stock], drawn, twin)


Drawn: TypeAlias = tuple[Path, tuple[PlaneAt | None, PlaneAt | None]]
"""A tube's centreline, and the planes that its ends are cut at."""


def _drawn(tube: Tube, places: Places) -> Drawn:
    return places.path(tube), (_plane(tube.ends[0], places), _plane(tube.ends[1], places))


@lru_cache(maxsize=KEPT)
def _hands(tube: Tube, stock: Stock, drawn: Drawn, twin: Drawn) -> tuple[Part, ...]:
    """A tube's part, or both hands of it, the left one first.

    The same values give the same parts, so that what was worked out for them holds.

    Args:
        tube: as entered.
        stock: what it is made of.
        drawn: where it is.
        twin: where its other hand is, seen in a mirror.
    """
    path, planes = drawn
    up = np.zeros(3)
    if not isinstance(stock.section, RoundTube):
        if tube.radii:
            text = said(
                "tube {name} is of box section and has bends; bends of box section are not reckoned here",
                name=repr(tube.name),
            )  # fmt: skip
            raise CopewrightError(text)
        up = box_up(path.directions[0], tube.roll_deg)
    else:
        _check_radii(tube.name, path, stock.section)
    if not tube.handed:
        return (_made(tube, "", path, stock, up, planes),)
    entered = entered_hand(path)
    other = "right" if entered == "left" else "left"
    start, finish = (plane and (across(plane[0]), across(plane[1])) for plane in twin[1])
    hands = {
        entered: _made(tube, entered, path, stock, up, planes),
        other: _made(tube, other, mirrored(twin[0]), stock, up * MIRROR, (start, finish)),
    }
    return hands["left"], hands["right"]


def _made(
    tube: Tube,
    hand: str,
    path: Path,
    stock: Stock,
    up: Floats,
    planes: tuple[PlaneAt | None, PlaneAt | None],
) -> Part:
    """One hand, its centreline the real one where it is measured and to be used."""
    name = part_name(tube.name, hand)
    for measured in tube.as_bent:
        if measured.hand == hand and measured.use:
            try:
                came = returned(path, measured)
            except BadPath as error:
                text = said("tube {name}: {problem}", name=repr(name), problem=error.words)
                raise BadPath(text) from error
            _check_radii(name, came.path, stock.section)
            return Part(name, tube, hand, came.path, stock, up, planes, came)
    return Part(name, tube, hand, path, stock, up, planes)


def _check_radii(name: str, path: Path, section: Section) -> None:
    """Refuse bends whose inside would fold.

    Raises:
        BadPath: naming the bend.
    """
    assert isinstance(section, RoundTube)  # noqa: S101 - boxes are not bent here
    for number, radius in enumerate(path.radii, 1):
        if radius <= section.radius:
            text = said(
                "tube {name}, bend {number} has radius {radius}; allowed is more than half the tube's diameter, {half}",
                name=repr(name), number=number, radius=mm(radius, places=None), half=mm(section.radius, places=None),
            )  # fmt: skip
            raise BadPath(text)


def forget_parts() -> None:
    """Drop the parts that are kept."""
    _hands.cache_clear()
    forget_paths()


def across(point: Point) -> Point:
    """A place or a way seen in the centre-plane's mirror."""
    x, y, z = point
    return (x, 0.0 - y, z)


def _plane(end: End, places: Places) -> PlaneAt | None:
    if end.plane is None:
        return None
    through, (x, y, z) = end.plane.through, end.plane.normal
    size = math.sqrt(x * x + y * y + z * z)
    at = places.point(through) if isinstance(through, str) else through
    return at, (x / size, y / size, z / size)


def box_up(way: Floats, roll_deg: float) -> Floats:
    """Unit vector (3,) along a box section's height.

    Its height lies in the plane of its axis and z (of its axis and x, if it stands upright); the roll turns
    it about its axis from start to finish, right-handed.
    """
    hint = np.array([1.0, 0.0, 0.0]) if abs(way[2]) > _UPRIGHT else np.array([0.0, 0.0, 1.0])
    up = hint - np.dot(hint, way) * way
    up /= length(up)
    turn = math.radians(roll_deg)
    return np.asarray(math.cos(turn) * up + math.sin(turn) * cross(way, up))
