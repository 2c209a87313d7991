"""The wrap of a tube end: the cut line unrolled, to tape round the tube and mark or cut along."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from geometry.cope import Cut
from geometry.landing import BevelArc
from geometry.surface import Floats
from geometry.units import format_mm
from templates_out.drawing import (
    DATUM,
    FOLD,
    NOTE_MM,
    NOTES,
    OUTLINE,
    SMALL_MM,
    Drawing,
    Item,
    Line,
    Polyline,
    Text,
)
from templates_out.fonts import text_width, wrapped

TAB_MM = 10.0
LONGEST_LINE_MM = 110.0
"""Longer lines of words are hard to follow, and would run across the joints of tiles."""
DEFAULT_PAPER_MM = 0.1
"""Thickness of 80 g/m2 copy paper (a-size.com, paper weight and thickness)."""

_ROW_MM = 4.0
_LEAST_BODY_MM = 25.0
_ABOVE_MM = 5.0
_MIDDLE_FIRST = [8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13]


@dataclass(frozen=True)
class WrapWords:
    """What a wrap says.

    Attributes:
        name: the tube's name, which end, and what it sits on.
        facts: the joint in figures.
        datum: what the datum line faces.
        quarters: words for the lines at 90, 180 and 270 degrees, beginning with the angle.
    """

    name: str
    facts: str
    datum: str
    quarters: tuple[str, str, str]


def wrap_outline(cut: Cut, foot: float, radius: float) -> Floats:
    """Closed outline (n, 2): the cut line from phi = 0 to a full turn, then back along the foot."""
    x = radius * cut.phi
    upper = np.column_stack((x, cut.line))
    lower = np.array([[x[-1], foot], [0.0, foot]])
    return np.vstack((upper, lower))


def wrap_for_file(cut: Cut, words: WrapWords) -> Drawing:
    """The wrap for DXF: x = r phi without paper thickness; outline, datum lines and notes only."""
    radius = cut.tube.radius
    foot = cut.short_point - _LEAST_BODY_MM
    items: list[Item] = [Polyline(wrap_outline(cut, foot, radius), True, OUTLINE)]
    items += _datum_lines(cut, foot, radius, words)
    y = foot - 16.0
    for line in (
        words.name,
        words.facts,
        "units: mm, 1:1; seen from outside, tube end up; waste is above the curve",
        f"left edge: {words.datum}",
    ):
        items.append(Text((0.0, y), line, NOTE_MM))
        y -= 6.0
    return Drawing(tuple(items))


def wrap_for_paper(
    cut: Cut,
    words: WrapWords,
    bevels: tuple[BevelArc, ...] = (),
    paper_mm: float = DEFAULT_PAPER_MM,
) -> Drawing:
    """The wrap as it is printed, laid out half the paper's thickness outside the tube.

    Seen from outside, the tube's end up: x to the right is increasing phi from the datum, y is
    height. Besides the cut line: the datum and quarter lines with their names, the waste side, the
    parts to bevel, a line that goes just once round, and a tab at the right.
    """
    radius = cut.tube.radius + paper_mm / 2
    around = math.tau * radius
    lines = _body_lines(words, around)
    # Words that name a bevel stand just under the curve.
    above = _ABOVE_MM + (_ROW_MM if bevels else 0.0)
    body = max(_LEAST_BODY_MM, 10.5 + above + _ROW_MM * len(lines))
    foot = cut.short_point - body
    items: list[Item] = [Polyline(wrap_outline(cut, foot, radius), True, OUTLINE)]
    items += _datum_lines(cut, foot, radius, words, clear=(foot + 3.0, cut.short_point - 3.0))
    items += _tab(cut, foot, around)
    items += once_round(foot + 3.0, around)
    y = cut.short_point - above - SMALL_MM
    for text in lines:
        items.append(Text((6.0, y), text, SMALL_MM))
        y -= _ROW_MM
    items += _waste(cut, radius)
    for arc in bevels:
        items += _bevel(cut, arc, radius)
    return Drawing(tuple(items))


def _body_lines(words: WrapWords, around: float) -> list[str]:
    width = min(around - 12.0, LONGEST_LINE_MM)
    texts = (
        words.name,
        words.facts,
        "this side out, curve towards the tube's end",
        f"left edge on the {words.datum}",
        "; ".join(word for word in words.quarters if not word.endswith("°")),
    )
    return [line for text in texts for line in wrapped(text, width, SMALL_MM)]


def _datum_lines(
    cut: Cut,
    foot: float,
    radius: float,
    words: WrapWords,
    clear: tuple[float, float] | None = None,
) -> list[Item]:
    """The datum and the quarter lines, from below the foot to the cut line, with their names.

    The quarter lines leave the heights ``clear`` free for text.
    """
    items: list[Item] = []
    names = ("datum 0°", *words.quarters, "datum 360°")
    tops = cut.line_at(np.radians([0.0, 90.0, 180.0, 270.0, 360.0]))
    for quarter, (name, top) in enumerate(zip(names, tops.tolist(), strict=True)):
        x = radius * quarter * math.pi / 2
        if clear is None or quarter in (0, 4):
            items.append(Line((x, foot - 4.0), (x, top), DATUM))
        else:
            items.append(Line((x, foot - 4.0), (x, clear[0]), DATUM))
            items.append(Line((x, clear[1]), (x, top), DATUM))
        label = name
        if text_width(label, SMALL_MM) > radius * math.pi / 2 - 3.0:
            label = f"{90 * quarter}°"
        anchor = {0: "left", 4: "right"}.get(quarter, "centre")
        items.append(Text((x, foot - 8.0), label, SMALL_MM, anchor))  # type: ignore[arg-type]
    return items


def _tab(cut: Cut, foot: float, around: float) -> list[Item]:
    """A tab at the right that goes under the left edge."""
    top = max(min(cut.line[-1] - 4.0, foot + 60.0), foot + 12.0)
    edge = np.array(
        [
            [around, foot + 1.5],
            [around + TAB_MM, foot + 5.0],
            [around + TAB_MM, top - 3.5],
            [around, top],
        ]
    )
    items: list[Item] = [Polyline(edge, False, FOLD)]
    for word in ("tab: goes under the left edge", "tab, under", "tab"):
        if text_width(word, SMALL_MM) < top - foot - 10.0:
            middle = (foot + top) / 2
            items.append(Text((around + 6.5, middle), word, SMALL_MM, "centre", 90.0))
            break
    return items


def once_round(y: float, around: float) -> list[Item]:
    """A line as long as the circumference, whose ends meet on the tube."""
    items: list[Item] = [Line((0.0, y), (around, y), NOTES)]
    for x, way in ((0.0, 1.0), (around, -1.0)):
        items.append(Line((x, y - 1.5), (x, y + 1.5), NOTES))
        arrow = np.array([[x + 3 * way, y + 0.6], [x, y], [x + 3 * way, y - 0.6]])
        items.append(Polyline(arrow, False, NOTES))
    for words in (
        f"once round: {format_mm(around)} mm; its ends must just meet on the tube",
        f"once round {format_mm(around)}: ends must meet",
        f"{format_mm(around)}",
    ):
        if text_width(words, SMALL_MM) < around - 8.0:
            items.append(Text((around / 2, y + 1.2), words, SMALL_MM, "centre"))
            break
    return items


def _waste(cut: Cut, radius: float) -> list[Item]:
    """The word "waste" above the line, on both sides of the sheet where there is room."""
    around = math.tau * radius
    items: list[Item] = []
    size = NOTE_MM
    half = text_width("waste", size) / 2
    places = [around / 2] if around < 12 * half else [around * share for share in (0.2, 0.5, 0.8)]
    for x in places:
        near = np.abs(radius * cut.phi - x) <= half + 1.0
        ends = np.array([x - half - 1.0, x + half + 1.0]) / radius
        top = max(
            float(np.max(cut.line[near], initial=-math.inf)), float(np.max(cut.line_at(ends)))
        )
        items.append(Text((x, top + 2.0), "waste", size, "centre"))
    return items


def _bevel(cut: Cut, arc: BevelArc, radius: float) -> list[Item]:
    """A second line under the cut line where the weld needs a bevel, with the angle there."""
    items: list[Item] = []
    down = 2.5
    start, end = math.radians(arc.start_deg), math.radians(arc.end_deg)
    pieces = [(start, min(end, math.tau))]
    if end > math.tau:
        pieces.append((0.0, end - math.tau))
    for left, right in pieces:
        inner = cut.phi[(cut.phi > left) & (cut.phi < right)]
        phi = np.concatenate(([left], inner, [right]))
        heights = cut.line_at(phi)
        items.append(Polyline(np.column_stack((radius * phi, heights - down)), False, NOTES))
        for angle, top in ((left, heights[0]), (right, heights[-1])):
            x = radius * angle
            items.append(Line((x, float(top) - down - 1.0), (x, float(top)), NOTES))
    left, right = max(pieces, key=lambda piece: piece[1] - piece[0])
    word = f"bevel, {arc.extreme_deg:.0f}°"
    half = text_width(word, SMALL_MM) / 2 + 0.5
    around = math.tau * radius
    places = [
        x
        for x in (radius * np.linspace(left, right, 17)[_MIDDLE_FIRST]).tolist()
        if half < x < around - half
    ]
    if places:
        # Not across a quarter line, where there is another place.
        clear = [x for x in places if all(abs(x - q * around / 4) > half for q in (1, 2, 3))]
        x = (clear or places)[0]
        span = np.linspace(x - half, x + half, 41) / radius
        y = float(np.min(cut.line_at(span))) - down - 1.2 - SMALL_MM
        items.append(Text((x, y), word, SMALL_MM, "centre"))
    return items
