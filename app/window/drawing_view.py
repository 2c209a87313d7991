"""Shows a Drawing: zoom with the wheel, pan by dragging, fit with F, measure with two clicks."""

from __future__ import annotations

import math

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFontMetricsF,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.window.focus_frame import paint_focus
from app.window.painter_canvas import PainterCanvas
from app.window.words import numerals, tr
from geometry.lengths import format_inch, format_mm
from templates_out.canvas import draw, extents
from templates_out.drawing import XY, Drawing

_MARGIN_PX, _CAPTION_PX = 12, 30
_LEAST_STROKE_PX, _LEAST_POINTED_PX = 1.0, 2.5


class DrawingView(QWidget):
    """A Drawing on screen, the very one that the paper gets.

    Signals:
        measured: words for the distance between the two points last clicked.
    """

    measured = Signal(str)

    def __init__(
        self, name: str, parent: QWidget | None = None, *, captioned: bool = False
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(160, 120)
        self.setMouseTracking(True)
        self.drawing: Drawing | None = None
        self.measuring = False
        self._inches = False
        self._scale = 1.0
        self._origin = QPointF()
        self._fitted = True
        self._drawn_scale = 1.0
        self._grip: QPointF | None = None
        self._points: list[QPointF] = []
        self.pointed: Drawing | None = None
        self.caption = ""
        # Room below for the caption, so that it never hides the drawing.
        self._foot_px = _CAPTION_PX if captioned else 0

    def set_drawing(self, drawing: Drawing, scale: float = 1.0) -> None:
        """Show a drawing that is ``scale`` times true size; the view stays where it was moved to."""
        if scale != self._drawn_scale:
            # What was measured on the old picture is no length of this one.
            self._points = []
        self.drawing, self._drawn_scale = drawing, scale
        if self._fitted:
            self.fit()
        self.update()

    def point_at(self, strokes: Drawing | None, caption: str = "") -> None:
        """Draw strokes over the drawing in the accent, and say below what they point at."""
        self.pointed, self.caption = strokes, caption
        self.update()

    @property
    def dims_in_inches(self) -> bool:
        """Dimensions are drawn in inches, as lengths are measured."""
        return self._inches

    def set_inches(self, inches: bool) -> None:
        """Say measured lengths and dimensions in inches."""
        if inches != self._inches:
            self._inches = inches
            if self._fitted:
                self.fit()
            self.update()

    def set_measuring(self, on: bool) -> None:
        """Clicks measure instead of panning."""
        self.measuring = on
        self._points = []
        self.setCursor(Qt.CursorShape.CrossCursor if on else Qt.CursorShape.ArrowCursor)
        self.update()

    def fit(self) -> None:
        """Show all of the drawing."""
        self._fitted = True
        if self.drawing is None or not self.drawing.items:
            return
        (left, bottom), (right, top) = self.bounds()
        width, height = max(right - left, 1e-6), max(top - bottom, 1e-6)
        room_x, room_y = (
            self.width() - 2 * _MARGIN_PX,
            self.height() - 2 * _MARGIN_PX - self._foot_px,
        )
        self._scale = max(min(room_x / width, room_y / height), 1e-6)
        self._origin = QPointF(
            self.width() / 2 - self._scale * (left + right) / 2,
            (self.height() - self._foot_px) / 2 + self._scale * (bottom + top) / 2,
        )
        self.update()

    def bounds(self) -> tuple[XY, XY]:
        """Lower left and upper right corner of what is to be seen where all is, mm."""
        assert self.drawing is not None  # noqa: S101 - only then it is fitted
        return extents(self.drawing, inches=self.dims_in_inches)

    def ink(self) -> QColor:
        """What the drawing is drawn in."""
        return self.palette().text().color()

    def paint_ground(self, painter: QPainter) -> None:
        """What the drawing is drawn on."""
        painter.fillRect(self.rect(), self.palette().base())

    def at(self, pixel: QPointF) -> QPointF:
        """The place of the drawing, mm, under a pixel."""
        return QPointF(
            (pixel.x() - self._origin.x()) / self._scale,
            (self._origin.y() - pixel.y()) / self._scale,
        )

    def place_measured(self, pixel: QPointF) -> QPointF:
        """The place that a click means to measure from."""
        return self.at(pixel)

    def pixel(self, place: QPointF) -> QPointF:
        """The pixel over a place of the drawing."""
        return QPointF(
            self._origin.x() + self._scale * place.x(), self._origin.y() - self._scale * place.y()
        )

    def zoom(self, factor: float, about: QPointF) -> None:
        """Zoom about a pixel."""
        self._fitted = False
        factor = max(min(factor * self._scale, 400.0), 0.02) / self._scale
        self._scale *= factor
        self._origin = about + (self._origin - about) * factor
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the drawing, and the measured line over it."""
        painter = QPainter(self)
        try:
            self._paint(painter)
        finally:
            painter.end()

    def _paint(self, painter: QPainter) -> None:
        self.paint_ground(painter)
        if self.drawing is None:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(self._origin)
        painter.scale(self._scale, -self._scale)
        draw(
            self.drawing,
            PainterCanvas(
                painter, self.ink(), _LEAST_STROKE_PX / self._scale, inches=self.dims_in_inches
            ),
        )
        accent = self.palette().highlight().color()
        if self.pointed is not None:
            least = _LEAST_POINTED_PX / self._scale
            draw(self.pointed, PainterCanvas(painter, accent, least, inches=self.dims_in_inches))
        painter.resetTransform()
        if self.caption:
            self._say(painter)
        if self._points:
            pixels = [self.pixel(point) for point in self._points]
            painter.setPen(accent)
            painter.drawPolyline(pixels)
            for pixel in pixels:
                painter.drawEllipse(pixel, 4, 4)
            if len(pixels) == 2:
                self._write_measured(painter, (pixels[0] + pixels[1]) / 2)
        paint_focus(painter, self)

    def _write_measured(self, painter: QPainter, at: QPointF) -> None:
        """What was measured, beside the line."""
        words = self.measured_words()
        box = QFontMetricsF(self.font()).boundingRect(words).adjusted(-4, -2, 4, 2)
        box.moveCenter(at - QPointF(0.0, box.height()))
        room = QRectF(self.rect()).adjusted(2, 2, -2, -2)
        box.moveLeft(max(min(box.left(), room.right() - box.width()), room.left()))
        box.moveTop(max(min(box.top(), room.bottom() - box.height()), room.top()))
        painter.fillRect(box, self.palette().base())
        painter.setPen(self.palette().text().color())
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)

    def _say(self, painter: QPainter) -> None:
        """The caption along the foot, on the accent, so that it is read first."""
        box = self.rect().adjusted(8, 4, -8, -4)
        flags = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom | Qt.TextFlag.TextWordWrap
        text = painter.boundingRect(box, flags, self.caption)
        painter.fillRect(text.adjusted(-5, -2, 5, 2), self.palette().highlight())
        painter.setPen(self.palette().highlightedText().color())
        painter.drawText(box, flags, self.caption)

    def resizeEvent(self, _event: QResizeEvent) -> None:
        """Keep a fitted drawing fitted."""
        if self._fitted:
            self.fit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the pointer."""
        self.zoom(1.0015 ** event.angleDelta().y(), event.position())

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take a point to measure, or the drawing to drag it."""
        if self.measuring:
            self._points = [*self._points, self.place_measured(event.position())][-2:]
            if len(self._points) == 2:
                self.measured.emit(self.measured_words())
            self.update()
        else:
            self._grip = event.position()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag the drawing."""
        if self._grip is not None:
            self._fitted = False
            self._origin += event.position() - self._grip
            self._grip = event.position()
            self.update()

    def mouseReleaseEvent(self, _event: QMouseEvent) -> None:
        """Let the drawing go."""
        self._grip = None

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """F fits; plus and minus zoom; arrows move."""
        middle = QPointF(self.width() / 2, self.height() / 2)
        moves = {
            Qt.Key.Key_Left: QPointF(40, 0), Qt.Key.Key_Right: QPointF(-40, 0),
            Qt.Key.Key_Up: QPointF(0, 40), Qt.Key.Key_Down: QPointF(0, -40),
        }  # fmt: skip
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_F:
            self.fit()
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom(1.25, middle)
        elif key == Qt.Key.Key_Minus:
            self.zoom(0.8, middle)
        elif key in moves:
            self._fitted = False
            self._origin += moves[key]
            self.update()
        else:
            super().keyPressEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        """Draw again when the system goes dark or light."""
        if event.type() == QEvent.Type.PaletteChange:
            self.update()
        super().changeEvent(event)

    def measured_words(self) -> str:
        """The distance between the two points, and its parts across and up."""
        first, second = self._points
        dx = (second.x() - first.x()) / self._drawn_scale
        dy = (second.y() - first.y()) / self._drawn_scale
        show = format_inch if self._inches else lambda mm: f"{numerals(format_mm(mm))} mm"
        return tr("{length} (across {across}, up {up})").format(
            length=show(math.hypot(dx, dy)), across=show(dx), up=show(dy)
        )
