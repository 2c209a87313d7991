"""A whole frame from the side, from above and from the front, at one scale, its tubes numbered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from geometry.arrays import Floats
from geometry.end_cut import EndCut, height_at
from geometry.fitup import FittedPart
from geometry.parts import Part, PartEnd
from geometry.path import Arc as BendArc
from geometry.section import RoundTube
from geometry.vectors import cross, length
from templates_out.bend_picture import SCALES
from templates_out.bend_view import END_ON, FROM_ABOVE, FROM_FRONT, FROM_RIGHT, View, xy
from templates_out.clip import extents_box, strokes_of
from templates_out.drawing import (
    NARROW_MM,
    SMALL_MM,
    XY,
    Arc,
    Drawing,
    Item,
    Line,
    Pen,
    Polyline,
    Text,
)
from templates_out.fonts import text_width
from templates_out.space_view import bend_in_view, merged_lines
from templates_out.tile_plan import stroke_points

_THIN = Pen("OUTLINE", NARROW_MM)
_GAP_MM = 8.0
_CELL_MM = 0.7
_RING = 48
_OUTSIDE = 1.0 + 1e-9
"""Rounding may have put a place a hair inside the outline."""
_EDGE_MM = 0.05
"""An end's edge, and a bend, are drawn so near to where they are."""
_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9)
"""Where along a tube its number may stand."""
_AWAY_MM = (2.4, 5.0, 8.0, 11.0, 14.0)
"""How far beside it."""
_ROUND_MM = 18.0
"""Room that is looked at round a view."""
_WORD = 100.0
"""A cell of a word is worth so many of lines: figures on figures cannot be read."""
_BESIDE_MM, _NEXT_TO_A_WORD = 1.6, 3.0
"""Two figures side by side would be read as one number."""
_TITLES = {
    FROM_RIGHT.name: "from the right",
    FROM_ABOVE.name: "from above",
    FROM_FRONT.name: "from the front",
}


@dataclass(frozen=True, eq=False)
class FramePicture:
    """The views of a frame.

    Attributes:
        scale: 1 to this.
        drawing: upper left corner at the origin.
        height: mm.
        crowded: some of the numbers stand on each other.
    """

    scale: int
    drawing: Drawing
    height: float
    crowded: bool


def frame_picture(
    parts: Sequence[FittedPart], numbers: dict[str, int], width: float, height: float
) -> FramePicture:
    """Three views in first angle, at the largest standard scale that fits.

    Args:
        parts: at least one.
        numbers: of the tubes, by name.
        width: of the space, mm.
        height: of the space, mm.
    """
    views = [
        (view, Drawing(tuple(merged_lines([i for one in parts for i in _outline(one, view)]))))
        for view in (FROM_RIGHT, FROM_ABOVE, FROM_FRONT)
    ]
    boxes = [extents_box(bare) for _, bare in views]
    wide = boxes[0].width + boxes[2].width
    high = max(boxes[0].height, boxes[2].height) + boxes[1].height
    room_wide, room_high = width - 3 * _GAP_MM, height - 5 * _GAP_MM
    scale = next(
        (s for s in SCALES if wide / s <= room_wide and high / s <= room_high),
        int(np.ceil(max(wide / room_wide, high / room_high))),
    )
    (side, above, front), crowded = zip(
        *(_labelled(bare.scaled(1 / scale), view, parts, numbers, scale) for view, bare in views),
        strict=True,
    )
    side_box, above_box, front_box = (extents_box(view) for view in (side, above, front))
    left = front_box.width + _GAP_MM
    items = list(side.placed(left - side_box.left, -side_box.top).items)
    items += front.placed(-front_box.left, -side_box.top).items
    foot = -max(side_box.height, front_box.height) - _GAP_MM / 2
    items += above.placed(left - side_box.left, foot - above_box.top).items
    drawing = Drawing(tuple(items))
    box = extents_box(drawing)
    centred = drawing.placed((width - box.width) / 2 - box.left, -box.top)
    return FramePicture(scale, centred, box.height + 2.0, any(crowded))


def part_outline(one: FittedPart, view: View) -> Drawing:
    """A part as it is seen, at true size: its silhouettes, and the edges of its ends as they are cut."""
    return Drawing(tuple(_outline(one, view)))


