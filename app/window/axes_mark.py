"""Which way is forward, left and up in a view: arrows in its corner."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from app.window.words import tr
from geometry.arrays import Floats

_WORDS = (tr("x forward"), tr("y left"), tr("z up"))
_LONG_PX, _AWAY_PX, _HEAD_PX, _ROOM_PX = 34.0, 62.0, 5.0, 4.0
_SEEN = 0.3
"""Least part of an arrow that is seen from the side, for it to be drawn."""


def paint_axes(painter: QPainter, rect: QRectF, right: Floats, up: Floats, ink: QColor) -> None:
    """Draw the vehicle's axes as a view sees them, in the lower left corner of a rectangle.

    Args:
        painter: in pixels.
        rect: of the view.
        right: unit vector (3,) that points to the right in the view.
        up: unit vector (3,) that points up in it.
        ink: of the arrows.
    """
    metrics = QFontMetricsF(painter.font())
    arrows = [
        (words, *_arrow(metrics, words, across, along))
        for words, across, along in seen_axes(right, up)
    ]
    whole = QRectF()
    for _, _, box in arrows:
        whole |= box
    # Where the words would be cut off, all of it stands farther in.
    foot = QPointF(
        rect.left() + max(_AWAY_PX, _ROOM_PX - whole.left()),
        rect.bottom() - max(_AWAY_PX / 2 + 8, _ROOM_PX + whole.bottom()),
    )
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for words, tip_off, box in arrows:
        tip = foot + tip_off
        painter.setPen(QPen(ink, 1.4))
        painter.drawLine(foot, tip)
        turn = math.atan2(tip.y() - foot.y(), tip.x() - foot.x())
        for side in (-0.4, 0.4):
            back = QPointF(math.cos(turn + side), math.sin(turn + side)) * _HEAD_PX * 1.6
            painter.drawLine(tip, tip - back)
        painter.drawText(box.translated(foot), Qt.AlignmentFlag.AlignCenter, words)


def _arrow(
    metrics: QFontMetricsF, words: str, across: float, along: float
) -> tuple[QPointF, QRectF]:
    """An arrow's tip and the box of its words, from its foot, px."""
    tip = QPointF(_LONG_PX * across, -_LONG_PX * along)
    box = metrics.boundingRect(words).adjusted(-2, 0, 2, 0)
    size = math.hypot(across, along)
    out = QPointF(across / size * (box.width() / 2 + 4), -along / size * (box.height() / 2 + 3))
    box.moveCenter(tip + out)
    return tip, box


def seen_axes(right: Floats, up: Floats) -> Iterator[tuple[str, float, float]]:
    """The axes that a view shows: what the way is called, and how far it runs to the right and up.

    Each is drawn as it faces forward, left or up.
    """
    for number, words in enumerate(_WORDS):
        across, along = float(right[number]), float(up[number])
        if math.hypot(across, along) > _SEEN:
            yield words, across, along


class AxesMark(QWidget):
    """The axes in the corner of a view that is turned: it lies over the view and takes no clicks."""

    def __init__(self, view: QWidget, axes: Callable[[], Floats]) -> None:
        super().__init__(view)
        self._axes = axes
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.resize(round(4 * _AWAY_PX), round(3 * _AWAY_PX))
        view.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """It stays in the corner."""
        view = self.parentWidget()
        if event.type() == QEvent.Type.Resize and view is not None:
            self.move(0, view.height() - self.height())
        return super().eventFilter(watched, event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Drawn again with the view below it."""
        right, up, _ = self._axes()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        paint_axes(painter, QRectF(self.rect()), right, up, self.palette().text().color())
        painter.end()
