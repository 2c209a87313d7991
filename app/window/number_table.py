"""A small table of numbers, typed cell by cell; a row of its own for the next one."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, cast

from PySide6.QtCore import QEvent, Qt, QTimer, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QApplication, QHeaderView, QTableWidget, QTableWidgetItem, QWidget

from app.document.table_text import doubtful_numbers, number_text
from app.window.table_cells import copied_rows, copy_cells
from app.window.words import decimal_comma, numerals, reason, tr
from geometry.errors import BadText, CopewrightError
from geometry.lengths import format_mm, shown_inches
from geometry.units import parse_angle, parse_length

_ROW_PX = 26
_EXACT = Qt.ItemDataRole.UserRole
_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?")
_KEPT_DECIMALS = 9
_MOST_ROWS = 200
_MOST_STEPS = 100


@dataclass(frozen=True)
class Column:
    """A column of numbers; one that is not needed may stay empty."""

    head: str
    kind: Literal["length", "angle"] = "length"
    needed: bool = True


class NumberTable(QTableWidget):
    """Rows of numbers. The last row is empty: type in it for another; clear a row to take it out.

    Cells go to a spreadsheet and come from it by the clipboard. Where nothing else keeps steps, as a frame does, the table
    can keep its own.

    Signals:
        edited: a cell was changed by hand.
        row_chosen: which of the rows that are not empty the cursor went to, from 0; -1 when it left.
        said: why what is on the clipboard cannot be pasted.
    """

    edited = Signal()
    said = Signal(str)
    row_chosen = Signal(int)

    def __init__(
        self,
        name: str,
        columns: Sequence[Column],
        rows: Sequence[Sequence[str]],
        parent: QWidget | None = None,
        *,
        keeps_steps: bool = False,
    ) -> None:
        super().__init__(0, len(columns), parent)
        self._keeps_steps = keeps_steps
        self._now: list[list[str]] = []
        self._past: list[list[list[str]]] = []
        self._to_come: list[list[list[str]]] = []
        self._name, self._columns, self._inches = name, tuple(columns), False
        self._empty: set[int] = set()
        self.setAccessibleName(name)
        self._show_heads()
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self.verticalHeader().setDefaultSectionSize(_ROW_PX)
        self.setTabKeyNavigation(False)
        self.fill(rows)
        self._now = self.kept()
        self.cellChanged.connect(self._changed)
        self.currentCellChanged.connect(lambda row, *_: self.row_chosen.emit(self._number_of(row)))

    def fill(self, rows: Sequence[Sequence[str]]) -> None:
        """Put rows in, and an empty one after them; plain numbers are shown as the person's country writes them."""
        self._empty.clear()
        self.blockSignals(True)
        self.setRowCount(len(rows) + 1)
        for row, words in enumerate([*rows, [""] * len(self._columns)]):
            for column, word in enumerate(words[: len(self._columns)]):
                self.setItem(row, column, QTableWidgetItem(_shown(word)))
        self.blockSignals(False)

    def words(self, row: int) -> list[str]:
        """What stands in a row."""
        items = (self.item(row, column) for column in range(self.columnCount()))
        return [item.text().strip() if item else "" for item in items]

    def kept(self) -> list[list[str]]:
        """The rows that are not empty, plain lengths in mm, whatever is shown."""
        return [
            [self._plain(row, column) for column in range(len(self._columns))]
            for row in range(self.rowCount())
            if any(self.words(row))
        ]

    def recall(self, rows: Sequence[Sequence[str]]) -> None:
        """Put back rows that were ``kept``; with them another work begins, without steps."""
        self._put_back(rows)
        self._now, self._past, self._to_come = self.kept(), [], []

    def _put_back(self, rows: Sequence[Sequence[str]]) -> None:
        inches, self._inches = self._inches, False
        self.fill(rows)
        self.set_inches(inches)

    def _tell(self) -> None:
        """The cells were changed by hand."""
        now = self.kept()
        if self._keeps_steps and now != self._now:
            self._past, self._to_come = [*self._past, self._now][-_MOST_STEPS:], []
        self._now = now
        self.edited.emit()

    def _step(self, event: QKeyEvent) -> tuple[list[list[list[str]]], list[list[list[str]]]] | None:
        """From where a key takes the cells that it asks for, and where those that are here go; None where there are none."""
        ways = (
            (QKeySequence.StandardKey.Undo, self._past, self._to_come),
            (QKeySequence.StandardKey.Redo, self._to_come, self._past),
        )
        return next(((a, b) for key, a, b in ways if a and event.matches(key)), None)

    def numbers(self) -> list[tuple[float | None, ...]]:
        """The rows that are not empty, as numbers; None for a cell that may be empty and is.

        Raises:
            BadText: for a cell that is no number, or a row that is not full; the text names it.
        """
        return [
            tuple(self._number(row, column) for column in range(len(self._columns)))
            for row in range(self.rowCount())
            if any(self.words(row))
        ]

    def place(self, row: int, column: int) -> str:
        """A cell in words; rows and columns from 0."""
        words = tr("{table}, row {row}, {column}")
        return words.format(table=self._name, row=row + 1, column=self._columns[column].head)

    def _number(self, row: int, column: int) -> float | None:
        item = self.item(row, column)
        word = item.text().strip() if item else ""
        if item is None or not word:
            if not self._columns[column].needed:
                return None
            where = self.place(row, column)
            raise BadText(tr("{cell} is empty; fill it, or clear the row").format(cell=where))
        exact = item.data(_EXACT)
        if exact is not None and exact[0] == word:
            return float(exact[1])
        return self._read(word, row, column)

    def _read(self, word: str, row: int, column: int) -> float:
        """A cell's word as a number."""
        where = self.place(row, column)
        if self._columns[column].kind == "angle":
            return parse_angle(word, where)
        return parse_length(word, where, default_unit="in" if self._inches else "mm")

    def _plain(self, row: int, column: int) -> str:
        """A cell's number in mm, or its words where they are none."""
        try:
            value = self._number(row, column)
        except CopewrightError:
            return self.words(row)[column]
        return "" if value is None else plain_number(value)

    def set_inches(self, inches: bool) -> None:
        """Show and read plain lengths as inches; no value changes, nor a cell that cannot be read."""
        if inches == self._inches:
            return
        self.blockSignals(True)
        for row in range(self.rowCount()):
            for column, kind in enumerate(self._columns):
                item = self.item(row, column)
                try:
                    value = None if kind.kind == "angle" else self._number(row, column)
                except CopewrightError:
                    continue
                if item is not None and value is not None:
                    word = numerals(shown_inches(value) if inches else format_mm(value, 3))
                    item.setText(word)
                    # What is shown may be rounded; until it is typed over, the value is not.
                    item.setData(_EXACT, (word, value))
        self._inches = inches
        self._show_heads()
        self.blockSignals(False)

    def _show_heads(self) -> None:
        """The columns' names, lengths with their unit."""
        unit = "in" if self._inches else "mm"
        self.setHorizontalHeaderLabels(
            [f"{c.head} {unit}" if c.kind == "length" else c.head for c in self._columns]
        )

    def _changed(self, row: int, _column: int) -> None:
        if any(self.words(row)):
            self._empty.discard(row)
        elif row not in self._empty:
            self._close_gaps()
        self._end_empty()
        self._tell()

    def _end_empty(self) -> None:
        """The last row is for one more."""
        if any(self.words(self.rowCount() - 1)):
            self.blockSignals(True)
            self.setRowCount(self.rowCount() + 1)
            self.blockSignals(False)

    def _close_gaps(self) -> None:
        """Rows that were cleared go, so that the rows' numbers stay those of the points."""
        self.blockSignals(True)
        for row in range(self.rowCount() - 2, -1, -1):
            if not any(self.words(row)):
                self.removeRow(row)
        self._empty.clear()
        self.blockSignals(False)

    def put_row_in(self) -> None:
        """An empty row before the chosen one, to be typed in."""
        row = max(self.currentRow(), 0)
        self.blockSignals(True)
        self.insertRow(row)
        self._empty = {row}
        self.blockSignals(False)
        self.setCurrentCell(row, 0)

    def copy(self) -> None:
        """The chosen cells on the clipboard, or all; each number is just the one that counts."""
        copy_cells(self, self._exact_text)

    def _exact_text(self, row: int, column: int) -> str:
        try:
            value = self._number(row, column)
        except CopewrightError:
            return self.words(row)[column]
        inches = self._inches and self._columns[column].kind == "length"
        unit = "in" if inches else "mm"
        return "" if value is None else number_text(value, unit, comma=decimal_comma())

    def paste(self) -> None:
        """The cells on the clipboard into the chosen cell and those beside and below it, all or none.

        Rows as wide as the table begin in its first column; where all cells are chosen, whole rows take the place of all.
        """
        rows, chosen = copied_rows(), self.selectedIndexes()
        width = max(map(len, rows), default=0)
        rows = [row + [""] * (width - len(row)) for row in rows]
        every = len(chosen) == self.rowCount() * self.columnCount()
        top = min((cell.row() for cell in chosen), default=max(self.currentRow(), 0))
        left = min((cell.column() for cell in chosen), default=max(self.currentColumn(), 0))
        left = left if width < len(self._columns) else 0
        whole = left == 0 and width >= sum(column.needed for column in self._columns)
        if whole:
            rows = [row for row in rows if any(row)]
        try:
            self._check(rows, top, left)
            if every and not whole:
                raise BadText(
                    tr("all cells are chosen, and those on the clipboard are no whole rows")
                )
        except CopewrightError as error:
            self.said.emit(tr("{why}; nothing was pasted.").format(why=reason(error)))
            return
        self.blockSignals(True)
        if every:
            self.setRowCount(0)
        # A row that was put in makes room for all that come.
        for _ in rows[1:] if whole and top in self._empty else ():
            self.insertRow(top)
        self.setRowCount(max(self.rowCount(), top + len(rows)))
        for row, words in enumerate(rows, top):
            for column, word in enumerate(words, left):
                self.setItem(row, column, QTableWidgetItem(_shown(word)))
        self.blockSignals(False)
        self._end_empty()
        self._close_gaps()
        self._tell()

    def _check(self, rows: Sequence[Sequence[str]], top: int, left: int) -> None:
        """Refuse rows that cannot stand there."""
        if not rows:
            raise BadText(tr("there is no table on the clipboard"))
        most, columns = _MOST_ROWS, len(self._columns)
        if top + len(rows) > most:
            words = tr("{table} would have {count} rows; allowed are {most}")
            count = top + len(rows)
            raise BadText(words.format(table=self._name, count=count, most=most))
        for row, cells in enumerate(rows, top):
            for column, word in enumerate(cells, left):
                if word and column >= columns:
                    words = tr(
                        "{table}, row {row}: '{cell}' stands in column {n}; there are {most}"
                    )
                    raise BadText(
                        words.format(
                            table=self._name, row=row + 1, cell=word, n=column + 1, most=columns
                        )
                    )
                if word:
                    self._read(word, row, column)
        # A person who types 1,2 means it; a spreadsheet may part the thousands.
        flat = [word for cells in rows for word in cells]
        for number, (one, other) in doubtful_numbers(flat, "\t"):
            row, column = divmod(number, len(rows[0]))
            words = tr("{cell} '{typed}' may be {one} or {other}; write the one or the other")
            where = self.place(top + row, left + column)
            raise BadText(words.format(cell=where, typed=flat[number], one=one, other=other))

    def _number_of(self, row: int) -> int:
        """Which of the rows that are not empty this one is; -1 for an empty one."""
        if row < 0 or not any(self.words(row)):
            return -1
        return sum(any(self.words(one)) for one in range(row))

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Point again at what the cursor is on."""
        super().focusInEvent(event)
        self.row_chosen.emit(self._number_of(self.currentRow()))

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Point no longer, unless the focus went into one of the cells."""
        super().focusOutEvent(event)
        QTimer.singleShot(0, self, self._left)

    def _left(self) -> None:
        focus = QApplication.focusWidget()
        if focus is not self and not (focus and self.isAncestorOf(focus)):
            self.row_chosen.emit(-1)

    def event(self, event: QEvent) -> bool:
        """The keys of the table's own steps are not the menu's here."""
        override = event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent)
        if override and self._step(cast(QKeyEvent, event)) is not None:
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Delete clears the chosen cells; Insert puts a row in; cells are copied and pasted, and steps taken back."""
        step = self._step(event)
        if step is not None:
            source, other = step
            other.append(self._now)
            self._now = source.pop()
            self._put_back(self._now)
            self.edited.emit()
            return
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy()
            return
        if event.matches(QKeySequence.StandardKey.Paste):
            self.paste()
            return
        if event.key() == Qt.Key.Key_Insert:
            self.put_row_in()
            return
        if event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.blockSignals(True)
            for item in self.selectedItems():
                item.setText("")
            self.blockSignals(False)
            self._close_gaps()
            self._tell()
            return
        super().keyPressEvent(event)


def plain_number(value: float) -> str:
    """A number for a cell or the settings: a point for decimals, and never a power of ten."""
    return format_mm(value, _KEPT_DECIMALS)


def _shown(word: str) -> str:
    return numerals(word) if _NUMBER.fullmatch(word) else word


class EmptiedTable(QTableWidget):
    """A table whose chosen cell Delete and Backspace empty, as in a spreadsheet."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Delete and Backspace empty a cell that can be typed in."""
        item = self.currentItem()
        empties = event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace)
        if empties and item is not None and item.flags() & Qt.ItemFlag.ItemIsEditable:
            item.setText("")
            return
        super().keyPressEvent(event)
