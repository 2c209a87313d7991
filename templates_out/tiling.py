"""A drawing on sheets: straight, turned by a quarter, or cut into tiles that are joined by marks."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from geometry.surface import Floats
from geometry.units import format_mm
from templates_out.canvas import RecordingCanvas, box_of, draw, extents
from templates_out.drawing import (
    FOLD,
    NOTES,
    SMALL_MM,
    XY,
    Arc,
    Drawing,
    Item,
    Line,
    Polyline,
    Text,
    arc_points,
)
from templates_out.paper import MAX_PAGE_MM, Box, Paper, cut_to_length

OVERLAP_MM = 10.0
_EDGE_MM = 0.2
"""Half the widest line, so that a stroke on the drawing's edge stays in the window."""


@dataclass(frozen=True, eq=False)
class Tile:
    """A drawing, or a part of one, placed on a sheet.

    Attributes:
        paper: the sheet.
        drawing: in page coordinates.
        row: 1 at the top.
        column: 1 at the left.
        rows: of the whole drawing.
        columns: of the whole drawing.
        turned: the drawing is turned a quarter, anticlockwise.
    """

    paper: Paper
    drawing: Drawing
    row: int
    column: int
    rows: int
    columns: int
    turned: bool = False

    @property
    def place(self) -> str:
        """Its row and column in words."""
        return f"tile row {self.row} of {self.rows}, column {self.column} of {self.columns}"


def lay_out(drawing: Drawing, paper: Paper) -> list[Tile]:
    """Place a drawing at true size on as few sheets as a plain grid takes.

    Args:
        drawing: in mm; it is turned by a quarter where that saves sheets.
        paper: the sheet; a roll is cut to length.

    Returns:
        The tiles, row by row from the top; blank ones are left out.
    """
    upright, turned = drawing, drawing.placed(0, 0, 1)
    plans = [_plan(candidate, paper) for candidate in (upright, turned)]
    (low, high, sheet, columns, rows), chosen = min(
        zip(plans, (upright, turned), strict=True), key=lambda plan: plan[0][3] * plan[0][4]
    )
    window = sheet.window
    if columns == rows == 1:
        dx = (window.left + window.right - low[0] - high[0]) / 2
        dy = window.top - _EDGE_MM - high[1]
        return [Tile(sheet, chosen.placed(dx, dy), 1, 1, 1, 1, chosen is turned)]
    tiles = []
    for row in range(rows):
        for column in range(columns):
            left = low[0] - _EDGE_MM + column * (window.width - OVERLAP_MM)
            top = high[1] + _EDGE_MM - row * (window.height - OVERLAP_MM)
            region = Box(left, top - window.height, left + window.width, top)
            part = clipped(chosen, region) + _words(chosen, region, row, column, rows, columns)
            if not any(isinstance(item, Polyline) for item in part.items):
                continue
            marks = _match_marks(region, row, column, rows, columns)
            placed = (part + marks).placed(window.left - left, window.bottom - region.bottom)
            tiles.append(Tile(sheet, placed, row + 1, column + 1, rows, columns, chosen is turned))
    return tiles


def _plan(drawing: Drawing, paper: Paper) -> tuple[XY, XY, Paper, int, int]:
    low, high = extents(drawing)
    width, height = high[0] - low[0] + 2 * _EDGE_MM, high[1] - low[1] + 2 * _EDGE_MM
    sheet = cut_to_length(paper, height) if height < MAX_PAGE_MM else paper
    window = sheet.window
    columns = max(math.ceil((width - OVERLAP_MM) / (window.width - OVERLAP_MM) - 1e-9), 1)
    rows = max(math.ceil((height - OVERLAP_MM) / (window.height - OVERLAP_MM) - 1e-9), 1)
    return low, high, sheet, columns, rows


