"""The title block of a drawing, with the fields of ISO 7200 and the symbol of its projection."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

import numpy as np

from geometry.title import BLANK_TITLE, Projection, TitleFacts
from templates_out.drawing import (
    CENTRELINE,
    NOTE_MM,
    SMALL_MM,
    TITLE_MM,
    Arc,
    Drawing,
    Item,
    Line,
    Pen,
    Polyline,
    Text,
)
from templates_out.fonts import shortened, text_width

WIDTH_MM, ROW_MM, TALL_ROW_MM = 180.0, 9.4, 12.0
HEIGHT_MM = 3 * ROW_MM + TALL_ROW_MM
_FRAME = Pen("NOTES", 0.35)
_RULE = Pen("NOTES", 0.18)
# On its own layer: the outline's and the centreline's hold the tube alone.
_CHAIN = Pen("NOTES", 0.18, CENTRELINE.dash)
_PAD = 1.2


@dataclass(frozen=True)
class Issue:
    """Which drawing it is.

    Attributes:
        facts: what is said of all drawings of the job.
        number: of this one.
        job: the frame's name; "" for a tube on its own.
        hand: "left", "right" or "".
        opposite: number of the other hand's drawing, or "".
    """

    facts: TitleFacts = BLANK_TITLE
    number: str = ""
    job: str = ""
    hand: str = ""
    opposite: str = ""

    def without_hand(self, name: str) -> str:
        """A part's name without its hand, which is said apart."""
        return name.removesuffix(f" {self.hand}") if self.hand else name


def drawing_number(facts: TitleFacts, job: str, place: int, hand: str) -> str:
    """The number of a tube's drawing: the job's, or its name's first letters, the tube's place in it, and its hand.

    Args:
        facts: with the job's number, if it has one.
        job: the frame's name.
        place: of the tube in fit-up order, from 1.
        hand: "left", "right" or "".
    """
    plain = unicodedata.normalize("NFKD", job).encode("ascii", "ignore").decode()
    first = "".join(word[0] for word in re.findall(r"[A-Za-z0-9]+", plain))[:10].upper()
    return f"{facts.number or first or 'F'}-{place:02d}{hand[:1].upper()}"


@dataclass(frozen=True)
class Cell:
    """A field of the block: what it is, what it says, and how wide it is, mm."""

    name: str
    value: str
    width: float
    height: float = NOTE_MM


def title_block(rows: tuple[tuple[Cell, ...], ...], projection: Projection) -> Drawing:
    """The block, its lower left corner at the origin: rows of fields from the top, the symbol in the last one's end.

    Args:
        rows: each 180 mm wide; the last cell of the last row is the symbol's.
        projection: that it stands for.
    """
    tall = [TALL_ROW_MM if any(cell.height == TITLE_MM for cell in row) else ROW_MM for row in rows]
    top = height = sum(tall)
    box = np.array([[0.0, 0.0], [WIDTH_MM, 0.0], [WIDTH_MM, height], [0.0, height]])
    items: list[Item] = [Polyline(box, True, _FRAME)]
    for row, high in zip(rows, tall, strict=True):
        if top < height:
            items.append(Line((0.0, top), (WIDTH_MM, top), _RULE))
        x = 0.0
        for cell in row:
            if x > 0:
                items.append(Line((x, top), (x, top - high), _RULE))
            room = cell.width - 2 * _PAD
            heading = shortened(cell.name, room, SMALL_MM)
            items.append(Text((x + _PAD, top - SMALL_MM - 1.0), heading, SMALL_MM))
            if cell.value:
                small = text_width(cell.value, cell.height) > room
                size = (
                    min(cell.height, NOTE_MM if cell.height == TITLE_MM else SMALL_MM)
                    if small
                    else cell.height
                )
                value = shortened(cell.value, room, size)
                items.append(Text((x + _PAD, top - high + 1.4), value, size))
            x += cell.width
        top -= high
    symbol = projection_symbol(projection)
    return Drawing(tuple(items)) + symbol.placed(WIDTH_MM - 11.0, 0.5 * ROW_MM)


def projection_symbol(projection: Projection) -> Drawing:
    """ISO 5456-2's symbol, 18 mm wide, its middle at the origin: a cone cut short, and its small end seen.

    First angle: the view from the cone's small end, which points to the left, stands on the other side, to the
    right; third angle: on its own side, to the left.
    """
    small, large, half = 1.5, 3.0, 3.0
    side = -5.0 if projection == "first" else 5.0
    cone = np.array(
        [
            [side - half, -small],
            [side - half, small],
            [side + half, large],
            [side + half, -large],
        ]
    )
    items: list[Item] = [
        Polyline(cone, True, _FRAME),
        Arc((-side, 0.0), small, 0, 360, _FRAME),
        Arc((-side, 0.0), large, 0, 360, _FRAME),
        Line((-8.7, 0.0), (8.7, 0.0), _CHAIN),
        Line((-side, -3.8), (-side, 3.8), _CHAIN),
    ]
    return Drawing(tuple(items))
