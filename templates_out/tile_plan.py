"""The fewest sheets for a large drawing: how it is turned, and where the grid of tiles lies."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats
from templates_out.paper import Box

_EDGE_MM = 0.2
"""Half the widest line, so that a stroke on the drawing's edge stays in the window."""

_POINT_MM = 2.0
"""Strokes are looked at in steps this long; what slips between two is found when they are cut."""

_OFFSETS = 6
QUARTERS = (0.0, 90.0)
ANY_TURN = tuple(2.5 * step for step in range(72))


@dataclass(frozen=True)
class TilePlan:
    """A grid of tiles over a turned drawing.

    Attributes:
        turn_deg: the drawing is turned by this, anticlockwise about its origin, first.
        left: left edge of the first column, mm, in the turned drawing.
        top: upper edge of the first row.
        width: of a tile, mm, overlap included.
        height: of a tile.
        overlap: of neighbours, mm.
        used: the tiles that have a stroke, as (column, row) from 0, row by row from the top.
    """

    turn_deg: float
    left: float
    top: float
    width: float
    height: float
    overlap: float
    used: tuple[tuple[int, int], ...]

    def region(self, column: int, row: int) -> Box:
        """A tile's rectangle in the turned drawing."""
        left = self.left + column * (self.width - self.overlap)
        top = self.top - row * (self.height - self.overlap)
        return Box(left, top - self.height, left + self.width, top)

    @property
    def columns(self) -> int:
        """Columns from the first to the last tile."""
        return max(column for column, _ in self.used) + 1

    @property
    def rows(self) -> int:
        """Rows from the first to the last tile."""
        return max(row for _, row in self.used) + 1


def stroke_points(strokes: Sequence[Floats], step: float = _POINT_MM) -> Floats:
    """Points (n, 2) along polylines, at most ``step`` mm apart."""
    starts = np.concatenate([points[:-1] for points in strokes])
    ways = np.concatenate([points[1:] for points in strokes]) - starts
    lengths = np.hypot(ways[:, 0], ways[:, 1])
    counts = np.maximum(np.ceil(lengths / step).astype(int), 1)
    index = np.repeat(np.arange(len(ways)), counts)
    within = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)
    along = starts[index] + (within / counts[index])[:, None] * ways[index]
    return np.vstack([along, *(points[-1:] for points in strokes)])


def plan_tiles(
    points: Floats,
    width: float,
    height: float,
    overlap: float,
    turns: Sequence[float] = QUARTERS,
) -> TilePlan:
    """The turn and the grid that need the fewest tiles for a drawing.

    Args:
        points: along its strokes, (n, 2) mm.
        width: of a tile's window, mm.
        height: of a tile's window, mm.
        overlap: of neighbouring tiles, mm.
        turns: angles to try, degrees; of equal counts the first is taken.

    Returns:
        The plan; every point lies in one of its tiles.
    """
    best: TilePlan | None = None
    step = np.array([width - overlap, height - overlap])
    for turn in turns:
        angle = math.radians(turn)
        matrix = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
        turned = points @ matrix
        low = turned.min(axis=0) - _EDGE_MM
        high = turned.max(axis=0) + _EDGE_MM
        from_corner = np.column_stack((turned[:, 0] - low[0], high[1] - turned[:, 1]))
        size = high - low
        if size[0] <= width and size[1] <= height:
            return TilePlan(turn, low[0], high[1], width, height, overlap, ((0, 0),))
        shifts = np.arange(_OFFSETS) / _OFFSETS
        if best and len(best.used) <= 2:
            continue
        cells = [
            [_cell(from_corner[:, axis] + shift * step[axis], step[axis], overlap, size[axis] + shift * step[axis]) for shift in shifts]
            for axis in (0, 1)
        ]  # fmt: skip
        for i, columns in enumerate(cells[0]):
            for j, rows in enumerate(cells[1]):
                codes = np.unique(rows * 1000 + columns)
                if best is None or codes.size < len(best.used):
                    first_column = int((codes % 1000).min())
                    first_row = int((codes // 1000).min())
                    best = TilePlan(
                        turn,
                        float(low[0] + (first_column - shifts[i]) * step[0]),
                        float(high[1] - (first_row - shifts[j]) * step[1]),
                        width,
                        height,
                        overlap,
                        tuple(
                            (int(code % 1000) - first_column, int(code // 1000) - first_row)
                            for code in codes
                        ),
                    )
    assert best is not None  # noqa: S101 - there is at least one turn
    return best


def _cell(place: Floats, step: float, overlap: float, size: float) -> Floats:
    """The tile (n,) whose middle part holds each place (n,), counted from 0."""
    last = max(math.ceil((size - overlap) / step - 1e-9), 1) - 1
    return np.clip(np.floor((place - overlap / 2) / step), 0, last).astype(np.int64)
