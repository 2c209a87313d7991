"""Where words can stand: how much lines and other words are in their way."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from shapely import LineString, Polygon, STRtree

from templates_out.clip import strokes_of, texts_of
from templates_out.drawing import NOTES, Drawing, Line, Polyline, Text
from templates_out.fonts import text_width

_MARGIN = 0.35
"""Clear round a word, in letter heights."""
_WORD = 100.0
"""A word on a word is as bad as one on so many mm of lines."""


class Room:
    """A drawing that words are written on, one after the other.

    Args:
        drawing: what is there already.
    """

    def __init__(self, drawing: Drawing) -> None:
        self._lines = [_line(stroke) for stroke in strokes_of(drawing) if len(stroke.points) > 1]
        self._tree = STRtree(self._lines)
        self._later: list[LineString] = []
        self._words = [word_box(text) for text in texts_of(drawing)]

    def trouble(self, text: Text) -> float:
        """What is in a word's way: mm of lines through it, and words, which weigh more; 0 where it is clear."""
        box = word_box(text)
        near = [self._lines[which] for which in self._tree.query(box, predicate="intersects")]
        lines: float = sum(
            line.intersection(box).length + 0.1
            for line in (*near, *self._later)
            if line.intersects(box)
        )
        return lines + _WORD * sum(bool(word.intersects(box)) for word in self._words)

    def crosses_words(self, line: Line) -> bool:
        """Whether a line runs through a word."""
        drawn = LineString([line.start, line.end])
        return any(word.intersects(drawn) for word in self._words)

    def write(self, text: Text) -> None:
        """Take the room of a word."""
        self._words.append(word_box(text))

    def draw(self, line: Line) -> None:
        """Take the room of a line."""
        self._later.append(LineString([line.start, line.end]))

    def best(self, choices: Iterable[Text]) -> Text:
        """The first choice that is clear, else the one with the least in its way; its room is taken."""
        least: tuple[float, Text] | None = None
        for text in choices:
            trouble = self.trouble(text)
            if least is None or trouble < least[0]:
                least = trouble, text
            if trouble == 0:
                break
        assert least is not None  # noqa: S101 - there is a first choice
        self.write(least[1])
        return least[1]


def word_box(text: Text, margin: float = _MARGIN) -> Polygon:
    """The rectangle round a word as it is turned, tails below its line not counted.

    Args:
        text: the word.
        margin: clear round it, in letter heights.
    """
    clear = margin * text.height
    width = text_width(text.text, text.height)
    left = {"left": 0.0, "centre": -width / 2, "right": -width}[text.anchor]
    across, up = (left - clear, left + width + clear), (-clear, text.height + clear)
    turn = math.radians(text.turn_deg)
    cosine, sine = math.cos(turn), math.sin(turn)
    corners = ((across[0], up[0]), (across[1], up[0]), (across[1], up[1]), (across[0], up[1]))
    return Polygon(
        [
            (cosine * x - sine * y + text.at[0], sine * x + cosine * y + text.at[1])
            for x, y in corners
        ]
    )


def framed(drawing: Drawing) -> Drawing:
    """A drawing's strokes, and a frame in place of each word, to see what is in the way of something."""
    frames = (
        Polyline(np.array(word_box(text).exterior.coords), False, NOTES)
        for text in texts_of(drawing)
    )
    return Drawing((*strokes_of(drawing), *frames))


def _line(stroke: Polyline) -> LineString:
    points = stroke.points
    return LineString(np.vstack((points, points[:1])) if stroke.closed else points)
