"""What a wrap says along its cut line: where the waste is, where to bevel, where nothing is touched."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from geometry.arrays import Floats
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
from templates_out.wrap_line import Stretch, WrapLine

_DOWN_MM = 2.5
"""Distance of a mark below the cut line."""

_MOST_DOWN_MM = 10.0
_MIDDLE_FIRST = [8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13]

Across = Callable[[Floats], Floats]
"""Where distances round stand on paper."""


def waste_words(line: WrapLine, across: Across) -> list[Item]:
    """The word "waste" beyond the line, at several places where there is room."""
    girth = line.girth
    items: list[Item] = []
    half = text_width("waste", NOTE_MM) / 2
    places = [girth / 2] if girth < 12 * half else [girth * share for share in (0.2, 0.5, 0.8)]
    for place in places:
        near = np.abs(line.places - place) <= half + 1.0
        ends = np.array([place - half - 1.0, place + half + 1.0])
        top = max(
            float(np.max(line.heights[near], initial=-math.inf)),
            float(np.max(line.height_at(ends))),
        )
        items.append(Text((_one(across, place), top + 2.0), "waste", NOTE_MM, "centre"))
    return items


def _one(across: Across, place: float) -> float:
    return float(across(np.array([place]))[0])


def arc_marks(line: WrapLine, across: Across) -> list[Item]:
    """A second line under the cut line where the weld needs a bevel, a dashed one where it is open."""
    items: list[Item] = []
    named: list[Text] = []
    for stretches, pen in ((line.bevels, NOTES), (line.opens, FOLD)):
        for stretch in stretches:
            items += _mark(line, across, stretch, pen, named)
    return [*items, *named]


def _mark(
    line: WrapLine, across: Across, stretch: Stretch, pen: Pen, named: list[Text]
) -> list[Item]:
    """The mark; its words go to those that are there already, and stand on none of them."""
    start, end, girth = stretch.start, stretch.end, line.girth
    pieces = [(start, min(end, girth))]
    if end > girth:
        pieces.append((0.0, end - girth))
    items: list[Item] = []
    hair = 1e-7 * girth
    for left, right in pieces:
        inner = line.places[(line.places > left + hair) & (line.places < right - hair)]
        places = np.concatenate(([left], inner, [right]))
        heights = line.height_at(places)
        under = heights - _below(line, places)
        if right - left < 0.5:
            continue
        x = across(places)
        items.append(Polyline(np.column_stack((x, under)), False, pen))
        for index in (0, -1):
            at = float(x[index])
            items.append(Line((at, float(under[index])), (at, float(heights[index])), NOTES))
        named += _label(line, across, (left, right), stretch.words, named)
    return items


def _below(line: WrapLine, places: Floats) -> Floats:
    """How far under the line a mark runs so that it keeps its distance where the line is steep."""
    step = 2e-4 * line.girth
    slope = (line.height_at(places + step) - line.height_at(places - step)) / (2 * step)
    return np.minimum(_DOWN_MM * np.hypot(1.0, slope), _MOST_DOWN_MM)


def _label(
    line: WrapLine,
    across: Across,
    piece: tuple[float, float],
    words: tuple[str, ...],
    named: list[Text],
) -> list[Text]:
    """The longest of the words that fits under its mark, not across a quarter line if it can be."""
    left, right = piece
    best: Text | None = None
    for word in words:
        half = text_width(word, SMALL_MM) / 2 + 0.5
        for place in np.linspace(left, right, 17)[_MIDDLE_FIRST].tolist():
            if not half < place < line.girth - half:
                continue
            heights = line.height_at(np.linspace(place - half, place + half, 41))
            # Words belong to the mark they stand under: not where the line falls away beside it.
            if float(heights.max() - heights.min()) > 12.0:
                continue
            y = float(heights.min()) - 2 * _DOWN_MM - SMALL_MM
            text = Text((_one(across, place), y), word, SMALL_MM, "centre")
            if any(_on_each_other(text, other) for other in named):
                continue
            if all(abs(place - quarter) > half for quarter in line.quarters[1:4].tolist()):
                return [text]
            best = best or text
    return [best] if best else []


def _on_each_other(one: Text, other: Text) -> bool:
    """Whether two words about their middles overlap."""
    (x, y), (other_x, other_y) = one.at, other.at
    widths = (text_width(one.text, SMALL_MM) + text_width(other.text, SMALL_MM)) / 2
    return abs(x - other_x) < widths + 1.0 and abs(y - other_y) < 1.6 * SMALL_MM
