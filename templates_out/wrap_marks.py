"""What a wrap says along its cut line: where the waste is, where to bevel, where nothing is touched."""

from __future__ import annotations

import math

import numpy as np

from geometry.cope import Cut
from geometry.landing import BevelArc
from geometry.surface import Floats
from templates_out.drawing import (
    FOLD,
    NOTE_MM,
    NOTES,
    SMALL_MM,
    Item,
    Line,
    Pen,
    Polyline,
    Text,
)
from templates_out.fonts import text_width

_DOWN_MM = 2.5
"""Distance of a mark below the cut line."""

_MOST_DOWN_MM = 10.0
_MIDDLE_FIRST = [8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13]


def waste_words(cut: Cut, radius: float) -> list[Item]:
    """The word "waste" beyond the line, at several places where there is room."""
    around = math.tau * radius
    items: list[Item] = []
    half = text_width("waste", NOTE_MM) / 2
    places = [around / 2] if around < 12 * half else [around * share for share in (0.2, 0.5, 0.8)]
    for x in places:
        near = np.abs(radius * cut.phi - x) <= half + 1.0
        ends = np.array([x - half - 1.0, x + half + 1.0]) / radius
        top = max(
            float(np.max(cut.line[near], initial=-math.inf)), float(np.max(cut.line_at(ends)))
        )
        items.append(Text((x, top + 2.0), "waste", NOTE_MM, "centre"))
    return items


def arc_marks(
    cut: Cut, bevels: tuple[BevelArc, ...], open_arcs: list[tuple[float, float]], radius: float
) -> list[Item]:
    """A second line under the cut line where the weld needs a bevel, a dashed one where it is open."""
    items: list[Item] = []
    for bevel in bevels:
        arc = (math.radians(bevel.start_deg), math.radians(bevel.end_deg))
        words = (f"bevel: faces meet at {bevel.extreme_deg:.0f}°", "bevel")
        items += _mark(cut, arc, radius, NOTES, words)
    for arc in open_arcs:
        items += _mark(cut, arc, radius, FOLD, ("open: touches nothing", "open"))
    return items


def _mark(
    cut: Cut, arc: tuple[float, float], radius: float, pen: Pen, words: tuple[str, ...]
) -> list[Item]:
    start, end = arc
    pieces = [(start, min(end, math.tau))]
    if end > math.tau:
        pieces.append((0.0, end - math.tau))
    items: list[Item] = []
    for left, right in pieces:
        inner = cut.phi[(cut.phi > left + 1e-6) & (cut.phi < right - 1e-6)]
        phi = np.concatenate(([left], inner, [right]))
        heights = cut.line_at(phi)
        under = heights - _below(cut, phi, radius)
        if radius * (right - left) < 0.5:
            continue
        items.append(Polyline(np.column_stack((radius * phi, under)), False, pen))
        for end_index in (0, -1):
            x = radius * float(phi[end_index])
            items.append(Line((x, float(under[end_index])), (x, float(heights[end_index])), NOTES))
        items += _label(cut, (left, right), radius, words)
    return items


def _below(cut: Cut, phi: Floats, radius: float) -> Floats:
    """How far under the line a mark runs so that it keeps its distance where the line is steep."""
    step = 1e-3
    slope = (cut.line_at(phi + step) - cut.line_at(phi - step)) / (2 * step * radius)
    return np.minimum(_DOWN_MM * np.hypot(1.0, slope), _MOST_DOWN_MM)


def _label(
    cut: Cut, piece: tuple[float, float], radius: float, words: tuple[str, ...]
) -> list[Item]:
    """The longest of the words that fits under its mark, not across a quarter line if it can be."""
    left, right = piece
    around = math.tau * radius
    best: Text | None = None
    for word in words:
        half = text_width(word, SMALL_MM) / 2 + 0.5
        for x in (radius * np.linspace(left, right, 17)[_MIDDLE_FIRST]).tolist():
            if not half < x < around - half:
                continue
            span = np.linspace(x - half, x + half, 41) / radius
            line = cut.line_at(span)
            # Words belong to the mark they stand under: not where the line falls away beside it.
            if float(line.max() - line.min()) > 12.0:
                continue
            y = float(line.min()) - 2 * _DOWN_MM - SMALL_MM
            text = Text((x, y), word, SMALL_MM, "centre")
            if all(abs(x - quarter * around / 4) > half for quarter in (1, 2, 3)):
                return [text]
            best = best or text
    return [best] if best else []
