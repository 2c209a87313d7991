"""The wrap of a tube end: the cut line unrolled, to tape round the tube and mark or cut along."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np

from geometry.arrays import Floats
from geometry.lengths import format_mm, in_inches, mm, with_inches
from templates_out.canvas import box_of
from templates_out.drawing import (
    DATUM,
    FOLD,
    NOTE_MM,
    NOTES,
    OUTLINE,
    SMALL_MM,
    Anchor,
    Drawing,
    Item,
    Line,
    Polyline,
    Text,
)
from templates_out.fonts import text_width, wrapped
from templates_out.wrap_line import WrapLine
from templates_out.wrap_marks import arc_marks, waste_words

TAB_MM = 10.0
LONGEST_LINE_MM = 150.0
"""Longer lines of words are hard to follow, and would run across the joints of tiles."""

NARROW_MM = 70.0
"""A wrap narrower than this has its words beside it, in a column of ``BESIDE_MM``."""

BESIDE_MM = 80.0
_NARROW_BRIEF_MM = 45.0

DEFAULT_PAPER_MM = 0.1
"""Thickness of 80 g/m2 copy paper (a-size.com, paper weight and thickness)."""

_ROW_MM = 4.0
_LEAST_BODY_MM = 30.0
_BARE_MM = 5.0
_NAMES_MM = 8.4
_NAMES_APART_MM = 1.5


@dataclass(frozen=True)
class WrapWords:
    """What a wrap says.

    Attributes:
        name: the tube's name, which end, and what it sits on.
        facts: the joint in figures.
        datum: what the datum line faces.
        quarters: words for the lines at 90, 180 and 270 degrees, beginning with the angle.
        sides: which way the joint lies round the tube, in one sentence; "" where it makes no
            difference.
        marks: short names of the datum, the quarter lines and the datum again.
        brief: what is the same for all wraps of a book stands on its sheets, not on each wrap.
        placing: on paper, where along the tube the wrap is put.
        inches: lengths are told in inches beside the mm.
    """

    name: str
    facts: str
    datum: str
    quarters: tuple[str, str, str]
    sides: str = ""
    marks: tuple[str, str, str, str, str] = ("0°", "90°", "180°", "270°", "360°")
    brief: bool = False
    placing: str = ""
    inches: bool = False


def wrap_outline(line: WrapLine, x: Floats, foot: float) -> Floats:
    """Closed outline (n, 2): the cut line once round, then back along the foot.

    Args:
        line: the line.
        x: where its vertices stand across, (n,).
        foot: height of the foot.
    """
    upper = np.column_stack((x, line.heights))
    lower = np.array([[x[-1], foot], [0.0, foot]])
    return np.vstack((upper, lower))


def foot_height(line: WrapLine, body: float) -> float:
    """Height of the wrap's foot: at least ``body`` below the short point, a whole number of mm."""
    return float(math.floor(line.short_point - body))


def foot_words(foot: float, *, inches: bool = False) -> str:
    """Where the foot stands on the tube."""
    side = "short of" if foot <= 0 else "beyond"
    away = with_inches(mm(abs(foot)), wanted=inches)
    return f"foot of this wrap: {away} {side} the work point"


def wrap_for_file(line: WrapLine, words: WrapWords) -> Drawing:
    """The wrap for DXF: x = distance round without paper thickness; outline, datum lines and notes only."""
    foot = foot_height(line, _LEAST_BODY_MM)
    items: list[Item] = [Polyline(wrap_outline(line, line.places, foot), True, OUTLINE)]
    tops = line.height_at(line.quarters).tolist()
    for x, top in zip(line.quarters.tolist(), tops, strict=True):
        items.append(Line((x, foot - 4.0), (x, top), DATUM))
    for x in line.corners:
        items.append(Line((x, foot), (x, foot + 10.0), NOTES))
    items += _quarter_names(words, line.quarters, foot - 8.0)
    y = foot - 16.0
    for text in (
        words.name,
        words.facts,
        "units: mm, 1:1; seen from outside, tube end up; waste is above the curve",
        f"left edge: {words.datum}; {foot_words(foot, inches=words.inches)}",
        words.sides,
    ):
        if text:
            items.append(Text((0.0, y), text, NOTE_MM))
            y -= 6.0
    return Drawing(tuple(items))


