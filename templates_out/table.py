"""A ruled table as a drawing."""

from __future__ import annotations

from dataclasses import dataclass

from templates_out.drawing import NOTES, SMALL_MM, Drawing, Item, Line, Text
from templates_out.fonts import shortened

ROW_MM = 4.4


@dataclass(frozen=True)
class Table:
    """A table's words; cells are set to the right, but for the columns named.

    Attributes:
        heads: first line of each column's head.
        units: second line of each column's head.
        rows: the cells.
        widths: of the columns, mm.
        left: numbers of the columns that are set to the left; what is too long for them is cut off.
    """

    heads: tuple[str, ...]
    units: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    left: tuple[int, ...] = ()

    @property
    def width(self) -> float:
        """Of the whole table, mm."""
        return sum(self.widths)

    @property
    def height(self) -> float:
        """Of the whole table, mm."""
        return (len(self.rows) + 2) * ROW_MM + 1.0


def table(words: Table) -> Drawing:
    """The table with its upper left corner at the origin."""
    items: list[Item] = []
    for index, cells in enumerate((words.heads, words.units, *words.rows)):
        y = -ROW_MM * (index + 1) + 1.0
        right = 0.0
        for column, (cell, width) in enumerate(zip(cells, words.widths, strict=True)):
            right += width
            if not cell:
                continue
            if column in words.left:
                shown = shortened(cell, width - 2.0, SMALL_MM)
                items.append(Text((right - width + 1.0, y), shown, SMALL_MM))
            else:
                items.append(Text((right - 1.0, y), cell, SMALL_MM, "right"))
    foot = -ROW_MM * (len(words.rows) + 2) - 0.2
    for y in (0.6, -2 * ROW_MM, foot):
        items.append(Line((0.0, y), (words.width, y), NOTES))
    for index in range(5, len(words.rows), 5):
        y = -ROW_MM * (index + 2)
        items.append(Line((0.0, y), (words.width, y), NOTES))
    return Drawing(tuple(items))
