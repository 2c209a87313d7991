"""Several small drawings on one sheet, by their true shapes.

Shapes are cells of 2 mm; where one may lie without touching what is there is a convolution, so that
every place on the sheet is tried at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from geometry.arrays import Bools, Complexes, Floats
from templates_out.canvas import box_of
from templates_out.clip import strokes_of, texts_of
from templates_out.drawing import Drawing
from templates_out.paper import Box
from templates_out.tile_plan import QUARTERS, stroke_points

CELL_MM = 2
GAP_MM = 4
"""Least distance between two drawings' cells on a sheet, mm: room for scissors."""

_BACK = 4
"""A drawing is put on one of so many last sheets, so that they stay in order."""

_Cells = Bools


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
    """Place drawings, in order, on as few sheets as first fit takes, each with its foot as high on its sheet as it goes.

    Args:
        drawings: in mm; one is turned by a quarter where that brings its foot higher.
        width: of a sheet's window, mm.
        height: of a sheet's window, mm.

    Returns:
        A place for each drawing; None for one that is larger than a sheet.
    """
    size = int(height / CELL_MM), int(width / CELL_MM)
    sheets: list[_Sheet] = []
    places: list[Place | None] = []
    for drawing in drawings:
        upright = shape(drawing)
        shapes = [
            _Shape(turn, cells, size)
            for turn, cells in zip(QUARTERS, (upright, _quarter_turned(upright)), strict=True)
            if cells.shape[0] <= size[0] and cells.shape[1] <= size[1]
        ]
        place = None
        if shapes:
            for index in range(max(len(sheets) - _BACK, 0), len(sheets) + 1):
                if index == len(sheets):
                    sheets.append(_Sheet(size))
                place = sheets[index].put(shapes, index)
                if place:
                    break
        places.append(place)
    return places


class _Shape:
    """A drawing's cells at one turn, and their transform on a grid twice the sheet's size."""

    def __init__(self, turn_deg: float, cells: _Cells, sheet: tuple[int, int]) -> None:
        self.turn_deg, self.cells = turn_deg, cells
        self.count = int(cells.sum())
        self._grid = (2 * sheet[0], 2 * sheet[1])

    def is_larger(self, than: _Shape) -> bool:
        """Every bit as large as one for which there was no room: there is none for this one either."""
        return (
            self.cells.shape[0] >= than.cells.shape[0]
            and self.cells.shape[1] >= than.cells.shape[1]
            and self.count >= than.count
        )

    @cached_property
    def transform(self) -> Complexes:
        return np.conj(np.fft.rfft2(self.cells, self._grid))


class _Sheet:
    """A sheet's taken cells."""

    def __init__(self, size: tuple[int, int]) -> None:
        self._taken = np.zeros(size, dtype=bool)
        self._grid = (2 * size[0], 2 * size[1])
        self._transform: Complexes | None = None
        self._refused: list[_Shape] = []

    def put(self, shapes: Sequence[_Shape], index: int) -> Place | None:
        """Where its foot comes highest, then the leftmost, upright if it makes no difference.

        What is placed is marked.
        """
        room = self._taken.size - int(self._taken.sum())
        best: tuple[int, int, int, _Shape] | None = None
        for one in shapes:
            if one.count > room or any(one.is_larger(than) for than in self._refused):
                continue
            free = self._free(one)
            if not free.any():
                self._refused.append(one)
                continue
            row = int(np.argmax(free.any(axis=1)))
            column = int(np.argmax(free[row]))
            foot = row + one.cells.shape[0]
            if best is None or foot < best[0]:
                best = foot, row, column, one
        if best is None:
            return None
        _, row, column, one = best
        self._mark(one.cells, row, column)
        return Place(index, one.turn_deg, float(column * CELL_MM), float(row * CELL_MM))

    def _free(self, one: _Shape) -> Bools:
        """Where the upper left cell of a shape may lie, (rows, columns): nothing under it is taken."""
        rows = self._taken.shape[0] - one.cells.shape[0] + 1
        columns = self._taken.shape[1] - one.cells.shape[1] + 1
        if not self._taken.any():
            return np.ones((rows, columns), dtype=bool)
        if self._transform is None:
            self._transform = np.fft.rfft2(self._taken, self._grid)
        taken: Floats = np.fft.irfft2(self._transform * one.transform, self._grid)
        return np.asarray(taken[:rows, :columns] < 0.5)

    def _mark(self, cells: _Cells, row: int, column: int) -> None:
        by = GAP_MM // CELL_MM
        grown = _grown(cells, by)
        top, left = row - by, column - by
        rows = slice(max(top, 0), min(top + grown.shape[0], self._taken.shape[0]))
        columns = slice(max(left, 0), min(left + grown.shape[1], self._taken.shape[1]))
        self._taken[rows, columns] |= grown[
            rows.start - top : rows.stop - top, columns.start - left : columns.stop - left
        ]
        self._transform = None


def shape(drawing: Drawing) -> _Cells:
    """The cells (rows from the top, columns) that a drawing covers, filled from top to foot."""
    strokes = strokes_of(drawing)
    lines = [np.vstack((s.points, s.points[:1])) if s.closed else s.points for s in strokes]
    boxes = [np.array(box_of(text)) for text in texts_of(drawing)]
    lines += [
        np.array([box[0], (box[1][0], box[0][1]), box[1], (box[0][0], box[1][1])]) for box in boxes
    ]
    points = stroke_points(lines, CELL_MM / 2)
    low, high = points.min(axis=0), points.max(axis=0)
    size = ((high - low) / CELL_MM).astype(int) + 1
    column = ((points[:, 0] - low[0]) / CELL_MM).astype(int)
    row = ((high[1] - points[:, 1]) / CELL_MM).astype(int)
    first = np.full(size[0], size[1], dtype=np.int64)
    last = np.full(size[0], -1, dtype=np.int64)
    np.minimum.at(first, column, row)
    np.maximum.at(last, column, row)
    down = np.arange(size[1])[:, None]
    return np.asarray((down >= first) & (down <= last))


def _quarter_turned(cells: _Cells) -> _Cells:
    """The cells a quarter turned anticlockwise.

    They are counted from what was the left and is the foot now, but placed from the top: the drawing
    lies up to a cell higher than its cells, so each takes the one above it too.
    """
    turned = np.rot90(cells).copy()
    turned[:-1] |= turned[1:]
    return turned


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
    free = _room(cells, wide)
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


def _room(cells: _Cells, wide: _Cells) -> Bools:
    """Where a rectangle of cells may lie, (rows, columns), by a table of sums."""
    sums = np.zeros((cells.shape[0] + 1, cells.shape[1] + 1), dtype=np.int64)
    sums[1:, 1:] = np.cumsum(np.cumsum(cells, axis=0), axis=1)
    high, across = wide.shape
    taken = (
        sums[high:, across:]
        - sums[:-high, across:]
        - sums[high:, :-across]
        + sums[:-high, :-across]
    )
    return np.asarray(taken == 0)
