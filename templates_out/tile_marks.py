"""What joins tiles: match marks, neighbours' names, maps, lengths to check when they are joined."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TypeAlias

import numpy as np

from geometry.lengths import format_mm
from templates_out.canvas import box_of
from templates_out.clip import clipped, inside, strokes_of
from templates_out.drawing import (
    FOLD,
    NOTES,
    OUTLINE,
    SMALL_MM,
    XY,
    Drawing,
    Item,
    Line,
    Polyline,
    Text,
)
from templates_out.fonts import text_width
from templates_out.paper import Box
from templates_out.room import Room, framed
from templates_out.tile_plan import TilePlan

Joint: TypeAlias = tuple[int, int, str]
"""Column and row of a tile, and which edge of it is joined: "right" or "lower"."""

MAP_WIDTH_MM = 34.0
LARGE_MAP_MM = 60
_CLEAR_MM = 5.0
_NAME_SHARES = (0.5, *(0.5 + side * step / 20 for step in range(1, 9) for side in (-1, 1)))
_CROSS_ROWS, _ROW_MM, _FIGURES_MM, _ARM_MM = 4, 3.7, 30.0, 4.0
_CHECK_LINE = "check line, no cut"
_BY_A_JOINT_MM = 40.0
"""So many mm of the drawing in its way are as bad for a check line as standing by a joint."""


def tile_name(column: int, row: int) -> str:
    """Column letter and row number of a tile counted from 0: A1, B1, … Z1, AA1."""
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return f"{letters}{row + 1}"


def cross_places(plan: TilePlan, drawing: Drawing) -> dict[Joint, tuple[float, float]]:
    """Where the two crosses of each joint stand along it, by its tile (column, row) and which of its edges it is.

    A quarter from either end, or near there where less of the drawing's strokes is in the way of their figures; both sheets
    have them at the same places.
    """
    used, places = set(plan.used), {}
    taken: list[Box] = []

    def in_the_way(box: Box) -> float:
        on_others = sum(_overlap(box, other) for other in taken)
        return _length(clipped(drawing, box)) + _FIGURES_MM * on_others

    for column, row in plan.used:
        region, half = plan.region(column, row), plan.overlap / 2
        for edge, beside in (("right", (column + 1, row)), ("lower", (column, row + 1))):
            if beside not in used:
                continue
            upright = edge == "right"
            low, size = (region.bottom, region.height) if upright else (region.left, region.width)
            across = region.right - half if upright else region.bottom + half

            def wanted(at: float, upright: bool = upright, across: float = across) -> list[Box]:
                """Each sheet has the figures on its own side of an upright joint; of a level one on either side of the cross."""
                x, y = (across, at) if upright else (at, across)
                sides = [_beside(x, y, side) for side in (-1, 1)]
                return sides if upright else [min(sides, key=in_the_way)]

            chosen = []
            for quarter in (0.25, 0.75):
                at = min(
                    (low + share * size for share in _around(quarter)),
                    key=lambda at: sum(map(in_the_way, wanted(at))),
                )
                taken += wanted(at)
                chosen.append(at)
            places[column, row, edge] = (chosen[0], chosen[1])
    return places


def _beside(x: float, y: float, side: int) -> Box:
    """Where a cross's figures stand on one side of it, the cross itself included."""
    near, far = sorted((x - side * _ARM_MM, x + side * _FIGURES_MM))
    return Box(near, y - _ROW_MM, far, y + _ROW_MM)


def _overlap(one: Box, other: Box) -> bool:
    return (
        one.left < other.right and other.left < one.right
        and one.bottom < other.top and other.bottom < one.top
    )  # fmt: skip


def _around(quarter: float) -> list[float]:
    """Shares of an edge, from a quarter of it on outwards and a little inwards: the farther apart, the truer two crosses lie."""
    outwards = -1 if quarter < 0.5 else 1
    steps = sorted(range(-6, 8), key=abs)
    return [quarter + outwards * step / 40 for step in steps]


