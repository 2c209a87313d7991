"""The sheets of a job: small ones to choose from, and the one in front as large as there is room."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QItemSelectionModel, QPoint, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QIcon, QPainter, QPixmap, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QListWidget, QListWidgetItem, QSplitter, QWidget

from app.window.focus_frame import FocusedList
from app.window.painter_canvas import PainterCanvas
from app.window.sheet_view import INK, SheetView, paint_paper
from app.window.words import tr
from templates_out.canvas import draw
from templates_out.sheet import Sheet

_SMALL_PX = QSize(96, 128)
_LEAST_MM = 0.6
"""Strokes of a small sheet are at least this wide, or they would be lost."""


class SheetsView(QSplitter):
    """Small sheets on the left; several that are chosen, or the one in front, are printed and saved alone, else all.

    Attributes:
        sheets: all there are.
        alone: of one sheet, or none, that is chosen the one in front is wanted alone.

    Signals:
        chosen: other sheets are wanted than before.
    """

    chosen = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.sheets: list[Sheet] = []
        self.alone = False
        self._blank: list[int] = []
        self.small = FocusedList()
        self.small.setAccessibleName(tr("sheets"))
        self.small.setToolTip(
            tr("Choose one to see it; several, with Shift or Ctrl, to print or save these alone")
        )
        self.small.setViewMode(QListWidget.ViewMode.IconMode)
        self.small.setMovement(QListWidget.Movement.Static)
        self.small.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.small.setIconSize(_SMALL_PX)
        self.small.setGridSize(_SMALL_PX + QSize(16, 34))
        self.small.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.small.setMinimumWidth(_SMALL_PX.width() + 40)
        self.large = SheetView(tr("the sheet"))
        self.addWidget(self.small)
        self.addWidget(self.large)
        self.setStretchFactor(1, 1)
        self.setSizes([_SMALL_PX.width() + 44, 600])
        self.setChildrenCollapsible(False)
        self.small.currentRowChanged.connect(self._show_row)
        # What is in front is told after what is chosen.
        self.small.currentRowChanged.connect(lambda _: self.chosen.emit())
        self.small.itemSelectionChanged.connect(self.chosen)
        self._later = QTimer(self)
        self._later.setInterval(0)
        self._later.timeout.connect(self._paint_next)

    def show_sheets(self, sheets: Sequence[Sheet], *, anew: bool = False) -> None:
        """Show these; the sheet in front and those chosen stay so where they are still there.

        Args:
            sheets: in the order of the pages.
            anew: they are another job's: the first is in front, and none is chosen.
        """
        same = len(sheets) == len(self.sheets) and not anew
        front = self.small.currentRow()
        if same and 0 <= front < len(sheets):
            # Another sheet that has come to its place was not asked for.
            self.alone = self.alone and sheets[front].title == self.sheets[front].title
        self.sheets = list(sheets)
        self.small.blockSignals(True)
        if not same:
            self.small.clear()
        for number, sheet in enumerate(sheets):
            if not same:
                self.small.addItem(QListWidgetItem(_empty(), ""))
            self.small.item(number).setText(sheet.label)
            self.small.item(number).setToolTip(sheet.title)
        if not same:
            self.alone = False
            self.small.setCurrentRow(0 if sheets else -1)
            self.small.clearSelection()
        self.small.blockSignals(False)
        self._blank = list(range(len(sheets)))
        self._later.start()
        self._show_row(self.small.currentRow())
        self.chosen.emit()

    @property
    def several(self) -> bool:
        """More sheets than one are chosen."""
        return len(self.small.selectedIndexes()) > 1

    @property
    def wanted(self) -> list[Sheet]:
        """The sheets to be printed or saved, in order."""
        rows = sorted(index.row() for index in self.small.selectedIndexes())
        if not self.several:
            rows = [self.small.currentRow()] if self.alone else list(range(len(self.sheets)))
        return [self.sheets[row] for row in rows if 0 <= row < len(self.sheets)]

    def choose_alone(self, *, on: bool) -> None:
        """Want what is chosen alone, be it only the sheet in front; else all, that sheet staying in front."""
        self.alone = on
        if not on:
            only = QItemSelectionModel.SelectionFlag.ClearAndSelect
            self.small.setCurrentRow(self.small.currentRow(), only)
        self.chosen.emit()

    def _show_row(self, row: int) -> None:
        self.large.set_sheet(self.sheets[row] if 0 <= row < len(self.sheets) else None)

    def _paint_next(self) -> None:
        """One small sheet at a time, those in view first, so that the window never waits."""
        if not self._blank:
            self._later.stop()
            return
        first = self.small.indexAt(QPoint(20, 20)).row()
        row = next((one for one in self._blank if one >= first), self._blank[0])
        self._blank.remove(row)
        if row < self.small.count():
            self.small.item(row).setIcon(
                QIcon(small_picture(self.sheets[row], self.devicePixelRatioF()))
            )

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The large sheet is as large as there is room."""
        super().resizeEvent(event)
        self.large.fit()


def _empty() -> QIcon:
    picture = QPixmap(_SMALL_PX)
    painter = QPainter(picture)
    paint_paper(painter, QRectF(0, 0, _SMALL_PX.width() - 1, _SMALL_PX.height() - 1))
    painter.end()
    return QIcon(picture)


def small_picture(sheet: Sheet, ratio: float) -> QPixmap:
    """A sheet on white, as a small picture.

    Args:
        sheet: to be drawn.
        ratio: device pixels for one of the window's.
    """
    # Room for the edge, which is drawn about the paper's own.
    room = _SMALL_PX - QSize(1, 1)
    scale = min(room.width() / sheet.paper.width, room.height() / sheet.paper.height)
    picture = QPixmap(_SMALL_PX * ratio)
    picture.setDevicePixelRatio(ratio)
    picture.fill(Qt.GlobalColor.transparent)
    painter = QPainter(picture)
    width, height = round(scale * sheet.paper.width), round(scale * sheet.paper.height)
    left, top = (room.width() - width) // 2, (room.height() - height) // 2
    paint_paper(painter, QRectF(left, top, width, height))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(left, top + height)
    painter.scale(scale, -scale)
    draw(sheet.drawing, PainterCanvas(painter, INK, _LEAST_MM))
    painter.end()
    return picture
