"""The mark that an end leaves on a frame's part, on a strip: laid on the part's datum line, its outline is marked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats
from templates_out.drawing import (
    DATUM,
    FOLD,
    OUTLINE,
    SMALL_MM,
    Anchor,
    Drawing,
    Item,
    Line,
    Pen,
    Polyline,
    Text,
)
from templates_out.fonts import text_width, wrapped

_MARGIN_MM = 5.0
_TICK_MM = 3.0
_ROW_MM = 3.7
_LEAST_WIDE_MM = 46.0
_UP = "up: finish"
HEAVY = Pen("DATUM", 0.7)
"""Twice as wide as an outline: the part's own line."""


@dataclass(frozen=True, eq=False)
class Strip:
    """A landing on the development of the part it is on.

    Attributes:
        girth: once round the part, mm.
        outlines: the landing's lines (k, 2) each: distance round from the line that faces the tube, and along.
        closed: the outline is one closed line.
        datum_at: distance round from the facing line to the part's datum line, mm.
        corners: of a box section, where its rounds begin and end, from the facing line, mm.
        words: what it is, and how it is laid on.
        across: where along the line is that is laid at a distance from the part's ends, mm from the foot.
    """

    girth: float
    outlines: tuple[Floats, ...]
    closed: bool
    datum_at: float
    corners: tuple[float, ...]
    words: Sequence[str]
    across: float = 0.0


def strip_for_paper(strip: Strip, paper_mm: float) -> Drawing:
    """The strip as it is printed, laid out half the paper's thickness outside a round part.

    x is the distance round from the facing line, to the right as seen from outside with the part's finish end
    up; y the distance along. It reaches from the datum line to beyond the outline.
    """
    stretch = 1.0 if strip.corners else 1 + np.pi * paper_mm / strip.girth
    lines = [line * (stretch, 1.0) for line in strip.outlines]
    datum = strip.datum_at * stretch
    points = np.vstack(lines)
    (left, low), (right, high) = points.min(axis=0), points.max(axis=0)
    low, high = min(low, strip.across), max(high, strip.across)
    left = float(min(left, datum)) - _MARGIN_MM
    right = float(max(right, datum)) + _MARGIN_MM
    short = (_LEAST_WIDE_MM - (right - left)) / 2
    if short > 0:
        left, right = left - short, right + short
    # The datum's word stands beside its line, on the side where the outline is not.
    named = text_width("datum", SMALL_MM) + 2.0
    left, right = (
        (left, max(right, datum + named)) if datum > 0 else (min(left, datum - named), right)
    )
    rows = [row for text in strip.words for row in wrapped(text, right - left - 4.0, SMALL_MM)]
    # Words stand under the corners' ticks.
    under = float(high) + _MARGIN_MM
    top, foot = (
        under + (_TICK_MM if strip.corners else 0.0),
        float(low) - 6.0 - _ROW_MM * len(rows) - 2.0,
    )
    edge = np.array([[left, top], [right, top], [right, foot], [left, foot]])
    clear = float(low) - 2.5
    items: list[Item] = [Polyline(edge, True, OUTLINE)]
    items += [Polyline(line, strip.closed, OUTLINE) for line in lines]
    items += [
        Line((left, strip.across), (right, strip.across), DATUM),
        Line((0.0, clear), (0.0, top), DATUM),
        Line((datum, clear), (datum, top), HEAVY),
        Line((datum, foot), (datum, foot + 1.5), HEAVY),
    ]
    for corner in strip.corners:
        if left < corner < right:
            items += [
                Line((corner, top), (corner, top - _TICK_MM), FOLD),
                Line((corner, clear), (corner, clear + _TICK_MM), FOLD),
            ]
    anchor: Anchor = "left" if datum > 0 else "right"
    side = 1.0 if datum > 0 else -1.0
    items.append(Text((datum + side, under - SMALL_MM - 1.2), "datum", SMALL_MM, anchor))
    # In the corner across from it, where nothing is drawn there.
    wide = text_width(_UP, SMALL_MM) + 1.0
    corner = left if datum > 0 else right
    in_corner = (np.abs(points[:, 0] - corner) < wide + 1.0) & (
        points[:, 1] > under - _ROW_MM - 2.0
    )
    if not in_corner.any() and abs(datum - corner) > wide + 2.0 and abs(corner) > wide:
        items.append(Text((corner + side, under - SMALL_MM - 1.2), _UP, SMALL_MM, anchor))
    y = float(low) - 6.0
    for row in rows:
        items.append(Text((left + 2.0, y - SMALL_MM), row, SMALL_MM))
        y -= _ROW_MM
    return Drawing(tuple(items))