def crosses_of(
    plan: TilePlan, tile: tuple[int, int], places: Mapping[Joint, tuple[float, float]]
) -> list[XY]:
    """Where a tile's crosses stand."""
    (column, row), region, half = tile, plan.region(*tile), plan.overlap / 2
    return [
        *((x, y) for x, joint in ((region.left + half, (column - 1, row, "right")), (region.right - half, (column, row, "right")))
          for y in places.get(joint, ())),
        *((x, y) for y, joint in ((region.top - half, (column, row - 1, "lower")), (region.bottom + half, (column, row, "lower")))
          for x in places.get(joint, ())),
    ]  # fmt: skip


def cross_lines(crosses: Sequence[XY]) -> Drawing:
    """Crosses to lay on each other."""
    return Drawing(
        tuple(
            line
            for x, y in crosses
            for line in (
                Line((x - _ARM_MM, y), (x + _ARM_MM, y), NOTES),
                Line((x, y - _ARM_MM), (x, y + _ARM_MM), NOTES),
            )
        )
    )


def figures_beside(cross: XY, region: Box) -> list[Text]:
    """Where a cross's figures may stand: beside it, and where that is not clear a little above or below it."""
    x, y = cross
    label = f"x {format_mm(x)} y {format_mm(y)}"
    heights = [y + 0.8, y - 0.8 - SMALL_MM]
    for row in range(1, _CROSS_ROWS):
        step = 0.8 + row * _ROW_MM
        heights += [y + step, y - step - SMALL_MM]
    right_of = [Text((x + 0.8, height), label, SMALL_MM) for height in heights]
    left_of = [Text((x - 0.8, height), label, SMALL_MM, "right") for height in heights]
    sides = (left_of, right_of) if x > (region.left + region.right) / 2 else (right_of, left_of)
    return [text for pair in zip(*sides, strict=True) for text in pair]


def match_marks(
    plan: TilePlan,
    column: int,
    row: int,
    part: Drawing,
    places: Mapping[Joint, tuple[float, float]],
) -> Drawing:
    """Joint lines in the middle of each overlap, two crosses on each, and the neighbours' names.

    The crosses stand at the same places of the drawing on both sheets (``places``), with its coordinates; their
    words keep clear of what the tile shows already (``part``), where there is room.
    """
    region, half = plan.region(column, row), plan.overlap / 2
    used = set(plan.used)
    crosses = crosses_of(plan, (column, row), places)
    lines: list[Line] = []
    words = [figures_beside(at, region) for at in crosses]
    for x, beside, word in (
        (region.left + half, column - 1, "under"),
        (region.right - half, column + 1, "trim here, lay on"),
    ):
        if (beside, row) in used:
            lines.append(Line((x, region.bottom), (x, region.top), FOLD))
            name = f"{word} {tile_name(beside, row)}"
            along = [region.bottom + share * region.height for share in _NAME_SHARES]
            words.append([Text((x - 1.0, y), name, SMALL_MM, "centre", 90.0) for y in along])
    for y, beside, word in (
        (region.top - half, row - 1, "under"),
        (region.bottom + half, row + 1, "trim here, lay on"),
    ):
        if (column, beside) in used:
            lines.append(Line((region.left, y), (region.right, y), FOLD))
            name = f"{word} {tile_name(column, beside)}"
            along = [region.left + share * region.width for share in _NAME_SHARES]
            words.append([Text((x, y + 1.0), name, SMALL_MM, "centre") for x in along])
    strokes = clipped(Drawing(tuple(lines)) + cross_lines(crosses), region)
    room = Room(part + strokes)
    placed = (room.best(inside(choice, region) for choice in choices) for choices in words)
    return strokes + Drawing(tuple(placed))


def _box(text: Text) -> Box:
    (left, bottom), (right, top) = box_of(text)
    return Box(left, bottom, right, top)


