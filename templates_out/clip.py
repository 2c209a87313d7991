"""The part of a drawing inside a rectangle."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from geometry.arrays import Floats
from templates_out.canvas import RecordingCanvas, box_of, draw, extents
from templates_out.drawing import Arc, Drawing, Item, Polyline, Text, arc_points
from templates_out.paper import Box


def texts_of(drawing: Drawing) -> list[Text]:
    """All lines of text, those of dimensions included."""
    canvas = RecordingCanvas()
    draw(drawing, canvas)
    return [item for item in canvas.items if isinstance(item, Text)]


def strokes_of(drawing: Drawing) -> list[Polyline]:
    """All strokes as polylines, dimensions and arcs taken apart."""
    canvas = RecordingCanvas()
    draw(drawing, canvas)
    strokes = []
    for item in canvas.items:
        if isinstance(item, Polyline):
            strokes.append(item)
        elif isinstance(item, Arc):
            strokes.append(Polyline(arc_points(item), False, item.pen))
    return strokes


def extents_box(drawing: Drawing) -> Box:
    """The rectangle round all that is drawn, text included."""
    (left, bottom), (right, top) = extents(drawing)
    return Box(left, bottom, right, top)


def inside(text: Text, region: Box) -> Text:
    """The text moved as little as it takes to stand inside the region."""
    (left, bottom), (right, top) = box_of(text)
    dx = max(region.left - left, 0.0) - max(right - region.right, 0.0)
    dy = max(region.bottom - bottom, 0.0) - max(top - region.top, 0.0)
    return replace(text, at=(text.at[0] + dx, text.at[1] + dy))


def clipped(drawing: Drawing, region: Box) -> Drawing:
    """The strokes of a drawing inside a region."""
    kept: list[Item] = []
    for stroke in strokes_of(drawing):
        low, high = stroke.points.min(axis=0), stroke.points.max(axis=0)
        if high[0] < region.left or low[0] > region.right:
            continue
        if high[1] < region.bottom or low[1] > region.top:
            continue
        parts = _clip(stroke.points, stroke.closed, region)
        kept += [Polyline(part, False, stroke.pen) for part in parts]
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
