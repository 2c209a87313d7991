"""Which view the keys go to: a thin frame in the accent."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QPainter, QPen
from PySide6.QtWidgets import QWidget


def paint_focus(painter: QPainter, view: QWidget) -> None:
    """Draw the frame, if the view has the focus; in pixels of the view."""
    if view.hasFocus():
        painter.setPen(QPen(view.palette().highlight().color(), 1.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(view.rect().adjusted(0, 0, -1, -1))
