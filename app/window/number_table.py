"""A small table of numbers, typed cell by cell; a row of its own for the next one."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHeaderView, QTableWidget, QTableWidgetItem, QWidget

from geometry.errors import BadText

Read = Callable[[str, str], float]


class NumberTable(QTableWidget):
    """Rows of numbers. The last row is empty: type in it for another; clear a row to take it out.

    Signals:
        edited: a cell was changed by hand.
    """

    edited = Signal()

    def __init__(
        self, name: str, heads: Sequence[str], read: Read, rows: Sequence[Sequence[str]],
        parent: QWidget | None = None,
    ) -> None:  # fmt: skip
        super().__init__(0, len(heads), parent)
        self._name, self._heads, self._read = name, tuple(heads), read
        self.setAccessibleName(name)
        self.setHorizontalHeaderLabels(list(heads))
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self.verticalHeader().setDefaultSectionSize(26)
        self.fill(rows)
        self.cellChanged.connect(self._changed)

    def fill(self, rows: Sequence[Sequence[str]]) -> None:
        """Put rows in, and an empty one after them."""
        self.blockSignals(True)
        self.setRowCount(len(rows) + 1)
        for row, words in enumerate([*rows, [""] * len(self._heads)]):
            for column, word in enumerate(words):
                self.setItem(row, column, QTableWidgetItem(word))
        self.blockSignals(False)

    def words(self, row: int) -> list[str]:
        """What stands in a row."""
        items = (self.item(row, column) for column in range(self.columnCount()))
        return [item.text().strip() if item else "" for item in items]

    def numbers(self) -> list[tuple[float, ...]]:
        """The rows that are not empty, as numbers.

        Raises:
            BadText: for a cell that is no number, or a row that is not full; the text names it.
        """
        rows = []
        for row in range(self.rowCount()):
            words = self.words(row)
            if not any(words):
                continue
            values = []
            for head, word in zip(self._heads, words, strict=True):
                where = f"{self._name}, row {row + 1}, {head}"
                if not word:
                    text = f"{where} is empty; fill it, or clear the row"
                    raise BadText(text)
                values.append(self._read(word, where))
            rows.append(tuple(values))
        return rows

    def _changed(self, row: int, _column: int) -> None:
        if row == self.rowCount() - 1 and any(self.words(row)):
            self.blockSignals(True)
            self.setRowCount(row + 2)
            self.blockSignals(False)
        self.edited.emit()