@dataclass(frozen=True)
class WrapBody:
    """What stands below a wrap's curve.

    Attributes:
        foot: height of its foot, mm.
        beside: the words stand beside the wrap, not in it.
    """

    foot: float
    beside: bool


def wrap_body(
    line: WrapLine,
    words: WrapWords,
    paper_mm: float = DEFAULT_PAPER_MM,
    lowest: float = -math.inf,
) -> WrapBody:
    """How far down a wrap reaches.

    Args:
        line: the line.
        words: what it says.
        paper_mm: thickness of the paper.
        lowest: height below which the tube is bent, and a wrap does not lie on it.
    """
    quarters = line.on_paper(paper_mm)(line.quarters)
    around = float(quarters[-1])
    # On a small tube the words would be chopped up: they stand beside the wrap.
    beside = around < (_NARROW_BRIEF_MM if words.brief else NARROW_MM)
    # The foot's height is not known before the words that tell it: count those of a long one.
    lines = _body_lines(words, _words_width(around, beside), -9999.0, line, quarters)
    bare = _NAMES_MM + SMALL_MM + 1.8 + _above(line)
    needed = bare + (0 if beside else _ROW_MM * len(lines))
    foot = foot_height(line, max(_LEAST_BODY_MM, needed))
    if foot < lowest:
        beside = True
        foot = min(max(foot, float(math.ceil(lowest))), foot_height(line, bare))
    return WrapBody(foot, beside)


def _above(line: WrapLine) -> float:
    """Room between the curve and the words: those that name a bevel or an open part stand just under it."""
    return _BARE_MM + (_ROW_MM if line.bevels or line.opens else 0.0)


def _words_width(around: float, beside: bool) -> float:
    return BESIDE_MM if beside else min(around - 12.0, LONGEST_LINE_MM)


def wrap_for_paper(
    line: WrapLine,
    words: WrapWords,
    paper_mm: float = DEFAULT_PAPER_MM,
    body: WrapBody | None = None,
) -> Drawing:
    """The wrap as it is printed, laid out half the paper's thickness outside the tube.

    Seen from outside, the tube's end up: x to the right is increasing phi from the datum, y is
    height. All that is needed once it is cut out stands inside it: the datum and quarter lines with
    their names, which edge faces the tube's end, the parts to bevel and the parts that touch
    nothing, a line that goes just once round, where the foot stands; a tab at the right. The word
    "waste" stands beyond the line. On a box section's wrap the corners to fold round are marked.
    """
    x = line.on_paper(paper_mm)
    quarters = x(line.quarters)
    around = float(quarters[-1])
    if body is None:
        body = wrap_body(line, words, paper_mm)
    foot, beside = body.foot, body.beside
    above = _above(line)
    lines = _body_lines(words, _words_width(around, beside), foot, line, quarters)
    items: list[Item] = [Polyline(wrap_outline(line, x(line.places), foot), True, OUTLINE)]
    clear = (foot + 3.0, line.short_point - 3.0)
    tops = line.height_at(line.quarters).tolist()
    for quarter, (at, top) in enumerate(zip(quarters.tolist(), tops, strict=True)):
        if quarter in (0, 4):
            items.append(Line((at, foot), (at, top), DATUM))
        else:
            items.append(Line((at, foot), (at, clear[0]), DATUM))
            items.append(Line((at, clear[1]), (at, top), DATUM))
    if line.corners:
        edges = np.array(line.corners)
        for at, top in zip(x(edges).tolist(), line.height_at(edges).tolist(), strict=True):
            items.append(Line((at, foot), (at, foot + 2.5), FOLD))
            items.append(Line((at, max(clear[1], top - 8.0)), (at, top), FOLD))
    items += _quarter_names(words, quarters, foot + _NAMES_MM)
    items += _tab(float(line.heights[-1]), foot, around)
    items += once_round(foot + 3.0, around, "tube", inches=words.inches)
    left, y = 6.0, line.short_point - above - SMALL_MM
    if beside:
        left, y = around + TAB_MM + 5.0, max(y, foot + _ROW_MM * len(lines))
    for text in lines:
        items.append(Text((left, y), text, SMALL_MM))
        y -= _ROW_MM
    items += waste_words(line, x)
    items += arc_marks(line, x)
    return Drawing(tuple(items))


