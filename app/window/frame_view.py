"""A frame in one flat view: pick a tube or a point with a click, drag a point to where it is meant."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPainter
from PySide6.QtWidgets import QWidget

from app.window.drawing_view import DrawingView
from geometry.path import Point
from geometry.snapping import place_words, snapped
from templates_out.drawing import Drawing
from templates_out.frame_scene import Scene

_GRIP_PX = 9.0
_SNAP_PX = 8.0
_DOT_PX = 3.5
_AXES = "xyz"


class FrameView(DrawingView):
    """A frame seen from the side, from above or from the front.

    Signals:
        part_picked: the tube and the part clicked on; both "" for a click beside everything.
        point_picked: the point clicked on.
        point_dragged: the point, where it is dragged to (mm), and whether it is let go there.
    """

    part_picked = Signal(str, str)
    point_picked = Signal(str)
    point_dragged = Signal(str, object, bool)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(name, parent, captioned=True)
        self.scene: Scene | None = None
        self.grid = 1.0
        self._places: Mapping[str, Point] = {}
        self._tube = self._point = ""
        self._dragged: str | None = None
        self._pressed: QPointF | None = None
        self._moved = False

    def set_scene(self, scene: Scene, places: Mapping[str, Point]) -> None:
        """Show a frame.

        Args:
            scene: as this view sees it.
            places: where its points are, mm, for what is dragged.
        """
        self.scene, self._places = scene, places
        self.set_drawing(
            Drawing(tuple(item for part in scene.parts for item in part.drawing.items))
        )
        self._show_chosen()

    def choose(self, tube: str = "", point: str = "") -> None:
        """Show a tube, or a point, in the accent."""
        self._tube, self._point = tube, point
        self._show_chosen()

    def _show_chosen(self) -> None:
        if self.scene is None:
            return
        parts = [part for part in self.scene.parts if part.tube == self._tube]
        strokes = Drawing(tuple(item for part in parts for item in part.drawing.items))
        self.point_at(strokes if parts else None, self.caption if self._dragged else "")

    @property
    def _shown(self) -> str:
        """The axes that the view shows, such as "xz"."""
        assert self.scene is not None  # noqa: S101 - asked only where there is one
        view = self.scene.view
        return "".join(
            axis for number, axis in enumerate(_AXES) if abs(view.right[number]) + abs(view.up[number]) > 0.5
        )  # fmt: skip

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take a point to drag it; else what a view does."""
        self._pressed, self._moved = event.position(), False
        if (
            self.scene is not None
            and not self.measuring
            and event.button() == Qt.MouseButton.LeftButton
        ):
            place = self.at(event.position())
            self._dragged = self.scene.point_at((place.x(), place.y()), _GRIP_PX / self._scale)
            if self._dragged:
                return
        super().mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag a point, or the view; over a point the pointer says that it can be taken."""
        if self._pressed is not None:
            by = event.position() - self._pressed
            self._moved = self._moved or abs(by.x()) + abs(by.y()) > 4
        if self._dragged is None:
            if self.scene is not None and not self.measuring and self._pressed is None:
                place = self.at(event.position())
                over = self.scene.point_at((place.x(), place.y()), _GRIP_PX / self._scale)
                self.setCursor(Qt.CursorShape.SizeAllCursor if over else Qt.CursorShape.ArrowCursor)
            super().mouseMoveEvent(event)
        elif self._moved:
            self._drag(
                event.position(),
                free=bool(event.modifiers() & Qt.KeyboardModifier.AltModifier),
                done=False,
            )

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let a point go where it rests; a click that moved nothing picks."""
        dragged, moved, clicked = self._dragged, self._moved, self._pressed is not None
        if dragged and moved:
            self._drag(
                event.position(),
                free=bool(event.modifiers() & Qt.KeyboardModifier.AltModifier),
                done=True,
            )
        self._dragged, self._pressed, self._moved = None, None, False
        self.caption = ""
        self._show_chosen()
        if dragged and not moved:
            self.point_picked.emit(dragged)
        elif clicked and not moved and self.scene is not None and not self.measuring:
            place = self.at(event.position())
            part = self.scene.part_at((place.x(), place.y()), 3.0 / self._scale)
            self.part_picked.emit(part.tube if part else "", part.name if part else "")
        super().mouseReleaseEvent(event)

    def _drag(self, pixel: QPointF, *, free: bool, done: bool) -> None:
        """Where the point is now; with Alt it rests on nothing."""
        assert self.scene is not None  # noqa: S101 - there is a point of it
        name = self._dragged or ""
        view, place = self.scene.view, self.at(pixel)
        was = np.array(self._places[name])
        sight = np.cross(view.right, view.up)
        to = place.x() * view.right + place.y() * view.up + (was @ sight) * sight
        x, y, z = (float(value) for value in to)
        others = {other: at for other, at in self._places.items() if other != name}
        within = 0.0 if free else _SNAP_PX / self._scale
        rest = snapped(
            (x, y, z), self._shown, {} if free else others, within, 0.0 if free else self.grid
        )
        self.caption = f"{name}: {place_words(rest.at)}" + (
            f" ({rest.words})" if rest.words else ""
        )
        self.point_dragged.emit(name, rest.at, done)
        self.update()

    def _paint(self, painter: QPainter) -> None:
        super()._paint(painter)
        if self.scene is None:
            return
        painter.setPen(self.palette().text().color())
        for name, (x, y) in self.scene.points.items():
            pixel = self.pixel(QPointF(x, y))
            size = _DOT_PX * (1.6 if name == self._point else 1.0)
            box = QRectF(pixel.x() - size, pixel.y() - size, 2 * size, 2 * size)
            painter.setBrush(
                self.palette().highlight() if name == self._point else self.palette().base()
            )
            painter.drawRect(box)
