"""Where a point that is dragged in a flat view comes to rest: on the grid, the centre-plane, another point's height."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from geometry.errors import check_range
from geometry.fitup import Fitted
from geometry.path import Point, Straight
from geometry.said import put_together, said
from geometry.tolerances import MAX_SIZE_MM


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
_SEEN_FROM_ITS_END_MM = 1e-3
_LEVEL_WITH = {
    "x": said("as far forward as"),
    "y": said("as far aside as"),
    "z": said("as high as"),
}


def snapped(
    at: Point,
    shown: str,
    others: Mapping[str, Point],
    within: float,
    grid: float = 1.0,
    lines: Mapping[str, Sequence[tuple[Point, Point]]] = MappingProxyType({}),
) -> Snap:
    """The place that a dragged point is meant for: a mark near it before the grid, axis by axis.

    A point that is level with nothing else comes to rest on a tube's centreline, as the view shows it.

    Args:
        at: where it is dragged, mm.
        shown: the two axes that the view shows, such as "xz"; along the third the point keeps its place.
        others: places that it may be level with, by name.
        within: how near it must come, mm.
        grid: step of the grid, mm; 0 for none.
        lines: straights of centrelines, by the tube's name.
    """
    check_range(said("grid"), grid, 0.0, MAX_SIZE_MM)
    found, words = list(at), list[str]()
    for axis in shown:
        number = _AXES.index(axis)
        marks = {name: place[number] for name, place in others.items()}
        # The centre-plane is looked for first: what is a hair beside it is never meant.
        if axis == "y" and abs(at[number]) <= within:
            found[number] = 0.0
            words.append(said("on the centre-plane"))
            continue
        near = min(marks, key=lambda name: abs(marks[name] - at[number]), default=None)
        if near is not None and abs(marks[near] - at[number]) <= within:
            found[number] = marks[near]
            words.append(put_together(" ", (_LEVEL_WITH[axis], near)))
        elif grid > 0:
            found[number] = round(at[number] / grid) * grid + 0.0
    if not words:
        tube, foot = _nearest_line(at, shown, lines, within)
        if tube:
            words.append(said("along {tube}", tube=tube))
            for axis, value in zip(shown, foot, strict=True):
                found[_AXES.index(axis)] = value
    x, y, z = found
    return Snap((x, y, z), put_together(", ", words))


def _nearest_line(
    at: Point, shown: str, lines: Mapping[str, Sequence[tuple[Point, Point]]], within: float
) -> tuple[str, tuple[float, ...]]:
    """The tube whose centreline is nearest in the view, no farther than ``within``, and the foot on it; "" for none."""
    axes = [_AXES.index(axis) for axis in shown]
    place = np.array(at)[axes]
    best, nearest, foot = within, "", place
    for tube, straights in lines.items():
        for start, end in np.array(straights)[..., axes] if straights else ():
            way = end - start
            size = float(way @ way)
            if size < _SEEN_FROM_ITS_END_MM**2:
                continue
            share = min(max(float((place - start) @ way) / size, 0.0), 1.0)
            near = start + share * way
            away = float(np.hypot(*(place - near)))
            if away <= best:
                best, nearest, foot = away, tube, near
    return nearest, tuple(foot.tolist())


def straights(fitted: Fitted) -> dict[str, list[tuple[Point, Point]]]:
    """The straights of each part's centreline, for a point to come to rest on."""
    return {
        one.part.name: [
            (_point(segment.start.tolist()), _point(segment.end.tolist()))
            for segment in one.part.path.segments
            if isinstance(segment, Straight)
        ]
        for one in fitted.parts
    }


def _point(at: Sequence[float]) -> Point:
    x, y, z = at
    return (x, y, z)
