"""Cells of a table of numbers to and from a spreadsheet, by the clipboard."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Sequence

from PySide6.QtWidgets import QApplication, QTableWidget

from app.document.table_text import write_rows

_MARKS = "\t;"
_MINUS = "\u2212"


def copy_cells(
    table: QTableWidget, text_of: Callable[[int, int], str], heads: Sequence[str] = ()
) -> None:
    """Put the chosen cells on the clipboard, or all where none is chosen; rows that are empty are left out.

    Args:
        table: whose they are.
        text_of: a cell's text, by its row and column.
        heads: of the columns, to stand above where all cells go.
    """
    every = [(row, col) for row in range(table.rowCount()) for col in range(table.columnCount())]
    chosen = {(index.row(), index.column()) for index in table.selectedIndexes()} or set(every)
    columns = sorted({column for _, column in chosen})
    rows = [
        [text_of(row, column) if (row, column) in chosen else "" for column in columns]
        for row in sorted({row for row, _ in chosen})
    ]
    head = [list(heads)] if heads and len(chosen) == len(every) else []
    QApplication.clipboard().setText(write_rows([*head, *filter(any, rows)], "\t"))


def copied_rows() -> list[list[str]]:
    """The rows on the clipboard that are not empty, cells as a spreadsheet parts them; none where it has no text."""
    text = QApplication.clipboard().text().replace(_MINUS, "-")
    mark = next((mark for mark in _MARKS if mark in text), "\t")
    try:
        lines = list(csv.reader(io.StringIO(text, newline=""), delimiter=mark))
    except csv.Error:
        return []
    rows = [[cell.strip() for cell in line] for line in lines]
    return [row for row in rows if any(row)]