def _body_lines(
    words: WrapWords, width: float, foot: float, line: WrapLine, quarters: Floats
) -> list[str]:
    if words.brief:
        texts = [words.name, words.facts, f"this side out; left edge: {words.datum}"]
        texts += [words.sides, _ways_left_out(words, quarters), words.placing]
    else:
        texts = [
            words.name,
            words.facts,
            "this side out; the curve faces the tube's end, and what is beyond it is waste",
            f"left edge on the {words.datum}",
            words.sides,
            foot_words(foot, inches=words.inches),
        ]
        if line.bevels:
            texts.append("thin line under the curve: bevel there, after cutting")
    return [row for text in texts if text for row in wrapped(text, width, SMALL_MM)]


def _quarter_names(words: WrapWords, quarters: Floats, y: float) -> list[Item]:
    """The names of the datum and quarter lines, beside or across them: all three quarters say as much as there is room for."""
    marks = words.marks
    bare = [
        name.removeprefix(mark).strip() or mark
        for name, mark in zip(words.quarters, marks[1:4], strict=True)
    ]
    fuller = (bare, list(marks[1:4])) if words.brief else (list(marks[1:4]), bare)
    firsts = (f"{marks[0]} datum", marks[0])
    for middle in (list(words.quarters), *fuller):
        # What the datum is stands in the words too, and 360 is 0 again.
        for first, last in product(firsts, (marks[4], "")):
            items = _in_a_line((first, *middle, last), quarters, y)
            if _stand_apart(items):
                return list(items)
    return list(_in_a_line((marks[0], "", marks[2], "", ""), quarters, y))


def _ways_left_out(words: WrapWords, quarters: Floats) -> str:
    """Which way the quarters face, where there was no room to say it beside them; "" where there was."""
    shown = {item.text for item in _quarter_names(words, quarters, 0.0) if isinstance(item, Text)}
    if all(
        name in shown or name.removeprefix(mark).strip() in shown
        for name, mark in zip(words.quarters, words.marks[1:4], strict=True)
    ):
        return ""
    return f"lines, left to right: {'; '.join(words.quarters)}"


def _in_a_line(names: tuple[str, ...], quarters: Floats, y: float) -> list[Text]:
    anchors: tuple[Anchor, ...] = ("left", "centre", "centre", "centre", "right")
    inside = {"left": 1.0, "right": -1.0, "centre": 0.0}
    return [
        Text((float(x) + inside[anchor], y), name, SMALL_MM, anchor)
        for name, x, anchor in zip(names, quarters, anchors, strict=True)
        if name
    ]


def _stand_apart(line: list[Text]) -> bool:
    boxes = [box_of(text) for text in line]
    return all(one[1][0] + _NAMES_APART_MM <= other[0][0] for one, other in pairwise(boxes))


def _tab(last: float, foot: float, around: float) -> list[Item]:
    """A tab at the right that goes under the left edge."""
    top = max(min(last - 4.0, foot + 60.0), foot + 12.0)
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


def once_round(y: float, around: float, what: str, *, inches: bool = False) -> list[Item]:
    """A line as long as the circumference, whose ends meet on the tube or target (``what``)."""
    long = with_inches(mm(around), wanted=inches)
    short = in_inches(mm(around)) if inches else format_mm(around)
    items: list[Item] = [Line((0.0, y), (around, y), NOTES)]
    for x, way in ((0.0, 1.0), (around, -1.0)):
        items.append(Line((x, y - 1.5), (x, y + 1.5), NOTES))
        arrow = np.array([[x + 3 * way, y + 0.6], [x, y], [x + 3 * way, y - 0.6]])
        items.append(Polyline(arrow, False, NOTES))
    for words in (
        f"once round with the paper: {long}; its ends must just meet on the {what}",
        f"round with paper {short}: ends must meet",
        f"once round {short}: ends must meet",
        f"once round {short}",
        f"round {short}",
        short,
    ):
        if text_width(words, SMALL_MM) < around - 8.0:
            half = text_width(words, SMALL_MM) / 2
            items.append(Text((min(around / 2, half + 6.0), y + 1.2), words, SMALL_MM, "centre"))
            break
    return items