def check_lines(plan: TilePlan, drawing: Drawing) -> Drawing:
    """One level and one upright line across as many joined sheets as there are, in whole tens of mm.

    They run inside the tiles' windows, so that they take no sheet of their own, where the drawing is least in
    their way.
    """
    items: list[Item] = []
    drawing = framed(drawing)
    for run, upright in ((_longest_run(plan, 0), False), (_longest_run(plan, 1), True)):
        if len(run) < 2:
            continue
        boxes = [plan.region(*tile) for tile in run]
        low, high = (
            (min(box.bottom for box in boxes), max(box.top for box in boxes))
            if upright
            else (min(box.left for box in boxes), max(box.right for box in boxes))
        )
        length = math.floor((high - low - 16.0) / 10.0) * 10.0
        start = low + 8.0
        edge, width = (boxes[0].left, plan.width) if upright else (boxes[0].bottom, plan.height)
        there = drawing + framed(Drawing(tuple(items)))
        places = range(16, int(width) - 16, 8)
        shift = min(
            places,
            # Farther from the joints than their crosses' figures reach, where that is as good.
            key=lambda by: (
                _in_the_way(there, edge + by, (start, start + length), upright=upright)
                + _BY_A_JOINT_MM * (min(by, width - by) < _FIGURES_MM + plan.overlap)
            ),
        )
        aside = edge + shift

        def at(
            along: float,
            across: float,
            start: float = start,
            aside: float = aside,
            upright: bool = upright,
        ) -> XY:
            return (aside + across, start + along) if upright else (start + along, aside + across)

        items.append(Line(at(0, 0), at(length, 0), NOTES))
        for end in (0.0, length):
            items.append(Line(at(end, -2.5), at(end, 2.5), NOTES))
        words = f"{_CHECK_LINE}: {format_mm(length)} mm between its end ticks when joined"
        turn = 90.0 if upright else 0.0
        beside = -1.2 if upright else 1.2
        # The two begin in one corner: the upright one's words stand farther along.
        wide, first = text_width(words, SMALL_MM), 40 if upright else 6
        half = plan.overlap / 2
        sheets = [
            (box.bottom + half, box.top - half) if upright else (box.left + half, box.right - half)
            for box in boxes
        ]
        along = _clearest(
            there,
            [start + place for place in range(first, max(int(length - wide), first) + 1, 2)],
            wide,
            (aside + beside, upright),
            sheets,
        )
        items.append(Text(at(along - start, beside), words, SMALL_MM, "left", turn))
        # On a sheet that has none of these, the line is told from the tube's by its name.
        wide = text_width(_CHECK_LINE, SMALL_MM)
        for one in sheets:
            low, high = max(one[0], start) + 4.0, min(one[1], start + length) - wide - 4.0
            if one[0] <= along < one[1] or high < low:
                continue
            named = _clearest(
                there,
                np.arange(low, high, 2.0).tolist() or [low],
                wide,
                (aside + beside, upright),
                [one],
            )
            items.append(Text(at(named - start, beside), _CHECK_LINE, SMALL_MM, "left", turn))
    return Drawing(tuple(items))


def _clearest(
    drawing: Drawing,
    places: Sequence[float],
    wide: float,
    line: tuple[float, bool],
    sheets: Sequence[tuple[float, float]],
) -> float:
    """Where words begin that stand along a line, whole on one sheet: the first place of those with the least in their way.

    Args:
        drawing: what is there.
        places: to choose from, mm along the line.
        wide: the words, mm.
        line: how far aside it is, and whether it stands upright.
        sheets: from where to where along it each goes.
    """
    aside, upright = line

    def trouble(place: float) -> float:
        low, high = place - 2.0, place + wide + 2.0
        whole = any(first <= low and high <= last for first, last in sheets)
        return _in_the_way(drawing, aside, (low, high), upright=upright) + 2 * wide * (not whole)

    return min(places, key=trouble)


