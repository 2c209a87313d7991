"""A part as it was when it was marked as made: what it is compared with, whatever becomes of the frame after."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.errors import BadFrame, check_range
from geometry.joint import FITS, Fit
from geometry.said import said
from geometry.section import Section
from geometry.tolerances import MAX_COORDINATE_MM, MAX_SIZE_MM

LINE_PLACES = 36
"""At so many places, evenly round the section from its datum, is known how far an end's line is behind its long point."""

_LONGEST_MM = 10 * MAX_COORDINATE_MM


@dataclass(frozen=True)
class MadeEnd:
    """One end.

    Attributes:
        line: how far behind the long point the line is at ``LINE_PLACES`` places round, mm.
        fit: how its wall is cut, of a cope; None of any other.
    """

    line: tuple[float, ...]
    fit: Fit | None = None

    def __post_init__(self) -> None:
        """Refuse what is no line."""
        if len(self.line) != LINE_PLACES:
            text = said(
                "the line of a made end has {count} places; it needs {wanted}",
                count=len(self.line), wanted=LINE_PLACES,
            )  # fmt: skip
            raise BadFrame(text)
        what = said("depth of a made end's line")
        for depth in self.line:
            check_range(what, depth, 0.0, 2 * MAX_COORDINATE_MM)
        if self.fit is not None and self.fit not in FITS:
            text = said(
                "fit of a made end is {fit}; allowed are {allowed}",
                fit=repr(self.fit), allowed=", ".join(FITS),
            )  # fmt: skip
            raise BadFrame(text)


@dataclass(frozen=True)
class MadeBend:
    """One bend: the row of a bend table.

    Attributes:
        straight: before it, mm; before the first one from the start's long point.
        rotation_deg: from the plane of the one before it.
        angle_deg: how far it turns.
        clr: centreline radius, mm.
    """

    straight: float
    rotation_deg: float
    angle_deg: float
    clr: float

    def __post_init__(self) -> None:
        """Refuse what is no bend."""
        check_range(said("straight of a made part"), self.straight, -_LONGEST_MM, _LONGEST_MM)
        check_range(said("rotation of a made part"), self.rotation_deg, -360.0, 360.0, unit="°")
        check_range(said("bend angle of a made part"), self.angle_deg, 0.0, 180.0, unit="°")
        check_range(said("bend radius of a made part"), self.clr, 0.0, MAX_SIZE_MM)


@dataclass(frozen=True)
class Made:
    """The steel of one part.

    Attributes:
        section: of its tube.
        material: of its tube.
        length: as it was supplied, mm.
        ends: its start and its finish; None for one that could not be cut.
        bends: from its start; none of a straight part.
        last: of a bent part, the straight from its last bend to the finish's long point, mm.
    """

    section: Section
    material: str
    length: float
    ends: tuple[MadeEnd | None, MadeEnd | None]
    bends: tuple[MadeBend, ...] = ()
    last: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what no part measures."""
        check_range(said("length of a made part"), self.length, -_LONGEST_MM, _LONGEST_MM)
        check_range(said("last straight of a made part"), self.last, -_LONGEST_MM, _LONGEST_MM)
