"""Sheets of paper, and the part of each that printers reach."""

from __future__ import annotations

from dataclasses import dataclass, replace

from geometry.errors import OutOfRange
from geometry.said import said

BAND_MM = 44.0
"""Height at the foot of a sheet for its bar, its facts and the caution."""

STRIP_MM = 9.0
"""Width at the right of a sheet for its upright bar."""

PEN_MM = 0.3
"""Drawings keep this far inside the live box, so that their strokes' edges do too."""

MAX_PAGE_MM = 5080.0
"""Longest page a PDF may have: 14400 points (ISO 32000-1, annex C)."""


@dataclass(frozen=True)
class Box:
    """A rectangle on a sheet, mm from its lower left corner."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """Width, mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Height, mm."""
        return self.top - self.bottom


@dataclass(frozen=True)
class Paper:
    """A sheet of paper.

    Attributes:
        name: as chosen on the command line.
        width: mm.
        height: mm.
        side: unprinted edge left and right, mm.
        end: unprinted edge at foot and head, mm.
    """

    name: str
    width: float
    height: float
    side: float = 10.0
    end: float = 10.0

    @property
    def live(self) -> Box:
        """What every printer reaches."""
        return Box(self.side, self.end, self.width - self.side, self.height - self.end)

    @property
    def window(self) -> Box:
        """What is free for the drawing, beside the bars and above the band of facts."""
        live = self.live
        return Box(
            live.left + PEN_MM,
            live.bottom + BAND_MM,
            live.right - STRIP_MM - PEN_MM,
            live.top - PEN_MM,
        )


# A4's width and Letter's height: 100 % on both. Sizes ISO 216 and ANSI/ASME Y14.1.
PAPERS = {
    paper.name: paper
    for paper in (
        Paper("dual", 210.0, 279.4, 10.0, 13.2),
        Paper("A4", 210.0, 297.0),
        Paper("Letter", 215.9, 279.4, 9.95, 10.2),
        Paper("A3", 297.0, 420.0),
        Paper("Tabloid", 279.4, 431.8),
        Paper("roll", 610.0, 420.0),
    )
}


def paper(name: str) -> Paper:
    """The sheet of that name, whatever its case.

    Raises:
        OutOfRange: for an unknown name; the text lists the known ones.
    """
    for known in PAPERS.values():
        if known.name.lower() == name.strip().lower():
            return known
    text = said(
        "paper {name} is not known; allowed are {allowed}",
        name=repr(name.strip()), allowed=", ".join(PAPERS),
    )  # fmt: skip
    raise OutOfRange(text)


def cut_to_length(roll: Paper, height: float) -> Paper:
    """A roll cut long enough for a drawing ``height`` mm high; other sheets stay as they are."""
    if roll.name != "roll":
        return roll
    needed = height + BAND_MM + 2 * roll.end
    return replace(roll, height=min(max(roll.height, needed), MAX_PAGE_MM))