def _match_marks(region: Box, row: int, column: int, rows: int, columns: int) -> Drawing:
    """Join lines in the middle of each overlap, with two crosses at the same places on both sheets."""
    items: list[Item] = []
    half = OVERLAP_MM / 2

    def cross(x: float, y: float) -> None:
        items.append(Line((x - 4, y), (x + 4, y), NOTES))
        items.append(Line((x, y - 4), (x, y + 4), NOTES))
        label = f"x {format_mm(x)} y {format_mm(y)}"
        if x > (region.left + region.right) / 2:
            items.append(Text((x - 0.8, y + 0.8), label, SMALL_MM, "right"))
        else:
            items.append(Text((x + 0.8, y + 0.8), label, SMALL_MM))

    for x, there in ((region.left + half, column > 0), (region.right - half, column + 1 < columns)):
        if there:
            items.append(Line((x, region.bottom), (x, region.top), FOLD))
            for share in (0.25, 0.75):
                cross(x, region.bottom + share * region.height)
    for y, there in ((region.top - half, row > 0), (region.bottom + half, row + 1 < rows)):
        if there:
            items.append(Line((region.left, y), (region.right, y), FOLD))
            for share in (0.25, 0.75):
                cross(region.left + share * region.width, y)
    strokes = clipped(Drawing(tuple(items)), region)
    texts = (item for item in items if isinstance(item, Text))
    return strokes + Drawing(tuple(_inside(text, region) for text in texts))


def _inside(text: Text, region: Box) -> Text:
    """The text moved as little as it takes to stand inside the region."""
    (left, bottom), (right, top) = box_of(text)
    dx = max(region.left - left, 0.0) - max(right - region.right, 0.0)
    dy = max(region.bottom - bottom, 0.0) - max(top - region.top, 0.0)
    return replace(text, at=(text.at[0] + dx, text.at[1] + dy))


def clipped(drawing: Drawing, region: Box) -> Drawing:
    """The strokes of a drawing inside a region."""
    canvas = RecordingCanvas()
    draw(drawing, canvas)
    kept: list[Item] = []
    for item in canvas.items:
        match item:
            case Polyline(points=points, closed=closed, pen=pen):
                kept += [Polyline(part, False, pen) for part in _clip(points, closed, region)]
            case Arc(pen=pen):
                parts = _clip(arc_points(item), False, region)
                kept += [Polyline(part, False, pen) for part in parts]
    return Drawing(tuple(kept))


def _words(
    drawing: Drawing, region: Box, row: int, column: int, rows: int, columns: int
) -> Drawing:
    """The texts whose middle is nearest this tile, moved inside it where they would cross a joint."""
    canvas = RecordingCanvas()
    draw(drawing, canvas)
    half = OVERLAP_MM / 2
    core = Box(
        region.left + half if column else -math.inf,
        region.bottom + half if row + 1 < rows else -math.inf,
        region.right - half if column + 1 < columns else math.inf,
        region.top - half if row else math.inf,
    )
    kept: list[Item] = []
    for item in canvas.items:
        if not isinstance(item, Text):
            continue
        (left, bottom), (right, top) = box_of(item)
        x, y = (left + right) / 2, (bottom + top) / 2
        if core.left <= x < core.right and core.bottom <= y < core.top:
            kept.append(_inside(item, region))
    return Drawing(tuple(kept))


def _clip(points: Floats, closed: bool, region: Box) -> list[Floats]:
    """Pieces of a polyline inside a region, each segment cut by Liang and Barsky's rule."""
    ring = np.vstack((points, points[:1])) if closed else points
    pieces: list[list[Floats]] = []
    for start, end in zip(ring[:-1], ring[1:], strict=True):
        enter, leave = 0.0, 1.0
        step = end - start
        for size, room in (
            (-step[0], start[0] - region.left),
            (step[0], region.right - start[0]),
            (-step[1], start[1] - region.bottom),
            (step[1], region.top - start[1]),
        ):
            if size == 0.0:
                if room < 0:
                    leave = -1.0
            elif size < 0:
                enter = max(enter, room / size)
            else:
                leave = min(leave, room / size)
        if enter >= leave:
            continue
        first, last = start + enter * step, start + leave * step
        if pieces and enter == 0.0 and np.array_equal(pieces[-1][-1], start):
            pieces[-1].append(last)
        else:
            pieces.append([first, last])
    return [np.array(piece) for piece in pieces]
