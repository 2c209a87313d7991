"""Shows a table of results, the same that is on paper, in letters as large as the window's."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from app.window.words import numerals
from templates_out.table import Table


class ResultTable(QTableWidget):
    """Figures that can be read and copied, not changed."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._heads: list[str] = []
        self.setAccessibleName(name)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.verticalHeader().setVisible(False)
        self.verticalHeader().setDefaultSectionSize(26)
        # Smaller heads: all columns of a bend table are in view in a small window.
        head = self.horizontalHeader().font()
        head.setPointSizeF(head.pointSizeF() * 0.82)
        self.horizontalHeader().setFont(head)
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)

    def show_table(self, table: Table) -> None:
        """Show these figures; cells that stay the same are left alone."""
        heads = [
            f"{head}\n{unit}".strip() for head, unit in zip(table.heads, table.units, strict=True)
        ]
        if heads != self._heads:
            self._heads = heads
            self.setColumnCount(len(heads))
            self.setHorizontalHeaderLabels(heads)
        self.setRowCount(len(table.rows))
        for row, words in enumerate(table.rows):
            for column, word in enumerate(map(numerals, words)):
                item = self.item(row, column)
                if item is None:
                    item = QTableWidgetItem()
                    item.setTextAlignment(
                        Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
                    )
                    self.setItem(row, column, item)
                if item.text() != word:
                    item.setText(word)