def _outline(one: FittedPart, view: View) -> list[Item]:
    """A part as it is seen, at true size: its silhouettes, and the edges of its ends as they are cut."""
    section = one.part.section
    if isinstance(section, RoundTube):
        return _round_outline(one, view, section.radius)
    return [*_corner_lines(one, view), *_edges(one, view)]


def _corner_lines(one: FittedPart, view: View) -> list[Item]:
    """The middles of a box section's corners, from cut to cut."""
    outline = one.part.outline
    places = np.array(outline.corners).reshape(-1, 2).mean(axis=1)
    feet = one.part.ends[0].spread(outline.at(places)) - one.part.ends[0].point
    starts, ends = (
        view.flat(end.point + feet + _stops(one, which, feet)) for which, end in enumerate(one.part.ends)
    )  # fmt: skip
    return [Line(xy(start), xy(end), _THIN) for start, end in zip(starts, ends, strict=True)]


def _edges(one: FittedPart, view: View) -> list[Item]:
    """Both ends' edges, as they are cut."""
    return [
        Polyline(_simplified(view.flat(_edge(cut, end))), True, _THIN)
        for cut, end in zip(one.cuts, one.part.ends, strict=True)
    ]


def _simplified(points: Floats) -> Floats:
    line = shapely.simplify(shapely.linestrings(points), _EDGE_MM, preserve_topology=False)
    return np.asarray(shapely.get_coordinates(line))


def _round_outline(one: FittedPart, view: View, radius: float) -> list[Item]:
    """Silhouettes stand beside the centreline, where the outside turns away from the viewer; each ends at the cut."""
    part = one.part
    items: list[Item] = []
    number, last = 0, len(part.path.directions) - 1
    for segment in part.path.segments:
        if isinstance(segment, BendArc):
            silhouettes = ((radius, _THIN), (-radius, _THIN))
            items += bend_in_view(segment, view, silhouettes, chord=_EDGE_MM)
            continue
        aside = cross(view.sight, part.path.directions[number])
        size = length(aside)
        if size < END_ON:
            items.append(Arc(xy(view.flat(segment.start[None])[0]), radius, 0, 360, _THIN))
            number += 1
            continue
        sides = np.array((aside, -aside)) * (radius / size)
        starts, ends = segment.start + sides, segment.end + sides
        if number == 0:
            starts += _stops(one, 0, sides)
        if number == last:
            ends += _stops(one, 1, sides)
        items += [
            Line(xy(start), xy(end), _THIN)
            for start, end in zip(view.flat(starts), view.flat(ends), strict=True)
        ]
        number += 1
    return merged_lines([*items, *_edges(one, view)])


def _stops(one: FittedPart, which: int, sides: Floats) -> Floats:
    """From an end's plane to where the lines along a part stop (n, 3) that lie to sides of its middle (n, 3), mm."""
    end, cut = one.part.ends[which], one.cuts[which]
    if cut is None:
        return np.zeros((1, 3))
    places = one.part.outline.place(sides @ end.across.T * _OUTSIDE)
    return np.asarray((cut.shift + height_at(cut, places))[:, None] * end.axis)


def _edge(cut: EndCut | None, end: PartEnd) -> Floats:
    """The outside's edge (n, 3) of an end as it is cut; square where it is not."""
    if cut is not None:
        return cut.points()
    outline = end.part.outline
    places = np.arange(_RING, dtype=np.float64) * (outline.girth / _RING)
    return end.spread(outline.at(places))


def _labelled(
    seen: Drawing, view: View, parts: Sequence[FittedPart], numbers: dict[str, int], scale: int
) -> tuple[Drawing, bool]:
    """The view with the number of each tube beside it, where there is most room, and its title below.

    And whether some of the numbers stand on each other.
    """
    places = _Places(seen)
    items: list[Item] = [*seen.items]
    done: set[str] = set()
    both = view is FROM_RIGHT
    for one in parts:
        word = str(numbers[one.part.tube.name])
        word += "" if both else one.part.hand[:1].upper()
        if word in done:
            continue
        done.add(word)
        items += places.label(word, _candidates(one.part, view, scale))
    box = extents_box(Drawing(tuple(items)))
    middle = (box.left + box.right) / 2
    title = _TITLES[view.name]
    items.append(Text((middle, box.bottom - 4.5), title, SMALL_MM, "centre"))
    return Drawing(tuple(items)), places.crowded


