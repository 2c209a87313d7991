"""One joint on its own: a round tube's end on another round tube."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from geometry.errors import NoContact, OutOfRange, about, check_range
from geometry.lengths import mm
from geometry.said import listed, said
from geometry.section import RoundTube
from geometry.surface import Cylinder
from geometry.tolerances import MAX_SIZE_MM

Fit = Literal["filed", "square-cut"]
EASY_ANGLE_DEG = 10.0
"""From here to 90 degrees every size is cut; below, only what is not absurdly long."""

FITS: tuple[Fit, ...] = ("filed", "square-cut")


@dataclass(frozen=True)
class Joint:
    """What a person measures of one joint.

    Attributes:
        tube: the tube that is cut.
        target_od: outside diameter of the tube it sits on, mm.
        angle_deg: between the two centrelines, above 0 and up to 90.
        offset: how far the target's centreline passes beside the tube's, mm; positive towards
            phi = +90 degrees.
        fit: "filed" (dressed until it seats all through the wall) or "square-cut" (straight through
            the wall, not dressed).
        root_gap: gap to leave for the weld all round, mm; the target is grown by it.
        extra: length left on, mm.

    Raises:
        OutOfRange: for a size no joint can have.
        NoContact: if the end passes beside its target altogether.
    """

    tube: RoundTube
    target_od: float
    angle_deg: float
    offset: float = 0.0
    fit: Fit = "filed"
    root_gap: float = 0.0
    extra: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what cannot be cut."""
        check_range(said("target OD"), self.target_od, 1.0, MAX_SIZE_MM)
        if 90.0 < self.angle_deg < 180.0:
            text = said(
                "angle is {angle}°; allowed is above 0 up to 90°: give the smaller angle between the centrelines, {smaller}°",
                angle=f"{self.angle_deg:g}", smaller=f"{180 - self.angle_deg:g}",
            )  # fmt: skip
            raise OutOfRange(text)
        check_range(said("angle"), self.angle_deg, 0.0, 90.0, unit="°", above=True)
        check_range(said("offset"), self.offset, -MAX_SIZE_MM, MAX_SIZE_MM)
        check_range(said("root gap"), self.root_gap, 0.0, 20.0)
        check_range(said("extra length"), self.extra, 0.0, MAX_SIZE_MM)
        if self.fit not in FITS:
            text = said(
                "fit is {fit}; allowed are {allowed}", fit=repr(self.fit), allowed=listed(FITS)
            )
            raise OutOfRange(text)
        reach = (self.tube.od + self.target_od) / 2
        if abs(self.offset) >= reach:
            text = said(
                "the tube misses its target: offset is {offset}; allowed is less than {most}, half of both diameters, either "
                "way",
                offset=mm(self.offset, places=None), most=mm(reach, places=None),
            )  # fmt: skip
            raise about(NoContact(text), "offset")
        drop = self.tube.od / math.tan(math.radians(self.angle_deg))
        if drop > MAX_SIZE_MM and self.angle_deg < EASY_ANGLE_DEG:
            least = min(math.degrees(math.atan(self.tube.od / MAX_SIZE_MM)), EASY_ANGLE_DEG)
            text = said(
                "angle is {angle}°; this tube's cut would be {drop} long; allowed is from {least}° up to 90°",
                angle=f"{self.angle_deg:g}", drop=mm(drop, places=0), least=f"{least:.2f}",
            )  # fmt: skip
            raise about(OutOfRange(text), "angle")

    @property
    def surface(self) -> Cylinder:
        """The target as it really is."""
        return Cylinder(self.target_od / 2, math.radians(self.angle_deg), self.offset)

    @property
    def grown(self) -> Cylinder:
        """The target grown by the root gap: what the end is cut to."""
        return Cylinder(
            self.target_od / 2 + self.root_gap, math.radians(self.angle_deg), self.offset
        )
