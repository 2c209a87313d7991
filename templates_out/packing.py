"""Several small drawings on one sheet, by their true shapes.

Shapes are cells of 1 mm; where one may lie without touching what is there is a convolution, so that
every place on the sheet is tried at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from geometry.surface import Bools, Floats
from templates_out.canvas import box_of
from templates_out.clip import strokes_of, texts_of
from templates_out.drawing import Drawing
from templates_out.paper import Box
from templates_out.tile_plan import QUARTERS, stroke_points

GAP_MM = 3
"""Least distance between two drawings on a sheet, mm: room for scissors."""

_Cells = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Place:
    """Where a drawing lies.

    Attributes:
        sheet: counted from 0.
        turn_deg: the drawing is turned by this, anticlockwise about its origin, first.
        left: of the turned drawing's box, mm from the window's left edge.
        top: of the turned drawing's box, mm down from the window's upper edge.
    """

    sheet: int
    turn_deg: float
    left: float
    top: float


def pack(drawings: Sequence[Drawing], width: float, height: float) -> list[Place | None]:
    """Place drawings on as few sheets as first fit takes, each as high on its sheet as it goes.

    Args:
        drawings: in mm; one is turned by a quarter where else it would take another sheet.
        width: of a sheet's window, mm.
        height: of a sheet's window, mm.

    Returns:
        A place for each drawing; None for one that is larger than a sheet.
    """
    rows, columns = int(height), int(width)
    sheets: list[_Cells] = []
    places: list[Place | None] = []
    for drawing in drawings:
        shapes = [(turn, shape(drawing.placed(0, 0, turn))) for turn in QUARTERS]
        fitting = [
            (turn, cells)
            for turn, cells in shapes
            if cells.shape[0] <= rows and cells.shape[1] <= columns
        ]
        place = None
        if fitting:
            for index in range(len(sheets) + 1):
                if index == len(sheets):
                    sheets.append(np.zeros((rows, columns), dtype=bool))
                place = _first_place(sheets[index], fitting, index)
                if place:
                    break
        places.append(place)
    return places


def shape(drawing: Drawing) -> _Cells:
    """The cells (rows from the top, columns) that a drawing covers, filled from top to foot."""
    strokes = strokes_of(drawing)
    lines = [np.vstack((s.points, s.points[:1])) if s.closed else s.points for s in strokes]
    boxes = [np.array(box_of(text)) for text in texts_of(drawing)]
    lines += [
        np.array([box[0], (box[1][0], box[0][1]), box[1], (box[0][0], box[1][1])]) for box in boxes
    ]
    points = stroke_points(lines, 0.5)
    low, high = points.min(axis=0), points.max(axis=0)
    size = np.ceil(high - low + 0.5).astype(int) + 1
    column = (points[:, 0] - low[0]).astype(int)
    row = (high[1] - points[:, 1]).astype(int)
    first = np.full(size[0], size[1], dtype=np.int64)
    last = np.full(size[0], -1, dtype=np.int64)
    np.minimum.at(first, column, row)
    np.maximum.at(last, column, row)
    down = np.arange(size[1])[:, None]
    return np.asarray((down >= first) & (down <= last))


def free_box(drawing: Drawing, window: Box, width: int, height: int) -> Box | None:
    """An empty rectangle in a window, mm on the page, the highest and then the leftmost; None if none.

    Args:
        drawing: what is there, in page coordinates.
        window: where to look.
        width: of the rectangle, whole mm.
        height: of the rectangle, whole mm.
    """
    strokes = [
        np.vstack((s.points, s.points[:1])) if s.closed else s.points for s in strokes_of(drawing)
    ]
    for text in texts_of(drawing):
        (left, bottom), (right, top) = box_of(text)
        strokes += [np.array([(left, y), (right, y)]) for y in np.arange(bottom, top + 0.5, 0.5)]
    points = stroke_points(strokes, 0.5)
    cells = np.zeros((int(window.height), int(window.width)), dtype=bool)
    column = np.floor(points[:, 0] - window.left).astype(int)
    row = np.floor(window.top - points[:, 1]).astype(int)
    there = (column >= 0) & (column < cells.shape[1]) & (row >= 0) & (row < cells.shape[0])
    cells[row[there], column[there]] = True
    wide = np.ones((height + 4, width + 4), dtype=bool)
    if wide.shape[0] > cells.shape[0] or wide.shape[1] > cells.shape[1]:
        return None
    free = _free(cells, wide)
    if not free.any():
        return None
    first_row = int(np.argmax(free.any(axis=1)))
    first_column = int(np.argmax(free[first_row]))
    left, top = window.left + first_column + 2.0, window.top - first_row - 2.0
    return Box(left, top - height, left + width, top)


def _grown(cells: _Cells, by: int) -> _Cells:
    """The cells and all within ``by`` of them, on a sheet that much larger on every side."""
    wide = np.pad(cells, by)
    out = wide.copy()
    for axis in (0, 1):
        grown = out.copy()
        for step in range(1, by + 1):
            grown |= np.roll(out, step, axis) | np.roll(out, -step, axis)
        out = grown
    return out


def _first_place(sheet: _Cells, fitting: list[tuple[float, _Cells]], index: int) -> Place | None:
    """The highest free place, then the leftmost, turned only if it must; what is placed is marked."""
    found = next(
        ((turn, cells, free) for turn, cells in fitting if (free := _free(sheet, cells)).any()),
        None,
    )
    if found is None:
        return None
    turn, cells, free = found
    row = int(np.argmax(free.any(axis=1)))
    column = int(np.argmax(free[row]))
    grown = _grown(cells, GAP_MM)
    low_row, low_column = row - GAP_MM, column - GAP_MM
    rows = slice(max(low_row, 0), min(low_row + grown.shape[0], sheet.shape[0]))
    columns = slice(max(low_column, 0), min(low_column + grown.shape[1], sheet.shape[1]))
    sheet[rows, columns] |= grown[
        rows.start - low_row : rows.stop - low_row,
        columns.start - low_column : columns.stop - low_column,
    ]
    return Place(index, turn, float(column), float(row))


def _free(sheet: _Cells, cells: _Cells) -> Bools:
    """Where the upper left cell of a shape may lie, (rows, columns): nothing under it is taken."""
    if not sheet.any():
        return np.ones(
            (sheet.shape[0] - cells.shape[0] + 1, sheet.shape[1] - cells.shape[1] + 1), dtype=bool
        )
    size = (sheet.shape[0] + cells.shape[0], sheet.shape[1] + cells.shape[1])
    taken: Floats = np.fft.irfft2(
        np.fft.rfft2(sheet, size) * np.conj(np.fft.rfft2(cells, size)), size
    )
    rows = sheet.shape[0] - cells.shape[0] + 1
    columns = sheet.shape[1] - cells.shape[1] + 1
    return np.asarray(taken[:rows, :columns] < 0.5)
