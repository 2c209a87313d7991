"""Cells of a table of numbers to and from a spreadsheet, by the clipboard."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Sequence
from itertools import islice

from PySide6.QtWidgets import QApplication, QTableWidget

from app.document.table_text import write_rows

_MARKS = "\t;"
_MINUS = "\u2212"
_MOST_LINES = 2000


def copy_cells(
    table: QTableWidget, text_of: Callable[[int, int], str], heads: Sequence[str] = ()
) -> None:
    """Put the chosen cells on the clipboard, or all where none is chosen; rows with nothing in them are left out.

    Args:
        table: whose they are.
        text_of: a cell's text, by its row and column.
        heads: of the columns, to stand above where all cells go.
    """
    every = [(row, col) for row in range(table.rowCount()) for col in range(table.columnCount())]
    chosen = {(index.row(), index.column()) for index in table.selectedIndexes()} or set(every)
    columns = sorted({column for _, column in chosen})
    # A row that only has nothing in the chosen columns keeps its place, so that those below keep theirs.
    some = [
        row
        for row in sorted({row for row, _ in chosen})
        if any(text_of(row, column) for column in range(table.columnCount()))
    ]
    rows = [
        [text_of(row, column) if (row, column) in chosen else "" for column in columns]
        for row in some
    ]
    head = [list(heads)] if heads and len(chosen) == len(every) else []
    QApplication.clipboard().setText(write_rows([*head, *rows], "\t"))


def copied_rows() -> list[list[str]]:
    """The rows on the clipboard, cells as a spreadsheet parts them; none where it has no text.

    Rows without anything at the end are left out, and what is beyond ``_MOST_LINES``.
    """
    text = QApplication.clipboard().text().replace(_MINUS, "-")
    mark = next((mark for mark in _MARKS if mark in text), "\t")
    try:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
        rows = [[cell.strip() for cell in line] or [""] for line in islice(reader, _MOST_LINES)]
    except csv.Error:
        return []
    while rows and not any(rows[-1]):
        rows.pop()
    return rows