def _candidates(part: Part, view: View, scale: int) -> list[tuple[Floats, Floats]]:
    """Places along a part as the view shows it, and the way out from each, (2,) each."""
    found = []
    out = part.reach / scale
    for start, end in zip(part.path.vertices[:-1], part.path.vertices[1:], strict=True):
        flat = view.flat(np.array([start, end])) / scale
        way = flat[1] - flat[0]
        size = float(np.hypot(*way))
        aside = np.array([-way[1], way[0]]) / size if size > 1e-6 else np.array([0.0, 1.0])
        for share in _SHARES:
            at = flat[0] + share * way
            found += [(at + aside * out, aside), (at - aside * out, -aside)]
    return found


class _Places:
    """Which cells of a view are drawn on, to find room for words.

    Attributes:
        crowded: there was no room for some word but on another.
    """

    def __init__(self, seen: Drawing) -> None:
        box = extents_box(seen)
        self._left, self._bottom = box.left - _ROUND_MM, box.bottom - _ROUND_MM
        shape = (
            int((box.height + 2 * _ROUND_MM) / _CELL_MM) + 2,
            int((box.width + 2 * _ROUND_MM) / _CELL_MM) + 2,
        )
        self._taken = np.zeros(shape)
        self.crowded = False
        points = stroke_points([stroke.points for stroke in strokes_of(seen)], _CELL_MM / 2)
        rows = ((points[:, 1] - self._bottom) / _CELL_MM).astype(int)
        columns = ((points[:, 0] - self._left) / _CELL_MM).astype(int)
        self._taken[rows, columns] = 1.0
        self._sum_up()

    def _sum_up(self) -> None:
        """A table of sums: what a rectangle covers is four of its entries."""
        sums = np.zeros((self._taken.shape[0] + 1, self._taken.shape[1] + 1))
        sums[1:, 1:] = self._taken.cumsum(axis=0).cumsum(axis=1)
        self._sums = sums

    def _span(self, low: float, high: float, origin: float, count: int) -> tuple[int, int]:
        first = min(max(int((low - origin) / _CELL_MM), 0), count - 1)
        return first, min(max(int((high - origin) / _CELL_MM), first), count - 1) + 1

    def _cells(self, x: float, y: float, half: float) -> tuple[int, int, int, int]:
        """Rows and columns that a word ``2 half`` wide covers about its middle."""
        rows, columns = self._taken.shape
        return (
            *self._span(y - 0.8 * SMALL_MM, y + 0.6 * SMALL_MM, self._bottom, rows),
            *self._span(x - half, x + half, self._left, columns),
        )

    def label(self, word: str, candidates: list[tuple[Floats, Floats]]) -> list[Item]:
        """The word with a short line to the part, where it covers least."""
        half, sums = text_width(word, SMALL_MM) / 2, self._sums
        best: tuple[float, float, float, XY, XY] | None = None
        for number, (at, aside) in enumerate(candidates):
            (at_x, at_y), (out_x, out_y) = at.tolist(), aside.tolist()
            for away in _AWAY_MM:
                x, y = at_x + out_x * (away + 1.0), at_y + out_y * (away + 1.0)
                row0, row1, column0, column1 = self._cells(x, y, half)
                covered = float(
                    sums[row1, column1]
                    - sums[row0, column1]
                    - sums[row1, column0]
                    + sums[row0, column0]
                )
                cost = covered + 0.02 * number + 0.15 * away
                if best is None or cost < best[0]:
                    end = at_x + out_x * (away - 0.8), at_y + out_y * (away - 0.8)
                    best = cost, x, y, (at_x, at_y), end
        assert best is not None  # noqa: S101 - there are candidates
        cost, x, y, start, end = best
        self.crowded |= cost >= _WORD
        for wide, much in ((half + _BESIDE_MM, _NEXT_TO_A_WORD), (half, _WORD)):
            row0, row1, column0, column1 = self._cells(x, y, wide)
            self._taken[row0:row1, column0:column1] += much
        self._sum_up()
        return [Text((x, y - SMALL_MM / 2), word, SMALL_MM, "centre"), Line(start, end, _THIN)]
