"""What stands on every sheet: both bars, what it is, how to print it, the caution."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.errors import BadText
from templates_out.correction import NO_CORRECTION, Correction
from templates_out.drawing import (
    CHECK,
    NOTE_MM,
    SMALL_MM,
    TITLE_MM,
    Drawing,
    Item,
    Line,
    Text,
)
from templates_out.fonts import shortened, wrapped
from templates_out.paper import BAND_MM, STRIP_MM, Paper

BAR_MM = 100.0
_ROW_MM = 3.7
_LEAST_ROW_MM = 2.9
_LEADING_MM = 0.9
_MANY = 99
PRINT_RULE = "print at 100 %, measure both bars first"
CAUTION = (
    "Caution: a template is an aid. Fit and inspect before welding; a weld that fails can kill. "
    "Local rules and a qualified welder or engineer decide."
)


@dataclass(frozen=True, eq=False)
class Sheet:
    """One page.

    Attributes:
        paper: its size.
        drawing: all that is on it, mm from the lower left corner of the page.
        title: what it is, for the outline of the document.
        label: the page's number, such as "2".
        tile: name of the tile on it, such as "B1"; "" where the sheet is whole.
    """

    paper: Paper
    drawing: Drawing
    title: str
    label: str
    tile: str = ""


@dataclass(frozen=True, eq=False)
class Content:
    """What one sheet shows, before its furniture.

    Attributes:
        paper: the sheet's size.
        drawing: in page coordinates, inside the paper's window.
        title: what it is.
        facts: lines of small print below the title.
        reserved: width at the right of the band that the drawing uses itself, mm.
        tile: name of the tile on it, such as "B1"; "" where the sheet is whole.
    """

    paper: Paper
    drawing: Drawing
    title: str
    facts: tuple[str, ...]
    reserved: float = 0.0
    tile: str = ""


def number_sheets(contents: list[Content], correction: Correction = NO_CORRECTION) -> list[Sheet]:
    """Add to each content the furniture of its sheet: page n of m, bars, facts and caution.

    Args:
        contents: in the order of the pages.
        correction: of the printer, named on every sheet; the drawings are not stretched here.
    """
    count = len(contents)
    return [
        Sheet(
            content.paper,
            content.drawing + furniture(content, number, count, correction),
            content.title,
            str(number),
            content.tile,
        )
        for number, content in enumerate(contents, 1)
    ]


def only(sheets: list[Sheet], words: str) -> list[Sheet]:
    """The sheets asked for again, by page number or tile name, each as it was.

    Args:
        sheets: all of a job.
        words: such as "2", "B1" or "2 5 B1".

    Raises:
        BadText: for a page or tile that there is not.
    """
    asked = [word.upper() for word in words.replace(",", " ").split()]
    known = {sheet.label for sheet in sheets} | {sheet.tile for sheet in sheets if sheet.tile}
    for word in asked or [""]:
        if word not in known:
            tiles = sorted({sheet.tile for sheet in sheets if sheet.tile})
            also = f" and the tiles {', '.join(tiles)}" if tiles else ""
            text = f"--only {word!r} is not a page of this job; there are pages 1 to {len(sheets)}{also}"
            raise BadText(text)
    return [sheet for sheet in sheets if {sheet.label, sheet.tile} & set(asked)]


def furniture(content: Content, number: int, count: int, correction: Correction) -> Drawing:
    """The bars, the title, the facts, the print rule, the page number and the caution."""
    live = content.paper.live
    left, foot = live.left, live.bottom
    right = live.right - STRIP_MM
    items: list[Item] = [
        *_bar(left + 0.3, foot + 0.5, upright=False),
        *_bar(live.right - 0.5, foot + 0.3, upright=True),
    ]
    beside = left + BAR_MM + 4
    items.append(Text((beside, foot + 5.2), PRINT_RULE, SMALL_MM))
    page, facts = f"page {number} of {count}", content.facts
    if correction == NO_CORRECTION:
        page += f"; {correction.words}"
    else:
        facts = (*facts, correction.words)
    items.append(Text((beside, foot + 1.4), page, SMALL_MM))
    y = foot + 9.5
    room = right - left - content.reserved
    lines = [line for words in (*facts, CAUTION) for line in wrapped(words, room, SMALL_MM)]
    top = foot + BAND_MM - 1.0
    title, height, row = _fitted_title(content.title, room, top - 1.0 - y, len(lines))
    for line in reversed(lines):
        items.append(Text((left, y), line, SMALL_MM))
        y += row
    pitch = height + _LEADING_MM
    below = (len(title) - 1) * pitch
    at = min(max(y + 1.0, foot + BAND_MM - 8.0), top - height - below)
    items += [
        Text((left, at + below - number * pitch), line, height) for number, line in enumerate(title)
    ]
    return Drawing(tuple(items))


def _fitted_title(
    title: str, width: float, space: float, facts: int
) -> tuple[list[str], float, float]:
    """A title over lines of small print in a space: its lines, its letters' height, and how far the small print's are apart.

    One large line where it fits; else smaller and over several lines, and the small print closer.
    """
    for height, most, least in (
        (TITLE_MM, 1, _ROW_MM),
        (NOTE_MM, 2, _LEAST_ROW_MM),
        (SMALL_MM, _MANY, _LEAST_ROW_MM),
    ):
        lines = wrapped(title, width, height)
        pitch = height + _LEADING_MM
        row = (space - len(lines) * pitch + _LEADING_MM) / facts
        if row >= least and len(lines) <= most:
            return lines, height, min(row, _ROW_MM)
    # The whole name stands on the part itself.
    room = max(int((space + _LEADING_MM - facts * _LEAST_ROW_MM) / pitch), 1)
    kept = [*lines[: room - 1], shortened(" ".join(lines[room - 1 :]), width, height)]
    return kept, height, _LEAST_ROW_MM


def _bar(x: float, y: float, *, upright: bool) -> list[Item]:
    """A bar of exactly 100 mm, from the outer edge of one end tick to that of the other, and its length in figures."""

    def at(along: float, across: float) -> tuple[float, float]:
        return (x - across, y + along) if upright else (x + along, y + across)

    items: list[Item] = [Line(at(0, 0), at(BAR_MM, 0), CHECK)]
    for step in range(11):
        tick = 3.0 if step in (0, 5, 10) else 1.8
        place = min(max(step * 10, CHECK.width / 2), BAR_MM - CHECK.width / 2)
        items.append(Line(at(place, 0), at(place, tick), CHECK))
    turn = 90.0 if upright else 0.0
    word = "upright bar" if upright else "level bar"
    items.append(Text(at(BAR_MM / 4, 3.4), f"{word}: 100 mm", SMALL_MM, "centre", turn))
    items.append(Text(at(3 * BAR_MM / 4, 3.4), "end to end (3.937 in)", SMALL_MM, "centre", turn))
    return items
