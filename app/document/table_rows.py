"""Rows of named cells: what a table is, where a cell stands in it, and how what is wrong there is said."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from geometry.errors import BadText
from geometry.said import Said, put_together, said

MOST_IN_NUMBER = 60

Holds = Literal[
    "name", "path", "names", "length", "lengths", "wall", "place", "angle", "share", "normal", "word", "yes", "note"
]  # fmt: skip
"""What the cells of a column hold; a "path" is names with ">" between them, a "place" a point's name or three lengths."""


@dataclass(frozen=True)
class Table:
    """A kind of table.

    Attributes:
        name: as it is said.
        item: what a row tells about.
        first: headings of the first column, the usual one first; "name" is another, with one of ``told_by``.
        columns: every other column, and what it holds.
        told_by: columns that no other kind has.
    """

    name: Said
    item: str
    first: tuple[str, ...]
    columns: Mapping[str, Holds]
    told_by: tuple[str, ...]


@dataclass(frozen=True)
class Cell:
    """A cell: its column, this one's heading as it is written, the unit that the heading says, and the text."""

    column: str
    heading: str
    holds: Holds
    unit: str | None
    text: str = ""


@dataclass(frozen=True)
class Row:
    """A row of a table.

    Attributes:
        table: its kind.
        number: the line of the text that it begins in, from 1.
        name: of what it tells about.
        cells: by column, without those that are blank.
        usual: the unit of lengths that say none, "mm" or "in".
    """

    table: Table
    number: int
    name: str
    cells: Mapping[str, Cell]
    usual: str

    def where(self, column: str = "") -> Said:
        """The row, and a column of it, as a person finds it."""
        heading = self.cells[column].heading if column in self.cells else column
        return row_words(self.number, self.table, repr(heading) if heading else "")

    def before(self, column: str) -> Said:
        """The same before what is wrong with the cell."""
        return put_together("", (self.where(column), ":"))

    def shown(self, column: str) -> str:
        """What stands in a cell, as an error quotes it."""
        return clipped(self.cells[column].text)

    def bad(self, column: str, words: Said) -> BadText:
        """What is wrong with a cell; to be raised."""
        return BadText(put_together(": ", (self.where(column), words)))

    def blank(self, column: str, why: Said) -> BadText:
        """A cell says nothing, and why it must; to be raised."""
        return self.bad(
            column,
            said("{cell} is blank; {why}", cell=self.shown(column), why=why)
            if column in self.cells
            else said("it is blank; {why}", why=why),
        )


def row_words(number: int, table: Table | None = None, column: str = "") -> Said:
    """A row as a person finds it.

    Args:
        number: the line of the text that it begins in, from 1.
        table: its kind, where that is known.
        column: its heading in quotes, or its number; "" for the whole row.
    """
    words = [said("row {number}", number=number), table.name if table else ""]
    return put_together(", ", [*words, said("column {column}", column=column) if column else ""])


def bad_row(number: int, words: Said, table: Table | None = None, column: str = "") -> BadText:
    """What is wrong with a row of which no cell is known yet; to be raised."""
    return BadText(put_together(": ", (row_words(number, table, column), words)))


def clipped(text: str) -> str:
    """What stands in a cell, as an error quotes it."""
    return repr(text if len(text) <= MOST_IN_NUMBER else f"{text[:MOST_IN_NUMBER]}…")
