"""What a drawing says of itself: whose it is, which one, and how true the part must be."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, fields
from itertools import pairwise
from typing import Literal

from geometry.errors import OutOfRange
from geometry.path import Point
from geometry.said import said

ToleranceClass = Literal["A", "B", "C", "D"]
TOLERANCE_CLASSES: tuple[ToleranceClass, ...] = ("A", "B", "C", "D")
Projection = Literal["first", "third"]
PROJECTIONS: tuple[Projection, ...] = ("first", "third")

LEAST_LENGTH_MM = 2.0
"""Lengths under this have no tolerance in ISO 13920."""

# From 8000 mm on, from memory.
_LENGTHS = (30.0, 120.0, 400.0, 1000.0, 2000.0, 4000.0, 8000.0, 12000.0, 16000.0, 20000.0, 1e9)
_LINEAR: dict[ToleranceClass, tuple[float, ...]] = {
    "A": (1, 1, 1, 2, 3, 4, 5, 6, 7, 8, 9),
    "B": (1, 2, 2, 3, 4, 6, 8, 10, 12, 14, 16),
    "C": (1, 3, 4, 6, 8, 11, 14, 18, 21, 24, 27),
    "D": (1, 4, 7, 9, 12, 16, 21, 27, 32, 36, 40),
}
_LEGS = (400.0, 1000.0)
_ANGULAR_MINUTES: dict[ToleranceClass, tuple[float, float, float]] = {
    "A": (20, 15, 10),
    "B": (45, 30, 20),
    "C": (60, 45, 30),
    "D": (90, 75, 60),
}


def length_tolerance(chosen: ToleranceClass, length: float) -> float:
    """Most that a length may be off, either way, mm: ISO 13920, table 1.

    Args:
        chosen: the class.
        length: nominal, mm.
    """
    return float(_LINEAR[chosen][bisect_left(_LENGTHS, length)])


def length_steps(chosen: ToleranceClass, lengths: Sequence[float]) -> list[tuple[float, float]]:
    """Up to which lengths, mm, how much is allowed either way, mm, for all of some: ISO 13920, table 1.

    Steps that allow as much are one; the last reaches to infinity where a length is beyond the table.
    """
    return _steps(_LENGTHS, [float(one) for one in _LINEAR[chosen]], lengths)


def angle_steps(chosen: ToleranceClass, legs: Sequence[float]) -> list[tuple[float, float]]:
    """The same for angles: up to which legs, mm, how many degrees: ISO 13920, table 2."""
    minutes = _ANGULAR_MINUTES[chosen]
    return _steps((*_LEGS, math.inf), [one / 60.0 for one in minutes], legs)


def _steps(
    ends: Sequence[float], allowed: Sequence[float], sizes: Sequence[float]
) -> list[tuple[float, float]]:
    """The steps of a table that some sizes need, from the first to the last of them."""
    needed = [bisect_left(ends, size) for size in sizes if size >= LEAST_LENGTH_MM] or [0]
    found: dict[float, float] = {}
    for number in range(min(needed), max(needed) + 1):
        found[allowed[number]] = ends[number] if ends[number] < 1e9 else math.inf
    return [(most, by) for by, most in found.items()]


def angle_tolerance(chosen: ToleranceClass, leg: float) -> float:
    """Most that an angle may be off, either way, degrees: ISO 13920, table 2.

    Args:
        chosen: the class.
        leg: the shorter one of the angle's two, mm.
    """
    return _ANGULAR_MINUTES[chosen][bisect_left(_LEGS, leg)] / 60.0


def bend_tolerances(chosen: ToleranceClass, vertices: Sequence[Point]) -> list[float]:
    """Most that each bend's angle may be off, degrees: by the shorter of its two legs, to the points where they cross."""
    legs = [math.dist(one, other) for one, other in pairwise(vertices)]
    return [angle_tolerance(chosen, min(pair)) for pair in pairwise(legs)]


@dataclass(frozen=True)
class TitleFacts:
    """What stands in every drawing's title block (ISO 7200).

    Attributes:
        owner: whose drawing it is; "" is left to be filled in by hand, as are the others.
        number: of the job; each drawing adds its own part.
        revision: index, such as "A".
        date: of issue, as written, such as 2026-05-01.
        drawn_by: who made it.
        approved_by: who answers for it.
        projection: "first" or "third" angle.
        tolerance: ISO 13920 class.
    """

    owner: str = ""
    number: str = ""
    revision: str = ""
    date: str = ""
    drawn_by: str = ""
    approved_by: str = ""
    projection: Projection = "first"
    tolerance: ToleranceClass = "B"

    def __post_init__(self) -> None:
        """Refuse what the block has no room for."""
        for name, most in _ROOM.items():
            words = getattr(self, name)
            if len(words) > most or not words.isprintable():
                text = said(
                    "drawing, {name} is {words}, {count} letters; allowed are up to {most}, all of them printable",
                    name=name, words=repr(words[:60]), count=len(words), most=most,
                )  # fmt: skip
                raise OutOfRange(text)
        for name, word, allowed in (
            ("projection", self.projection, PROJECTIONS),
            ("tolerance", self.tolerance, TOLERANCE_CLASSES),
        ):
            if word not in allowed:
                text = said(
                    "drawing, {name} is {word}; allowed are {allowed}",
                    name=name, word=repr(word), allowed=", ".join(allowed),
                )  # fmt: skip
                raise OutOfRange(text)


_ROOM = {"owner": 40, "number": 10, "revision": 2, "date": 16, "drawn_by": 20, "approved_by": 20}
"""Letters: the lengths of ISO 7200's fields; of the number six are kept for the part's own."""

BLANK_TITLE = TitleFacts()
TITLE_FIELDS = tuple(field.name for field in fields(TitleFacts))
