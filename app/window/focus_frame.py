"""Which view or list the keys go to: a thin frame in the accent."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QListWidget, QWidget

_LIST_PX = 2


def paint_focus(painter: QPainter, view: QWidget) -> None:
    """Draw the frame, if the view has the focus; in pixels of the view."""
    if view.hasFocus():
        _paint_frame(painter, view, 1)


def _paint_frame(painter: QPainter, view: QWidget, width: int) -> None:
    painter.setPen(QPen(view.palette().highlight().color(), width))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    far = width // 2
    painter.drawRect(view.rect().adjusted(far, far, -far - 1, -far - 1))


class FocusedList(QListWidget):
    """A list that shows that the keys go to it: the row chosen in it looks the same where they do not."""

    def paintEvent(self, event: QPaintEvent) -> None:
        """The frame over the rows."""
        super().paintEvent(event)
        if self.hasFocus():
            painter = QPainter(self.viewport())
            _paint_frame(painter, self.viewport(), _LIST_PX)
            painter.end()
