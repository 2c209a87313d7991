"""Words beside what they name, where neither a stroke nor another word is in their way."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from templates_out.drawing import DIMENSIONS, XY, Drawing, Item, Line, Text
from templates_out.fonts import text_width
from templates_out.room import Room, up_to

_TURNS = tuple(math.radians(turn) for turn in (0, 25, -25, 50, -50, 80, -80, 115, -115, 150, -150))
_REACHES = (1.0, 1.6, 2.4, 3.6, 5.0)
_LEADER = 1.5
"""A word that stands farther off than this many reaches has a thin line to what it names."""
_SAME_MM = 0.5
"""What is nearer together is one spot on paper, and its words stand together."""
_LEADER_CROSSES = 50.0


class Labels:
    """Places words on a drawing, one after the other.

    Args:
        drawing: what is there already.
        height: of the letters, mm.
    """

    def __init__(self, drawing: Drawing, height: float) -> None:
        self._height = height
        self._room = Room(drawing)

    def place(self, word: str, at: XY, out: XY, reach: float) -> list[Item]:
        """The word beside a place, and a line to it where it has to stand farther away.

        Args:
            word: to be written.
            at: what it names.
            out: the direction in which it should stand.
            reach: how far from the place the word's edge should be, mm.
        """
        towards = math.atan2(out[1], out[0])
        best: tuple[float, list[Item]] | None = None
        for far in _REACHES:
            for turn in _TURNS:
                way = (math.cos(towards + turn), math.sin(towards + turn))
                text = self._text(word, at, way, reach * far)
                leader = _leader(text, at, way, 0.4 * reach) if far > _LEADER else None
                trouble = self._room.trouble(text)
                if leader and self._room.crosses_words(leader):
                    trouble += _LEADER_CROSSES
                if best is None or trouble < best[0]:
                    best = trouble, [text, *([leader] if leader else [])]
                if trouble == 0:
                    return self._kept(best[1])
        assert best is not None  # noqa: S101 - there is always a first try
        return self._kept(best[1])

    def _text(self, word: str, at: XY, way: XY, away: float) -> Text:
        """The word whose nearest edge is so far from a place."""
        wide, high = text_width(word, self._height) / 2, self._height / 2
        x = at[0] + way[0] * (away + wide * abs(way[0]))
        y = at[1] + way[1] * (away + high * abs(way[1]))
        return Text((x, y - high), word, self._height, "centre")

    def _kept(self, items: list[Item]) -> list[Item]:
        for item in items:
            if isinstance(item, Text):
                self._room.write(item)
            elif isinstance(item, Line):
                self._room.draw(item)
        return items


def _leader(text: Text, at: XY, way: XY, near: float) -> Line | None:
    """From so near what is named towards a word's middle, as far as the word; none where that is no way."""
    start = (at[0] + way[0] * near, at[1] + way[1] * near)
    end = up_to(start, text)
    return Line(start, end, DIMENSIONS) if end else None


def labelled(
    drawing: Drawing, words: Iterable[tuple[str, XY, XY]], reach: float, height: float
) -> Drawing:
    """A drawing with words beside places of it: each word, the place, and the way it should stand off it.

    What names the same spot stands there in one line.
    """
    labels = Labels(drawing, height)
    items: Sequence[Item] = [
        item for word, at, out in _joined(words) for item in labels.place(word, at, out, reach)
    ]
    return drawing + Drawing(tuple(items))


def _joined(words: Iterable[tuple[str, XY, XY]]) -> list[tuple[str, XY, XY]]:
    """The words of each spot in one, each said once."""
    spots: list[tuple[list[str], XY, XY]] = []
    for word, at, out in words:
        there = next((said for said, place, _ in spots if math.dist(place, at) < _SAME_MM), None)
        if there is None:
            spots.append(([word], at, out))
        elif word not in there:
            there.append(word)
    return [("; ".join(said), at, out) for said, at, out in spots]
