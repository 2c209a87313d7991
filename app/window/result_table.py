"""Shows a table of results, the same that is on paper, in letters as large as the window's."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from app.window.table_cells import copy_cells
from app.window.words import numerals, spoken, tr
from templates_out.table import Table

_TIPS = {
    "straight before": tr("From where the bend before ends, or from the bar's end, to where this one begins"),
    "rotation": tr("How far the tube is turned about itself before this bend"),
    "mm round": tr("The same turn, measured round the outside of the tube"),
    "in round": tr("The same turn, measured round the outside of the tube"),
    "set": tr("What the bender is set to: more than the angle, as the tube springs back"),
    "tool radius": tr("The former's radius that would leave exactly the finished one; yours is near enough where no finding says otherwise"),
    "tool's": tr("Where the tool's own mark is to stand on the bar"),
    "stretch": tr("How much longer the outside of the bend becomes"),
}  # fmt: skip
"""What heads of tables mean that have no room to say so."""


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
            f"{spoken(head)}\n{spoken(unit)}".strip()
            for head, unit in zip(table.heads, table.units, strict=True)
        ]
        if heads != self._heads:
            self._heads = heads
            self.setColumnCount(len(heads))
            self.setHorizontalHeaderLabels(heads)
            for column, head in enumerate(table.heads):
                item = self.horizontalHeaderItem(column)
                if item is not None:
                    item.setToolTip(_TIPS.get(head, ""))
        self.setRowCount(len(table.rows))
        for row, words in enumerate(table.rows):
            for column, word in enumerate(numerals(spoken(word)) for word in words):
                item = self.item(row, column)
                if item is None:
                    item = QTableWidgetItem()
                    item.setTextAlignment(
                        Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
                    )
                    self.setItem(row, column, item)
                if item.text() != word:
                    item.setText(word)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """The chosen cells are copied, or all with their heads."""
        if event.matches(QKeySequence.StandardKey.Copy):
            copy_cells(self, self._text_of, [" ".join(head.split()) for head in self._heads])
            return
        super().keyPressEvent(event)

    def _text_of(self, row: int, column: int) -> str:
        item = self.item(row, column)
        return item.text() if item else ""
