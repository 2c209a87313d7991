"""The few calls that every output answers, and a canvas that only remembers them."""

from __future__ import annotations

import math
from typing import Protocol

import numpy as np

from geometry.arrays import Floats
from templates_out.dimension import dimension_strokes
from templates_out.drawing import (
    XY,
    AngleDim,
    Arc,
    Dim,
    Drawing,
    Item,
    Line,
    LinearDim,
    Pen,
    Polyline,
    RadiusDim,
    Text,
)


class Canvas(Protocol):
    """What a drawing asks of its output; coordinates in mm."""

    def polyline(self, points: Floats, closed: bool, pen: Pen) -> None:
        """Stroke through points (n, 2)."""
        ...

    def arc(self, arc: Arc) -> None:
        """Stroke a circular arc."""
        ...

    def text(self, text: Text) -> None:
        """Write a line of text."""
        ...

    def dimension(self, dim: Dim) -> None:
        """Draw a dimension."""
        ...


def draw(drawing: Drawing, canvas: Canvas) -> None:
    """Draw every item on the canvas, in order."""
    for item in drawing.items:
        match item:
            case Line():
                canvas.polyline(np.array([item.start, item.end]), False, item.pen)
            case Polyline():
                canvas.polyline(item.points, item.closed, item.pen)
            case Arc():
                canvas.arc(item)
            case Text():
                canvas.text(item)
            case LinearDim() | AngleDim() | RadiusDim():
                canvas.dimension(item)


class RecordingCanvas:
    """Keeps what is drawn, dimensions taken apart, for measuring and for cutting into tiles."""

    def __init__(self, *, inches: bool = False) -> None:
        self.items: list[Item] = []
        self._inches = inches

    def polyline(self, points: Floats, closed: bool, pen: Pen) -> None:
        """Keep a stroke."""
        self.items.append(Polyline(points, closed, pen))

    def arc(self, arc: Arc) -> None:
        """Keep an arc."""
        self.items.append(arc)

    def text(self, text: Text) -> None:
        """Keep a line of text."""
        self.items.append(text)

    def dimension(self, dim: Dim) -> None:
        """Keep a dimension's strokes and text."""
        draw(dimension_strokes(dim, inches=self._inches), self)


def box_of(text: Text) -> tuple[XY, XY]:
    """The box round a line of text, however it is turned: lower left and upper right corner."""
    from templates_out.fonts import text_width

    width, height = text_width(text.text, text.height), text.height
    left = {"left": 0.0, "centre": -width / 2, "right": -width}[text.anchor]
    turn = math.radians(text.turn_deg)
    cosine, sine = math.cos(turn), math.sin(turn)
    corners = [(x, y) for x in (left, left + width) for y in (-0.3 * height, 1.1 * height)]
    xs = [cosine * x - sine * y + text.at[0] for x, y in corners]
    ys = [sine * x + cosine * y + text.at[1] for x, y in corners]
    return (min(xs), min(ys)), (max(xs), max(ys))


def _arc_corners(arc: Arc) -> tuple[Floats, Floats]:
    """Lowest and highest corner of the box round an arc: its ends and the quarters it passes."""
    first = math.ceil(arc.start_deg / 90) * 90
    turns = np.radians([arc.start_deg, arc.end_deg, *np.arange(first, arc.end_deg, 90.0)])
    points = arc.centre + arc.radius * np.column_stack((np.cos(turns), np.sin(turns)))
    return points.min(axis=0), points.max(axis=0)


def extents(drawing: Drawing, *, with_text: bool = True, inches: bool = False) -> tuple[XY, XY]:
    """Lower left and upper right corner of all that is drawn, mm; dimensions may be in inches."""
    canvas = RecordingCanvas(inches=inches)
    draw(drawing, canvas)
    lows: list[XY] = []
    highs: list[XY] = []
    for item in canvas.items:
        if isinstance(item, Polyline):
            low, high = item.points.min(axis=0).tolist(), item.points.max(axis=0).tolist()
        elif isinstance(item, Arc):
            low, high = (corner.tolist() for corner in _arc_corners(item))
        elif isinstance(item, Text) and with_text:
            low, high = box_of(item)
        else:
            continue
        lows.append((low[0], low[1]))
        highs.append((high[0], high[1]))
    return (
        (min(x for x, _ in lows), min(y for _, y in lows)),
        (max(x for x, _ in highs), max(y for _, y in highs)),
    )
