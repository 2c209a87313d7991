"""Where a point of a frame is: at coordinates, or hung on something that was measured from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from geometry.errors import BadFrame, check_range
from geometry.path import Point
from geometry.said import said
from geometry.tolerances import MAX_COORDINATE_MM


@dataclass(frozen=True)
class At:
    """A point at its coordinates: x forward, y to the left, z up, mm."""

    x: float
    y: float
    z: float

    def __post_init__(self) -> None:
        """Refuse what is nowhere in a frame."""
        for name, value in (("x", self.x), ("y", self.y), ("z", self.z)):
            check_range(name, value, -MAX_COORDINATE_MM, MAX_COORDINATE_MM)


@dataclass(frozen=True)
class OffsetFrom:
    """A point so far from another, mm each way."""

    base: str
    offset: Point

    def __post_init__(self) -> None:
        """Refuse what is nowhere in a frame."""
        for name, value in zip("xyz", self.offset, strict=True):
            check_range(
                said("offset {axis}", axis=name), value, -MAX_COORDINATE_MM, MAX_COORDINATE_MM
            )


@dataclass(frozen=True)
class Swung:
    """A point at a distance and an angle from another, in side view.

    Attributes:
        base: the other point.
        distance: mm.
        angle_deg: from straight ahead (x), upwards positive, as seen with the front to the right.
    """

    base: str
    distance: float
    angle_deg: float

    def __post_init__(self) -> None:
        """Refuse what is nowhere in a frame."""
        check_range(said("distance"), self.distance, 0.0, MAX_COORDINATE_MM)
        check_range(said("angle"), self.angle_deg, -360.0, 360.0, unit="°")


@dataclass(frozen=True)
class Along:
    """A point on a tube's centreline.

    Attributes:
        tube: the tube, as it is entered (of a handed one, the hand that is entered).
        share: from 0 at its start to 1 at its finish, along the centreline; None if ``distance`` is given.
        distance: from its start, mm along the centreline; negative ones from its finish.
    """

    tube: str
    share: float | None = None
    distance: float | None = None

    def __post_init__(self) -> None:
        """One of the two."""
        if (self.share is None) == (self.distance is None):
            text = said(
                "a point on {tube} has a share or a distance, one of the two", tube=repr(self.tube)
            )
            raise BadFrame(text)
        if self.share is not None:
            check_range(said("share"), self.share, 0.0, 1.0, unit=said("of the tube"))
        if self.distance is not None:
            check_range(said("distance"), self.distance, -MAX_COORDINATE_MM, MAX_COORDINATE_MM)


@dataclass(frozen=True)
class MirrorOf:
    """The mirror image of another point: its y the other way."""

    base: str


Place: TypeAlias = At | OffsetFrom | Swung | Along | MirrorOf
