"""Where words can stand: how much lines and other words are in their way."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from geometry.arrays import Floats
from templates_out.clip import strokes_of, texts_of
from templates_out.drawing import NOTES, XY, Drawing, Line, Polyline, Text
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
        lines = [np.zeros((0, 2, 2)), *(_segments(stroke) for stroke in strokes_of(drawing))]
        self._lines = np.vstack(lines)
        self._reach = _boxes(self._lines)
        self._words: list[Text] = []
        self._edges = np.zeros((0, 4))
        for text in texts_of(drawing):
            self.write(text)

    def trouble(self, text: Text) -> float:
        """What is in a word's way: mm of lines through it, and words, which weigh more; 0 where it is clear."""
        box = _corners(text)
        lines = self._lines[_near(self._reach, box)]
        enter, leave = _spans_inside(lines, text)
        sizes = np.linalg.norm(lines[:, 1] - lines[:, 0], axis=1)
        through = float(np.sum(np.maximum(leave - enter, 0.0) * sizes))
        words = np.flatnonzero(_near(self._edges, box))
        return through + _WORD * sum(_on_each_other(text, self._words[which]) for which in words)

    def crosses_words(self, line: Line) -> bool:
        """Whether a line runs through a word."""
        drawn = np.array([[line.start, line.end]])
        spans = (
            _spans_inside(drawn, self._words[which])
            for which in np.flatnonzero(_near(self._edges, drawn[0]))
        )
        return any(bool(leave[0] > enter[0]) for enter, leave in spans)

    def write(self, text: Text) -> None:
        """Take the room of a word."""
        self._words.append(text)
        self._edges = np.vstack((self._edges, _boxes(_corners(text)[None])))

    def draw(self, line: Line) -> None:
        """Take the room of a line."""
        drawn = np.array([[line.start, line.end]])
        self._lines = np.vstack((self._lines, drawn))
        self._reach = np.vstack((self._reach, _boxes(drawn)))

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


def framed(drawing: Drawing) -> Drawing:
    """A drawing's strokes, and a frame in place of each word, to see what is in the way of something."""
    frames = (Polyline(_corners(text), True, NOTES) for text in texts_of(drawing))
    return Drawing((*strokes_of(drawing), *frames))


def up_to(start: XY, text: Text) -> XY | None:
    """Where the way from a place to a word's middle meets the word; None for a place inside it."""
    corners = _corners(text)
    way = np.array([[start, (corners[0] + corners[2]) / 2]])
    share = float(_spans_inside(way, text)[0][0])
    end = way[0, 0] + share * (way[0, 1] - way[0, 0])
    return (float(end[0]), float(end[1])) if share > 0 else None


def _segments(stroke: Polyline) -> Floats:
    """The pieces of a stroke, (n, 2, 2)."""
    points = np.vstack((stroke.points, stroke.points[:1])) if stroke.closed else stroke.points
    return np.stack((points[:-1], points[1:]), axis=1)


def _boxes(points: Floats) -> Floats:
    """Left, lower, right and upper edge (n, 4) of the upright boxes round points (n, m, 2)."""
    return np.concatenate((points.min(axis=1), points.max(axis=1)), axis=1)


def _near(boxes: Floats, points: Floats) -> Floats:
    """Which of some boxes (n, 4) have a place in common with the one round points (m, 2)."""
    left, low, right, high = boxes.T
    ((x0, y0, x1, y1),) = _boxes(points[None]).tolist()
    return np.asarray((left <= x1) & (low <= y1) & (right >= x0) & (high >= y0))


def _box(text: Text) -> tuple[Floats, Floats]:
    """Lower left and upper right corner of a word and what is clear round it, before it is turned and put in its place.

    Tails below the line are in what is clear.
    """
    clear = _MARGIN * text.height
    width = text_width(text.text, text.height)
    left = {"left": 0.0, "centre": -width / 2, "right": -width}[text.anchor]
    low = np.array((left - clear, -clear))
    return low, low + (width + 2 * clear, text.height + 2 * clear)


def _turn(text: Text) -> Floats:
    """Rows: the directions along a word and up from it."""
    turn = math.radians(text.turn_deg)
    return np.array(((math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))))


def _corners(text: Text) -> Floats:
    """The corners (4, 2) of a word's rectangle, one after the other."""
    (left, low), (right, high) = _box(text)
    corners = np.array(((left, low), (right, low), (right, high), (left, high)))
    return corners @ _turn(text) + text.at


def _spans_inside(lines: Floats, text: Text) -> tuple[Floats, Floats]:
    """The shares of straight lines (n, 2, 2) at which each enters and leaves a word's rectangle; the first is the larger outside it."""
    low, high = _box(text)
    start, end = np.moveaxis((lines - text.at) @ _turn(text).T, 1, 0)
    way = end - start
    # A line that runs along an axis is inside between its two edges or never.
    way = np.where(np.abs(way) < 1e-12, 1e-12, way)
    one, other = (low - start) / way, (high - start) / way
    enter = np.maximum(np.minimum(one, other).max(axis=1), 0.0)
    leave = np.minimum(np.maximum(one, other).min(axis=1), 1.0)
    return enter, leave


def _on_each_other(one: Text, other: Text) -> bool:
    """Whether the rectangles of two words have a place in common, if the upright boxes round them do."""
    if one.turn_deg == other.turn_deg == 0:
        return True
    for text, word in ((one, other), (other, one)):
        corners = _corners(word)
        enter, leave = _spans_inside(
            np.stack((corners, np.roll(corners, -1, axis=0)), axis=1), text
        )
        if np.any(leave > enter):
            return True
    return False
