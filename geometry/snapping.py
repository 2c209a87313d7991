"""Where a point that is dragged in a flat view comes to rest: on the grid, the centre-plane, another point's height."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from geometry.errors import check_range
from geometry.path import Point
from geometry.tolerances import MAX_SIZE_MM
from geometry.units import format_mm


@dataclass(frozen=True)
class Snap:
    """Where a dragged point comes to rest.

    Attributes:
        at: mm.
        words: what holds it, as "on the centre-plane, as high as seat"; "" for nothing.
    """

    at: Point
    words: str


_AXES = ("x", "y", "z")
_LEVEL_WITH = {"x": "as far forward as", "y": "as far aside as", "z": "as high as"}


def snapped(
    at: Point, shown: str, others: Mapping[str, Point], within: float, grid: float = 1.0
) -> Snap:
    """The place that a dragged point is meant for, axis by axis: a mark near it before the grid.

    Args:
        at: where it is dragged, mm.
        shown: the two axes that the view shows, such as "xz"; along the third the point keeps its place.
        others: places that it may be level with, by name.
        within: how near it must come, mm.
        grid: step of the grid, mm; 0 for none.
    """
    check_range("grid", grid, 0.0, MAX_SIZE_MM)
    found, words = list(at), []
    for axis in shown:
        number = _AXES.index(axis)
        marks = {name: place[number] for name, place in others.items()}
        # The centre-plane is looked for first: what is a hair beside it is never meant.
        if axis == "y" and abs(at[number]) <= within:
            found[number] = 0.0
            words.append("on the centre-plane")
            continue
        near = min(marks, key=lambda name: abs(marks[name] - at[number]), default=None)
        if near is not None and abs(marks[near] - at[number]) <= within:
            found[number] = marks[near]
            words.append(f"{_LEVEL_WITH[axis]} {near}")
        elif grid > 0:
            found[number] = round(at[number] / grid) * grid + 0.0
    x, y, z = found
    return Snap((x, y, z), ", ".join(words))


def place_words(at: Point) -> str:
    """Coordinates as they are said while a point is dragged."""
    return ", ".join(f"{axis} {format_mm(value)}" for axis, value in zip(_AXES, at, strict=True))
