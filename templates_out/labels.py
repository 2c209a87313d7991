"""Words beside what they name, where neither a stroke nor another word is in their way."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from templates_out.canvas import box_of
from templates_out.clip import strokes_of, texts_of
from templates_out.drawing import DIMENSIONS, XY, Drawing, Item, Line, Text
from templates_out.fonts import text_width
from templates_out.tile_plan import stroke_points

_TURNS = tuple(math.radians(turn) for turn in (0, 25, -25, 50, -50, 80, -80, 115, -115, 150, -150))
_REACHES = (1.0, 1.6, 2.4, 3.6, 5.0)
_LEADER = 1.5
"""A word that stands farther off than this many reaches has a thin line to what it names."""


class Labels:
    """Places words on a drawing, one after the other.

    Args:
        drawing: what is there already.
        height: of the letters, mm.
    """

    def __init__(self, drawing: Drawing, height: float) -> None:
        self._height = height
        lines = [np.vstack((s.points, s.points[:1])) if s.closed else s.points for s in strokes_of(drawing)]  # fmt: skip
        self._points = stroke_points(lines, 0.4 * height) if lines else np.zeros((0, 2))
        self._boxes: list[tuple[XY, XY]] = [box_of(text) for text in texts_of(drawing)]

    def place(self, word: str, at: XY, out: XY, reach: float) -> list[Item]:
        """The word beside a place, and a line to it where it has to stand farther away.

        Args:
            word: to be written.
            at: what it names.
            out: the direction in which it should stand.
            reach: how far from the place the word's edge should be, mm.
        """
        towards = math.atan2(out[1], out[0])
        best: tuple[float, Text, XY, float] | None = None
        for far in _REACHES:
            for turn in _TURNS:
                way = (math.cos(towards + turn), math.sin(towards + turn))
                text = self._text(word, at, way, reach * far)
                trouble = self._trouble(text)
                if best is None or trouble < best[0]:
                    best = trouble, text, way, far
                if trouble == 0:
                    return self._kept(text, at, way, reach, far)
        assert best is not None  # noqa: S101 - there is always a first try
        return self._kept(best[1], at, best[2], reach, best[3])

    def _text(self, word: str, at: XY, way: XY, away: float) -> Text:
        """The word whose nearest edge is so far from a place."""
        wide, high = text_width(word, self._height) / 2, self._height / 2
        x = at[0] + way[0] * (away + wide * abs(way[0]))
        y = at[1] + way[1] * (away + high * abs(way[1]))
        return Text((x, y - high), word, self._height, "centre")

    def _kept(self, text: Text, at: XY, way: XY, reach: float, far: float) -> list[Item]:
        self._boxes.append(box_of(text))
        if far <= _LEADER:
            return [text]
        near, end = 0.4 * reach, reach * far - 0.3 * self._height
        line = Line(
            (at[0] + way[0] * near, at[1] + way[1] * near),
            (at[0] + way[0] * end, at[1] + way[1] * end),
            DIMENSIONS,
        )
        steps = np.linspace(near, end, max(int((end - near) / (0.4 * self._height)), 2))
        more = np.array(at) + steps[:, None] * np.array(way)
        self._points = np.vstack((self._points, more))
        return [text, line]

    def _trouble(self, text: Text) -> float:
        """How much is in a word's way: stroke points, and words, which weigh more."""
        (left, low), (right, high) = box_of(text)
        x, y = self._points[:, 0], self._points[:, 1]
        inside = (x > left) & (x < right) & (y > low) & (y < high)
        over = sum(
            left < right_ and right > left_ and low < high_ and high > low_
            for (left_, low_), (right_, high_) in self._boxes
        )
        return float(np.count_nonzero(inside)) + 50.0 * over


def labelled(
    drawing: Drawing, words: Iterable[tuple[str, XY, XY]], reach: float, height: float
) -> Drawing:
    """A drawing with words beside places of it: each word, the place, and the way it should stand off it."""
    labels = Labels(drawing, height)
    items: Sequence[Item] = [
        item for word, at, out in words for item in labels.place(word, at, out, reach)
    ]
    return drawing + Drawing(tuple(items))
