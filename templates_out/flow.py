"""Pictures, tables and lines of words one below the other, over as many sheets as they take."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from templates_out.drawing import NOTE_MM, SMALL_MM, Drawing, Item, Text
from templates_out.fonts import shortened, wrapped
from templates_out.paper import Box
from templates_out.table import ROW_MM, Table, table

LINE_MM = 4.0
_APART_MM = 1.2
_UNDER_MM = 3.0
_OVER_MM = 1.0
"""A table's upper line stands a little over its head."""


class Flow:
    """Fills sheets from the top.

    Args:
        window: what is free on each sheet, mm.
    """

    def __init__(self, window: Box) -> None:
        self._window = window
        self._pages: list[list[Item]] = [[]]
        self._y = window.top

    @property
    def pages(self) -> list[Drawing]:
        """What stands on each sheet."""
        return [Drawing(tuple(items)) for items in self._pages]

    @property
    def left(self) -> float:
        """Height that is left on this sheet, mm."""
        return self._y - self._window.bottom

    def new_page(self) -> None:
        """Go on at the top of another sheet, unless this one is empty."""
        if self._pages[-1]:
            self._pages.append([])
            self._y = self._window.top

    def picture(self, drawing: Drawing, height: float) -> None:
        """A drawing whose upper left corner is its origin."""
        if height > self.left:
            self.new_page()
        self._pages[-1] += drawing.placed(self._window.left, self._y).items
        self._y -= height

    def heading(self, words: str, room: float = 3 * LINE_MM) -> None:
        """A line in larger letters, with ``room`` mm for what follows it on the same sheet."""
        if room + 2 * NOTE_MM > self.left:
            self.new_page()
        self._y -= NOTE_MM + 1.5
        self._pages[-1].append(Text((self._window.left, self._y), words, NOTE_MM))
        self._y -= 2.0

    def words(self, lines: Iterable[str]) -> None:
        """Lines of words, each wrapped to the sheet's width and kept together."""
        for text in lines:
            block = wrapped(text, self._window.width - 2.0, SMALL_MM) or [""]
            if LINE_MM * len(block) > self.left:
                self.new_page()
            for line in block:
                self._y -= LINE_MM
                if line:
                    self._pages[-1].append(Text((self._window.left, self._y + 1.0), line, SMALL_MM))
            self._y -= _APART_MM

    def columns(self, lines: list[str], count: int) -> None:
        """Short lines in columns, read downwards; each is cut off at its column's width."""
        width = self._window.width / count
        while lines:
            fit = max(int(self.left / LINE_MM), 0)
            if fit < 1:
                self.new_page()
                continue
            rows = min(fit, -(-len(lines) // count))
            here, lines = lines[: rows * count], lines[rows * count :]
            for number, line in enumerate(here):
                column, row = divmod(number, rows)
                at = (self._window.left + column * width, self._y - LINE_MM * (row + 1) + 1.0)
                self._pages[-1].append(Text(at, shortened(line, width - 3.0, SMALL_MM), SMALL_MM))
            self._y -= LINE_MM * rows + _APART_MM

    def table(self, words: Table) -> None:
        """A table, its head again on every sheet that it goes on to."""
        rows = words.rows
        head = replace(words, rows=()).height + _OVER_MM + _UNDER_MM
        while True:
            fit = int((self.left - head) / ROW_MM)
            if fit < min(len(rows), 3):
                self.new_page()
                fit = int((self.left - head) / ROW_MM)
            part = replace(words, rows=rows[:fit])
            self._y -= _OVER_MM
            self.picture(table(part), part.height + _UNDER_MM)
            rows = rows[fit:]
            if not rows:
                return
            self.new_page()