def _in_the_way(
    drawing: Drawing, aside: float, span: tuple[float, float], *, upright: bool
) -> float:
    """How much of a drawing lies within a word's height of a check line, mm."""
    low, high = aside - _CLEAR_MM, aside + _CLEAR_MM
    region = Box(low, span[0], high, span[1]) if upright else Box(span[0], low, span[1], high)
    return _length(clipped(drawing, region))


def _length(drawing: Drawing) -> float:
    """Of all strokes, mm."""
    return sum(
        float(np.sum(np.linalg.norm(np.diff(stroke.points, axis=0), axis=1)))
        for stroke in strokes_of(drawing)
    )


def _longest_run(plan: TilePlan, axis: int) -> list[tuple[int, int]]:
    """The longest row (axis 0) or column (axis 1) of tiles that are joined without a gap."""
    best: list[tuple[int, int]] = []
    used = set(plan.used)
    for tile in plan.used:
        run = [tile]
        while True:
            column, row = run[-1]
            following = (column + 1, row) if axis == 0 else (column, row + 1)
            if following not in used:
                break
            run.append(following)
        if len(run) > len(best):
            best = run
    return best


def tile_map(
    drawing: Drawing, plan: TilePlan, here: tuple[int, int], room: Box, *, every_name: bool = False
) -> Drawing:
    """A map of all tiles with the drawing over them, in the lower right corner of a box.

    Args:
        drawing: turned as on the sheets.
        plan: its tiles.
        here: the tile that the map stands on: drawn wide.
        room: where the map goes, mm on the page.
        every_name: name every tile, not only this one.
    """
    width = plan.columns * (plan.width - plan.overlap) + plan.overlap
    height = plan.rows * (plan.height - plan.overlap) + plan.overlap
    head = 5.0 if every_name else 0.0
    scale = min(room.width / width, (room.height - head) / height)
    left, bottom = room.right - scale * width, room.bottom
    items: list[Item] = []
    named: list[tuple[tuple[int, int], np.ndarray]] = []

    def on_page(points: np.ndarray) -> np.ndarray:
        return np.asarray((points - (plan.left, plan.top - height)) * scale + (left, bottom))

    for tile in plan.used:
        box, inset = plan.region(*tile), plan.overlap / 2
        corners = on_page(
            np.array(
                [
                    (box.left + inset, box.bottom + inset),
                    (box.right - inset, box.bottom + inset),
                    (box.right - inset, box.top - inset),
                    (box.left + inset, box.top - inset),
                ]
            )
        )
        items.append(Polyline(corners, True, OUTLINE if tile == here else NOTES))
        if every_name or tile == here:
            named.append((tile, corners))
    for stroke in strokes_of(drawing):
        if stroke.pen.layer == OUTLINE.layer:
            items.append(Polyline(on_page(stroke.points), stroke.closed, NOTES))
    # In the corner of its tile that the drawing leaves free, if one is.
    shown = Drawing(tuple(items))
    for tile, corners in named:
        (left_edge, low), (right_edge, high) = corners.min(axis=0), corners.max(axis=0)
        across, y = (
            [left_edge + share * (right_edge - left_edge) for share in (0.5, 0.25, 0.75)],
            (low + high) / 2,
        )
        heights = (y - SMALL_MM / 2, low + 1.0, high - SMALL_MM - 1.0)
        choices = [
            Text((float(x), float(h)), tile_name(*tile), SMALL_MM, "centre")
            for x in across
            for h in heights
        ]
        clear = (text for text in choices if not clipped(shown, _box(text)).items)
        items.append(next(clear, choices[0]))
    if every_name:
        count = f"{len(plan.used)} sheets"
        items.append(Text((left, bottom + scale * height + 1.5), count, SMALL_MM))
    return Drawing(tuple(items))
