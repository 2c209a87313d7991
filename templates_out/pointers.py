"""Strokes that point at the length or angle that a person is typing; the view says its words."""

from __future__ import annotations

import math

from templates_out.dimension import dimension_strokes
from templates_out.drawing import NOTE_MM, OUTLINE, XY, Dim, Drawing, Item, Line, LinearDim, Text


def strokes_only(dim: Dim) -> Drawing:
    """A dimension without its figure."""
    return Drawing(tuple(i for i in dimension_strokes(dim).items if not isinstance(i, Text)))


def between(start: XY, end: XY) -> Drawing:
    """Points at the distance between two places; nothing where they are one."""
    if math.dist(start, end) < 1e-6:
        return Drawing()
    return strokes_only(LinearDim(start, end, 0.0, 0.0, NOTE_MM))


def arrow_to(tip: XY, tail: XY) -> Drawing:
    """An arrow at a place."""
    towards = math.atan2(tip[1] - tail[1], tip[0] - tail[0])
    items: list[Item] = [Line(tail, tip, OUTLINE)]
    for turn in (0.35, -0.35):
        x = tip[0] - NOTE_MM * math.cos(towards + turn)
        y = tip[1] - NOTE_MM * math.sin(towards + turn)
        items.append(Line(tip, (x, y), OUTLINE))
    return Drawing(tuple(items))
